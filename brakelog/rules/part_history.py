"""The parts of a vehicle as a person reads their history: what was fitted, read, and worn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.record.corner import Corner
from brakelog.record.finding import Effect, Finding
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Position
from brakelog.record.reading import Datum, Stage
from brakelog.rules.bound import BoundFigure
from brakelog.rules.casefile import CaseFile
from brakelog.rules.fan import Fan
from brakelog.rules.lives import PositionLife
from brakelog.wear.life import PartLife
from brakelog.wear.straight import PlainCheck
from brakelog.wear.trend import Trend

_MM_PER_1000KM = 1_000_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedReading:
    """The deciding reading of one visit."""

    visit_id: str
    day: date
    odometer_mm: int
    size_nm: int
    """After the zero error of the day. [nm]"""
    u1_nm: float
    """Standard uncertainty, placement from visit to visit included. [nm]"""
    typed: str
    stage: Stage
    set_id: str
    gauge: str
    """Tag of the gauge; empty where none is on file."""
    datum: Datum | None
    counts: bool
    """Whether the wear is taken from it: from the same datum, and not worn by a fault."""
    is_flagged: bool = False
    """Whether it fits the others badly and counts less."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningPart:
    """A part that is on the vehicle."""

    begun: Fitting | None
    """The event that began its life; None for what was there before the record."""
    readings: tuple[RecordedReading, ...]
    life: PartLife
    """What the projection rests on."""
    told: PositionLife
    limit: BoundFigure | None
    """The figure that is reached first."""
    trend: Trend | None
    fan: Fan | None
    check: PlainCheck | None
    """The plain straight line, where a distance is stated that it can stand beside."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedPart:
    """A part that was on the vehicle."""

    begun: Fitting | None
    ended: Fitting
    readings: tuple[RecordedReading, ...]
    life: PartLife
    worn_by_fault: bool
    """Whether a stuck slide or piston wore it: its rate says nothing of others."""

    @property
    def is_whole(self) -> bool:
        """Whether its fitting is on record; else it lasted longer than is known."""
        return self.begun is not None

    @property
    def first_mm(self) -> int | None:
        """Odometer when it was fitted, or first read; None where neither is known. [mm]"""
        if self.begun is not None:
            return self.begun.odometer_mm
        return self.readings[0].odometer_mm if self.readings else None

    @property
    def first_day(self) -> date | None:
        """The day on which it was fitted, or first read."""
        if self.begun is not None:
            return self.begun.day
        return self.readings[0].day if self.readings else None

    @property
    def lasted_mm(self) -> int | None:
        """Distance from then until it came off. [mm]"""
        return None if self.first_mm is None else self.ended.odometer_mm - self.first_mm

    @property
    def lasted_days(self) -> int | None:
        """Days from then until it came off. [day]"""
        return None if self.first_day is None else (self.ended.day - self.first_day).days

    @property
    def ends(self) -> tuple[tuple[int, int], tuple[int, int]] | None:
        """Odometer and size at its beginning and at its last reading; None where one is lacking.

        [mm, nm]
        """
        counted = self.life.readings
        points = [(each.odometer_mm, each.value_nm) for each in counted]
        if self.life.start is not None:
            points.insert(0, (self.life.start.odometer_mm, self.life.start.size_nm))
        return (points[0], points[-1]) if len(points) > 1 and counted else None

    @property
    def worn_nm(self) -> int | None:
        """Material lost up to its last reading; below zero where it seems to have grown. [nm]"""
        if self.ends is None:
            return None
        (_, first_nm), (_, last_nm) = self.ends
        return last_nm - first_nm if self.life.grows else first_nm - last_nm

    @property
    def rate_nm_per_1000km(self) -> int | None:
        """Mean wear up to its last reading; None where it was not driven. [nm/1000 km]"""
        if self.ends is None or self.worn_nm is None:
            return None
        driven_mm = self.ends[1][0] - self.ends[0][0]
        return self.worn_nm * _MM_PER_1000KM // driven_mm if driven_mm > 0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceHistory:
    """Every part that was on record at one place, oldest first."""

    corner: Corner
    position: Position
    finished: tuple[FinishedPart, ...]
    running: RunningPart | None
    """None where nothing is there now, or nothing is known of it."""

    @property
    def is_bare(self) -> bool:
        """Whether nothing was ever read or fitted there."""
        return self.running is None and not self.finished


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleHistory:
    """The parts of one vehicle, or those that were asked for."""

    file: CaseFile
    """The case of the newest visit."""
    places: tuple[PlaceHistory, ...]
    """In the order of the corners; those without anything on record among them."""
    is_narrowed: bool
    """Whether less than the whole vehicle was asked for."""

    @property
    def wanting(self) -> tuple[Finding, ...]:
        """What the newest visit found at these corners that asks for work, whatever was read."""
        corners = dict.fromkeys(place.corner for place in self.places)
        return tuple(
            finding
            for corner in corners
            for finding in self.file.findings_at(corner)
            if finding.kind.facts.effect is not Effect.NOTE
        )
