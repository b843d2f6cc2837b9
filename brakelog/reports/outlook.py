"""How far it will go and when to come back, in plain words."""

from __future__ import annotations

from brakelog.lengths import DistanceUnit
from brakelog.rules.figure import distance
from brakelog.rules.lives import PositionLife
from brakelog.rules.part import next_planned_mm
from brakelog.rules.verdict import (
    PartVerdict,
    VehicleVerdict,
)
from brakelog.wear.projection import (
    BOUND_STEP,
    Note,
    Refusal,
    at_least_rounded_mm,
    latest_rounded_mm,
)


def what_if_you_wait(
    verdict: VehicleVerdict, sides: list[PartVerdict], *, is_suggested: bool
) -> list[str]:
    """Return the honest range of the part that ends first, in plain words."""
    unit = verdict.file.shop.distance_unit
    lives = [life for side in sides for life in side.lives]
    if any(life.projection.refusal is Refusal.AT_LIMIT for life in lives):
        return []
    for life in lives:
        if life.projection.refusal is Refusal.WITHIN_ERROR:
            return [_no_distance(life).capitalize()]
    stated = [life for life in lives if life.projection.at_least_mm]
    if not stated:
        return []
    first = min(stated, key=lambda life: life.projection.at_least_mm or 0)
    # Beside required work on the same axle nobody may wait.
    may_wait = is_suggested and not any(
        each.corner.axle == first.corner.axle for each in verdict.required
    )
    return [f"{'If you wait' if may_wait else 'Expected to go'}: {_range(first, unit)}"]


def _no_distance(life: PositionLife) -> str:
    if life.is_close:
        return "it is so close to its limit that no safe distance can be stated."
    return "it wears so fast that no safe distance can be stated; let us look for the cause."


def _range(life: PositionLife, unit: DistanceUnit) -> str:
    projection = life.projection
    least_mm = at_least_rounded_mm(projection, unit.mm)
    if not least_mm:
        return _no_distance(life)
    least = distance(least_mm, unit)
    text = f"counted from this visit, 9 of 10 such vehicles get at least {least} more"
    is_far = Note.FAR_EXTRAPOLATION in projection.notes
    latest_mm = latest_rounded_mm(projection, unit.mm)
    if latest_mm is not None and life.is_lining and not is_far:
        text += f", few get more than {distance(latest_mm, unit)}"
    if Note.NOMINAL_START in projection.notes or Note.NO_START in projection.notes:
        text += " (the size when new was not measured)"
    return f"{text}."


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
    planned = f"after {_planned(planned_mm, unit)} or {months} months, whichever is first"
    if verdict.required:
        return "Have what is needed now put right first. The next planned visit is then " + (
            f"{planned}."
        )
    bounds = [
        at_least_rounded_mm(life.projection, unit.mm)
        for part in verdict.suggested
        for life in part.lives
        if life.projection.at_least_mm is not None
    ]
    if verdict.suggested and not bounds:
        if is_dated:
            return ""
        return f"Ask us when to come back; that is sooner than the planned visit {planned}."
    if bounds and min(bounds) < planned_mm:
        sooner = distance(min(bounds), unit)
        when = f"within {sooner}" if min(bounds) else "as soon as you can"
        return (
            f"Unless the suggested work is done before, come back {when}. Once it is done, the "
            f"next planned visit is {planned}."
        )
    return f"Your next planned visit is {planned}."
