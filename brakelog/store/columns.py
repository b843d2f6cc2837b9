"""Column types over plain TEXT and INTEGER, and the columns that the tables are made of."""

from __future__ import annotations

import enum
import json
from collections.abc import Iterable
from datetime import UTC, date, datetime
from typing import Any, TypeVar

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Dialect,
    ForeignKey,
    Integer,
    Text,
    TypeDecorator,
)
from sqlalchemy.types import TypeEngine

from brakelog.errors import InvalidInput
from brakelog.record.corner import Corner, parse_corner, walking_order
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import AxleBrake, parse_brakes

_T = TypeVar("_T")


class EnumText(TypeDecorator[enum.Enum]):
    """A member of an enumeration, by its value."""

    impl = Text
    cache_ok = True

    def __init__(self, kind: type[enum.Enum]) -> None:
        super().__init__()
        self.kind = kind

    def process_bind_param(self, value: enum.Enum | None, dialect: Dialect) -> str | None:
        """Return what is stored."""
        if value is None:
            return None
        return str(_need(value, self.kind).value)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> enum.Enum | None:
        """Return what was meant."""
        return None if value is None else self.kind(value)


class ExactInteger(TypeDecorator[int]):
    """A whole number of 64 bits; a float or a bool is refused, never rounded."""

    impl = BigInteger
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Return the type that the database knows."""
        return dialect.type_descriptor(Integer() if dialect.name == "sqlite" else BigInteger())

    def process_bind_param(self, value: int | None, dialect: Dialect) -> int | None:
        """Return what is stored."""
        if value is not None and type(value) is not int:
            raise InvalidInput(f"{value!r} is not a whole number")
        return value


class Flag(TypeDecorator[bool]):
    """Yes or no, as 1 or 0."""

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: bool | None, dialect: Dialect) -> int | None:
        """Return what is stored."""
        return None if value is None else int(_need(value, bool))

    def process_result_value(self, value: Any | None, dialect: Dialect) -> bool | None:
        """Return what was meant."""
        return None if value is None else bool(value)


class IsoDate(TypeDecorator[date]):
    """A calendar day as ``2026-05-04``."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:
        """Return what is stored."""
        if isinstance(value, datetime):
            raise InvalidInput("a day is wanted, not a time")
        return None if value is None else _need(value, date).isoformat()

    def process_result_value(self, value: Any | None, dialect: Dialect) -> date | None:
        """Return what was meant."""
        return None if value is None else date.fromisoformat(value)


class UtcTime(TypeDecorator[datetime]):
    """A moment as ``2026-05-04T09:30:00.000000Z``; always UTC, always the same width."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """Return what is stored."""
        if value is None:
            return None
        if _need(value, datetime).tzinfo is None:
            raise InvalidInput("a time without its zone cannot be stored")
        return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """Return what was meant."""
        return None if value is None else datetime.fromisoformat(value)


class CornerText(TypeDecorator[Corner]):
    """A corner by its code."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Corner | None, dialect: Dialect) -> str | None:
        """Return what is stored."""
        return None if value is None else _need(value, Corner).code

    def process_result_value(self, value: Any | None, dialect: Dialect) -> Corner | None:
        """Return what was meant."""
        return None if value is None else parse_corner(value)


class JsonIntegers(TypeDecorator[tuple[int | None, ...]]):
    """Whole numbers in order, null where there is none."""

    impl = Text
    cache_ok = True

    def process_bind_param(
        self, value: tuple[int | None, ...] | None, dialect: Dialect
    ) -> str | None:
        """Return what is stored."""
        if value is None:
            return None
        if any(item is not None and type(item) is not int for item in value):
            raise InvalidInput(f"{value!r} holds something that is not a whole number")
        return json.dumps(value, separators=(",", ":"))

    def process_result_value(
        self, value: Any | None, dialect: Dialect
    ) -> tuple[int | None, ...] | None:
        """Return what was meant."""
        return None if value is None else tuple(json.loads(value))


