"""What the database says, in the words of the program."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, ResourceClosedError, SQLAlchemyError, StatementError

from brakelog.errors import BrakelogError, Conflict, InvalidInput, StoreError, clip

LONGEST_SAID = 200
"""Characters of a message of the database that are repeated; assumption: its own are shorter."""

_SAYS = {
    sqlite3.SQLITE_BUSY: (
        "the store is locked by another program",
        "let the other program finish, then try again",
    ),
    sqlite3.SQLITE_LOCKED: (
        "the store is locked by another program",
        "let the other program finish, then try again",
    ),
    sqlite3.SQLITE_READONLY: (
        "the store cannot be written: its file or its folder is read-only",
        "check who may write there, or name another file with --store",
    ),
    sqlite3.SQLITE_FULL: (
        "the disk is full; nothing of this was written",
        "make room, then type it again",
    ),
    sqlite3.SQLITE_IOERR: (
        "the disk refused to read or write; nothing of this was written",
        "check the disk, its free space and who may write there; then brakelog store check",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "the store cannot be opened",
        "check who may read and write the file and its folder",
    ),
    sqlite3.SQLITE_PERM: (
        "the store cannot be opened",
        "check who may read and write the file and its folder",
    ),
    sqlite3.SQLITE_CORRUPT: (
        "the store is damaged",
        "run brakelog store check; restore a backup",
    ),
    sqlite3.SQLITE_NOTADB: (
        "the store is damaged: its header is not that of a database",
        "run brakelog store check; restore a backup",
    ),
    sqlite3.SQLITE_NOMEM: ("there is not enough memory", "close other programs"),
    sqlite3.SQLITE_INTERRUPT: ("interrupted; nothing of this was written", "type it again"),
}

_TAKEN = {
    "uq_people_tag_key": "another person has that tag already",
    "uq_people_id": "that person is on file already",
    "uq_customers_tag_key": "another customer has that tag already",
    "uq_customers_id": "that customer is on file already",
    "uq_draft_entries_visit_id_corner_stage_key": "that point is typed already",
}
"""Sentences for the constraints that somebody can meet by typing, by constraint name."""


@contextmanager
def translated(*, keeping: bool = False) -> Iterator[None]:
    """Raise what the database raises as an error of the program, with the original as cause.

    Parameters
    ----------
    keeping : bool
        Whether a transaction is being committed meanwhile.
    """
    try:
        yield
    except (SQLAlchemyError, sqlite3.Error, UnicodeError, OverflowError) as error:
        raise translate(error, keeping=keeping) from error


def translate(error: BaseException, *, keeping: bool = False) -> BrakelogError:
    """Return the error of the program that stands for one of the database.

    Where a transaction was being committed when a connection was lost, nobody but the server
    knows whether it was kept, and the error says so.
    """
    cause: BaseException | None = error
    if isinstance(error, (DBAPIError, StatementError)):
        cause = error.orig
    if isinstance(cause, BrakelogError):
        return cause
    if isinstance(cause, UnicodeEncodeError):
        return InvalidInput(
            "the text holds bytes that are no character", hint="type it again in UTF-8"
        )
    if isinstance(cause, UnicodeDecodeError):
        # The driver stumbles over bytes that are no text, in a row or in its own message.
        sentence, hint = _SAYS[sqlite3.SQLITE_CORRUPT]
        return StoreError(sentence, hint=hint)
    if isinstance(cause, OverflowError):
        return InvalidInput("a number is too large to be stored", hint="check the number")
    if isinstance(error, ResourceClosedError):
        return StoreError("the store is closed", hint="open it again")
    if isinstance(cause, sqlite3.Error):
        return _of_sqlite(cause)
    if cause is not None and is_of_a_server(cause):
        from brakelog.store.postgres_faults import of_postgres

        return of_postgres(cause, taken=_TAKEN, keeping=keeping)
    return StoreError(f"the store could not be used: {in_short(cause or error)}")


def in_short(error: BaseException) -> str:
    """Return what the database says; a damaged one repeats whole statements of its schema."""
    return clip(" ".join(str(error).split()), LONGEST_SAID)


def is_of_a_server(error: BaseException) -> bool:
    """Tell whether an error is one of the driver of servers, without importing that."""
    return type(error).__module__.partition(".")[0] == "psycopg"


def _of_sqlite(error: sqlite3.Error) -> BrakelogError:
    # The driver's own complaints carry no code.
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    if code == sqlite3.SQLITE_CONSTRAINT:
        return _of_constraint(error)
    if code in _SAYS:
        sentence, hint = _SAYS[code]
        return StoreError(sentence, hint=hint)
    return StoreError(
        f"the store could not be used: {in_short(error)}", hint="run brakelog store check"
    )


def _of_constraint(error: sqlite3.Error) -> BrakelogError:
    said = in_short(error)
    kind, _, rest = said.partition(" constraint failed: ")
    if error.sqlite_errorname == "SQLITE_CONSTRAINT_TRIGGER":
        return Conflict(said, hint="evidence is corrected by a new row that names the old one")
    if said.startswith("FOREIGN KEY"):
        return Conflict("it points at something that is not on file", hint="add that first")
    if kind == "UNIQUE":
        name = constraint_name(rest)
        return Conflict(_TAKEN.get(name, f"it is on file already ({name})"))
    return Conflict(f"a rule of the record would be broken ({rest or said})")


def constraint_name(columns: str) -> str:
    """Return the name of the unique constraint on the columns that the database lists.

    >>> constraint_name("draft_entries.visit_id, draft_entries.key")
    'uq_draft_entries_visit_id_key'
    """
    pairs = [pair.split(".") for pair in columns.split(", ")]
    return "_".join(["uq", pairs[0][0], *(pair[-1] for pair in pairs)])
