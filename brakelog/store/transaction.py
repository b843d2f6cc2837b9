"""One connection, its transactions, and what every row of evidence is stamped with."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from functools import cached_property
from itertools import chain, islice
from types import TracebackType
from typing import Any, Self, TypeVar

from sqlalchemy import (
    Column,
    Connection,
    Dialect,
    Executable,
    Row,
    Table,
    Transaction,
    select,
    update,
)

from brakelog.errors import Conflict, NotFound, StoreError, clip
from brakelog.record.shop import Shop
from brakelog.store.address import Address
from brakelog.store.behind import Behind
from brakelog.store.database import database_of
from brakelog.store.faults import translated
from brakelog.store.ledger import Ledger
from brakelog.store.moments import newest_on_record, not_before
from brakelog.store.same_schema import need_same_schema
from brakelog.store.seals import form_of
from brakelog.store.statements import VALUES_AT_ONCE

_T = TypeVar("_T")
_NEWEST_SITE = "SELECT value FROM shop_settings WHERE name = 'site' ORDER BY \"row\" DESC LIMIT 1"
ROWS_AT_ONCE = 1_000
"""Rows that are written by one statement, where the database can bind so many values; with more
it does not get faster, measured. [-]"""
LEAST_ID = 6
"""Characters of an id that must be typed; assumption: fewer are typed by mistake."""


class Transactions:
    """The open store without its nouns. One thread at a time."""

    def __init__(
        self,
        path: Address,
        connection: Connection,
        *,
        clock: Callable[[], datetime],
        new_id: Callable[[], str],
    ) -> None:
        self.path = path
        self._open = connection
        self._database = database_of(connection)
        self._clock = clock
        self._new_id = new_id
        self._writes: bool | None = None
        self._depth = 0
        self._behind: Behind | None = None
        self._is_undivided = False
        self._is_torn = False
        self._by: str | None = None
        self._site: str | None = None
        self._latest: datetime | None = None
        self._ledger = Ledger(lambda: self._connection, connection.dialect)

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
        """Close the file or the connection; a second time does nothing."""
        self._write_no_more()
        with suppress(Exception):
            self._open.close()

    @property
    def _connection(self) -> Connection:
        """The connection, once nothing is written through it beside the program."""
        if self._behind is not None:
            with translated():
                self._behind.wait()
        return self._open

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
    def undivided(self) -> Iterator[None]:
        """Let what is written in here stand or fall with the whole transaction around it.

        Rows are then written while the program makes the next ones ready, and what is wrong with
        them may be raised by whatever uses the store next. Nor does the database put aside what
        would take one part back. Whoever catches what went wrong cannot keep the rest: the
        transaction is refused at its end.
        """
        if not self._writes or self._depth or self._is_undivided:
            raise RuntimeError("it stands right in the outermost block that writes, and in no part")
        # Before anything is under way, so that nobody has to wait for it.
        self._write_long_ledger()
        if self._behind is None:
            self._behind = Behind(
                self._open.exec_driver_sql, lambda: self._database.interrupt(self._open)
            )
        self._is_undivided = True
        try:
            yield
        except BaseException:
            self._is_torn = True
            raise
        finally:
            self._is_undivided = False

    @contextmanager
    def _outermost(self, *, writes: bool) -> Iterator[None]:
        with translated():
            self._connection.execution_options(readonly=not writes)
            begun = self._connection.begin()
        self._writes = writes
        try:
            with translated():
                need_same_schema(self._connection, self.path)
            yield
            if self._is_torn:
                raise RuntimeError("what belongs together was not all written: nothing is kept")
            with translated():
                if writes:
                    self._ledger.write()
                if writes and not self._database.is_in_transaction(self._connection):
                    raise StoreError(
                        "the transaction was given up after a fault of the disk; "
                        "nothing of it was written",
                        hint="check the disk and its free space, then type it again",
                    )
            with translated(keeping=writes):
                begun.commit()
        except BaseException:
            self._write_no_more()
            self._give_up(begun)
            raise
        finally:
            self._write_no_more()
            self._writes = None
            self._site = None
            self._latest = None
            self._is_undivided = self._is_torn = False
            self._ledger.forget()

    def _write_no_more(self) -> None:
        if self._behind is not None:
            self._behind.close()
            self._behind = None

    def _give_up(self, begun: Transaction) -> None:
        """Roll back; what went wrong before is told, not what goes wrong here."""
        with suppress(Exception):
            begun.rollback()
        # After a commit that failed the database may still be in the transaction, and after a
        # fault of the disk it has rolled back by itself.
        with suppress(Exception):
            self._database.end_transaction(self._open)

    @contextmanager
    def _part(self) -> Iterator[None]:
        if self._is_undivided:
            try:
                yield
            except BaseException:
                self._is_torn = True
                raise
            return
        self._depth += 1
        name, mark = f"part_{self._depth}", self._ledger.mark()
        try:
            self._say(f"SAVEPOINT {name}")
            try:
                yield
            except BaseException:
                self._site = None
                self._ledger.back_to(mark)
                if self._database.is_going(self._connection):
                    self._say(f"ROLLBACK TO {name}")
                    self._say(f"RELEASE {name}")
                raise
            self._say(f"RELEASE {name}")
        finally:
            self._depth -= 1
        if not self._depth:
            self._write_long_ledger()

    def _write_long_ledger(self) -> None:
        if self._ledger.is_long:
            with translated():
                self._ledger.write()

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
        if len(text) < LEAST_ID or not text.isascii():
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
        """Add rows of what is no evidence, each with its seal where the table has room for one."""
        with translated():
            listed = [tuple(self._sealed(table, row).values()) for row in rows]
        if listed:
            with self.writing():
                self._write_rows(table, listed)

    def _write_rows(self, table: Table, rows: Sequence[tuple[Any, ...]]) -> None:
        """Write rows as they are to be stored: the values of ``Form.written``."""
        form = form_of(table, self._dialect)
        at_once = min(ROWS_AT_ONCE, self._values_at_once // len(form.written)) or 1
        many = len(rows) // at_once * at_once if at_once > 1 else 0
        for start in range(0, many, at_once):
            values = tuple(chain.from_iterable(rows[start : start + at_once]))
            self._run(form.writing(self._dialect, at_once), [values])
        if rows[many:]:
            self._run(form.writing(self._dialect), rows[many:])

    def _run(self, statement: str, values: Sequence[tuple[Any, ...]]) -> None:
        with translated():
            if self._is_undivided and self._behind is not None:
                self._behind.put(statement, values)
            else:
                self._connection.exec_driver_sql(statement, values)

    def _rewrite(self, table: Table, key: str, row: Mapping[str, Any]) -> None:
        """Put a whole row in the place of the one with the same key that is no evidence."""
        raw = form_of(table, self._dialect).raw
        with self.writing(), translated():
            self._connection.execute(
                update(raw).where(raw.c[key] == row[key]).values(self._sealed(table, row))
            )

    def _sealed(self, table: Table, row: Mapping[str, Any]) -> dict[str, Any]:
        form = form_of(table, self._dialect)
        values, checksum = form.sealed_values(row)
        stored = dict(zip(form.sealed, values, strict=True))
        if "checksum" in form.columns:
            stored["checksum"] = checksum
        return stored

    def _record(self, table: Table, rows: Iterable[Mapping[str, Any]]) -> None:
        """Append evidence: each row with place, time and person, and an id where it has none."""
        with self.writing():
            form, stamp = form_of(table, self._dialect), self._stamp()
            self._append(
                table,
                (
                    form.sealed_values({**row, "id": row.get("id") or self.new_id(), **stamp})
                    for row in rows
                ),
            )

    def _append(self, table: Table, sealed: Iterable[tuple[list[Any], str]]) -> None:
        """Append evidence that has been sealed with its stamp, within a transaction."""
        with translated():
            chained = self._ledger.chained(table, sealed)
            while page := list(islice(chained, ROWS_AT_ONCE)):
                self._write_rows(table, page)

    def _stamp(self) -> dict[str, Any]:
        """Return place, time and person of rows that are recorded now."""
        return {
            "site": self._at_site(),
            "recorded_at": self._moment(),
            "recorded_by": self._by,
        }

    def _moment(self) -> datetime:
        """Return the time to record at."""
        if self._latest is None:
            with translated():
                self._latest = newest_on_record(self._connection)
        self._latest = not_before(self.now(), self._latest)
        return self._latest

    @property
    def _dialect(self) -> Dialect:
        return self._open.dialect

    @cached_property
    def _values_at_once(self) -> int:
        return self._database.values_at_once(self._open)

    def _at_site(self) -> str:
        if self._site is None:
            with self.reading(), translated():
                found = self._connection.exec_driver_sql(_NEWEST_SITE).first()
            self._site = str(found[0]) if found else Shop().site
        return self._site


def in_chunks(values: Iterable[_T]) -> Iterator[list[_T]]:
    """Split the values so that each part can be bound to one statement.

    >>> [len(part) for part in in_chunks(range(2000))]
    [900, 900, 200]
    """
    listed = list(values)
    for start in range(0, len(listed), VALUES_AT_ONCE):
        yield listed[start : start + VALUES_AT_ONCE]
