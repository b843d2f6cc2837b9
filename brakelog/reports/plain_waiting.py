"""What follows from waiting, in plain words: an honest range of distance and of days.

Every sentence is whole, so that it can be said in another language.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.record.quantity import Part
from brakelog.record.shop import Shop
from brakelog.reports.plain_names import POSITION_NAMES, axle_parts, brakes_of, place_of
from brakelog.rules.dating import Dates
from brakelog.rules.figure import distance
from brakelog.rules.lives import PositionLife
from brakelog.rules.verdict import VehicleVerdict, Word
from brakelog.rules.world import Plan, World
from brakelog.wear.projection import (
    Note,
    Projection,
    Refusal,
    at_least_rounded_mm,
    latest_rounded_mm,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """How far one part will go, counted from this visit."""

    part: str
    """``left front inner pad``."""
    at_least_mm: int
    """Distance that 9 of 10 get, rounded down; 0 where none can be named. [mm]"""
    not_before: str
    """The day that goes with it; empty where none is told."""
    seldom_more_mm: int | None
    """Distance that few get past; None where it is not worth saying. [mm]"""
    seldom_later: str
    """The month that goes with it: nobody knows a late day better."""
    at_least: str
    """``4,000 km, not before 2026-12-14``; empty where no distance can be named."""
    seldom_more: str
    """``12,000 km, seldom after 2027-09``; empty where it is not worth saying."""
    sentence: str
    """All of it in plain words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """How far the parts of a vehicle will go."""

    may_wait: bool
    """Whether something is suggested that may be left for now; else it is only what to expect."""
    ahead: tuple[Ahead, ...]
    """The earliest first: of each axle the first lining, and the first disc or drum."""
    notes: tuple[str, ...]
    """What has to be known to take them rightly."""


def waiting_of(verdict: VehicleVerdict, today: date | None = None) -> Waiting:
    """Return how far the parts will go; nothing of an axle with required work open on it.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict.
    today : date, optional
        A day that is past by then is told as past.
    """
    shop = verdict.file.shop
    told: list[Ahead] = []
    notes: list[str] = []
    lives: list[PositionLife] = []
    may_wait = False
    for axle in dict.fromkeys(each.axle for each in verdict.worlds):
        left, kept = _worlds(verdict, axle)
        if left is None or _is_at_limit(left):
            continue
        may_wait |= bool(left.suggested)
        close = [each for each in left.lives if _is_close(each, shop.distance_unit)]
        first = close[:1] or list(_first_of_each(left))
        lives += first
        told += [_ahead(each, shop.distance_unit, today) for each in first]
        notes += _silent(left)
        if not close and kept is not None and kept is not left:
            notes += _with_new_linings(kept, left, shop)
    return Waiting(
        may_wait=may_wait,
        ahead=tuple(sorted(told, key=lambda each: each.at_least_mm)),
        notes=tuple(dict.fromkeys((*_basis(lives), *notes))),
    )


def _worlds(verdict: VehicleVerdict, axle: int) -> tuple[World | None, World | None]:
    """Return an axle left as it is and, where that is another, with new linings today."""
    worlds = [each for each in verdict.worlds if each.axle == axle]
    kept = next((each for each in worlds if each.plan is Plan.KEPT), None)
    left = next((each for each in worlds if each.plan is Plan.LEFT), kept)
    return (left if left is not None and left.is_told else None), kept


def _is_at_limit(world: World) -> bool:
    return any(life.projection.refusal is Refusal.AT_LIMIT for life in world.lives)


def _is_close(life: PositionLife, unit: DistanceUnit) -> bool:
    """Whether no distance is told because it would be too short to rely on."""
    if life.projection.refusal is not None:
        return life.projection.refusal is Refusal.WITHIN_ERROR
    return not at_least_rounded_mm(life.projection, unit.mm)


def _first_of_each(world: World) -> Iterator[PositionLife]:
    """Yield the first of the linings to end, and the first of the discs or drums."""
    told: set[Part] = set()
    for life in world.stated:
        if life.position.part not in told:
            told.add(life.position.part)
            yield life


