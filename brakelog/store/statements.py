"""Statements that are written out, where building them for each command would cost too much."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from sqlalchemy import Connection, Dialect

VALUES_AT_ONCE = 900
"""Values bound to one statement; the lowest limit that SQLite was ever built with is 999."""


def marks_for(dialect: Dialect, count: int) -> str:
    """Return the marks that stand for values, as the driver wants them: ``?, ?, ?``."""
    mark = "?" if dialect.paramstyle == "qmark" else "%s"
    return ", ".join([mark] * count)


def quoted(names: Iterable[str]) -> str:
    """Return column names, each in quotes: some are words of SQL.

    >>> quoted(["key", "text"])
    '"key", "text"'
    """
    return ", ".join(f'"{name}"' for name in names)


def values_in(
    connection: Connection, beginning: str, values: Iterable[str]
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield statements that end in ``IN (...)``, each with as many of the values as it can bind."""
    listed = list(values)
    for start in range(0, len(listed), VALUES_AT_ONCE):
        part: Sequence[str] = listed[start : start + VALUES_AT_ONCE]
        yield f"{beginning} IN ({marks_for(connection.dialect, len(part))})", tuple(part)
