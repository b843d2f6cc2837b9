"""Part lives: which readings belong to the part that is on the car now, and its projection."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brakelog.metrology.uncertainty import (
    DRUM_PLACEMENT_NM,
    LINING_PLACEMENT_NM,
    ROTOR_PLACEMENT_NM,
    sigma1_between_visits_nm,
)
from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.visit import Visit
from brakelog.rules.bound import bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.questioning import about_history
from brakelog.rules.spreading import spread_for
from brakelog.wear.experience import WearKind, general_experience
from brakelog.wear.life import PartLife, Reading, Start, nominal_start
from brakelog.wear.projection import Projection, project

MEASURED_START_U1_NM = {
    Part.ROTOR: 5_000.0,
    Part.PADS: 50_000.0,
    Part.DRUM: 25_000.0,
    Part.SHOES: 50_000.0,
}
"""Standard uncertainty of a size measured at fitting, off the car: micrometer, calliper, drum
gauge and calliper; common practice. [nm]"""
_PLACEMENT_NM = {
    Part.ROTOR: ROTOR_PLACEMENT_NM,
    Part.PADS: LINING_PLACEMENT_NM,
    Part.DRUM: DRUM_PLACEMENT_NM,
    Part.SHOES: LINING_PLACEMENT_NM,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionLife:
    """One wearing part with what is known of how far it will go."""

    corner: Corner
    position: Position
    projection: Projection
    start: Fitting | None
    """The fitting that began this life; None where none is on record."""
    previous_nm: int | None = None
    """Its size at the visit before, the same part. [nm]"""
    is_close: bool = True
    """Whether it lies within four standard uncertainties of its limit, placement included."""

    @property
    def is_lining(self) -> bool:
        """Whether it is friction material; the late end of what iron lasts helps nobody."""
        return self.position.part in (Part.PADS, Part.SHOES)


def life_of(file: CaseFile, corner: Corner, judgement: Judgement) -> PositionLife:
    """Project the part that a safety judgement is about; never across a new part or a refinish."""
    measure = judgement.measure
    position = measure.facts.position
    assert position is not None
    begun = _begun(file, corner, position)
    readings = _readings(file, corner, judgement, begun)
    new_nm = _new_nm(file, corner, measure, judgement)
    limit_nm = judgement.bound.strictest.nm if judgement.bound.strictest else None
    kind = _wear_kind(corner, position)
    life = PartLife(
        kind=kind,
        grows=position is Position.DRUM,
        start=_start(begun, corner, kind, new_nm),
        readings=readings,
        limit_nm=limit_nm,
        new_nm=new_nm,
        is_out=judgement.outcome is Outcome.OUT,
        unresolved=_unresolved(file, corner, judgement),
        as_of=file.visit.day,
        as_of_odometer_mm=file.visit.odometer_mm,
    )
    experience = general_experience(
        kind,
        new_mm=None if new_nm is None else new_nm / 1e6,
        limit_mm=0.0 if limit_nm is None else limit_nm / 1e6,
    )
    return PositionLife(
        corner=corner,
        position=position,
        projection=project(life, experience),
        start=begun,
        previous_nm=readings[-2].value_nm if len(readings) > 1 else None,
        is_close=_is_close(judgement, readings),
    )


CLOSE_IN_U1 = 4
"""Standard uncertainties of a margin that is called close; assumption."""


def _is_close(judgement: Judgement, readings: tuple[Reading, ...]) -> bool:
    if judgement.margin_nm is None or not readings:
        return True
    return float(judgement.margin_nm) <= CLOSE_IN_U1 * readings[-1].sigma1_nm


def _wear_kind(corner: Corner, position: Position) -> WearKind:
    match position.part:
        case Part.ROTOR:
            return WearKind.ROTOR
        case Part.DRUM:
            return WearKind.DRUM
        case Part.SHOES:
            return WearKind.SHOE
        case Part.PADS:
            return WearKind.FRONT_LINING if corner.axle == 1 else WearKind.REAR_LINING


def _unresolved(file: CaseFile, corner: Corner, judgement: Judgement) -> tuple[str, ...]:
    """Return what has to be cleared up first: about today's reading, or about its history."""
    quantities = judgement.measure.facts.quantities
    ids = [each.id for quantity in quantities for each in file.sets_of(corner, quantity)]
    asked = (*judgement.questions, *about_history(file, ids))
    texts = dict.fromkeys(question.ask.rstrip(".") for question in asked)
    if _wore_by_a_fault(file, corner, judgement):
        texts[_BY_A_FAULT] = None
    return tuple(texts)


