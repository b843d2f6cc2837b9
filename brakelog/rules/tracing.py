"""From the record of a vehicle to the history of one place: its parts, one after the other."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date

from brakelog.record.corner import Corner
from brakelog.record.fitting import FittingEvent
from brakelog.record.reading import ReadingSet
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.fan import fan_of
from brakelog.rules.judgement import Judgement
from brakelog.rules.judging import judge_measure
from brakelog.rules.lives import LifeCase, life_case, position_of, projected
from brakelog.rules.measure import Measure
from brakelog.rules.part_history import (
    FinishedPart,
    PlaceHistory,
    RecordedReading,
    RunningPart,
)
from brakelog.rules.part_life import Span, finished_lives, readings_in, spans_at
from brakelog.rules.stuck import stuck_text, worn_free_since
from brakelog.wear.life import PartLife, Reading
from brakelog.wear.straight import plain_check
from brakelog.wear.trend import trend_of


def place_history(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    *,
    case_of: Callable[[Visit], CaseFile],
    today: date,
) -> PlaceHistory:
    """Return every part that was at one place.

    Parameters
    ----------
    file : CaseFile
        The case of the newest visit, with its questions.
    corner : Corner
        The corner.
    measure : Measure
        The safety measure whose size the part has.
    case_of : callable
        Gives the case of an earlier visit, with its questions.
    today : date
        The day of asking; from a reading that is too old by then nothing is projected.

    Notes
    -----
    What the newest visit did not measure is judged as the visit judged it that measured it last,
    but everything that is on file today counts: an odometer that is asked about, a fault that was
    found or put right since.
    """
    *before, now = spans_at(file, corner, position_of(measure))
    finished = [
        FinishedPart(
            begun=span.begun,
            ended=span.ended,
            readings=_recorded(file, corner, measure, span, each.life, None),
            life=each.life,
            worn_by_fault=_is_worn_by_fault(file, corner, measure, span),
        )
        for span, each in zip(before, finished_lives(file, corner, measure), strict=True)
        if span.ended is not None and not _is_nothing(span)
    ]
    return PlaceHistory(
        corner=corner,
        position=position_of(measure),
        finished=tuple(each for each in finished if each.begun or each.readings),
        running=_running(file, corner, measure, now, case_of, today),
    )


def _is_nothing(span: Span) -> bool:
    """Whether a span is the time after a part was taken off and nothing put on."""
    return span.begun is not None and span.begun.event is FittingEvent.REMOVED


def _running(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    span: Span,
    case_of: Callable[[Visit], CaseFile],
    today: date,
) -> RunningPart | None:
    judgement = _last_judgement(file, corner, measure, span, case_of)
    case = _as_of(life_case(file, corner, judgement), today)
    life = case.recorded.life
    told = projected(file, case, judgement)
    readings = _recorded(file, corner, measure, span, life, told.projection.flagged)
    if not readings and (span.begun is None or _is_nothing(span)):
        return None
    has_distance = told.projection.refusal is None
    return RunningPart(
        begun=span.begun,
        readings=readings,
        life=life,
        told=told,
        limit=judgement.bound.strictest,
        trend=trend_of(life, told.projection),
        fan=fan_of(told, life, file.shop.distance_unit),
        check=plain_check(life) if has_distance else None,
    )


def _as_of(case: LifeCase, today: date) -> LifeCase:
    life = case.recorded.life
    life = replace(life, as_of=max(life.as_of, today))
    return replace(case, recorded=replace(case.recorded, life=life))


def _last_judgement(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    span: Span,
    case_of: Callable[[Visit], CaseFile],
) -> Judgement:
    """Return the judgement of the visit that measured the part last; of the newest if none did."""
    measured = {each.visit_id for each in _sets(file, corner, measure)}
    ids = [visit.id for visit in file.visits]
    first = ids.index(span.begun.visit_id) if span.begun else 0
    for visit in reversed(file.visits[first:]):
        if visit.id in measured:
            case = file if visit.id == file.visit.id else case_of(visit)
            judgement = judge_measure(case, corner, measure)
            if judgement.value_nm is not None:
                return judgement
    return judge_measure(file, corner, measure)


def _sets(file: CaseFile, corner: Corner, measure: Measure) -> list[ReadingSet]:
    return [
        each
        for quantity in measure.facts.quantities
        for each in file.sets_of(corner, quantity)
        if each.measured_nm
    ]


def _recorded(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    span: Span,
    life: PartLife,
    flagged: int | None,
) -> tuple[RecordedReading, ...]:
    """Return every reading of a part, those that count as the life has them."""
    counted = {(each.day, each.odometer_mm): n for n, each in enumerate(life.readings)}
    readings: list[tuple[Reading, int | None]] = [(each, n) for n, each in enumerate(life.readings)]
    readings += [
        (each, None)
        for each in readings_in(file, corner, measure, span)
        if (each.day, each.odometer_mm) not in counted
    ]
    sets = _sets(file, corner, measure)
    visits = {(visit.day, visit.odometer_mm): visit for visit in file.visits}
    found = [
        _reading(
            file,
            reading,
            visits[reading.day, reading.odometer_mm],
            sets,
            counts=index is not None,
            is_flagged=index is not None and index == flagged,
        )
        for reading, index in readings
    ]
    order = {visit.id: n for n, visit in enumerate(file.visits)}
    return tuple(sorted(found, key=lambda each: order[each.visit_id]))


def _reading(
    file: CaseFile,
    reading: Reading,
    visit: Visit,
    sets: Iterable[ReadingSet],
    *,
    counts: bool,
    is_flagged: bool,
) -> RecordedReading:
    here = [each for each in sets if each.visit_id == visit.id]
    # The newest that has the value; what was read again stands for what it answered.
    its_set, typed = next(
        (each, typed)
        for each in reversed(here)
        for nm, typed in _typed(each)
        if nm - each.zero_error_nm == reading.value_nm
    )
    gauge = file.gauges.get(its_set.gauge_id) if its_set.gauge_id else None
    return RecordedReading(
        visit_id=visit.id,
        day=reading.day,
        odometer_mm=reading.odometer_mm,
        size_nm=reading.value_nm,
        u1_nm=reading.sigma1_nm,
        typed=typed,
        stage=its_set.stage,
        set_id=its_set.id,
        gauge=gauge.tag if gauge else "",
        datum=its_set.datum,
        counts=counts,
        is_flagged=is_flagged,
    )


def _typed(reading: ReadingSet) -> list[tuple[int, str]]:
    pairs = zip(reading.values_nm, reading.typed, strict=True)
    found = [(nm, typed) for nm, typed in pairs if nm is not None]
    if reading.again_nm is not None:
        found.append((reading.again_nm, reading.again_typed))
    return found


def _is_worn_by_fault(file: CaseFile, corner: Corner, measure: Measure, span: Span) -> bool:
    assert span.ended is not None
    ended = next(visit for visit in file.visits if visit.id == span.ended.visit_id)
    part = position_of(measure).part
    return (
        stuck_text(file, corner, part, span.begun, ended) is not None
        or worn_free_since(file, corner, part, span.begun, ended) is not None
    )
