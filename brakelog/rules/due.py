"""The due list: which vehicle's brakes end first, which part of them, and when."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from brakelog.rules.dating import OLD_ODOMETER_MONTHS, months_between
from brakelog.rules.outlook import PartOutlook, VehicleOutlook
from brakelog.wear.age import is_too_old_on
from brakelog.wear.projection import Refusal

GROUNDS = ("required", "suggested", "open", "none")
"""What a part may need: ``open`` where something has to be measured or answered first."""

HARDLY_DRIVEN_KM = 10.0
"""Distance a day below which rust and age, not distance, end brakes. [km/day]

Assumption: under 4,000 km a year discs are hardly ever wiped clean.
"""

NOTHING_MEASURED, NO_VISIT = "nothing measured yet", "no visit yet"
"""Why a vehicle is not projected, where it has no part life at all."""

_NOW = (Refusal.AT_LIMIT, Refusal.WITHIN_ERROR)
_REASONS = (
    Refusal.UNRESOLVED,
    Refusal.NO_LIMIT,
    Refusal.LIMIT_NOT_INSIDE_NEW,
    Refusal.TOO_OLD,
    Refusal.NO_BASIS,
    Refusal.NO_READING,
)
"""Refusals that leave a part out of the list, in the order in which they are to be cleared."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the list is narrowed to."""

    first_day: date | None = None
    last_day: date | None = None
    within_mm: int | None = None
    """Most that may still be driven from the newest odometer. [mm]"""
    axle: int | None = None
    vehicle_class: str | None = None
    grounds: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DueEntry:
    """One vehicle of the list."""

    id: str
    tag: str
    vehicle: VehicleOutlook
    part: PartOutlook
    """The part that ends first."""
    day: date | None
    """When it is due at the earliest; None more than five years ahead."""
    by_time: bool
    """Whether it is due by age, since rust and not distance wears it."""
    is_past: bool
    is_odometer_old: bool
    left_mm: int | None
    """Distance from the newest odometer to where the part is due; below 0 where that is past.
    [mm]"""
    not_projected: int
    """Parts of the vehicle that nothing can be said of."""
    grounds: str
    """The gravest of its parts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueList:
    """The vehicles that are due, the earliest first, and what became of the others."""

    today: date
    entries: tuple[DueEntry, ...]
    outside: int
    """Vehicles that are projected but outside what was asked for."""
    not_projected: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Tags of the vehicles that could not be projected, by reason."""
    also_required: tuple[str, ...] = ()
    """Tags of those among them that have required work."""

    @property
    def vehicles(self) -> int:
        """Vehicles on file."""
        missed = sum(len(each) for each in self.not_projected.values())
        return len(self.entries) + self.outside + missed


class DueListing:
    """The due list in the making: vehicles go in one by one."""

    def __init__(self, wanted: Wanted, today: date) -> None:
        self._wanted = wanted
        self._today = today
        self._entries: list[DueEntry] = []
        self._missed: dict[str, list[str]] = {}
        self._also_required: list[str] = []
        self._outside = 0

    def take(self, id: str, tag: str, vehicle: VehicleOutlook | None) -> None:
        """Put a vehicle on the list, or among those that are not; None without a visit."""
        if vehicle is None:
            self._missed.setdefault(NO_VISIT, []).append(tag)
            return
        told = [part for part in vehicle.parts if _is_told(part, self._today)]
        if not told:
            self._missed.setdefault(_why(vehicle.parts, self._today), []).append(tag)
            if any(part.grounds == "required" for part in vehicle.parts):
                self._also_required.append(tag)
            return
        entry = _entry(id, tag, vehicle, told, self._wanted, self._today)
        if entry is None:
            self._outside += 1
        else:
            self._entries.append(entry)

    def finished(self) -> DueList:
        """Return the list, the earliest first."""
        missed = self._missed
        return DueList(
            today=self._today,
            entries=tuple(sorted(self._entries, key=_order)),
            outside=self._outside,
            not_projected={
                reason: tuple(sorted(missed[reason]))
                for reason in _reasons(missed)
                if reason in missed
            },
            also_required=tuple(sorted(self._also_required)),
        )


def _reasons(missed: Iterable[str]) -> list[str]:
    known = [*(each.value for each in _REASONS), NOTHING_MEASURED, NO_VISIT]
    return [*known, *sorted(set(missed) - set(known))]


