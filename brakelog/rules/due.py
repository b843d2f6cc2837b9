"""The due list: which vehicle's brakes end first, which part of them, and when."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
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
JUST_ADDED = "put on file while the list was made: list again"
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
    """Its outlook without its parts: a list of a hundred thousand has to fit into memory."""
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
        self._outside = 0

    def take(self, id: str, tag: str, vehicle: VehicleOutlook | None) -> None:
        """Put a vehicle on the list, or among those that are not; None without a visit."""
        if vehicle is None:
            self.miss(tag, NO_VISIT)
            return
        entry = _entry(id, tag, vehicle, self._wanted, self._today)
        if entry is not None:
            self._entries.append(entry)
        elif any(_is_shown(part, self._today) for part in vehicle.parts):
            self._outside += 1
        else:
            self.miss(tag, _why(vehicle.parts, self._today))

    def miss(self, tag: str, reason: str) -> None:
        """Count a vehicle that nothing can be said of."""
        self._missed.setdefault(reason, []).append(tag)

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
        )


def _reasons(missed: Iterable[str]) -> list[str]:
    known = [*(each.value for each in _REASONS), NOTHING_MEASURED, NO_VISIT, JUST_ADDED]
    return [*known, *sorted(set(missed) - set(known))]


def is_told(part: PartOutlook, today: date) -> bool:
    """Whether anything can be said of how far a part will go, as of a day."""
    if not part.is_told:
        return False
    # What is out, or not proven to be in, does not get better with age.
    return part.refusal in _NOW or not _is_too_old(part, today)


def _is_shown(part: PartOutlook, today: date) -> bool:
    """Whether a part belongs on the list: something is said of it, or it needs work as it is."""
    return is_told(part, today) or part.grounds in ("required", "suggested")


def _is_too_old(part: PartOutlook, today: date) -> bool:
    return part.read_on is not None and part.readings > 0 and is_too_old_on(part.read_on, today)


def _why(parts: tuple[PartOutlook, ...], today: date) -> str:
    """Return what is to be cleared first of a vehicle of which nothing can be said."""
    measured = [each for each in parts if each.readings]
    found = {
        Refusal.TOO_OLD if each.refusal is None and _is_too_old(each, today) else each.refusal
        for each in measured
    }
    return next((reason.value for reason in _REASONS if reason in found), NOTHING_MEASURED)


def _entry(
    id: str,
    tag: str,
    vehicle: VehicleOutlook,
    wanted: Wanted,
    today: date,
) -> DueEntry | None:
    """Return the line of a vehicle; None where it is outside what is wanted."""
    if wanted.vehicle_class not in (None, vehicle.vehicle_class):
        return None
    asked = wanted.grounds
    on_axle = [part for part in vehicle.parts if wanted.axle in (None, part.corner.axle)]
    here = [
        part
        for part in on_axle
        # What is open is found by asking for it, though nothing is said of it.
        if (_is_shown(part, today) or asked == "open")
        and (asked is None or (part.grounds or "none") == asked)
        and _is_within(wanted, part, vehicle)
    ]
    if not here:
        return None
    again_by = _again_by(vehicle)
    part = min(here, key=lambda one: _part_order(one, vehicle))
    day = part.read_on if _is_now(part) else part.not_before
    by_time = (
        not _is_now(part)
        and part.refusal is None
        and again_by is not None
        and (day is None or again_by < day)
    )
    if by_time:
        day = again_by
    if not _is_inside(wanted, day, part, today):
        return None
    return DueEntry(
        id=id,
        tag=tag,
        vehicle=replace(vehicle, parts=()),
        part=part,
        day=day,
        by_time=by_time,
        is_past=day is not None and day <= today,
        is_odometer_old=months_between(vehicle.last_day, today) >= OLD_ODOMETER_MONTHS,
        left_mm=_left_mm(part, vehicle),
        not_projected=sum(not is_told(each, today) for each in on_axle),
        grounds=min((each.grounds or "none" for each in on_axle), key=GROUNDS.index),
    )


def cannot_wait(part: PartOutlook) -> bool:
    """Whether a part is at its limit, not proven to be inside, or must be worked on.

    Where work is required, a leak for instance, no distance that its lining would go puts it off.
    """
    return part.refusal in _NOW or part.grounds == "required"


def is_required_now(part: PartOutlook) -> bool:
    """Whether work is required now although the part would go on by itself."""
    return part.refusal is None and part.grounds == "required"


def _is_now(part: PartOutlook) -> bool:
    """Whether a part is due whatever the day: it cannot wait, or nothing says how long it can."""
    return cannot_wait(part) or (part.refusal is not None and part.grounds != "")


def _left_mm(part: PartOutlook, vehicle: VehicleOutlook) -> int | None:
    """Return the distance from the newest odometer to where a part is due. [mm]"""
    if part.at_least_mm is None or part.from_odometer_mm is None:
        return None
    return part.from_odometer_mm + part.at_least_mm - vehicle.last_odometer_mm


def _is_within(wanted: Wanted, part: PartOutlook, vehicle: VehicleOutlook) -> bool:
    if wanted.within_mm is None or _is_now(part):
        return True
    left_mm = _left_mm(part, vehicle)
    return left_mm is not None and left_mm <= wanted.within_mm


def _is_inside(wanted: Wanted, day: date | None, part: PartOutlook, today: date) -> bool:
    """Whether a part is due in the window; what is due now is in every one that has begun."""
    if wanted.first_day is None and wanted.last_day is None:
        return True
    if _is_now(part):
        return wanted.first_day is None or wanted.first_day <= max(today, part.read_on or today)
    if day is None:
        return False
    if wanted.first_day is not None and max(day, today) < wanted.first_day:
        return False
    return wanted.last_day is None or day <= wanted.last_day


def _again_by(vehicle: VehicleOutlook) -> date | None:
    """Return when brakes that rust or stand still are looked at again whatever the distance."""
    usage = vehicle.usage
    stands = usage.days_behind > 0 and usage.km_per_day < HARDLY_DRIVEN_KM
    if not stands and not vehicle.wears_by_age:
        return None
    months = vehicle.last_day.month - 1 + vehicle.planned_months
    year, month = vehicle.last_day.year + months // 12, months % 12 + 1
    # The 28th is the last day that every month has.
    return date(year, month, min(vehicle.last_day.day, 28))


_FAR = date.max


def _part_order(part: PartOutlook, vehicle: VehicleOutlook) -> tuple[int, date, int]:
    if part.refusal is Refusal.AT_LIMIT:
        return 0, date.min, part.margin_nm or 0
    left_mm = _left_mm(part, vehicle)
    due_mm = 0 if left_mm is None else left_mm
    if part.refusal in _NOW:
        return 2, part.not_before or _FAR, due_mm
    if _is_now(part):
        return (1, 3, 4)[GROUNDS.index(part.grounds)], _FAR, due_mm
    return 5, part.not_before or _FAR, due_mm


def _order(entry: DueEntry) -> tuple[int, date, int, str]:
    rank, _, due_mm = _part_order(entry.part, entry.vehicle)
    day = entry.day or _FAR
    return rank, day, due_mm if rank else 0, entry.tag


def grounds_counted(found: DueList) -> Counter[str]:
    """Return how many of the listed vehicles need what."""
    return Counter(entry.grounds for entry in found.entries)
