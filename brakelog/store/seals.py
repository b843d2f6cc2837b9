"""The seal of a row: a sum over all that is stored in it.

The sum is SHA-256 (FIPS 180-4) over the JSON (RFC 8259, UTF-8, no blanks) of one list: the name of
the table, then name and stored value of every column that is not null, by name. The number of the
row and the seals themselves are left out, so that a row has the same sum in whatever store, and
under whatever database, it stands; a column that a later schema adds is null in older rows and
changes nothing for them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any

from sqlalchemy import Dialect, Select, Table, TableClause, Text, column, insert, select, table
from sqlalchemy.sql.dml import Insert

from brakelog.errors import StoreError

NOT_SEALED = frozenset({"row", "seq", "checksum", "chain_prev", "chain_link"})
"""Columns that are no part of what is sealed."""

_encode = json.JSONEncoder(ensure_ascii=False, check_circular=False, separators=(",", ":")).encode
_Put = Callable[[Any], Any]
_MODULUS = 1 << 256


def chain_start(site: str) -> str:
    """Return the link that the first row of a site's chain follows.

    >>> chain_start("main")[:12]
    'e15550294f08'
    """
    return hashlib.sha256(f"brakelog chain of {site}".encode()).hexdigest()


def next_link(previous: str, checksum: str) -> str:
    """Return the link of the row with a checksum that follows another link."""
    return hashlib.sha256(f"{previous}{checksum}".encode("ascii")).hexdigest()


class Form:
    """How the rows of one table are stored, and what their seal is."""

    def __init__(self, of: Table, dialect: Dialect) -> None:
        self.name = of.name
        self.columns = tuple(each.name for each in of.columns)
        self.sealed = tuple(sorted(name for name in self.columns if name not in NOT_SEALED))
        self._puts: tuple[tuple[str, _Put | None, type], ...] = tuple(
            (
                each.name,
                each.type.dialect_impl(dialect).bind_processor(dialect),
                _kind_of(each.type.dialect_impl(dialect)),
            )
            for each in of.columns
            if each.name not in NOT_SEALED
        )
        self._automatic = frozenset({"row", "seq"}) & frozenset(self.columns)
        self.raw: TableClause = table(of.name, *(column(each.name, _plain(each)) for each in of.c))

    def stored(self, row: Mapping[str, Any]) -> dict[str, Any]:
        """Return a row as the database will hold it, without its number and its seals.

        Raises
        ------
        InvalidInput
            Where a value is none that its column can hold.
        """
        stored: dict[str, Any] = {}
        for name, put, kind in self._puts:
            value = row.get(name)
            if value is not None:
                if put is not None:
                    value = put(value)
                if type(value) is not kind:
                    value = _as(kind, value, name)
            stored[name] = value
        return stored

    def checksum(self, stored: Mapping[str, Any]) -> str:
        """Return the sum of a row as it is stored."""
        return self.checksum_of(stored[name] for name in self.sealed)

    def checksum_of(self, values: Iterable[Any]) -> str:
        """Return the sum of a row by its sealed values, in the order of ``sealed``."""
        parts: list[Any] = [self.name]
        for name, value in zip(self.sealed, values, strict=True):
            if value is not None:
                parts.append(name)
                parts.append(value)
        return hashlib.sha256(_encode(parts).encode()).hexdigest()

    def is_sealed(self, checksum: Any, values: Iterable[Any]) -> bool:
        """Tell whether a sum is that of sealed values; damaged ones may be nothing that has one."""
        try:
            return bool(checksum == self.checksum_of(values))
        except (TypeError, ValueError):
            return False

    def insertion(self) -> Insert:
        """Return the statement that writes rows as they are stored, each with its seals."""
        return _insertion(self.raw, self._automatic)

    def selection(self, *names: str) -> Select[Any]:
        """Return the query for what is stored: some columns first, then the sealed ones."""
        return select(*(self.raw.c[name] for name in (*names, *self.sealed)))


def form_of(of: Table, dialect: Dialect) -> Form:
    """Return the form of a table under a database; one for each, made once."""
    # By the kind of dialect: every connection that is opened has one of its own.
    kind = (of, type(dialect))
    if kind not in _forms:
        _forms[kind] = Form(of, dialect)
    return _forms[kind]


_forms: dict[tuple[Table, type[Dialect]], Form] = {}


@cache
def _insertion(raw: TableClause, automatic: frozenset[str]) -> Insert:
    # Without a number of its own a row gets the next one.
    kept = [each for each in raw.c if each.name not in automatic]
    return insert(table(raw.name, *(column(each.name, each.type) for each in kept)))


def _plain(each: Any) -> Any:
    """Return the type that hands a value through as the driver has it."""
    impl = getattr(each.type, "impl", each.type)
    return Text() if isinstance(impl, Text) else impl


def _kind_of(impl: Any) -> type:
    python: type = getattr(impl, "impl", impl).python_type
    return python


def _as(kind: type, value: Any, name: str) -> Any:
    """Return a value of a subclass as its plain self; the database would store no other."""
    if isinstance(value, kind) and not isinstance(value, bool):
        return kind(value)
    if kind is float and type(value) is int:
        return float(value)
    raise TypeError(f"{name}: {value!r} would not be stored as it is")


def total_of(checksums: Iterable[str]) -> int:
    """Return the sum of checksums, which does not depend on their order, modulo 2 to the 256."""
    return sum(int(each, 16) for each in checksums) % _MODULUS


def add_totals(one: int, other: int) -> int:
    """Return the sum of two totals, modulo 2 to the 256."""
    return (one + other) % _MODULUS


def total_text(total: int) -> str:
    """Return a total as it is stored: 64 hexadecimal digits."""
    return f"{total:064x}"


def total_from(text: str) -> int:
    """Return the total that is stored as a text.

    Raises
    ------
    StoreError
        Where it is none: nothing is added to what is damaged.
    """
    try:
        return int(text, 16)
    except (TypeError, ValueError):
        raise StoreError(
            "the store is damaged: a sum of rows is no number",
            hint="run brakelog store check; restore a backup",
        ) from None
