"""An early re-check, where linings wore unevenly and the cause was not proven."""

from __future__ import annotations

import enum
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from brakelog.record.closing import Check, ClosingAnswer
from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.flag_words import flag_fact
from brakelog.rules.hint import Pattern
from brakelog.rules.left_checks import newest_answer
from brakelog.rules.part import next_planned_mm
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.worked import (
    brake_of,
    fitted_on,
    lining_quantities,
    worked_axles,
)

_CAUSES = (FindingKind.STUCK_SLIDE, FindingKind.STUCK_PISTON, FindingKind.HARDWARE_MISSING)
_OF_ROTORS = frozenset(
    {
        Pattern.VARIATION_AND_RUNOUT,
        Pattern.VARIATION_ALONE,
        Pattern.RUNOUT_ALONE,
        Pattern.BACK_SOON,
        Pattern.LITTLE_USE,
    }
)
"""Patterns that do not wear linings out early."""


class Basis(enum.Enum):
    """What the half is a half of."""

    FITTED = "the last set, from its fitting"
    FIRST_READING = "the last set, from its first reading"
    PLANNED = "the planned interval: how long the last set took is not on record"


@dataclass(frozen=True, slots=True, kw_only=True)
class Recheck:
    """When the linings of an axle are to be looked at again."""

    axle: int
    why: tuple[str, ...]
    """What was uneven, in the trade's words."""
    distance_mm: int
    """From the odometer of the visit. [mm]"""
    odometer_mm: int
    """[mm]"""
    day: date
    basis: Basis
    is_answered: bool
    """Whether somebody said that the cause is not proven, rather than nothing."""


def uneven_axles(found: VehicleVerdict) -> tuple[int, ...]:
    """Return the axles whose linings wore unevenly, or on something stuck, and were changed."""
    return tuple(
        axle
        for axle in worked_axles(found.file)
        if fitted_on(found.file, axle, Part.PADS, Part.SHOES) and _signs(found, axle)
    )


def rechecks(found: VehicleVerdict, answers: tuple[ClosingAnswer, ...]) -> Iterator[Recheck]:
    """Yield an early re-check for every such axle whose cause nobody has proven.

    At half the distance, and half the time, that the last set took to wear out: a cause that is
    still there takes the new set as fast (service training text, from memory).
    """
    for axle in uneven_axles(found):
        said = newest_answer(answers, Check.CAUSE_PROVEN, axle)
        if said is not None and said.said == "yes":
            continue
        signs = _signs(found, axle)
        start = _shortest(found.file, {corner for corner, _ in signs})
        texts = tuple(dict.fromkeys(text for _, text in signs))
        yield _dated(found.file, axle, texts, start, is_answered=said is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Began:
    odometer_mm: int
    day: date
    basis: Basis


def _dated(
    file: CaseFile, axle: int, why: tuple[str, ...], start: _Began | None, *, is_answered: bool
) -> Recheck:
    visit = file.visit
    if start is not None and start.odometer_mm < visit.odometer_mm:
        distance_mm = (visit.odometer_mm - start.odometer_mm) // 2
        days = max((visit.day - start.day).days // 2, 1)
        basis = start.basis
    else:
        distance_mm = next_planned_mm(file) // 2
        days = _days(visit.next_months or file.shop.next_months) // 2
        basis = Basis.PLANNED
    return Recheck(
        axle=axle,
        why=why,
        distance_mm=distance_mm,
        odometer_mm=visit.odometer_mm + distance_mm,
        day=visit.day + timedelta(days=days),
        basis=basis,
        is_answered=is_answered,
    )


def _days(months: int) -> int:
    """A month taken as 30 days: the earlier side of it. [days]"""
    return 30 * months


def _shortest(file: CaseFile, corners: set[Corner]) -> _Began | None:
    """Return where the life of the last set began; the shortest life of the corners counts."""
    begun = [
        found
        for corner in sorted(corners, key=lambda each: each.code)
        for quantity in lining_quantities(brake_of(file, corner.axle))
        if (found := _began(file, corner, quantity)) is not None
    ]
    return max(begun, key=lambda each: each.odometer_mm) if begun else None


def _began(file: CaseFile, corner: Corner, quantity: Quantity) -> _Began | None:
    position = quantity.position
    before = file.visits[: file.visits.index(file.visit)]
    fitted = _last_fitting(file, corner, position, before)
    if fitted is not None and fitted.event is not FittingEvent.REMOVED:
        return _Began(odometer_mm=fitted.odometer_mm, day=fitted.day, basis=Basis.FITTED)
    for visit in before:
        if any(_is_of(each, visit, corner, quantity) for each in file.sets):
            return _Began(odometer_mm=visit.odometer_mm, day=visit.day, basis=Basis.FIRST_READING)
    return None


def _last_fitting(
    file: CaseFile, corner: Corner, position: Position | None, before: tuple[Visit, ...]
) -> Fitting | None:
    ids = {visit.id for visit in before}
    events = [
        each
        for each in file.fittings
        if each.visit_id in ids and each.corner == corner and each.position is position
    ]
    return events[-1] if events else None


def _is_of(each: ReadingSet, visit: Visit, corner: Corner, quantity: Quantity) -> bool:
    return (
        each.visit_id == visit.id
        and each.corner == corner
        and each.quantity is quantity
        and bool(each.measured_nm)
    )


def _signs(found: VehicleVerdict, axle: int) -> list[tuple[Corner, str]]:
    """Return what was uneven or stuck on an axle as found, with the corner that wore most."""
    file = found.file
    signs = [
        (each.corner, f"{each.corner} {each.kind.facts.label}")
        for each in file.findings
        if each.stage is Stage.AS_FOUND
        and not each.put_right
        and each.corner.axle == axle
        and each.kind in _CAUSES
    ]
    signs += [
        (each.worn.corner, flag_fact(each, file.shop))
        for each in found.flags
        if each.axle == axle and not each.kind.is_information
    ]
    told = {corner for corner, _ in signs}
    for hint in found.hints:
        is_wear = hint.cause_open and hint.pattern not in _OF_ROTORS
        if hint.axle == axle and is_wear and not told.intersection(hint.corners):
            signs += [(corner, f"{corner} {hint.pattern.label}") for corner in hint.corners]
    return signs
