"""What follows from waiting, in plain words: an honest range of distance and of days."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.record.quantity import Part
from brakelog.record.shop import Shop
from brakelog.reports.language.language import Language
from brakelog.reports.plain_names import axle_parts, axle_words, brakes_of, position_at
from brakelog.rules.dating import Dates
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
    """``4,000 km, not before 14 Dec 2026``; empty where no distance can be named."""
    seldom_more: str
    """``12,000 km, seldom after Sep 2027``; empty where it is not worth saying."""
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


def waiting_of(lang: Language, verdict: VehicleVerdict, today: date | None = None) -> Waiting:
    """Return how far the parts will go; nothing of an axle with required work open on it.

    Parameters
    ----------
    lang : Language
        The customer's language.
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
        told += [_ahead(lang, each, shop.distance_unit, today) for each in first]
        notes += _silent(lang, left)
        if not close and kept is not None and kept is not left:
            notes += _with_new_linings(lang, kept, left, shop)
    return Waiting(
        may_wait=may_wait,
        ahead=tuple(sorted(told, key=lambda each: each.at_least_mm)),
        notes=tuple(dict.fromkeys((*_basis(lang, lives), *notes))),
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


def _ahead(lang: Language, life: PositionLife, unit: DistanceUnit, today: date | None) -> Ahead:
    part = position_at(lang, life.corner, life.position)
    if _is_close(life, unit):
        return Ahead(
            part=part,
            at_least_mm=0,
            not_before="",
            seldom_more_mm=None,
            seldom_later="",
            at_least="",
            seldom_more="",
            sentence=lang.sentence("ahead.close" if life.is_close else "ahead.fast", part=part),
        )
    dates = life.dates
    least_mm = at_least_rounded_mm(life.projection, unit.mm)
    most_mm = latest_rounded_mm(life.projection, unit.mm) if _has_late_end(life) else None
    late_day = dates.latest if dates is not None and most_mm is not None else None
    least = lang.distance(least_mm, unit)
    most = "" if most_mm is None else lang.distance(most_mm, unit)
    month = "" if late_day is None else lang.month(late_day)
    key = "ahead.range" if most else "ahead.least"
    return Ahead(
        part=part,
        at_least_mm=least_mm,
        not_before=dates.at_least.isoformat() if dates and dates.at_least else "",
        seldom_more_mm=most_mm,
        seldom_later="" if late_day is None else late_day.isoformat()[:7],
        at_least=least if dates is None else _with_first_day(lang, least, dates, today),
        seldom_more=lang.say("ahead.cell_seldom", most=most, month=month) if month else most,
        sentence=" ".join(
            [
                lang.sentence(key, part=part, least=least, most=most),
                *([] if dates is None else [_days(lang, dates, month, today)]),
            ]
        ),
    )


def _has_late_end(life: PositionLife) -> bool:
    return life.is_lining and Note.FAR_EXTRAPOLATION not in life.projection.notes


def _with_first_day(lang: Language, least: str, dates: Dates, today: date | None) -> str:
    if today is not None and dates.is_past(today):
        return lang.say("ahead.cell_past", least=least)
    if dates.at_least is None:
        return lang.say("ahead.cell_beyond", least=least)
    return lang.say("ahead.cell_not_before", least=least, day=lang.day(dates.at_least))


def _days(lang: Language, dates: Dates, month: str, today: date | None) -> str:
    """Return the same as days, as this vehicle is driven."""
    if today is not None and dates.is_past(today):
        return lang.say("ahead.past")
    if dates.at_least is None:
        return lang.say("ahead.beyond")
    first = lang.day(dates.at_least)
    if not month:
        return lang.say("ahead.not_before", day=first)
    return lang.say("ahead.not_before_seldom", day=first, month=month)


def _basis(lang: Language, lives: list[PositionLife]) -> Iterator[str]:
    """Yield what the distances and days rest on, once for all of them."""
    if any(life.dates is not None and not life.dates.usage.days_behind for life in lives):
        yield lang.say("ahead.as_others")
    elif any(life.dates is not None for life in lives):
        yield lang.say("ahead.as_before")
    if any(_is_nominal(life.projection) for life in lives):
        yield lang.say("ahead.from_paper")


def _is_nominal(projection: Projection) -> bool:
    return Note.NOMINAL_START in projection.notes or Note.NO_START in projection.notes


_RARELY = frozenset({Refusal.NO_BASIS, Refusal.NO_READING})


def _silent(lang: Language, world: World) -> Iterator[str]:
    """Yield for which parts no distance can be told, and why."""
    stated = {life.position.part for life in world.stated}
    rarely: list[Part] = []
    for part in dict.fromkeys(life.position.part for life in world.unstated):
        lives = [life for life in world.unstated if life.position.part is part]
        refusals = {life.projection.refusal for life in lives}
        if Refusal.UNRESOLVED in refusals:
            yield lang.sentence("ahead.questions", parts=axle_parts(lang, world.axle, part))
        elif part not in stated and refusals <= _RARELY:
            rarely.append(part)
    if len(rarely) > 1:
        yield lang.sentence("ahead.rarely", parts=brakes_of(lang, world.axle))
    elif rarely:
        yield lang.sentence("ahead.rarely", parts=axle_parts(lang, world.axle, rarely[0]))
    if world.stated and world.passed_over:
        yield lang.sentence("ahead.unjudged", brakes=brakes_of(lang, world.axle))


def _with_new_linings(lang: Language, kept: World, left: World, shop: Shop) -> Iterator[str]:
    """Yield how far the rest would go beside new linings, where the rest would end first."""
    first, unit = kept.first, shop.distance_unit
    going = {each.part for each in left.suggested if each.word is Word.REPLACE}
    if not kept.is_told or not kept.is_complete or first is None or kept.lining not in going:
        return
    least_mm = at_least_rounded_mm(first.projection, unit.mm)
    if not least_mm or first.position.part is kept.lining:
        return
    yield lang.say(
        "ahead.beside_rotor" if kept.iron is Part.ROTOR else "ahead.beside_drum",
        axle=axle_words(lang, kept.axle),
        least=lang.distance(least_mm, unit),
    )
