"""Judging one measure: the deciding value, its limit, and whether that is proven."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction

from brakelog.metrology.conformance import conformance_probability
from brakelog.metrology.temperature import at_reference_nm
from brakelog.metrology.uncertainty import Spread, spread_of
from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.bound import Bound, BoundFigure, BoundState, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out, margin_nm
from brakelog.rules.judgement import Doubt, Judgement, Outcome
from brakelog.rules.measure import Measure

POINTS_THICKNESS = 4
"""Points for a rotor thickness to count as in limits where the maker names no number: "4 or
more" in service information of several makers."""
POINTS_VARIATION = 8
"""Points for a thickness variation: "at least 8" in service information of several makers; four
points can miss a two-lobed variation altogether."""
POINTS_DRUM = 2
"""Diameters at one edge, 90 degrees apart: common practice."""

BEYOND_NEW_NM = {
    Measure.ROTOR_THICKNESS: 300_000,
    Measure.DRUM_DIAMETER: 300_000,
    Measure.INNER_LINING: 1_000_000,
    Measure.OUTER_LINING: 1_000_000,
    Measure.LEADING_LINING: 1_000_000,
    Measure.TRAILING_LINING: 1_000_000,
}
"""How far beyond the size of a new part a reading may lie before it is doubted: 0.3 mm for iron
and 1.0 mm for linings, common practice; beyond it the unit, the row of the sheet, or a backing
plate measured along with the lining is likelier than a thick part. [nm]"""


def judge_measure(file: CaseFile, corner: Corner, measure: Measure) -> Judgement:
    """Judge one measure at one corner; never raises on data.

    Where several sets of the same visit and stage measure it, the newest decides, unless an
    earlier one says ``out``: a part is not measured until it passes.
    """
    facts = measure.facts
    rounds = _rounds(file, corner, measure)
    if not rounds:
        datum = None
        bound = bound_for(
            facts.limit,
            corner,
            file.limits,
            file.confirmations,
            which_pad=facts.which_pad,
            datum=datum,
        )
        return Judgement(measure=measure, outcome=_without_reading(bound), bound=bound)
    judged = [_judge_round(file, corner, measure, sets) for sets in rounds]
    newest = judged[-1]
    earlier_out = next((each for each in judged[:-1] if each.outcome is Outcome.OUT), None)
    if earlier_out is not None and newest.outcome is not Outcome.OUT:
        return replace(earlier_out, doubts=(*earlier_out.doubts, Doubt.RE_MEASURED))
    return newest


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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Value:
    """The deciding value with what belongs to it."""

    nm: int
    typed: str
    place: str
    points: int
    needed: int
    u1_nm: float
    is_difference: bool
    deciding_set: ReadingSet


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
    value = _deciding(file, corner, measure, sets, spread, bound)
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


def _deciding(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    sets: tuple[ReadingSet, ...],
    spread: Spread,
    bound: Bound,
) -> _Value | None:
    match measure:
        case Measure.THICKNESS_VARIATION:
            return _variation(sets[0], spread, bound)
        case Measure.OUT_OF_ROUND:
            return _out_of_round(sets, spread)
        case Measure.BELL_MOUTH:
            return _bell_mouth(sets, spread)
        case Measure.RUNOUT | Measure.HUB_RUNOUT:
            return _extreme(sets, spread, largest=True, needed=1, is_difference=True)
        case Measure.SCORING:
            return _extreme(sets, spread, largest=True, needed=1)
        case Measure.DRUM_DIAMETER:
            return _extreme(sets, spread, largest=True, needed=_drum_points(file, corner))
        case Measure.ROTOR_THICKNESS:
            needed = bound.points or POINTS_THICKNESS
            return _extreme(sets, spread, largest=False, needed=needed)
        case _:
            return _extreme(sets, spread, largest=False, needed=1)


def _extreme(
    sets: tuple[ReadingSet, ...],
    spread: Spread,
    *,
    largest: bool,
    needed: int,
    is_difference: bool = False,
) -> _Value:
    """Lowest reading of a thickness or lining, highest of a diameter; never a mean."""
    pick = max if largest else min
    candidates: list[tuple[int, str, str, ReadingSet]] = []
    is_single = len(sets[0].quantity.facts.points) == 1
    for each in sets:
        for index, nm in enumerate(each.values_nm):
            if nm is not None:
                place = "" if is_single else place_name(each, index)
                candidates.append((nm, each.typed[index], place, each))
        if each.again_nm is not None:
            candidates.append((each.again_nm, each.again_typed, "point 1, read again", each))
    nm, typed, place, deciding_set = pick(candidates, key=lambda each: each[0])
    return _Value(
        nm=nm,
        typed=typed,
        place=place,
        points=sum(len(each.measured_nm) for each in sets),
        needed=needed,
        u1_nm=spread.u1_difference_nm if is_difference else spread.u1_nm,
        is_difference=is_difference,
        deciding_set=deciding_set,
    )


