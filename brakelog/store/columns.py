"""The columns that the tables are made of."""

from __future__ import annotations

import enum
from collections.abc import Iterable
from typing import Any

from sqlalchemy import CheckConstraint, Column, ForeignKey, Text

from brakelog.record.corner import walking_order
from brakelog.store.column_types import (
    CornerText,
    EnumText,
    ExactInteger,
    Flag,
    IsoDate,
    StoredText,
    UtcTime,
)

CORNER_CODES = tuple(sorted(corner.code for corner in walking_order(9)))
"""Every corner of a vehicle with nine axles, the most that can be described."""

Piece = Column[Any] | CheckConstraint


def text(name: str, *, null: bool = False, **options: Any) -> Column[Any]:
    """Return a column of free text."""
    return Column(name, StoredText, nullable=null, **options)


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
