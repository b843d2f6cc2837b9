"""What differs between the databases that can hold a store."""

from __future__ import annotations

from typing import Protocol

from sqlalchemy import Connection


class Database(Protocol):
    """One kind of database, as far as the rest of the store must know which it is."""

    def is_in_transaction(self, connection: Connection) -> bool:
        """Tell whether the database is still in a transaction that it would keep.

        A full disk, a lost connection and some other faults end it from the database's side.
        """

    def is_going(self, connection: Connection) -> bool:
        """Tell whether a part of the transaction can be taken back: it is there, broken or not."""

    def end_transaction(self, connection: Connection) -> None:
        """Roll back what the driver is still in, if anything."""

    def interrupt(self, connection: Connection) -> None:
        """Make the database give up the statement that another thread runs, if one does."""

    def values_at_once(self, connection: Connection) -> int:
        """Return how many values one statement can bind that writes many rows; 0: a row each."""

    def durability(self, connection: Connection) -> dict[str, str]:
        """Return the settings that make what is acknowledged survive a power cut."""


def database_of(connection: Connection) -> Database:
    """Return the kind of database that a connection leads to."""
    if connection.dialect.name == "sqlite":
        from brakelog.store.connection import SQLITE

        return SQLITE
    from brakelog.store.postgres import POSTGRES

    return POSTGRES