def _variation(reading: ReadingSet, spread: Spread, bound: Bound) -> _Value | None:
    measured = [(nm, n) for n, nm in enumerate(reading.values_nm) if nm is not None]
    if len(measured) < 2:
        return None
    low, high = min(measured), max(measured)
    return _Value(
        nm=high[0] - low[0],
        typed=f"{reading.typed[high[1]]} - {reading.typed[low[1]]}",
        place=f"{place_name(reading, high[1])} to {place_name(reading, low[1])}",
        points=len(measured),
        needed=max(bound.points or 0, POINTS_VARIATION),
        u1_nm=spread.u1_difference_nm,
        is_difference=True,
        deciding_set=reading,
    )


def _out_of_round(sets: tuple[ReadingSet, ...], spread: Spread) -> _Value | None:
    found = [
        value for value in (_edge_difference(each, spread) for each in sets) if value is not None
    ]
    return max(found, key=lambda each: each.nm) if found else None


def _edge_difference(reading: ReadingSet, spread: Spread) -> _Value | None:
    measured = [(nm, n) for n, nm in enumerate(reading.values_nm) if nm is not None]
    if len(measured) < 2:
        return None
    low, high = min(measured), max(measured)
    edge = "open edge" if reading.quantity is Quantity.DRUM_OPEN else "closed edge"
    return _Value(
        nm=high[0] - low[0],
        typed=f"{reading.typed[high[1]]} - {reading.typed[low[1]]}",
        place=edge,
        points=len(measured),
        needed=POINTS_DRUM,
        u1_nm=spread.u1_difference_nm,
        is_difference=True,
        deciding_set=reading,
    )


def _bell_mouth(sets: tuple[ReadingSet, ...], spread: Spread) -> _Value | None:
    """Return the largest, over the angles measured, of open edge minus closed edge."""
    opened = next((s for s in sets if s.quantity is Quantity.DRUM_OPEN), None)
    closed = next((s for s in sets if s.quantity is Quantity.DRUM_CLOSED), None)
    if opened is None or closed is None:
        return None
    pairs = [
        (wide - narrow, n)
        for n, (wide, narrow) in enumerate(zip(opened.values_nm, closed.values_nm, strict=False))
        if wide is not None and narrow is not None
    ]
    if not pairs:
        return None
    largest, index = max(pairs)
    return _Value(
        nm=largest,
        typed=f"{opened.typed[index]} - {closed.typed[index]}",
        place=place_name(opened, index),
        points=len(pairs),
        needed=POINTS_DRUM,
        u1_nm=spread.u1_difference_nm,
        is_difference=True,
        deciding_set=opened,
    )


def _drum_points(file: CaseFile, corner: Corner) -> int:
    """Two diameters, at each edge where a bell-mouth limit exists."""
    bell = bound_for(Measure.BELL_MOUTH.facts.limit, corner, file.limits, file.confirmations)
    return POINTS_DRUM if bell.state is BoundState.MISSING else 2 * POINTS_DRUM


def place_name(reading: ReadingSet, index: int) -> str:
    """Return the trade's name for the place of one reading of a set."""
    names = reading.quantity.facts.points
    if reading.quantity is Quantity.ROTOR or index >= len(names):
        return f"point {index + 1}"
    return names[index]


