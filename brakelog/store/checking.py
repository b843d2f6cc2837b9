"""Looking at every page and every row of a store, for when somebody asks for it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from brakelog.errors import StoreError
from brakelog.store.address import Address, ServerAddress
from brakelog.store.auditing import ChainEnd, audit
from brakelog.store.connection import make_engine
from brakelog.store.faults import translated
from brakelog.store.statements_made import changed_statements
from brakelog.store.tables import APPLICATION_ID, SCHEMA_NUMBER, metadata, row_tallies
from brakelog.store.triggers import TRIGGERS

MOST_FAULTS = 20
"""Faults of one kind that are listed."""
_SYNCHRONOUS = ("off", "normal", "full", "extra")
"""The settings by the numbers that SQLite gives them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreHealth:
    """What a store looks like from inside."""

    engine: str
    """The database that reads it, with its version."""
    settings: dict[str, str]
    """What makes an acknowledged row survive a power cut."""
    schema: int
    """The number of the schema that it has."""
    is_known: bool
    """Whether that is the schema of this program, so that rows could be looked at."""
    rows: int
    """Rows whose seals were looked at. [-]"""
    chains: tuple[ChainEnd, ...]
    faults: tuple[str, ...]
    """What is wrong with it; empty where nothing is."""


def check_store(path: Address) -> StoreHealth:
    """Read every page, index, reference, trigger and row of a file; nothing in it is changed.

    What a program that was killed has left half done is rolled back, as by every other command.

    The seals of a store that an older or a newer program wrote are not looked at: their schema is
    not known here.

    Raises
    ------
    StoreError
        Where the file is missing, or is no database at all.
    """
    if isinstance(path, ServerAddress):
        from brakelog.store.postgres_checking import check_site

        return check_site(path)
    if not path.is_file():
        raise StoreError(f"there is no store at {path}", hint="name another file with --store")
    try:
        schema, faults = _structure(path)
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        # The message may repeat what is damaged.
        said = _as_text(error.object) if isinstance(error, UnicodeDecodeError) else str(error)
        raise StoreError(
            f"{path} cannot be read as a store: {said}", hint="take the newest backup"
        ) from error
    settings: dict[str, str] = {}
    rows = 0
    chains: tuple[ChainEnd, ...] = ()
    if schema == SCHEMA_NUMBER:
        try:
            rows, chains, more, settings = _content(path)
            faults += more
        except StoreError as error:
            faults.append(str(error))
    return StoreHealth(
        engine=f"SQLite {sqlite3.sqlite_version}",
        settings=settings,
        schema=schema,
        is_known=schema == SCHEMA_NUMBER,
        rows=rows,
        chains=chains,
        faults=tuple(faults),
    )


def _structure(path: Path) -> tuple[int, list[str]]:
    # Not read-only: what a program that was killed has left half done is rolled back first.
    address = f"file:{quote(str(path.resolve()))}?mode=rw"
    with closing(sqlite3.connect(address, uri=True)) as connection:
        # What is damaged repeats its own bytes, which may be no text.
        connection.text_factory = _as_text
        faults = [
            text
            for (text,) in connection.execute(f"PRAGMA integrity_check({MOST_FAULTS})")
            if text != "ok"
        ]
        faults += [
            f"{table}, row {row}: points at a row of {parent} that is not there"
            for table, row, parent, _ in connection.execute("PRAGMA foreign_key_check")
        ][:MOST_FAULTS]
        application = connection.execute("PRAGMA application_id").fetchone()[0]
        if application != APPLICATION_ID:
            faults.append("its header is not that of a brakelog store")
        schema = int(connection.execute("PRAGMA user_version").fetchone()[0])
        if schema == SCHEMA_NUMBER:
            faults += _schema_faults(connection)
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        size = connection.execute("PRAGMA page_size").fetchone()[0]
        journal = connection.execute("PRAGMA journal_mode").fetchone()[0]
    if journal != "wal" and path.stat().st_size < pages * size:
        faults.append("its end is missing")
    return schema, faults


def _as_text(said: bytes) -> str:
    return said.decode("utf-8", "backslashreplace")


def _schema_faults(connection: sqlite3.Connection) -> list[str]:
    found = {
        (kind, name): sql
        for kind, name, sql in connection.execute("SELECT type, name, sql FROM sqlite_schema")
        if not name.startswith("sqlite_")
    }
    faults = [
        f"missing {kind} {name}"
        for kind, names in (("table", metadata.tables), ("trigger", TRIGGERS))
        for name in names
        if (kind, name) not in found
    ]
    for (kind, name), sql in found.items():
        if kind == "view":
            faults.append(f"a view that is not the program's: {name}")
        elif kind == "trigger" and name not in TRIGGERS:
            faults.append(f"a trigger that is not the program's: {name}")
        elif kind == "trigger" and sql != TRIGGERS[name]:
            faults.append(f"trigger {name} was changed")
    if ("table", row_tallies.name) in found:
        try:
            more = changed_statements(connection, known={*metadata.tables, *TRIGGERS})
            faults += [each for each in more if each not in faults][:MOST_FAULTS]
        except sqlite3.DatabaseError as error:
            faults.append(f"{row_tallies.name}: cannot be read to its end: {error}")
    return faults


def _content(path: Path) -> tuple[int, tuple[ChainEnd, ...], list[str], dict[str, str]]:
    engine = make_engine(path)
    try:
        with (
            translated(),
            engine.connect().execution_options(readonly=True) as connection,
            connection.begin(),
        ):
            settings = {
                "journal_mode": str(connection.exec_driver_sql("PRAGMA journal_mode").scalar()),
                "synchronous": _SYNCHRONOUS[
                    int(connection.exec_driver_sql("PRAGMA synchronous").scalar() or 0)
                ],
            }
            found = audit(connection)
    finally:
        engine.dispose()
    return found.rows, found.chains, list(found.faults), settings
