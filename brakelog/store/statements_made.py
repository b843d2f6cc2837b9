"""What a file says of its own tables, indexes and triggers, each with its sum.

SQLite reads the statements that they were made by at every opening and believes them. A bit that is
the other way round in one of them changes a check or the columns of an index, and no row shows it.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Container, Iterator, Sequence

from sqlalchemy import Connection

from brakelog.store.owners import SCHEMA

_MADE = "SELECT type, name, tbl_name, sql FROM sqlite_schema"
"""All but the place in the file, which is another one after every compaction."""


def tally_statements(connection: Connection) -> None:
    """Keep the sums of what a file is made of as it is now; after a migration they are others."""
    connection.exec_driver_sql(f"DELETE FROM row_tallies WHERE kind = '{SCHEMA}'")
    rows = connection.exec_driver_sql(_MADE).all()
    connection.exec_driver_sql(
        f"INSERT INTO row_tallies (kind, owner, entries, total) VALUES ('{SCHEMA}', ?, 1, ?)",
        [(row[1], _sum(row)) for row in rows],
    )


def changed_statements(connection: sqlite3.Connection, known: Container[str]) -> Iterator[str]:
    """Name what is not made as it was, or is gone and not ``known`` to have to be there.

    What somebody has added is none of ours.
    """
    asked = f"SELECT owner, total FROM row_tallies WHERE kind = '{SCHEMA}'"
    kept = dict(connection.execute(asked).fetchall())
    if not kept:
        yield "it is not kept what its tables were made by"
    for row in connection.execute(_MADE).fetchall():
        kind, name = row[:2]
        total = kept.pop(name, None)
        if total is not None and total != _sum(row):
            yield f"{kind} {name} was changed"
    yield from (f"missing index {name}" for name in kept if name not in known)


def _sum(row: Sequence[str | None]) -> str:
    text = json.dumps(list(row), separators=(",", ":"), default=repr)
    return hashlib.sha256(text.encode("ascii")).hexdigest()