def _against(
    file: CaseFile,
    corner: Corner,
    judgement: Judgement,
    bound: Bound,
    value: _Value,
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
    doubts = _doubts(file, corner, judgement, bound, value, spread)
    if out:
        unfit = Doubt.UNFIT_GAUGE in doubts and -float(margin) <= 2 * value.u1_nm
        cold = would_relax and not any(
            is_out(_cold(value), each.limit.comparator, each.nm) for each in bound.figures
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


def _cold(value: _Value) -> Fraction:
    temperature = value.deciding_set.temperature_dc
    zeroed = value.nm - (0 if value.is_difference else value.deciding_set.zero_error_nm)
    return Fraction(zeroed) if temperature is None else at_reference_nm(zeroed, temperature)


def _corrected(value: _Value, judgement: Judgement) -> tuple[Fraction, tuple[str, ...], bool]:
    """Apply zero error, and temperature only where it makes the verdict stricter."""
    if value.is_difference or judgement.measure is Measure.SCORING:
        return Fraction(value.nm), (), False
    reading = value.deciding_set
    corrections: list[str] = []
    judged = Fraction(value.nm - reading.zero_error_nm)
    if reading.zero_error_nm:
        corrections.append("zero error of the day")
    is_iron = judgement.measure in (Measure.ROTOR_THICKNESS, Measure.DRUM_DIAMETER)
    if reading.temperature_dc is None or not is_iron:
        return judged, tuple(corrections), False
    cold = _cold(value)
    least = judgement.measure.facts.limit.facts.least
    stricter = cold < judged if least else cold > judged
    if stricter:
        corrections.append("temperature of the part, to 20 degrees Celsius")
        return cold, tuple(corrections), False
    return judged, tuple(corrections), cold != judged


def _doubts(
    file: CaseFile,
    corner: Corner,
    judgement: Judgement,
    bound: Bound,
    value: _Value,
    spread: Spread,
) -> tuple[Doubt, ...]:
    doubts: list[Doubt] = []
    measure = judgement.measure
    if _is_beyond_new(file, corner, judgement, value):
        doubts.append(Doubt.BEYOND_NEW)
    if value.points < value.needed or _lacks_an_edge(file, corner, measure, judgement):
        doubts.append(Doubt.FEW_POINTS)
    if value.is_difference and _is_unfit(file, bound, value, spread):
        doubts.append(Doubt.UNFIT_GAUGE)
    if not spread.proves:
        doubts.append(Doubt.NEVER_PROVES)
    if measure in (Measure.RUNOUT, Measure.HUB_RUNOUT):
        doubts.extend(_runout_doubts(bound, value.deciding_set, measure))
    return tuple(doubts)


def _is_unfit(file: CaseFile, bound: Bound, value: _Value, spread: Spread) -> bool:
    strictest = bound.strictest
    assert strictest is not None
    reading = value.deciding_set
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    resolution_nm = gauge.resolution_nm if gauge else 0
    return (
        not spread.takes_differences
        or 2 * value.u1_nm > strictest.nm
        or resolution_nm > strictest.nm
    )


def _runout_doubts(bound: Bound, reading: ReadingSet, measure: Measure) -> list[Doubt]:
    doubts: list[Doubt] = []
    if measure is Measure.RUNOUT and (
        reading.fasteners_fitted is None or reading.fasteners_fitted != reading.fasteners_of
    ):
        doubts.append(Doubt.FASTENERS)
    if reading.bearing_checked is not True:
        doubts.append(Doubt.BEARING)
    if reading.returned_to_start is False:
        doubts.append(Doubt.DID_NOT_RETURN)
    if measure is Measure.HUB_RUNOUT and any(
        figure.limit.radius_nm != reading.radius_nm for figure in bound.figures
    ):
        doubts.append(Doubt.OTHER_RADIUS)
    return doubts


def _lacks_an_edge(file: CaseFile, corner: Corner, measure: Measure, judgement: Judgement) -> bool:
    """Whether a drum's diameter was read at one edge only although bell-mouth has a limit."""
    if measure is not Measure.DRUM_DIAMETER or _drum_points(file, corner) == POINTS_DRUM:
        return False
    edges = [
        [s for s in file.sets if s.id in judgement.set_ids and s.quantity is quantity]
        for quantity in measure.facts.quantities
    ]
    return any(sum(len(s.measured_nm) for s in edge) < POINTS_DRUM for edge in edges)


def _is_beyond_new(file: CaseFile, corner: Corner, judgement: Judgement, value: _Value) -> bool:
    """Whether any reading lies further beyond the new size than parts do."""
    facts = judgement.measure.facts
    if facts.new is None:
        return False
    new = bound_for(
        facts.new,
        corner,
        file.limits,
        file.confirmations,
        which_pad=facts.which_pad,
        datum=value.deciding_set.datum,
    )
    if not new.figures:
        return False
    slack = BEYOND_NEW_NM[judgement.measure] + math.ceil(3 * value.u1_nm)
    sizes = [figure.nm for figure in new.figures]
    readings = [nm for s in file.sets if s.id in judgement.set_ids for nm in s.measured_nm]
    if facts.new.facts.least:
        return max(readings) > max(sizes) + slack
    return min(readings) < min(sizes) - slack
