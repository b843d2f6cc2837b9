"""Comparing one set of readings, as it stands, with every figure of its limit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial

from brakelog.metrology.conformance import conformance_probability
from brakelog.metrology.uncertainty import Spread
from brakelog.record.corner import Corner
from brakelog.record.reading import ReadingSet
from brakelog.rules.bound import Bound, BoundFigure, BoundState
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out, is_proven, margin_nm
from brakelog.rules.deciding import DecidingValue, cold_nm, corrected_nm, deciding_value, left_out
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.proving import doubts_about, play_of
from brakelog.rules.spreading import spread_for


def judge_sets(
    file: CaseFile, corner: Corner, measure: Measure, sets: tuple[ReadingSet, ...]
) -> Judgement:
    """Judge readings as they are; what they ask about themselves comes on top."""
    facts = measure.facts
    bound = file.bounds.of(facts.limit, corner, which_pad=facts.which_pad, datum=sets[0].datum)
    spread = max((spread_for(file, each) for each in sets), key=_u1_nm)
    value = deciding_value(file, corner, measure, sets, spread, bound)
    if value is None:
        return Judgement(measure=measure, outcome=without_reading(bound), bound=bound)
    read = partial(
        Judgement,
        measure=measure,
        bound=bound,
        set_ids=tuple(each.id for each in sets),
        value_nm=value.nm,
        typed=value.typed,
        place=value.place,
        points=value.points,
        points_needed=value.needed,
        left_out=left_out(file, value.deciding_set),
        gauge=spread.label,
        gauge_known=spread.is_known,
        read_with=_read_with(file, value.deciding_set),
        overdue=_overdue(file, value.deciding_set),
        u1_nm=value.u1_nm,
        is_difference=value.is_difference,
    )
    if not bound.figures:
        contradicts = bound.state is BoundState.CONTRADICTS
        outcome = Outcome.CONTRADICTS if contradicts else Outcome.NO_LIMIT
        doubts = play_of(measure, value.deciding_set)
        return read(outcome=outcome, judged_nm=Fraction(value.nm), doubts=doubts)
    return _against(file, corner, measure, read, bound, value, spread, sets)


def _u1_nm(spread: Spread) -> float:
    return spread.u1_nm


def _read_with(file: CaseFile, reading: ReadingSet) -> str:
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    person = file.people.get(reading.person_id) if reading.person_id else None
    return ", ".join(text for text in (gauge.tag if gauge else "", person or "") if text)


def _overdue(file: CaseFile, reading: ReadingSet) -> str:
    """Name the gauge and its day, where it was used past its check."""
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    if gauge is None or not gauge.is_overdue(file.visit.day):
        return ""
    if gauge.next_check is None:
        return f"{gauge.tag}, never checked"
    return f"{gauge.tag}, check due {gauge.next_check.isoformat()}"


def _against(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    read: Callable[..., Judgement],
    bound: Bound,
    value: DecidingValue,
    spread: Spread,
    sets: tuple[ReadingSet, ...],
) -> Judgement:
    """Compare with every figure; the stricter decides; then ask whether it is proven."""
    judged_nm, corrections, would_relax = _corrected(value, measure)
    failing = [each for each in bound.figures if _fails(judged_nm, each)]
    deciding = _closest(failing or bound.figures, judged_nm)
    margin = margin_nm(judged_nm, deciding.out_when, deciding.nm)
    probability = conformance_probability(float(margin), value.u1_nm)
    doubts = doubts_about(file, corner, measure, bound, value, spread, sets)
    outcome = Outcome.IN
    if failing:
        unfit = Doubt.UNFIT_GAUGE in doubts and -float(margin) <= 2 * value.u1_nm
        excuses: tuple[Doubt, ...] = ()
        if unfit:
            excuses = (Doubt.UNFIT_GAUGE,)
        elif would_relax:
            cold = cold_nm(value.nm, value.deciding_set)
            if not any(_fails(cold, each) for each in bound.figures):
                excuses = (Doubt.MEASURE_COLD,)
        outcome = Outcome.NOT_PROVEN if excuses else Outcome.OUT
        doubts = (*excuses, *play_of(measure, value.deciding_set))
    else:
        if not is_proven(probability, file.shop.probability):
            doubts = (Doubt.TOO_CLOSE, *doubts)
        if doubts:
            outcome = Outcome.NOT_PROVEN
    return read(
        outcome=outcome,
        judged_nm=Fraction(judged_nm),
        deciding=deciding,
        margin_nm=Fraction(margin),
        probability=probability,
        corrections=corrections,
        doubts=doubts,
    )


def _fails(judged_nm: int | Fraction, figure: BoundFigure) -> bool:
    return is_out(judged_nm, figure.out_when, figure.nm)


def _closest(figures: Sequence[BoundFigure], judged_nm: int | Fraction) -> BoundFigure:
    return min(figures, key=lambda each: margin_nm(judged_nm, each.out_when, each.nm))


def _corrected(
    value: DecidingValue, measure: Measure
) -> tuple[int | Fraction, tuple[str, ...], bool]:
    """Apply zero error, and temperature only where it makes the verdict stricter."""
    if value.is_difference:
        return value.nm, (), False
    reading = value.deciding_set
    judged = corrected_nm(value.nm, reading, least=measure.facts.limit.facts.least)
    corrections = ["zero error of the day"] if reading.zero_error_nm else []
    if judged != value.nm - reading.zero_error_nm:
        corrections.append("temperature of the part, to 20 degrees Celsius")
    return judged, tuple(corrections), cold_nm(value.nm, reading) != judged


def without_reading(bound: Bound) -> Outcome:
    """Return the outcome of a measure that nobody read."""
    if bound.state is BoundState.MISSING:
        return Outcome.NO_LIMIT
    if bound.state is BoundState.CONTRADICTS:
        return Outcome.CONTRADICTS
    return Outcome.NO_READING
