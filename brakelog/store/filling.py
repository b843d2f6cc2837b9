"""A whole store put down in an empty one, every row as it stands, and read again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Table, delete, insert

from brakelog.errors import Conflict, StoreError
from brakelog.store.auditing import ROWS_AT_ONCE, ChainEnd
from brakelog.store.faults import translated
from brakelog.store.imports import tally_imports
from brakelog.store.raw_rows import (
    WHOLE_STORE,
    Chains,
    RawRow,
    RawRows,
    called,
    columns_of,
    fault_of,
    place_of,
)
from brakelog.store.seals import form_of
from brakelog.store.tables import DERIVED, EVIDENCE, import_keys


class Filling(RawRows):
    """Fills a store that is open and empty."""

    def fill(self, rows_of: Callable[[Table], Iterable[RawRow]], ends: Sequence[ChainEnd]) -> int:
        """Put whole tables down in an empty store, every row as it stands; return how many.

        Numbers, ids, times, seals and links stay what they are. What was written is read again
        before it is kept. For use inside a transaction that writes.

        Parameters
        ----------
        rows_of : callable
            Gives the rows of a table of ``WHOLE_STORE``, in their order.
        ends : sequence of ChainEnd
            Where the chains end in the store that they come from.

        Raises
        ------
        Conflict
            Where something is on file already.
        StoreError
            Where a row is not as it was written, or what was written is not what was given.
        """
        if not self.is_blank():
            raise Conflict("the store is not empty", hint="nothing was written")
        for derived in DERIVED:
            self._store._change(delete(derived))
        chains = Chains()
        sums = {table: self._put_down(table, rows_of(table), chains) for table in WHOLE_STORE}
        self._close(chains, ends)
        self._need_same(sums)
        return sum(count for count, _ in sums.values())

    def _put_down(self, table: Table, rows: Iterable[RawRow], chains: Chains) -> tuple[int, str]:
        form = form_of(table, self._connection.dialect)
        statement = insert(form.raw)
        digest = _Digest(form.columns)
        page: list[RawRow] = []
        for row in rows:
            if fault := fault_of(table, row):
                raise StoreError(f"{called(table, row)} {fault}", hint="nothing was written")
            digest.add(row)
            if table in EVIDENCE:
                chains.add(row)
                self._ledger.take(table, row)
            page.append(row)
            if len(page) >= ROWS_AT_ONCE:
                self._write(table, statement, page)
        self._write(table, statement, page)
        return digest.result()

    def _write(self, table: Table, statement: Any, page: list[RawRow]) -> None:
        if page:
            with translated():
                self._connection.execute(statement, page)
                if table is import_keys:
                    tally_imports(self._ledger, form_of(table, self._connection.dialect), page)
                self._ledger.write_long()
        page.clear()

    def _close(self, chains: Chains, ends: Sequence[ChainEnd]) -> None:
        with translated():
            for end in chains.ends():
                self._ledger.end(end.site, end.link, end.entries)
            self._ledger.write()
            if self._connection.dialect.name != "sqlite":
                self._set_numbers()
        if set(self.chain_ends()) != set(ends):
            raise StoreError(
                "the chains do not end where they ended: rows are missing, or too many",
                hint="nothing was written",
            )
        self.need_sound("what was written")

    def _need_same(self, sums: Mapping[Table, tuple[int, str]]) -> None:
        for table, wanted in sums.items():
            digest = _Digest(columns_of(table))
            for row in self.raw_rows(table):
                digest.add(row)
            if digest.result() != wanted:
                raise StoreError(
                    f"what was written of {table.name} is not what was given",
                    hint="nothing was kept: check the disk and the database",
                )

    def _set_numbers(self) -> None:
        """On a server the next row is numbered by a sequence, which knows nothing of these."""
        for table in WHOLE_STORE:
            place = place_of(table)
            if place in ("row", "seq"):
                self._connection.exec_driver_sql(
                    f"SELECT setval(pg_get_serial_sequence('{table.name}', '{place}'),"
                    f' max("{place}")) FROM {table.name} HAVING max("{place}") IS NOT NULL'
                )


class _Digest:
    """A sum over the rows of a table, their numbers and their order included."""

    def __init__(self, names: Sequence[str]) -> None:
        self._names = names
        self._sum = hashlib.sha256()
        self._count = 0

    def add(self, row: Mapping[str, Any]) -> None:
        self._count += 1
        line = json.dumps([row[name] for name in self._names], ensure_ascii=False)
        self._sum.update(line.encode() + b"\n")

    def result(self) -> tuple[int, str]:
        return self._count, self._sum.hexdigest()
