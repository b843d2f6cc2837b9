"""How a site of a database on a server is used: durable, one writer at a time, one state a reader.

The tables of a site stand in a schema of their own, and nothing else is on the search path. So
every site has its own row numbers, its own chain and its own privileges, and the server itself
keeps the sites apart.
"""

from __future__ import annotations

import hashlib
import logging
from typing import Any

from psycopg.pq import TransactionStatus
from sqlalchemy import Connection, Engine, NullPool, create_engine, event, make_url

from brakelog.store.address import ServerAddress
from brakelog.store.connection import WAIT_S
from brakelog.store.database import Database

CONNECT_S = 10
"""How long to wait for the server to answer at all, where the address does not say. Assumption:
one that takes longer is not there. [s]"""
_UNHEARD = logging.NullHandler()
_SETTINGS = ("data_checksums", "fsync", "full_page_writes", "synchronous_commit")
"""Settings of the server without which a power cut may cost what was acknowledged, or hide that
it did (PostgreSQL 15 documentation, 20.5 and 30.2)."""


def make_engine(address: ServerAddress, *, wait_s: float = WAIT_S) -> Engine:
    """Return an engine on one site whose transactions are begun by this program, not the driver.

    A reader sees one state of the site from its first look to its end. Writers of one site take
    turns, as they do with a file: each waits for the lock first, so that every statement behind
    it sees what the writer before has committed.

    Parameters
    ----------
    address : ServerAddress
        The site.
    wait_s : float
        How long to wait for a lock. [s]
    """
    # What goes wrong is raised. What the driver notes beside that, such as that a statement which
    # was given up cannot be given up again, is nothing for somebody at a terminal.
    logging.getLogger("psycopg").addHandler(_UNHEARD)
    url = make_url(address.url)
    given: dict[str, Any] = {
        "autocommit": True,
        "client_encoding": "utf8",
        "application_name": "brakelog",
        "connect_timeout": CONNECT_S,
    }
    engine = create_engine(
        url,
        poolclass=NullPool,
        use_native_hstore=False,
        connect_args={name: value for name, value in given.items() if name not in url.query},
    )
    settings = (
        f"SET search_path TO {address.schema}, pg_temp;"
        # Nought would be no limit at all.
        f" SET lock_timeout = {max(1, round(wait_s * 1000))};"
        " SET synchronous_commit = on"
    )
    lock = f"SELECT pg_catalog.pg_advisory_xact_lock({lock_number(address.schema)})"

    @event.listens_for(engine, "connect")
    def settle(connection: Any, _record: object) -> None:
        connection.execute(settings)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if connection.get_execution_options().get("readonly", False):
            connection.exec_driver_sql("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
            return
        connection.exec_driver_sql("BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE")
        try:
            connection.exec_driver_sql(lock)
        except BaseException:
            POSTGRES.end_transaction(connection)
            raise

    return engine


def lock_number(schema: str) -> int:
    """Return the number of the lock that writers of a schema take; the same in every program."""
    digest = hashlib.sha256(f"brakelog writers of {schema}".encode()).digest()
    return int.from_bytes(digest[:8], "big", signed=True)


class Postgres:
    """A site on a server."""

    def is_in_transaction(self, connection: Connection) -> bool:
        """Tell whether the server would keep the transaction; after an error it would not."""
        return _status(connection) == TransactionStatus.INTRANS

    def is_going(self, connection: Connection) -> bool:
        """Tell whether there is a transaction, broken by an error or not."""
        return _status(connection) in (TransactionStatus.INTRANS, TransactionStatus.INERROR)

    def end_transaction(self, connection: Connection) -> None:
        """Roll back what the connection is still in, if it is still there."""
        if self.is_going(connection):
            connection.connection.rollback()

    def interrupt(self, connection: Connection) -> None:
        """Ask the server to cancel what it does for this connection."""
        driver: Any = connection.connection.driver_connection
        driver.cancel()

    def values_at_once(self, connection: Connection) -> int:
        """Return none: the driver sends many rows together by itself."""
        return 0

    def durability(self, connection: Connection) -> dict[str, str]:
        """Return what the server does with a commit, and this program's own wish."""
        rows = connection.exec_driver_sql(
            "SELECT name, setting FROM pg_catalog.pg_settings WHERE name = ANY(%s) ORDER BY name",
            (list(_SETTINGS),),
        )
        return {str(name): str(setting) for name, setting in rows}


def _status(connection: Connection) -> TransactionStatus | None:
    """Return where the connection stands; None where it is lost or closed."""
    if connection.closed or connection.invalidated:
        return None
    driver: Any = connection.connection.driver_connection
    return TransactionStatus(driver.info.transaction_status)


POSTGRES: Database = Postgres()
