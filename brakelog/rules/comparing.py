"""Comparing one set of readings, as it stands, with every figure of its limit."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from brakelog.metrology.conformance import conformance_probability
from brakelog.metrology.uncertainty import Spread
from brakelog.record.corner import Corner
from brakelog.record.reading import ReadingSet
from brakelog.rules.bound import Bound, BoundFigure, BoundState, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out, margin_nm
from brakelog.rules.deciding import DecidingValue, cold_nm, corrected_nm, deciding_value
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.proving import doubts_about
from brakelog.rules.spreading import spread_for


def judge_sets(
    file: CaseFile, corner: Corner, measure: Measure, sets: tuple[ReadingSet, ...]
) -> Judgement:
    """Judge readings as they are; what they ask about themselves comes on top."""
    facts = measure.facts
    bound = bound_for(
        facts.limit,
        corner,
        file.limits,
        file.confirmations,
        which_pad=facts.which_pad,
        datum=sets[0].datum,
    )
    spreads = [spread_for(file, each) for each in sets]
    spread = max(spreads, key=lambda each: each.u1_nm)
    value = deciding_value(file, corner, measure, sets, spread, bound)
    if value is None:
        return Judgement(measure=measure, outcome=without_reading(bound), bound=bound)
    judgement = Judgement(
        measure=measure,
        outcome=Outcome.NO_LIMIT,
        bound=bound,
        set_ids=tuple(each.id for each in sets),
        value_nm=value.nm,
        judged_nm=Fraction(value.nm),
        typed=value.typed,
        place=value.place,
        points=value.points,
        points_needed=value.needed,
        gauge=spread.label,
        gauge_known=spread.is_known,
        read_with=_read_with(file, value.deciding_set),
        overdue=_overdue(file, value.deciding_set),
        u1_nm=value.u1_nm,
        is_difference=value.is_difference,
    )
    if bound.state is BoundState.CONTRADICTS:
        return replace(judgement, outcome=Outcome.CONTRADICTS)
    if not bound.figures:
        return judgement
    return _against(file, corner, judgement, bound, value, spread, sets)


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
    judgement: Judgement,
    bound: Bound,
    value: DecidingValue,
    spread: Spread,
    sets: tuple[ReadingSet, ...],
) -> Judgement:
    """Compare with every figure; the stricter decides; then ask whether it is proven."""
    strictest = bound.strictest
    assert strictest is not None
    judged_nm, corrections, would_relax = _corrected(value, judgement)
    verdicts = [(is_out(judged_nm, each.limit.comparator, each.nm), each) for each in bound.figures]
    out = any(flag for flag, _ in verdicts)
    failing = [each for flag, each in verdicts if flag]
    deciding = _closest(failing or list(bound.figures), judged_nm)
    margin = Fraction(margin_nm(judged_nm, deciding.limit.comparator, deciding.nm))
    probability = conformance_probability(float(margin), value.u1_nm)
    judgement = replace(
        judgement,
        judged_nm=judged_nm,
        deciding=deciding,
        margin_nm=margin,
        probability=probability,
        corrections=corrections,
    )
    doubts = doubts_about(file, corner, judgement, bound, value, spread, sets)
    if out:
        unfit = Doubt.UNFIT_GAUGE in doubts and -float(margin) <= 2 * value.u1_nm
        cold = would_relax and not any(
            is_out(cold_nm(value.nm, value.deciding_set), each.limit.comparator, each.nm)
            for each in bound.figures
        )
        if unfit:
            return replace(judgement, outcome=Outcome.NOT_PROVEN, doubts=(Doubt.UNFIT_GAUGE,))
        if cold:
            return replace(judgement, outcome=Outcome.NOT_PROVEN, doubts=(Doubt.MEASURE_COLD,))
        return replace(judgement, outcome=Outcome.OUT)
    if probability < file.shop.probability:
        doubts = (Doubt.TOO_CLOSE, *doubts)
    if doubts:
        return replace(judgement, outcome=Outcome.NOT_PROVEN, doubts=doubts)
    return replace(judgement, outcome=Outcome.IN)


def _closest(figures: list[BoundFigure], judged_nm: Fraction) -> BoundFigure:
    return min(figures, key=lambda each: margin_nm(judged_nm, each.limit.comparator, each.nm))


def _corrected(
    value: DecidingValue, judgement: Judgement
) -> tuple[Fraction, tuple[str, ...], bool]:
    """Apply zero error, and temperature only where it makes the verdict stricter."""
    if value.is_difference:
        return Fraction(value.nm), (), False
    reading = value.deciding_set
    judged = corrected_nm(value.nm, reading, least=judgement.measure.facts.limit.facts.least)
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
