"""Rows as they are stored, of every table that makes up a store: read, judged, and put down whole.

Export, import, merging and moving all go through here, so that they agree on what a store is.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Any, TypeAlias, TypeVar

from sqlalchemy import Table, Text, func, select, update
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite

from brakelog.errors import StoreError
from brakelog.store.auditing import ROWS_AT_ONCE, ChainEnd, audit
from brakelog.store.faults import translated
from brakelog.store.seals import add_totals, chain_start, form_of, next_link, total_text
from brakelog.store.statements import VALUES_AT_ONCE, quoted, values_in
from brakelog.store.tables import (
    EVIDENCE,
    agreement_names,
    complaints,
    customers,
    draft_entries,
    import_keys,
    people,
    vehicle_identities,
)
from brakelog.store.transaction import Transactions

_T = TypeVar("_T")
RawRow: TypeAlias = dict[str, Any]
"""What is stored in each column of a row, by name: a text, a whole number or nothing."""

WHOLE_STORE = (
    people,
    customers,
    *EVIDENCE,
    vehicle_identities,
    complaints,
    agreement_names,
    import_keys,
    draft_entries,
)
"""The tables that make up a store, each after those that it points at; all others are made of
them."""
_FILE = SQLiteDialect_pysqlite()
"""What is stored is the same under every database; this one needs no server."""
_LINK = re.compile(r"[0-9a-f]{64}")


def columns_of(table: Table) -> tuple[str, ...]:
    """Return the columns of a table in their order."""
    return form_of(table, _FILE).columns


def number_columns(table: Table) -> frozenset[str]:
    """Return the columns of a table that hold whole numbers; the others hold texts."""
    raw = form_of(table, _FILE).raw
    return frozenset(each.name for each in raw.columns if not isinstance(each.type, Text))


def place_of(table: Table) -> str:
    """Return the column that the rows of a table are in order of."""
    return next(iter(table.primary_key.columns)).name


def called(table: Table, row: Mapping[str, Any]) -> str:
    """Return what a row can be found by."""
    name = next((row[key] for key in ("id", "vehicle_id", "visit_id", "key") if row.get(key)), "")
    return f"{table.name} {str(name)[:12]}".strip()


def fault_of(table: Table, row: Mapping[str, Any]) -> str:
    """Return why a row is none that the program has written; nothing where it is one.

    Its seal and its own link are looked at, and that its texts are texts that every store can hold.
    """
    form = form_of(table, _FILE)
    for name, value in row.items():
        if type(value) is str:
            if "\0" in value:
                return f"{name} holds a NUL, which is no character"
            if not _is_unicode(value):
                return f"{name} holds half of a character"
        elif value is not None and type(value) is not int:
            return f"{name} holds what no column does"
    if "checksum" in form.columns and row["checksum"] != form.checksum(row):
        return "does not match its seal"
    if "chain_link" in form.columns:
        previous = row["chain_prev"]
        if type(previous) is not str or not _LINK.fullmatch(previous):
            return "is not linked as it was written"
        if row["chain_link"] != next_link(previous, row["checksum"]):
            return "is not linked as it was written"
    return ""


def _is_unicode(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def pages(rows: Iterable[_T], size: int = VALUES_AT_ONCE) -> Iterator[list[_T]]:
    """Yield what comes in lists, each as long as can be bound to one statement."""
    page: list[_T] = []
    for row in rows:
        page.append(row)
        if len(page) >= size:
            yield page
            page = []
    if page:
        yield page


class Chains:
    """Where the chains end that some rows stand in, whatever order the rows come in."""

    def __init__(self) -> None:
        self._totals: dict[str, int] = defaultdict(int)
        self._counts: dict[str, int] = defaultdict(int)

    def add(self, row: Mapping[str, Any]) -> None:
        """Add one row of evidence."""
        site = row["site"]
        # Every link but the last is the one before of exactly one row, and so falls out.
        step = int(row["chain_link"], 16) - int(row["chain_prev"], 16)
        self._totals[site] = add_totals(self._totals[site], step)
        self._counts[site] += 1

    def ends(self) -> tuple[ChainEnd, ...]:
        """Return the ends, by site; of no use where a row is missing."""
        return tuple(
            ChainEnd(
                site=site,
                entries=count,
                link=total_text(add_totals(int(chain_start(site), 16), self._totals[site])),
            )
            for site, count in sorted(self._counts.items())
        )


class RawRows:
    """Reads and writes rows of an open store as they are stored."""

    def __init__(self, store: Transactions) -> None:
        self._store = store
        self._connection = store._connection
        self._ledger = store._ledger

    def reading(self) -> AbstractContextManager[None]:
        """Open a transaction in which nothing changes; joins one that is open."""
        return self._store.reading()

    def raw_rows(self, table: Table, *columns: str) -> Iterator[RawRow]:
        """Yield the rows of a table in their order: all columns, or those that are named.

        A few rows are in memory at a time. For use inside a transaction.
        """
        names = columns or columns_of(table)
        statement = f'SELECT {quoted(names)} FROM {table.name} ORDER BY "{place_of(table)}"'
        with translated():
            result = self._connection.exec_driver_sql(
                statement, execution_options={"stream_results": True}
            )
            try:
                while page := result.fetchmany(ROWS_AT_ONCE):
                    for row in page:
                        yield dict(zip(names, row, strict=True))
            finally:
                result.close()

    def ids_and_seals(self, table: Table) -> Iterator[tuple[str, str]]:
        """Yield id and seal of every row of a table of evidence, in order."""
        for row in self.raw_rows(table, "id", "checksum"):
            yield row["id"], row["checksum"]

    def seals_of(self, table: Table, ids: Sequence[str]) -> Iterator[tuple[str, str]]:
        """Yield id and seal of the rows with these ids that are on file."""
        for row in self.rows_with(table, "id", ids, "id", "checksum"):
            yield row["id"], row["checksum"]

    def rows_with(
        self, table: Table, column: str, values: Sequence[str], *names: str
    ) -> Iterator[RawRow]:
        """Yield rows with one of some values in a column: all columns, or those that are named."""
        wanted = names or columns_of(table)
        statement = f'SELECT {quoted(wanted)} FROM {table.name} WHERE "{column}"'
        with translated():
            for text, bound in values_in(self._connection, statement, values):
                for row in self._connection.exec_driver_sql(text, bound):
                    yield dict(zip(wanted, row, strict=True))

    def absent_from(self, other: RawRows, table: Table) -> Iterator[str]:
        """Yield the ids of the rows of evidence that another store has not."""
        for page in pages(self.ids_and_seals(table)):
            there = dict(other.seals_of(table, [id for id, _ in page]))
            yield from (id for id, _ in page if id not in there)

    def put(self, table: Table, rows: Sequence[RawRow]) -> None:
        """Add rows of what is no evidence with the seals that they have, under new numbers."""
        statement = form_of(table, self._connection.dialect).insertion()
        names = [name for name in columns_of(table) if name not in ("row", "seq")]
        if rows:
            with translated():
                self._connection.execute(
                    statement, [{name: row[name] for name in names} for row in rows]
                )

    def put_over(self, table: Table, key: str, row: RawRow) -> None:
        """Put a row of what is no evidence, with its seal, in the place of the one of that key."""
        raw = form_of(table, self._connection.dialect).raw
        values = {name: value for name, value in row.items() if name != "row"}
        with translated():
            self._connection.execute(update(raw).where(raw.c[key] == row[key]).values(values))

    def sealed_rows(self, table: Table) -> Iterator[RawRow]:
        """Yield the same, each once its seal has been looked at.

        Raises
        ------
        StoreError
            Where a row is not as it was written.
        """
        for row in self.raw_rows(table):
            if fault := fault_of(table, row):
                raise StoreError(
                    f"{called(table, row)} {fault}",
                    hint="nothing was taken over: run brakelog store check, restore a backup",
                )
            yield row

    def row_counts(self) -> dict[str, int]:
        """Return the number of rows of each table of ``WHOLE_STORE``, by its name."""
        counts = (
            select(func.count()).select_from(table).scalar_subquery().label(table.name)
            for table in WHOLE_STORE
        )
        row = self._store._first(select(*counts))
        return {} if row is None else dict(row._mapping)

    def is_blank(self) -> bool:
        """Return whether nothing at all is on file."""
        return not any(self.row_counts().values())

    def chain_ends(self) -> tuple[ChainEnd, ...]:
        """Return where the chain of each site ends, by site."""
        with self.reading(), translated():
            rows = self._connection.exec_driver_sql("SELECT site, link, entries FROM chain_heads")
            ends = [ChainEnd(site=site, link=link, entries=count) for site, link, count in rows]
        return tuple(sorted(ends, key=lambda end: end.site))

    def need_sound(self, called: str) -> None:
        """Do nothing where every row of the store is as it was written, and none is missing.

        Raises
        ------
        StoreError
            With the first fault; ``called`` is what the store is called in it.
        """
        with self.reading(), translated():
            found = audit(self._connection)
        if found.faults:
            raise StoreError(
                f"{called} is damaged: {found.faults[0]}",
                hint="nothing was taken over: run brakelog store check, restore a backup",
            )
