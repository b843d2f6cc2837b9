"""Judging one measure: the deciding value against every figure of its limit."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from brakelog.metrology.conformance import conformance_probability
from brakelog.metrology.uncertainty import Spread, spread_of
from brakelog.record.corner import Corner
from brakelog.record.reading import ReadingSet, Stage
from brakelog.rules.bound import Bound, BoundFigure, BoundState, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out, margin_nm
from brakelog.rules.deciding import DecidingValue, cold_nm, corrected_nm, deciding_value
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.proving import doubts_about


def judge_measure(file: CaseFile, corner: Corner, measure: Measure) -> Judgement:
    """Judge one measure at one corner; never raises on data.

    Where several sets of the same visit measure it, the newest decides, unless an earlier one says
    ``out``, or left it open with more points: a part is not measured until it passes. For a safety
    measure that holds from as found to as left too, where the part was not changed.
    """
    facts = measure.facts
    judged = [_judge_round(file, corner, measure, sets) for sets in _rounds(file, corner, measure)]
    if not judged:
        bound = bound_for(
            facts.limit, corner, file.limits, file.confirmations, which_pad=facts.which_pad
        )
        return Judgement(measure=measure, outcome=_without_reading(bound), bound=bound)
    newest, earlier = judged[-1], judged[:-1]
    out = [each for each in (*_as_found(file, corner, measure), *earlier) if _is_out(each)]
    if out and not _is_out(newest):
        return replace(out[-1], doubts=(*out[-1].doubts, Doubt.RE_MEASURED))
    is_open = (Outcome.NOT_PROVEN, Outcome.IN_QUESTION)
    if newest.outcome is Outcome.IN and any(
        each.outcome in is_open and each.points > newest.points for each in earlier
    ):
        return replace(newest, outcome=Outcome.NOT_PROVEN, doubts=(Doubt.FEWER_POINTS,))
    return newest


def _is_out(judgement: Judgement) -> bool:
    return judgement.outcome is Outcome.OUT


def _as_found(file: CaseFile, corner: Corner, measure: Measure) -> list[Judgement]:
    """Judge what was found of a part that is still the same one as left."""
    if file.stage is Stage.AS_FOUND or not measure.facts.is_safety:
        return []
    if any(file.was_changed(corner, quantity) for quantity in measure.facts.quantities):
        return []
    before = replace(file, stage=Stage.AS_FOUND)
    return [
        _judge_round(before, corner, measure, sets) for sets in _rounds(before, corner, measure)
    ]


def least_favourable_nm(file: CaseFile, corner: Corner, measure: Measure) -> Fraction | None:
    """Return the worst size that any set of the visit and stage gives. [nm]"""
    judged = [_judge_round(file, corner, measure, sets) for sets in _rounds(file, corner, measure)]
    sizes = [each.judged_nm for each in judged if each.judged_nm is not None]
    pick = min if measure.facts.limit.facts.least else max
    return pick(sizes) if sizes else None


def _without_reading(bound: Bound) -> Outcome:
    if bound.state is BoundState.MISSING:
        return Outcome.NO_LIMIT
    if bound.state is BoundState.CONTRADICTS:
        return Outcome.CONTRADICTS
    return Outcome.NO_READING


def _rounds(file: CaseFile, corner: Corner, measure: Measure) -> list[tuple[ReadingSet, ...]]:
    """Return the sets to judge together, one tuple for each time it was measured."""
    if measure.facts.limit.facts.part.value == "drum":
        edges = [
            [s for s in file.sets_at(corner, quantity) if s.measured_nm]
            for quantity in measure.facts.quantities
        ]
        count = max(len(edge) for edge in edges)
        return [tuple(edge[min(n, len(edge) - 1)] for edge in edges if edge) for n in range(count)]
    quantity = measure.facts.quantities[0]
    return [(s,) for s in file.sets_at(corner, quantity) if s.measured_nm]


def _judge_round(
    file: CaseFile, corner: Corner, measure: Measure, sets: tuple[ReadingSet, ...]
) -> Judgement:
    facts = measure.facts
    bound = bound_for(
        facts.limit,
        corner,
        file.limits,
        file.confirmations,
        which_pad=facts.which_pad,
        datum=sets[0].datum,
    )
    spreads = [_spread(file, each) for each in sets]
    spread = max(spreads, key=lambda each: each.u1_nm)
    value = deciding_value(file, corner, measure, sets, spread, bound)
    if value is None:
        return Judgement(measure=measure, outcome=_without_reading(bound), bound=bound)
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
        u1_nm=value.u1_nm,
    )
    if bound.state is BoundState.CONTRADICTS:
        return replace(judgement, outcome=Outcome.CONTRADICTS)
    if not bound.figures:
        return judgement
    return _against(file, corner, judgement, bound, value, spread)


def _read_with(file: CaseFile, reading: ReadingSet) -> str:
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    person = file.people.get(reading.person_id) if reading.person_id else None
    return ", ".join(text for text in (gauge.tag if gauge else "", person or "") if text)


def _spread(file: CaseFile, reading: ReadingSet) -> Spread:
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    return spread_of(reading.quantity, gauge)


def _against(
    file: CaseFile,
    corner: Corner,
    judgement: Judgement,
    bound: Bound,
    value: DecidingValue,
    spread: Spread,
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
    doubts = doubts_about(file, corner, judgement, bound, value, spread)
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
    if Doubt.BEYOND_NEW in doubts:
        return replace(judgement, outcome=Outcome.IN_QUESTION, doubts=doubts)
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
