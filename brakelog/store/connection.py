"""How the file is opened: durable, checked, and patient with other programs.

A journal that is truncated rather than deleted, with every commit synced, makes what a commit
has returned from survive a power cut. The write-ahead journal is not used: it does not work on
network shares, and a released fault of SQLite could damage it with two connections.
"""

from __future__ import annotations

import sqlite3
import sys
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event

from brakelog.store.database import Database

WAIT_S = 30.0
"""How long to wait for another program's transaction. Assumption: the longest one, an import of
some thousand rows, takes a few seconds. [s]"""
PAGES_HELD_KIB = 16_000
"""Memory for pages of the file, at the most. Keys of imported rows are as good as random, so that
each goes to another page of an index, which the two megabytes that SQLite takes otherwise do not
hold. Assumption: any machine can spare as much. [KiB]"""
_SYNCHRONOUS = ("off", "normal", "full", "extra")
"""The settings by the numbers that SQLite gives them."""


def make_engine(path: Path, *, wait_s: float = WAIT_S, foreign_keys: bool = True) -> Engine:
    """Return an engine on the file whose transactions are begun by this program, not the driver.

    Parameters
    ----------
    path : Path
        The file.
    wait_s : float
        How long to wait for a lock. [s]
    foreign_keys : bool
        False for migrations, which rebuild tables that others point at.
    """
    engine = create_engine(
        URL.create("sqlite", database=str(path.absolute())),
        poolclass=NullPool,
        # Rows are written by a thread of their own, with which the others take turns.
        connect_args={"timeout": wait_s, "check_same_thread": False},
    )

    @event.listens_for(engine, "connect")
    def settle(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None
        # The wait comes first: even some of the settings need a lock.
        connection.execute(f"PRAGMA busy_timeout = {round(wait_s * 1000)}")
        connection.execute(f"PRAGMA foreign_keys = {'ON' if foreign_keys else 'OFF'}")
        connection.execute(f"PRAGMA cache_size = -{PAGES_HELD_KIB}")
        connection.execute("PRAGMA trusted_schema = OFF")
        connection.execute("PRAGMA cell_size_check = ON")
        connection.execute("PRAGMA recursive_triggers = ON")
        connection.execute("PRAGMA synchronous = FULL")
        if sys.platform == "darwin":
            connection.execute("PRAGMA fullfsync = ON")
        connection.execute("PRAGMA journal_mode = TRUNCATE")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        reads_only = connection.get_execution_options().get("readonly", False)
        connection.exec_driver_sql("BEGIN" if reads_only else "BEGIN IMMEDIATE")

    return engine


class Sqlite:
    """A file."""

    def is_in_transaction(self, connection: Connection) -> bool:
        """Tell whether the database is still in the transaction."""
        driver = connection.connection.driver_connection
        return isinstance(driver, sqlite3.Connection) and driver.in_transaction

    is_going = is_in_transaction

    def end_transaction(self, connection: Connection) -> None:
        """Roll back what the driver is still in: after a commit that failed, say."""
        if self.is_in_transaction(connection):
            connection.connection.rollback()

    def interrupt(self, connection: Connection) -> None:
        """Interrupt what is run; the transaction may be rolled back by that."""
        driver = connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        driver.interrupt()

    def values_at_once(self, connection: Connection) -> int:
        """Return what the library was built with."""
        driver = connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        return driver.getlimit(sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER)

    def durability(self, connection: Connection) -> dict[str, str]:
        """Return journal and synchronisation."""
        journal = connection.exec_driver_sql("PRAGMA journal_mode").scalar_one()
        synchronous = connection.exec_driver_sql("PRAGMA synchronous").scalar_one()
        return {"journal_mode": str(journal), "synchronous": _SYNCHRONOUS[int(synchronous)]}


SQLITE: Database = Sqlite()
