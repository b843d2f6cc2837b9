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
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from itertools import pairwise
from json.encoder import encode_basestring
from typing import Any, NamedTuple

from sqlalchemy import (
    Dialect,
    Select,
    Table,
    TableClause,
    Text,
    column,
    insert,
    select,
    table,
)
from sqlalchemy.sql.dml import Insert

from brakelog.errors import StoreError
from brakelog.store.statements import marks_for, quoted

SEALS = ("checksum", "chain_prev", "chain_link")
NOT_SEALED = frozenset({"row", "seq", *SEALS})
"""Columns that are no part of what is sealed."""

_json = json.JSONEncoder(ensure_ascii=False, check_circular=False, separators=(",", ":")).encode
_quoted = encode_basestring
"""The step of the library that writes one text: what a row is made of is not worth a walk."""
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


def _encode(value: Any) -> str:
    """Return the JSON of a value that is no text."""
    return str(value) if type(value) is int else _json(value)


class SealedColumn(NamedTuple):
    """A column of a table that is sealed."""

    name: str
    said: str
    """Its name as it stands in what is summed, before the value."""
    put: _Put | None
    """Makes the value that is stored; nothing where it is stored as it is."""
    kind: type
    """Of what is stored."""


class Form:
    """How the rows of one table are stored, and what their seal is."""

    def __init__(self, of: Table, dialect: Dialect) -> None:
        self.name = of.name
        self.columns = tuple(each.name for each in of.columns)
        self.sealed = tuple(sorted(name for name in self.columns if name not in NOT_SEALED))
        types = {name: of.columns[name].type.dialect_impl(dialect) for name in self.sealed}
        self.beginning = f"[{_quoted(self.name)}"
        self._names = tuple(f",{_quoted(name)}," for name in self.sealed)
        self._columns = tuple(
            SealedColumn(name, said, each.bind_processor(dialect), _kind_of(each))
            for (name, each), said in zip(types.items(), self._names, strict=True)
        )
        self.written = (*self.sealed, *(name for name in SEALS if name in self.columns))
        """The columns of a row as it is put down: what is sealed, then the seals."""
        self._automatic = frozenset({"row", "seq"}) & frozenset(self.columns)
        self.raw: TableClause = table(of.name, *(column(each.name, _plain(each)) for each in of.c))

    def sealed_values(self, row: Mapping[str, Any]) -> tuple[list[Any], str]:
        """Return the values of ``sealed`` as the database will hold them, and their sum.

        Raises
        ------
        InvalidInput
            Where a value is none that its column can hold.
        """
        # One walk for both, because every row of evidence takes it when it is written.
        values: list[Any] = []
        parts = [self.beginning]
        for name, said, put, kind in self._columns:
            value: Any = row.get(name)
            if value is not None:
                if put is not None:
                    value = put(value)
                if type(value) is not kind:
                    value = _as(kind, value, name)
                parts.append(said)
                parts.append(_quoted(value) if kind is str else _encode(value))
            values.append(value)
        parts.append("]")
        return values, hashlib.sha256("".join(parts).encode()).hexdigest()

    def column(self, place: int) -> SealedColumn:
        """Return the column at a place in ``sealed``."""
        return self._columns[place]

    def piece(self, place: int, value: Any) -> tuple[Any, str]:
        """Return one sealed value as the database will hold it, and as it stands in the sum.

        Parameters
        ----------
        place : int
            Of its column in ``sealed``.
        value
            As the program has it.

        Raises
        ------
        InvalidInput
            As ``sealed_values`` does.
        """
        if value is None:
            return None, ""
        name, said, put, kind = self._columns[place]
        if put is not None:
            value = put(value)
        if type(value) is not kind:
            value = _as(kind, value, name)
        return value, said + (_quoted(value) if kind is str else _encode(value))

    def stored(self, row: Mapping[str, Any]) -> dict[str, Any]:
        """Return a row as the database will hold it, without its number and its seals.

        Raises
        ------
        InvalidInput
            As ``sealed_values`` does.
        """
        return dict(zip(self.sealed, self.sealed_values(row)[0], strict=True))

    def checksum(self, stored: Mapping[str, Any]) -> str:
        """Return the sum of a row as it is stored."""
        return self.checksum_of([stored[name] for name in self.sealed])

    def checksum_of(self, values: Iterable[Any]) -> str:
        """Return the sum of a row by its sealed values, in the order of ``sealed``."""
        parts = [self.beginning]
        for name, value in zip(self._names, values, strict=True):
            if value is not None:
                parts.append(name)
                parts.append(_quoted(value) if type(value) is str else _encode(value))
        parts.append("]")
        return hashlib.sha256("".join(parts).encode()).hexdigest()

    def is_sealed(self, checksum: Any, values: Iterable[Any]) -> bool:
        """Tell whether a sum is that of sealed values; damaged ones may be nothing that has one."""
        try:
            return bool(checksum == self.checksum_of(values))
        except (TypeError, ValueError):
            return False

    def insertion(self) -> Insert:
        """Return the statement that writes rows as they are stored, each with its seals."""
        return _insertion(self.raw, self._automatic)

    def writing(self, dialect: Dialect, rows: int = 1) -> str:
        """Return the statement that puts down the values of ``written``, as the driver wants it.

        Parameters
        ----------
        dialect : Dialect
            Of the connection.
        rows : int
            How many rows it writes, the values of one behind those of the other. [-]
        """
        marks = ", ".join([f"({marks_for(dialect, len(self.written))})"] * rows)
        return f"INSERT INTO {self.name} ({quoted(self.written)}) VALUES {marks}"

    def selection(self, *names: str) -> Select[Any]:
        """Return the query for what is stored: some columns first, then the sealed ones."""
        return select(*(self.raw.c[name] for name in (*names, *self.sealed)))


