"""Fittings: the events that begin, restart or end the life of a part."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from brakelog.record.corner import Corner
from brakelog.record.member import Member
from brakelog.record.quantity import Position


class FittingEvent(Member):
    """What happened to the part; the value is the word typed."""

    NEW = "new"
    USED = "used"
    REFINISHED = "refinished"
    MOVED = "moved"
    REMOVED = "removed"


class SizeBasis(Member):
    """How the size at fitting is known."""

    MEASURED = "measured"
    NOMINAL = "nominal"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """One event in the life of one part at one corner; always part of a visit."""

    id: str
    visit_id: str
    day: date
    odometer_mm: int
    corner: Corner
    position: Position
    event: FittingEvent
    basis: SizeBasis
    size_nm: int | None = None
    """Size when fitted, refinished or moved. [nm]"""
    size_typed: str = ""
    from_corner: Corner | None = None
    person_id: str | None = None
    note: str = ""
    recorded_at: datetime | None = None
