"""Find what somebody typed among the names on file."""

from __future__ import annotations

from collections.abc import Iterable

from brakelog.errors import InvalidInput, NotFound, StoreError, clip


def name_key(text: str) -> str:
    """Return the name as names are compared: case and runs of blanks do not count.

    >>> name_key("  Old  Blue ")
    'old blue'
    """
    return " ".join(text.split()).casefold()


def plate_key(text: str) -> str:
    """Return a plate or VIN as they are compared: neither case nor blanks count.

    >>> plate_key("b xy 123")
    'bxy123'
    """
    return "".join(text.split()).casefold()


def need_named(key: str, *names: str) -> None:
    """Do nothing where a row that was found by a key is one of that key.

    Raises
    ------
    StoreError
        Where it is not: a damaged index leads to another row.
    """
    if key not in names:
        raise StoreError(
            f"the store is damaged: what is named {clip(key)!r} leads to another row",
            hint="run brakelog store check; restore a backup",
        )


def need_name(text: str, what: str) -> str:
    """Return the key of a name that must not be empty.

    Raises
    ------
    InvalidInput
        Where it is.
    """
    key = name_key(text)
    if not key:
        raise InvalidInput(f"the {what} is empty", hint="type at least one character")
    return key


def not_found(what: str, typed: str, known: Iterable[str], *, command: str) -> NotFound:
    """Return the error that names what comes close.

    Parameters
    ----------
    what : str
        ``vehicle``, ``gauge`` and so on.
    typed : str
        What was looked for.
    known : iterable of str
        The names on file.
    command : str
        The command that lists them, for where nothing comes close.
    """
    by_key = {name_key(name): name for name in known if name}
    import difflib

    close = difflib.get_close_matches(name_key(typed), by_key, n=3, cutoff=0.6)
    hint = "did you mean " + ", ".join(by_key[key] for key in close) if close else command
    return NotFound(f"no {what} goes by {clip(typed)!r}", hint=hint)
