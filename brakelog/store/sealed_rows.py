"""Rows that are looked at as they are read: whether they are as they were written."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Table

from brakelog.errors import StoreError
from brakelog.store.seals import form_of
from brakelog.store.statements import quoted


def sealed_rows(connection: Connection, table: Table, *names: str) -> Iterator[list[Any]]:
    """Yield some columns, as they are stored, of every row of evidence in order of entry.

    Raises
    ------
    StoreError
        Where a row is not as it was written.
    """
    form = form_of(table, connection.dialect)
    places = [form.sealed.index(name) for name in names]
    statement = f'SELECT checksum, {quoted(form.sealed)} FROM {table.name} ORDER BY "row"'
    for checksum, *values in connection.exec_driver_sql(statement):
        if not form.is_sealed(checksum, values):
            raise _damaged(table)
        yield [values[place] for place in places]


def _damaged(table: Table) -> StoreError:
    return StoreError(
        f"the record was changed outside of the program, or damaged: {table.name}",
        hint="run brakelog store check, then restore a backup",
    )