class Pattern:
    """Rows of one table that say the same but for some columns, sealed with less work.

    Parameters
    ----------
    form : Form
        Of the table.
    row : mapping
        What all of them say; what it says in the columns that vary does not matter.
    varying : sequence of str
        The columns in which each row says something of its own, and is never null.
    """

    def __init__(self, form: Form, row: Mapping[str, Any], varying: Sequence[str]) -> None:
        places = [form.sealed.index(name) for name in varying]
        columns = [form.column(place) for place in places]
        pieces = [
            (None, columns[places.index(place)].said)
            if place in places
            else form.piece(place, row.get(name))
            for place, name in enumerate(form.sealed)
        ]
        self._values = [value for value, _ in pieces]
        # What stands between two values that vary is one text.
        said = [form.beginning, *(text for _, text in pieces), "]"]
        edges = [0, *(place + 2 for place in sorted(places)), len(said)]
        self._first, *between = ("".join(said[start:end]) for start, end in pairwise(edges))
        order = sorted(range(len(varying)), key=places.__getitem__)
        self._steps = tuple(
            (number, places[number], columns[number], text)
            for number, text in zip(order, between, strict=True)
        )
        """Of each column that varies, as the columns are sorted: which it is among those that do,
        its place in the row, what is known of it, and what stands behind it in what is summed."""

    def sealed_values(self, varied: Sequence[Any]) -> tuple[list[Any], str]:
        """Return the same as ``Form.sealed_values`` for the whole row.

        Parameters
        ----------
        varied : sequence
            What the row says in the columns that vary, in their order.

        Raises
        ------
        InvalidInput
            As ``Form.sealed_values`` does.
        """
        values, said = self._values.copy(), self._first
        for number, place, (name, _, put, kind), behind in self._steps:
            value = varied[number]
            if put is not None:
                value = put(value)
            if type(value) is not kind:
                value = _as(kind, value, name)
            values[place] = value
            said += (_quoted(value) if kind is str else _encode(value)) + behind
        return values, hashlib.sha256(said.encode()).hexdigest()


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
