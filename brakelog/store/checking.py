"""Looking at every page of a store, for when somebody asks for it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from brakelog.errors import StoreError

MOST_FAULTS = 20
"""Faults that are listed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreHealth:
    """What a store looks like from inside."""

    sqlite: str
    """Version of SQLite that reads it."""
    faults: tuple[str, ...]
    """What is wrong with it; empty where nothing is."""


def check_store(path: Path) -> StoreHealth:
    """Read every page of the file, every index, and every reference; changes nothing.

    Raises
    ------
    StoreError
        Where the file is missing, or is no database at all.
    """
    if not path.is_file():
        raise StoreError(f"there is no store at {path}", hint="name another file with --store")
    try:
        address = f"file:{quote(str(path.resolve()))}?mode=ro"
        with closing(sqlite3.connect(address, uri=True)) as connection:
            faults = [
                text
                for (text,) in connection.execute(f"PRAGMA integrity_check({MOST_FAULTS})")
                if text != "ok"
            ]
            faults += [
                f"{table}, row {row}: points at a row of {parent} that is not there"
                for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check")
            ][:MOST_FAULTS]
    except sqlite3.DatabaseError as error:
        raise StoreError(
            f"{path} cannot be read as a store: {error}", hint="take the newest backup"
        ) from error
    return StoreHealth(sqlite=sqlite3.sqlite_version, faults=tuple(faults))
