"""When to come back, in plain words."""

from __future__ import annotations

from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.reports.language.language import Language
from brakelog.reports.plain_know import parts_unjudged
from brakelog.rules.part import next_planned_mm
from brakelog.rules.verdict import VehicleVerdict
from brakelog.wear.projection import BOUND_STEP, at_least_rounded_mm


def _planned_mm(mm: int, unit: DistanceUnit) -> int:
    """Return a planned distance: as typed, else rounded down as other distances are. [mm]"""
    step_mm = unit.mm if mm % unit.mm == 0 else BOUND_STEP * unit.mm
    return mm // step_mm * step_mm if mm >= step_mm else mm // unit.mm * unit.mm


def when_to_come_back(
    lang: Language, verdict: VehicleVerdict, *, is_dated: bool = False, today: date | None = None
) -> str:
    """Return when to come back: before the first part may run out, if that is sooner.

    Parameters
    ----------
    lang : Language
        The customer's language.
    verdict : VehicleVerdict
        The verdict.
    is_dated : bool
        Whether a day is told beside it, so that nobody has to ask for one.
    today : date, optional
        The day that it is told: a visit that should have been by then is no longer put ahead.
    """
    file, unit = verdict.file, verdict.file.shop.distance_unit
    planned_mm = next_planned_mm(file)
    months = file.visit.next_months or file.shop.next_months
    far = lang.distance(_planned_mm(planned_mm, unit), unit)
    if verdict.required:
        return lang.count("back.required", months, far=far)
    if today is not None and verdict.is_stale(today):
        return lang.say("back.overdue")
    lives = [
        life
        for part in verdict.suggested
        for life in part.lives
        if life.projection.at_least_mm is not None
    ]
    bounds = [at_least_rounded_mm(life.projection, unit.mm) for life in lives]
    if verdict.suggested and not bounds:
        return "" if is_dated else lang.count("back.ask", months, far=far)
    if bounds and min(bounds) < planned_mm:
        days = [life.dates.at_least for life in lives if life.dates and life.dates.at_least]
        sooner = _sooner(lang, min(bounds), min(days, default=None), unit, today)
        return f"{sooner} {lang.count('back.once_done', months, far=far)}"
    planned = lang.count("back.planned", months, far=far)
    # A day in a year must not read as if all had been looked at.
    return f"{planned} {lang.say('back.measure_first')}" if parts_unjudged(verdict) else planned


def _sooner(
    lang: Language, bound_mm: int, day: date | None, unit: DistanceUnit, today: date | None
) -> str:
    if not bound_mm:
        return lang.say("back.soon")
    near = lang.distance(bound_mm, unit)
    if day is None:
        return lang.say("back.within", near=near)
    if today is not None and day <= today:
        return lang.say("back.soon")
    return lang.say("back.within_by", near=near, day=lang.day(day))
