"""Part lives as the record tells them: which readings belong to which physical part."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from brakelog.metrology.uncertainty import (
    DRUM_PLACEMENT_NM,
    LINING_PLACEMENT_NM,
    ROTOR_PLACEMENT_NM,
    sigma1_between_visits_nm,
)
from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.questioning import about_history
from brakelog.rules.spreading import spread_for
from brakelog.rules.stuck import stuck_text, worn_free_since
from brakelog.wear.experience import WearKind
from brakelog.wear.life import PartLife, Reading, Start, nominal_start

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
class Span:
    """The time that one part was on the car at one place."""

    begun: Fitting | None
    """The event that began it; None for what was there before the record."""
    ended: Fitting | None
    """The event that ended it; None for what is there now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedLife:
    """One part life with where it was lived."""

    life: PartLife
    begun: Fitting | None
    restarted_on: date | None = None
    """The day from which wear is counted anew, since a fault that wore the part was put right."""
    is_sound: bool = True
    """Whether the rate says something of such parts: nothing open, and no fault wore it."""


def wear_kind(corner: Corner, position: Position) -> WearKind:
    """Return the group of parts that a position belongs to."""
    match position.part:
        case Part.ROTOR:
            return WearKind.ROTOR
        case Part.DRUM:
            return WearKind.DRUM
        case Part.SHOES:
            return WearKind.SHOE
        case Part.PADS:
            return WearKind.FRONT_LINING if corner.axle == 1 else WearKind.REAR_LINING


def spans_at(file: CaseFile, corner: Corner, position: Position) -> list[Span]:
    """Return the parts at a place, oldest first, up to the judged visit and stage."""
    order = file.placed.order
    # What is fitted in the judged visit is on the car when it leaves.
    end = order[file.visit.id] + (file.stage is Stage.AS_LEFT)
    events: list[Fitting | None] = [
        fitting
        for fitting in file.placed.events_at(corner, position)
        if order.get(fitting.visit_id, end) < end
    ]
    return [
        Span(begun=begun, ended=ended)
        for begun, ended in zip([None, *events], [*events, None], strict=True)
    ]


def running_life(file: CaseFile, corner: Corner, judgement: Judgement, span: Span) -> RecordedLife:
    """Return the life of the part that a safety judgement is about.

    Parameters
    ----------
    file : CaseFile
        The case.
    corner : Corner
        The corner.
    judgement : Judgement
        The judgement.
    span : Span
        The last of the spans at its place.
    """
    measure = judgement.measure
    position = measure.facts.position
    assert position is not None
    free = worn_free_since(file, corner, position.part, span.begun)
    measured = _sets_at(file, corner, measure)
    datums = {each.datum for each in measured if each.id in judgement.set_ids}
    sets = [
        each
        for each in measured
        if each.datum in datums and (each.visit_id != file.visit.id or each.id in judgement.set_ids)
    ]
    since = free.visit if free else None
    readings = tuple(_readings(file, corner, measure, span, sets, since=since))
    new_nm = new_size_nm(file, corner, measure)
    kind = wear_kind(corner, position)
    life = PartLife(
        kind=kind,
        grows=position is Position.DRUM,
        # What was worn by a fault is no start: wear is counted from when it was put right.
        start=None if free else start_of(span.begun, corner, kind, new_nm),
        readings=readings,
        limit_nm=judgement.bound.strictest.nm if judgement.bound.strictest else None,
        new_nm=new_nm,
        is_out=judgement.outcome is Outcome.OUT,
        unresolved=_unresolved(file, corner, judgement, span),
        as_of=file.visit.day,
        as_of_odometer_mm=file.visit.odometer_mm,
    )
    return RecordedLife(
        life=life,
        begun=span.begun,
        restarted_on=free.visit.day if free else None,
        is_sound=not life.unresolved and life.limit_nm is not None,
    )


def finished_lives(file: CaseFile, corner: Corner, measure: Measure) -> Iterator[RecordedLife]:
    """Yield the lives of the parts that were at a place before the one that is there now."""
    position = measure.facts.position
    assert position is not None
    for span in spans_at(file, corner, position)[:-1]:
        yield finished_life(file, corner, measure, span)


def finished_life(file: CaseFile, corner: Corner, measure: Measure, span: Span) -> RecordedLife:
    """Return the life of a part that was at a place for a time that has ended."""
    position = measure.facts.position
    assert position is not None
    assert span.ended is not None
    kind, new_nm = wear_kind(corner, position), new_size_nm(file, corner, measure)
    bound = file.bounds.of(measure.facts.limit, corner, which_pad=measure.facts.which_pad)
    sets = _sets_at(file, corner, measure)
    ended = file.visits[file.placed.order[span.ended.visit_id]]
    is_free = worn_free_since(file, corner, position.part, span.begun, ended) is None
    stuck = stuck_text(file, corner, position.part, span.begun, ended)
    return RecordedLife(
        life=PartLife(
            kind=kind,
            grows=position is Position.DRUM,
            start=start_of(span.begun, corner, kind, new_nm),
            readings=tuple(_readings(file, corner, measure, span, sets)),
            limit_nm=bound.strictest.nm if bound.strictest else None,
            new_nm=new_nm,
            is_out=False,
            as_of=ended.day,
            as_of_odometer_mm=ended.odometer_mm,
        ),
        begun=span.begun,
        is_sound=(
            is_free
            and stuck is None
            and bound.strictest is not None
            and not about_history(file, (each.id for each in sets))
            and len({each.datum for each in sets}) <= 1
        ),
    )