def _wore_by_a_fault(file: CaseFile, corner: Corner, judgement: Judgement) -> bool:
    """Whether the lining wore at a rate that belongs to a fault found in this visit."""
    part = judgement.measure.facts.part
    changed = any(file.was_changed(corner, each) for each in judgement.measure.facts.quantities)
    return (
        part in (Part.PADS, Part.SHOES)
        and not (changed and file.stage is Stage.AS_LEFT)
        and any(
            finding.corner == corner and finding.part is part and finding.kind in _FAULTS
            for finding in file.findings
        )
    )


_BY_A_FAULT = "a slide or piston was stuck, and no rate can be taken from wear by a fault"
_FAULTS = (FindingKind.STUCK_SLIDE, FindingKind.STUCK_PISTON)


def _begun(file: CaseFile, corner: Corner, position: Position) -> Fitting | None:
    """Return the last event at the position up to the judged visit and stage."""
    before = {visit.id for visit in file.visits[: file.visits.index(file.visit)]}
    if file.stage is Stage.AS_LEFT:
        before.add(file.visit.id)
    events = [
        fitting
        for fitting in file.fittings
        if fitting.corner == corner and fitting.position is position and fitting.visit_id in before
    ]
    return events[-1] if events else None


def _readings(
    file: CaseFile, corner: Corner, judgement: Judgement, begun: Fitting | None
) -> tuple[Reading, ...]:
    """Return one reading a visit, the deciding one, since the part was fitted.

    Only readings from the same datum are one history.
    """
    measure = judgement.measure
    datums = {each.datum for each in file.sets if each.id in judgement.set_ids}
    order = {visit.id: n for n, visit in enumerate(file.visits)}
    first = order[begun.visit_id] if begun else 0
    mine = [
        each
        for quantity in measure.facts.quantities
        for each in file.sets_of(corner, quantity)
        if each.datum in datums and each.measured_nm
    ]
    readings = []
    for visit in file.visits[first : order[file.visit.id] + 1]:
        fitted_here = begun is not None and visit.id == begun.visit_id
        stage = _stage_to_read(file, corner, measure, visit, after_fitting=fitted_here)
        here = [each for each in mine if each.visit_id == visit.id and each.stage is stage]
        if visit.id == file.visit.id:
            here = [each for each in here if each.id in judgement.set_ids]
        else:
            here = _last_of_each(here)
        if here:
            readings.append(_reading(file, measure, visit, here))
    return tuple(readings)


def _last_of_each(sets: list[ReadingSet]) -> list[ReadingSet]:
    """Return the last set of each quantity: what was read again stands for what it answered."""
    return list({each.quantity: each for each in sets}.values())


def _stage_to_read(
    file: CaseFile, corner: Corner, measure: Measure, visit: Visit, *, after_fitting: bool
) -> Stage:
    if after_fitting:
        return Stage.AS_LEFT
    if visit.id == file.visit.id and file.stage is Stage.AS_LEFT:
        sets = file.sets_at(corner, measure.facts.quantities[0])
        return sets[0].stage if sets else Stage.AS_LEFT
    return Stage.AS_FOUND


def _reading(file: CaseFile, measure: Measure, visit: Visit, sets: list[ReadingSet]) -> Reading:
    pick = min if measure.facts.limit.facts.least else max
    values = [
        (nm - each.zero_error_nm, each)
        for each in sets
        for nm in (*each.measured_nm, *([each.again_nm] if each.again_nm is not None else []))
    ]
    nm, reading = pick(values, key=lambda pair: pair[0])
    spread = spread_for(file, reading)
    return Reading(
        odometer_mm=visit.odometer_mm,
        value_nm=nm,
        sigma1_nm=sigma1_between_visits_nm(reading.quantity, spread.u1_nm),
        day=visit.day,
    )


def _new_nm(file: CaseFile, corner: Corner, measure: Measure, judgement: Judgement) -> int | None:
    kind: LimitKind | None = measure.facts.new
    if kind is None:
        return None
    bound = bound_for(
        kind, corner, file.limits, file.confirmations, which_pad=measure.facts.which_pad
    )
    return bound.figures[0].nm if bound.figures else None


def _start(
    begun: Fitting | None, corner: Corner, kind: WearKind, new_nm: int | None
) -> Start | None:
    """Return the size at fitting, where one is known; a used part of unknown size has none."""
    if begun is None or begun.event is FittingEvent.REMOVED or begun.corner != corner:
        return None
    part = begun.position.part
    if begun.size_nm is not None and begun.basis is SizeBasis.MEASURED:
        return Start(
            odometer_mm=begun.odometer_mm,
            size_nm=begun.size_nm,
            sigma1_nm=math.hypot(MEASURED_START_U1_NM[part], _PLACEMENT_NM[part]),
            measured=True,
        )
    size_nm = begun.size_nm
    if size_nm is None and begun.event is FittingEvent.NEW:
        size_nm = new_nm
    if size_nm is None:
        return None
    return nominal_start(kind, odometer_mm=begun.odometer_mm, size_nm=size_nm)