def _is_told(part: PartOutlook, today: date) -> bool:
    if not part.is_told:
        return False
    # What is out, or not proven to be in, does not get better with age.
    return part.refusal in _NOW or not _is_too_old(part, today)


def _is_too_old(part: PartOutlook, today: date) -> bool:
    return part.read_on is not None and part.readings > 0 and is_too_old_on(part.read_on, today)


def _why(parts: tuple[PartOutlook, ...], today: date) -> str:
    """Return what is to be cleared first of a vehicle of which nothing can be said."""
    found = {
        Refusal.TOO_OLD if each.refusal is None and _is_too_old(each, today) else each.refusal
        for each in parts
    }
    return next((reason.value for reason in _REASONS if reason in found), NOTHING_MEASURED)


def _entry(
    id: str,
    tag: str,
    vehicle: VehicleOutlook,
    told: list[PartOutlook],
    wanted: Wanted,
    today: date,
) -> DueEntry | None:
    """Return the line of a vehicle; None where it is outside what is wanted."""
    if wanted.vehicle_class not in (None, vehicle.vehicle_class):
        return None
    grounds = wanted.grounds
    here = [
        part
        for part in told
        if wanted.axle in (None, part.corner.axle)
        and (grounds is None or (part.grounds or "none") == grounds)
    ]
    if not here:
        return None
    again_by = _again_by(vehicle)
    part = min(here, key=lambda one: _part_order(one, vehicle))
    day = part.read_on if part.refusal in _NOW else part.not_before
    by_time = part.refusal is None and again_by is not None and (day is None or again_by < day)
    if by_time:
        day = again_by
    left_mm = None
    if part.at_least_mm is not None and part.from_odometer_mm is not None:
        left_mm = part.from_odometer_mm + part.at_least_mm - vehicle.last_odometer_mm
    if not _is_inside(wanted, day, left_mm, part):
        return None
    return DueEntry(
        id=id,
        tag=tag,
        vehicle=vehicle,
        part=part,
        day=day,
        by_time=by_time,
        is_past=day is not None and day <= today,
        is_odometer_old=months_between(vehicle.last_day, today) >= OLD_ODOMETER_MONTHS,
        left_mm=left_mm,
        not_projected=sum(not _is_told(each, today) for each in vehicle.parts),
        grounds=min((each.grounds or "none" for each in here), key=GROUNDS.index),
    )


def _is_inside(wanted: Wanted, day: date | None, left_mm: int | None, part: PartOutlook) -> bool:
    if wanted.first_day is not None and (day is None or day < wanted.first_day):
        return False
    if wanted.last_day is not None and (day is None or day > wanted.last_day):
        return False
    if wanted.within_mm is None or part.refusal in _NOW:
        return True
    return left_mm is not None and left_mm <= wanted.within_mm


def _again_by(vehicle: VehicleOutlook) -> date | None:
    """Return when brakes that rust or stand still are looked at again whatever the distance."""
    usage = vehicle.usage
    stands = usage.days_behind > 0 and usage.km_per_day < HARDLY_DRIVEN_KM
    if not stands and not vehicle.is_rusty:
        return None
    months = vehicle.last_day.month - 1 + vehicle.planned_months
    year, month = vehicle.last_day.year + months // 12, months % 12 + 1
    # The 28th is the last day that every month has.
    return date(year, month, min(vehicle.last_day.day, 28))


_FAR = date.max


def _part_order(part: PartOutlook, vehicle: VehicleOutlook) -> tuple[int, date, int]:
    rank = _NOW.index(part.refusal) if part.refusal in _NOW else len(_NOW)
    due_mm = (part.from_odometer_mm or 0) + (part.at_least_mm or 0) - vehicle.last_odometer_mm
    if rank == 0:
        return rank, date.min, part.margin_nm or 0
    return rank, part.not_before or _FAR, due_mm


def _order(entry: DueEntry) -> tuple[int, date, int, str]:
    rank, _, due_mm = _part_order(entry.part, entry.vehicle)
    day = entry.day or _FAR
    return rank, day, due_mm if rank else 0, entry.tag


def grounds_counted(found: DueList) -> Counter[str]:
    """Return how many of the listed vehicles need what."""
    return Counter(entry.grounds for entry in found.entries)
