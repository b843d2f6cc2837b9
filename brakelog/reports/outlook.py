"""When to come back, in plain words."""

from __future__ import annotations

from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.rules.figure import distance
from brakelog.rules.part import next_planned_mm
from brakelog.rules.verdict import VehicleVerdict
from brakelog.wear.projection import BOUND_STEP, at_least_rounded_mm


def _planned(mm: int, unit: DistanceUnit) -> str:
    """Return a planned distance: as typed, else rounded down as other distances are."""
    step_mm = unit.mm if mm % unit.mm == 0 else BOUND_STEP * unit.mm
    return distance(mm // step_mm * step_mm if mm >= step_mm else mm // unit.mm * unit.mm, unit)


def when_to_come_back(verdict: VehicleVerdict, *, is_dated: bool = False) -> str:
    """Return when to come back: before the first part may run out, if that is sooner.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict.
    is_dated : bool
        Whether a day is told beside it, so that nobody has to ask for one.
    """
    file, unit = verdict.file, verdict.file.shop.distance_unit
    planned_mm = next_planned_mm(file)
    months = file.visit.next_months or file.shop.next_months
    far = _planned(planned_mm, unit)
    if verdict.required:
        return (
            f"Have what is needed now put right first. The next planned visit is then after {far} "
            f"or {months} months, whichever is first."
        )
    lives = [
        life
        for part in verdict.suggested
        for life in part.lives
        if life.projection.at_least_mm is not None
    ]
    bounds = [at_least_rounded_mm(life.projection, unit.mm) for life in lives]
    if verdict.suggested and not bounds:
        if is_dated:
            return ""
        return (
            f"Ask us when to come back; that is sooner than the planned visit after {far} or "
            f"{months} months, whichever is first."
        )
    if bounds and min(bounds) < planned_mm:
        days = [life.dates.at_least for life in lives if life.dates and life.dates.at_least]
        return (
            f"{_sooner(min(bounds), min(days, default=None), unit)} Once it is done, the next "
            f"planned visit is after {far} or {months} months, whichever is first."
        )
    return f"Your next planned visit is after {far} or {months} months, whichever is first."


def _sooner(bound_mm: int, day: date | None, unit: DistanceUnit) -> str:
    if not bound_mm:
        return "Unless the suggested work is done before, come back as soon as you can."
    near = distance(bound_mm, unit)
    if day is None:
        return f"Unless the suggested work is done before, come back within {near}."
    return (
        f"Unless the suggested work is done before, come back within {near} or by "
        f"{day.isoformat()}, whichever is first."
    )
