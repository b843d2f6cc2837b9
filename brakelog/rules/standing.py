"""What was recorded before the work it covers: it says nothing about what is on the vehicle now."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from brakelog.record.closing import CUT, Check, ClosingAnswer, answers_that_stand
from brakelog.record.corner import Corner
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part, Position
from brakelog.rules.casefile import CaseFile
from brakelog.rules.worked import corners_of, fittings_here

_PARTS_OF_CHECK = {
    Check.SHOES_SET: (Part.SHOES, Part.DRUM),
    Check.WEAR_SENSOR: (Part.PADS,),
    Check.PARKING_BRAKE: tuple(Part),
}
"""What a check of an axle covers. One about the vehicle covers everything that was fitted; the
cause of uneven wear is about what came off, and stays said."""
_OTHER_PART = (FittingEvent.NEW, FittingEvent.USED, FittingEvent.MOVED)


def is_before(recorded_at: datetime | None, work: datetime | None) -> bool:
    """Whether something was put on file no later than the work that it is about."""
    return work is not None and (recorded_at is None or recorded_at <= work)


def last_work(
    file: CaseFile,
    corners: Iterable[Corner] | None = None,
    *,
    parts: Iterable[Part] | None = None,
    position: Position | None = None,
) -> datetime | None:
    """Return when the last fitting of this visit was put on file; None where nothing was fitted.

    Parameters
    ----------
    file : CaseFile
        The record.
    corners : iterable of Corner, optional
        Only fittings at, or taken from, these.
    parts : iterable of Part, optional
        Only fittings of these.
    position : Position, optional
        Only fittings of this one.
    """
    at = None if corners is None else set(corners)
    of = None if parts is None else set(parts)
    times = [
        each.recorded_at
        for each in fittings_here(file)
        if each.recorded_at is not None
        and (at is None or not at.isdisjoint({each.corner, each.from_corner}))
        and (of is None or each.position.part in of)
        and position in (None, each.position)
    ]
    return max(times, default=None)


def work_under(file: CaseFile, check: Check, axle: int | None) -> datetime | None:
    """Return when the last work that a check covers was put on file."""
    if check is Check.CAUSE_PROVEN:
        return None
    if axle is None:
        return last_work(file)
    return last_work(file, corners_of(axle), parts=_PARTS_OF_CHECK.get(check, tuple(Part)))


def cut_on_car(
    file: CaseFile, corner: Corner, answers: Iterable[ClosingAnswer]
) -> ClosingAnswer | None:
    """Return the last cut on the car of the rotor that is on now; None where there is none."""
    cuts = [
        each
        for each in answers_that_stand(answers)
        if each.check is Check.RUNOUT_CURE and each.corner == corner and each.said == CUT
    ]
    others = [
        each.recorded_at
        for each in fittings_here(file)
        if each.corner == corner
        and each.position is Position.ROTOR
        and each.event in _OTHER_PART
        and each.recorded_at is not None
    ]
    if not cuts or is_before(cuts[-1].recorded_at, max(others, default=None)):
        return None
    return cuts[-1]


def wheel_off(file: CaseFile, corner: Corner, answers: Iterable[ClosingAnswer]) -> datetime | None:
    """Return when the wheel of a corner was last known to be off: for a fitting or a cure."""
    cures = [
        each.recorded_at
        for each in answers_that_stand(answers)
        if each.check is Check.RUNOUT_CURE
        and each.corner == corner
        and each.recorded_at is not None
    ]
    fitted = last_work(file, [corner])
    return max([*cures, *([fitted] if fitted else [])], default=None)


def size_work(
    file: CaseFile, corner: Corner, position: Position, answers: Iterable[ClosingAnswer]
) -> datetime | None:
    """Return when the size of a part was last changed: by fitting it, or by cutting it."""
    fitted = last_work(file, [corner], position=position)
    cut = cut_on_car(file, corner, answers) if position is Position.ROTOR else None
    times = [fitted, cut.recorded_at if cut else None]
    return max([each for each in times if each is not None], default=None)