def _ahead(life: PositionLife, unit: DistanceUnit, today: date | None) -> Ahead:
    part = f"{place_of(life.corner)} {POSITION_NAMES[life.position]}"
    if _is_close(life, unit):
        return Ahead(
            part=part,
            at_least_mm=0,
            not_before="",
            seldom_more_mm=None,
            seldom_later="",
            at_least="",
            seldom_more="",
            sentence=_no_distance(part.capitalize(), life),
        )
    dates = life.dates
    least_mm = at_least_rounded_mm(life.projection, unit.mm)
    most_mm = latest_rounded_mm(life.projection, unit.mm) if _has_late_end(life) else None
    late_day = dates.latest if dates is not None and most_mm is not None else None
    month = "" if late_day is None else late_day.isoformat()[:7]
    least = distance(least_mm, unit)
    most = "" if most_mm is None else distance(most_mm, unit)
    return Ahead(
        part=part,
        at_least_mm=least_mm,
        not_before=dates.at_least.isoformat() if dates and dates.at_least else "",
        seldom_more_mm=most_mm,
        seldom_later=month,
        at_least=least if dates is None else _with_first_day(least, dates, today),
        seldom_more=f"{most}, seldom after {month}" if month else most,
        sentence=" ".join(
            [
                _distance(part.capitalize(), least, most),
                *([] if dates is None else [_days(dates, month, today)]),
            ]
        ),
    )


def _no_distance(part: str, life: PositionLife) -> str:
    if life.is_close:
        return f"{part}: it is so close to its limit that no safe distance can be stated."
    return (
        f"{part}: it wears so fast that no safe distance can be stated; let us look for the cause."
    )


def _has_late_end(life: PositionLife) -> bool:
    return life.is_lining and Note.FAR_EXTRAPOLATION not in life.projection.notes


def _distance(part: str, least: str, latest: str) -> str:
    if not latest:
        return f"{part}: 9 of 10 such vehicles get at least {least} more from this visit."
    return (
        f"{part}: 9 of 10 such vehicles get at least {least} more from this visit, few get more "
        f"than {latest}."
    )


def _with_first_day(least: str, dates: Dates, today: date | None) -> str:
    if today is not None and dates.is_past(today):
        return f"{least}, perhaps reached by now"
    if dates.at_least is None:
        return f"{least}, in over 5 years"
    return f"{least}, not before {dates.at_least.isoformat()}"


def _days(dates: Dates, month: str, today: date | None) -> str:
    """Return the same as days, as this vehicle is driven."""
    if today is not None and dates.is_past(today):
        return "That day may have come already: please have it measured."
    if dates.at_least is None:
        return "That is more than five years ahead."
    first = dates.at_least.isoformat()
    if not month:
        return f"That is not before {first}."
    return f"That is not before {first}, and seldom after {month}."


def _basis(lives: list[PositionLife]) -> Iterator[str]:
    """Yield what the distances and days rest on, once for all of them."""
    if any(life.dates is not None and not life.dates.usage.days_behind for life in lives):
        yield "The days hold if you drive as much as others do here."
    elif any(life.dates is not None for life in lives):
        yield "The days hold if you go on driving as much as before."
    if any(_is_nominal(life.projection) for life in lives):
        yield "Where the size when new was not measured, it was taken from paper."


def _is_nominal(projection: Projection) -> bool:
    return Note.NOMINAL_START in projection.notes or Note.NO_START in projection.notes


_RARELY = frozenset({Refusal.NO_BASIS, Refusal.NO_READING})


def _silent(world: World) -> Iterator[str]:
    """Yield for which parts no distance can be told, and why."""
    stated = {life.position.part for life in world.stated}
    rarely: list[Part] = []
    for part in dict.fromkeys(life.position.part for life in world.unstated):
        lives = [life for life in world.unstated if life.position.part is part]
        name = axle_parts(world.axle, part).capitalize()
        refusals = {life.projection.refusal for life in lives}
        if Refusal.UNRESOLVED in refusals:
            yield f"{name}: we can say how far they will go once our questions are answered."
        elif part not in stated and refusals <= _RARELY:
            rarely.append(part)
    if len(rarely) > 1:
        yield f"{brakes_of(world.axle)}: measured too rarely yet to say how far they will go."
    elif rarely:
        name = axle_parts(world.axle, rarely[0]).capitalize()
        yield f"{name}: measured too rarely yet to say how far they will go."
    if world.stated and world.passed_over:
        name = brakes_of(world.axle)
        yield f"{name}: what could not be judged may end sooner than what is named here."


def _with_new_linings(kept: World, left: World, shop: Shop) -> Iterator[str]:
    """Yield how far the rest would go beside new linings, where the rest would end first."""
    first, unit = kept.first, shop.distance_unit
    going = {each.part for each in left.suggested if each.word is Word.REPLACE}
    if not kept.is_told or not kept.is_complete or first is None or kept.lining not in going:
        return
    least_mm = at_least_rounded_mm(first.projection, unit.mm)
    if not least_mm or first.position.part is kept.lining:
        return
    least = distance(least_mm, unit)
    linings = axle_parts(kept.axle, kept.lining)
    if kept.iron is Part.ROTOR:
        yield (
            f"With new {linings} the discs that stay would end first: 9 of 10 such vehicles get "
            f"at least {least}."
        )
    else:
        yield (
            f"With new {linings} the drums that stay would end first: 9 of 10 such vehicles get "
            f"at least {least}."
        )