class JsonTexts(TypeDecorator[tuple[str, ...]]):
    """Texts in order, readable as they were typed."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: tuple[str, ...] | None, dialect: Dialect) -> str | None:
        """Return what is stored."""
        if value is None:
            return None
        return json.dumps([_need(item, str) for item in value], ensure_ascii=False)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> tuple[str, ...] | None:
        """Return what was meant."""
        return None if value is None else tuple(json.loads(value))


class BrakesText(TypeDecorator[tuple[AxleBrake, ...]]):
    """The brakes from the front axle to the last: ``disc/drum``."""

    impl = Text
    cache_ok = True

    def process_bind_param(
        self, value: tuple[AxleBrake, ...] | None, dialect: Dialect
    ) -> str | None:
        """Return what is stored."""
        return None if value is None else "/".join(brake.value for brake in value)

    def process_result_value(
        self, value: Any | None, dialect: Dialect
    ) -> tuple[AxleBrake, ...] | None:
        """Return what was meant."""
        return None if value is None else parse_brakes(value)


class QuantitiesText(TypeDecorator[frozenset[Quantity]]):
    """Quantities by their words, sorted, one blank between them."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: frozenset[Quantity] | None, dialect: Dialect) -> str | None:
        """Return what is stored."""
        return None if value is None else " ".join(sorted(item.value for item in value))

    def process_result_value(
        self, value: Any | None, dialect: Dialect
    ) -> frozenset[Quantity] | None:
        """Return what was meant."""
        return None if value is None else frozenset(Quantity(word) for word in value.split())


def _need(value: object, kind: type[_T]) -> _T:
    if not isinstance(value, kind):
        raise InvalidInput(f"{value!r} is not a {kind.__name__}")
    return value


CORNER_CODES = tuple(sorted(corner.code for corner in walking_order(9)))
"""Every corner of a vehicle with nine axles, the most that can be described."""

Piece = Column[Any] | CheckConstraint


def text(name: str, *, null: bool = False, **options: Any) -> Column[Any]:
    """Return a column of free text."""
    return Column(name, Text, nullable=null, **options)


def whole(
    name: str, *, null: bool = False, least: int | None = None, over: int | None = None
) -> Iterable[Piece]:
    """Return a column of whole numbers, with its lower bound where it has one."""
    yield Column(name, ExactInteger, nullable=null)
    if least is not None:
        bound = str(least).replace("-", "minus_")
        yield CheckConstraint(f"{name} >= {least}", name=f"{name}_from_{bound}")
    if over is not None:
        yield CheckConstraint(f"{name} > {over}", name=f"{name}_over_{over}")


def flag(name: str, *, null: bool = False) -> Iterable[Piece]:
    """Return a column of yes and no."""
    yield Column(name, Flag, nullable=null)
    yield CheckConstraint(f"{name} IN (0, 1)", name=f"{name}_0_or_1")


def day(name: str, *, null: bool = False) -> Iterable[Piece]:
    """Return a column of calendar days."""
    yield Column(name, IsoDate, nullable=null)
    yield CheckConstraint(f"{name} LIKE '____-__-__'", name=f"{name}_iso")


def moment(name: str) -> Iterable[Piece]:
    """Return a column of times in UTC."""
    yield Column(name, UtcTime, nullable=False)
    yield CheckConstraint(f"{name} LIKE '____-__-__T__:__:__.______Z'", name=f"{name}_utc")


def one_of(name: str, kind: type[enum.Enum], *, null: bool = False) -> Iterable[Piece]:
    """Return a column that holds members of an enumeration.

    The name of its check says how many there are, so that it changes when one is added.
    """
    yield Column(name, EnumText(kind), nullable=null)
    yield _listed(name, [str(member.value) for member in kind])


def words(name: str, allowed: Iterable[str]) -> Iterable[Piece]:
    """Return a column that holds one of a few words."""
    yield text(name)
    yield _listed(name, allowed)


def corner(name: str, *, null: bool = False) -> Iterable[Piece]:
    """Return a column of corners."""
    yield Column(name, CornerText, nullable=null)
    yield _listed(name, CORNER_CODES)


def points_at(target: str, name: str, *, null: bool = False, index: bool = False) -> Column[Any]:
    """Return a column that names a row of another table by its id."""
    return Column(name, Text, ForeignKey(f"{target}.id"), nullable=null, index=index)


def _listed(name: str, allowed: Iterable[str]) -> CheckConstraint:
    words = list(allowed)
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{name} IN ({listed})", name=f"{name}_one_of_{len(words)}")
