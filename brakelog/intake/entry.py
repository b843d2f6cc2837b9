"""What comes out of every way in: readings, findings, and corners that were looked over."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.gauge import Gauge, Tips
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import Datum, Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingEntry:
    """One reading set as typed, checked against everything that needs no store."""

    source: str
    """Where it was typed: ``"standard input:3"``."""
    corner: Corner
    quantity: Quantity
    stage: Stage
    values_nm: tuple[int | None, ...]
    """In the order taken; None where a point was not measured. [nm]"""
    typed: tuple[str, ...]
    """What was typed for each value; empty where not measured."""
    unit: LengthUnit
    """The unit of numbers typed without one. Where every number carried its own, that of the
    first; where nothing was measured and no unit is known, mm, which then means nothing."""
    datum: Datum | None = None
    again_nm: int | None = None
    """The first point, read once more at the end. [nm]"""
    again_typed: str = ""
    gauge: Gauge | None = None
    tips: Tips | None = None
    person: str | None = None
    """Tag in lower case."""
    temperature_dc: int | None = None
    """[tenths of a degree Celsius]"""
    zero_error_nm: int = 0
    """Indicated minus true. [nm]"""
    radius_nm: int | None = None
    """[nm]"""
    fasteners_fitted: int | None = None
    fasteners_of: int | None = None
    bearing_checked: bool | None = None
    returned_to_start: bool | None = None
    rotor_index: int | None = None
    lip: bool | None = None
    in_groove: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingEntry:
    """One thing seen."""

    source: str
    corner: Corner
    stage: Stage
    kind: FindingKind
    part: Part | None
    """None where the word fits several parts and the vehicle's brakes were not known."""
    note: str = ""
    put_right: bool = False
    """Whether a finding of this kind has been put right; as left only."""
    person: str | None = None
    """Tag in lower case."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LookedOver:
    """The corner was looked over for cracks, leaks and damage."""

    source: str
    corner: Corner


Entry = ReadingEntry | FindingEntry | LookedOver
