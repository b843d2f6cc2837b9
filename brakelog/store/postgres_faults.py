"""What a server says, in the words of the program: the same as for a file, where it is the same."""

from __future__ import annotations

from collections.abc import Mapping

from brakelog.errors import BrakelogError, Conflict, InvalidInput, StoreError, clip
from brakelog.store.postgres_triggers import APPEND_ONLY

APPEND_ONLY_STATE = "23001"
"""The state (``restrict_violation``) that the triggers raise which keep evidence append-only."""
ASK_THE_OWNER = "ask who owns the database: brakelog store roles prints what a user needs"

_LOCKED = (
    "the store is locked by another program",
    "let the other program finish, then try again",
)
_LOST = (
    "the connection to the server was lost; nothing of this was written",
    "check the server and the network, then type it again",
)
_UNKNOWN = (
    "the connection to the server was lost while this was being kept: it may be on file or not",
    "look what is on file before you type it again",
)
_FULL = ("the disk of the server is full; nothing of this was written", "make room there")
_DAMAGED = ("the store is damaged", "run brakelog store check; restore a backup")
_STOPPED = ("interrupted; nothing of this was written", "type it again")
_SAYS = {
    "40": ("another program was in the way; nothing of this was written", "try again"),
    "55P03": _LOCKED,
    "55006": _LOCKED,
    "57014": _STOPPED,
    "25P02": _STOPPED,
    "25006": (
        "the store cannot be written: the server only lets it be read",
        "name the server that may be written with --store",
    ),
    "08": _LOST,
    "57P": _LOST,
    "25P03": _LOST,
    "53100": _FULL,
    "53200": ("the server has not enough memory", "try again later"),
    "53300": ("the server has no connection free", "try again later"),
    "58": (
        "the disk of the server refused to read or write; nothing of this was written",
        "ask who runs the server; then brakelog store check",
    ),
    "XX": _DAMAGED,
}
"""Sentence and hint by the state that the server reports (PostgreSQL documentation, appendix A),
or by what it begins with."""

_NO_CHARACTER = frozenset({"22021", "22P05"})


def of_postgres(
    error: BaseException, taken: Mapping[str, str], *, keeping: bool = False
) -> BrakelogError:
    """Return the error of the program that stands for one of the driver.

    Parameters
    ----------
    error : BaseException
        Of psycopg.
    taken : mapping
        Sentences for the unique constraints that somebody can meet by typing, by name.
    keeping : bool
        Whether a transaction was being committed meanwhile.
    """
    state: str = getattr(error, "sqlstate", None) or ""
    said = str(error).partition("\n")[0].strip()
    if state.startswith("23"):
        return _of_constraint(state, error, said, taken)
    if state == "22003":
        return InvalidInput("a number is too large to be stored", hint="check the number")
    if "NUL (0x00)" in said:
        return InvalidInput(
            "the text holds a NUL, which is no character", hint="type it again without"
        )
    if state in _NO_CHARACTER:
        return InvalidInput(
            "the text holds bytes that are no character", hint="type it again in UTF-8"
        )
    if state == "42501":
        return StoreError(
            f"the user of the server may not do that: {clip(said, 100)}", hint=ASK_THE_OWNER
        )
    if state in ("42P01", "42703", "3F000"):
        return StoreError(f"the store is damaged: {clip(said, 100)}", hint=_DAMAGED[1])
    is_lost = not state and type(error).__name__ in ("OperationalError", "InterfaceError")
    found = [_LOST] if is_lost else []
    found += [_SAYS[part] for part in (state, state[:3], state[:2]) if part in _SAYS]
    if found and found[0] is _LOST and keeping:
        return StoreError(_UNKNOWN[0], hint=_UNKNOWN[1])
    if found:
        sentence, hint = found[0]
        return StoreError(sentence, hint=hint)
    return StoreError(
        f"the store could not be used: {clip(said, 200)}", hint="run brakelog store check"
    )


def of_connecting(error: BaseException) -> StoreError:
    """Return the error that stands for a server that does not let the program in."""
    # The driver tells every address that it tried, each on lines of its own.
    said = str(error).strip().partition("\n")[0]
    return StoreError(
        f"the server cannot be used: {clip(said.removeprefix('connection failed: '), 300)}",
        hint="check the address behind --store, and that the server runs",
    )


def _of_constraint(
    state: str, error: BaseException, said: str, taken: Mapping[str, str]
) -> BrakelogError:
    diagnosis = getattr(error, "diag", None)
    name = getattr(diagnosis, "constraint_name", None) or ""
    table = getattr(diagnosis, "table_name", None) or ""
    column = getattr(diagnosis, "column_name", None) or ""
    if state == APPEND_ONLY_STATE:
        return Conflict(said, hint="evidence is corrected by a new row that names the old one")
    if state == "23503":
        return Conflict("it points at something that is not on file", hint="add that first")
    if state == "23505":
        if table in APPEND_ONLY:
            return Conflict(
                f"{table} is append-only: that row is there already",
                hint="evidence is corrected by a new row that names the old one",
            )
        return Conflict(taken.get(name, f"it is on file already ({name})"))
    broken = f"{table}.{column}" if column else name
    return Conflict(f"a rule of the record would be broken ({broken or said})")