def readings_in(
    file: CaseFile, corner: Corner, measure: Measure, span: Span
) -> tuple[Reading, ...]:
    """Return one reading a visit of the part of a span, whether a projection counts it or not."""
    return tuple(_readings(file, corner, measure, span, _sets_at(file, corner, measure)))


def new_size_nm(file: CaseFile, corner: Corner, measure: Measure) -> int | None:
    """Return the new size of the sheet, the first figure printed; None where there is none. [nm]"""
    kind: LimitKind | None = measure.facts.new
    if kind is None:
        return None
    bound = file.bounds.of(kind, corner, which_pad=measure.facts.which_pad)
    return bound.figures[0].nm if bound.figures else None


def _unresolved(
    file: CaseFile, corner: Corner, judgement: Judgement, span: Span
) -> tuple[str, ...]:
    """Return what has to be cleared up first: about today's reading, or about its history."""
    quantities = judgement.measure.facts.quantities
    ids = (each.id for quantity in quantities for each in file.sets_of(corner, quantity))
    asked = (*judgement.questions, *about_history(file, ids))
    texts = dict.fromkeys(question.ask.rstrip(".") for question in asked)
    stuck = stuck_text(file, corner, judgement.measure.facts.part, span.begun)
    if stuck is not None:
        texts[stuck] = None
    return tuple(texts)


def _sets_at(file: CaseFile, corner: Corner, measure: Measure) -> list[ReadingSet]:
    return [
        each
        for quantity in measure.facts.quantities
        for each in file.sets_of(corner, quantity)
        if each.measured_nm
    ]


def _readings(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    span: Span,
    sets: Iterable[ReadingSet],
    *,
    since: Visit | None = None,
) -> Iterator[Reading]:
    """Yield one reading a visit, the deciding one, while the part was on the car."""
    by_visit: dict[str, list[ReadingSet]] = {}
    for each in sets:
        by_visit.setdefault(each.visit_id, []).append(each)
    begun, ended = span.begun, span.ended
    is_on = begun is None
    for visit in file.visits:
        is_first = begun is not None and visit.id == begun.visit_id
        is_last = visit.id == (ended.visit_id if ended else file.visit.id)
        is_on = is_on or is_first
        if since is not None and (visit.day, visit.odometer_mm) < (since.day, since.odometer_mm):
            continue
        if is_on and not (is_first and is_last and ended) and visit.id in by_visit:
            stage = Stage.AS_LEFT if is_first else _stage_to_read(file, corner, measure, visit)
            if ended and is_last:
                stage = Stage.AS_FOUND
            here = [each for each in by_visit[visit.id] if each.stage is stage]
            if not here and not is_first and not is_last:
                # The part was not changed in between, so what it read as left holds as well.
                here = by_visit[visit.id]
            if visit.id != file.visit.id or ended:
                here = _last_of_each(here)
            if here:
                yield _reading(file, measure, visit, here)
        if is_last:
            return


def _last_of_each(sets: list[ReadingSet]) -> list[ReadingSet]:
    """Return the last set of each quantity: what was read again stands for what it answered."""
    return list({each.quantity: each for each in sets}.values())


def _stage_to_read(file: CaseFile, corner: Corner, measure: Measure, visit: Visit) -> Stage:
    if visit.id == file.visit.id and file.stage is Stage.AS_LEFT:
        sets = file.sets_at(corner, measure.facts.quantities[0])
        return sets[0].stage if sets else Stage.AS_LEFT
    return Stage.AS_FOUND


def _reading(file: CaseFile, measure: Measure, visit: Visit, sets: list[ReadingSet]) -> Reading:
    pick = min if measure.facts.limit.facts.least else max
    reading = sets[0] if len(sets) == 1 else pick(sets, key=lambda each: _worst_nm(each, pick))
    spread = spread_for(file, reading)
    return Reading(
        odometer_mm=visit.odometer_mm,
        value_nm=_worst_nm(reading, pick),
        sigma1_nm=sigma1_between_visits_nm(reading.quantity, spread.u1_nm),
        day=visit.day,
    )


def _worst_nm(reading: ReadingSet, pick: Callable[[Sequence[int]], int]) -> int:
    return pick(reading.every_nm) - reading.zero_error_nm


def start_of(
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
