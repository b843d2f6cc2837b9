"""One connection, its transactions, and what every row of evidence is stamped with."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar

from sqlalchemy import Column, Connection, Executable, Row, Table, Transaction, insert, select
from sqlalchemy.exc import SQLAlchemyError

from brakelog.errors import Conflict, NotFound, StoreError, clip
from brakelog.record.shop import Shop
from brakelog.store.connection import is_in_transaction
from brakelog.store.faults import translated
from brakelog.store.tables import shop_settings

_T = TypeVar("_T")
LEAST_ID = 6
"""Characters of an id that must be typed; assumption: fewer are typed by mistake."""
_MOST_VARIABLES = 900
"""Values bound to one statement; the lowest limit that SQLite was ever built with is 999."""


class Transactions:
    """The open store without its nouns. One thread at a time."""

    def __init__(
        self,
        path: Path,
        connection: Connection,
        *,
        clock: Callable[[], datetime],
        new_id: Callable[[], str],
    ) -> None:
        self.path = path
        self._connection = connection
        self._clock = clock
        self._new_id = new_id
        self._writes: bool | None = None
        self._depth = 0
        self._by: str | None = None
        self._site: str | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; a second time does nothing."""
        with suppress(SQLAlchemyError, sqlite3.Error):
            self._connection.close()

    def now(self) -> datetime:
        """Return the time that rows are recorded at. [UTC]"""
        return self._clock()

    def new_id(self) -> str:
        """Return a new global id."""
        return self._new_id()

    @contextmanager
    def writing(self, by: str | None = None) -> Iterator[None]:
        """Open a transaction that may write; inside another one, a part of it.

        Everything in it is kept once the outermost block has ended, and nothing where that
        ends in an exception. A part that fails takes back only what the part wrote.

        Parameters
        ----------
        by : str, optional
            Id of the person whom the rows are recorded by.

        Raises
        ------
        StoreError
            Where the store is locked, read-only or full.
        """
        if self._writes is False:
            raise RuntimeError("a reading transaction cannot write: open store.writing() around it")
        before = self._by
        self._by = by or before
        try:
            if self._writes is None:
                with self._outermost(writes=True):
                    yield
            else:
                with self._part():
                    yield
        finally:
            self._by = before

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Open a transaction in which nothing changes under the reader; joins an outer one.

        Raises
        ------
        StoreError
            Where the store is locked or damaged.
        """
        if self._writes is None:
            with self._outermost(writes=False):
                yield
        else:
            yield

    @contextmanager
    def _outermost(self, *, writes: bool) -> Iterator[None]:
        with translated():
            self._connection.execution_options(readonly=not writes)
            begun = self._connection.begin()
        self._writes = writes
        try:
            yield
            with translated():
                if writes and not is_in_transaction(self._connection):
                    raise StoreError(
                        "the transaction was given up after a fault of the disk; "
                        "nothing of it was written",
                        hint="check the disk and its free space, then type it again",
                    )
                begun.commit()
        except BaseException:
            self._give_up(begun)
            raise
        finally:
            self._writes = None
            self._site = None

    def _give_up(self, begun: Transaction) -> None:
        """Roll back; what went wrong before is told, not what goes wrong here."""
        with suppress(SQLAlchemyError, sqlite3.Error):
            begun.rollback()
        # After a commit that failed the database may still be in the transaction, and after a
        # fault of the disk it has rolled back by itself.
        with suppress(SQLAlchemyError, sqlite3.Error):
            if is_in_transaction(self._connection):
                self._connection.connection.rollback()

    @contextmanager
    def _part(self) -> Iterator[None]:
        self._depth += 1
        name = f"part_{self._depth}"
        try:
            self._say(f"SAVEPOINT {name}")
            try:
                yield
            except BaseException:
                self._site = None
                if is_in_transaction(self._connection):
                    self._say(f"ROLLBACK TO {name}")
                    self._say(f"RELEASE {name}")
                raise
            self._say(f"RELEASE {name}")
        finally:
            self._depth -= 1

    def _say(self, statement: str) -> None:
        with translated():
            self._connection.exec_driver_sql(statement)

    def _full_id(self, column: Column[Any], text: str, what: str) -> str:
        """Return the id that a text is the beginning of, as lists print it.

        Raises
        ------
        NotFound
            Where no id begins so, or the text is too short to mean one.
        Conflict
            Where more than one begins so.
        """
        if len(text) < LEAST_ID:
            raise NotFound(
                f"{clip(text)!r} is no id of a {what}", hint=f"at least {LEAST_ID} characters of it"
            )
        beyond = text[:-1] + chr(ord(text[-1]) + 1)
        rows = self._all(select(column).where(column >= text, column < beyond).limit(2))
        if not rows:
            raise NotFound(f"no {what} has the id {clip(text)!r}", hint="lists print the ids")
        if len(rows) > 1 and rows[0][0] != text:
            raise Conflict(f"more than one {what} has an id like {clip(text)!r}", hint="type more")
        return str(rows[0][0])

    def _all(self, statement: Executable) -> Sequence[Row[Any]]:
        with self.reading(), translated():
            return self._connection.execute(statement).all()

    def _first(self, statement: Executable) -> Row[Any] | None:
        with self.reading(), translated():
            return self._connection.execute(statement).first()

    def _change(self, statement: Executable) -> None:
        with self.writing(), translated():
            self._connection.execute(statement)

    def _insert(self, table: Table, rows: Iterable[Mapping[str, Any]]) -> None:
        listed = [dict(row) for row in rows]
        if listed:
            with self.writing(), translated():
                self._connection.execute(insert(table), listed)

    def _record(self, table: Table, rows: Iterable[Mapping[str, Any]]) -> None:
        """Append evidence: each row with place, time and person, and an id where it has none."""
        with self.writing():
            stamp = {
                "site": self._at_site(),
                "recorded_at": self.now(),
                "recorded_by": self._by,
            }
            listed = [{**row, "id": row.get("id") or self.new_id(), **stamp} for row in rows]
            if listed:
                with translated():
                    self._connection.execute(insert(table), listed)

    def _at_site(self) -> str:
        if self._site is None:
            found = self._first(
                select(shop_settings.c.value)
                .where(shop_settings.c.name == "site")
                .order_by(shop_settings.c.row.desc())
                .limit(1)
            )
            self._site = str(found.value) if found else Shop().site
        return self._site


def in_chunks(values: Iterable[_T]) -> Iterator[list[_T]]:
    """Split the values so that each part can be bound to one statement.

    >>> [len(part) for part in in_chunks(range(2000))]
    [900, 900, 200]
    """
    listed = list(values)
    for start in range(0, len(listed), _MOST_VARIABLES):
        yield listed[start : start + _MOST_VARIABLES]
