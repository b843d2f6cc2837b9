"""Why a reading that is not beyond its limit may still not prove that the part is in limits."""

from __future__ import annotations

from brakelog.metrology.uncertainty import Spread
from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.gauge import GaugeKind, Tips
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.rules.bound import Bound
from brakelog.rules.casefile import CaseFile
from brakelog.rules.deciding import POINTS_DRUM, DecidingValue, drum_points
from brakelog.rules.judgement import Doubt
from brakelog.rules.measure import Measure


def doubts_about(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    bound: Bound,
    value: DecidingValue,
    spread: Spread,
    sets: tuple[ReadingSet, ...],
) -> tuple[Doubt, ...]:
    """Return everything that keeps the reading from proving the part to be in limits."""
    doubts: list[Doubt] = []
    if value.points < value.needed or _lacks_an_edge(file, corner, measure, sets):
        doubts.append(Doubt.FEW_POINTS)
    if value.is_difference and _is_unfit(file, bound, value, spread):
        doubts.append(Doubt.UNFIT_GAUGE)
    if not spread.proves:
        doubts.append(Doubt.NEVER_PROVES)
    if measure is Measure.ROTOR_THICKNESS and _reads_a_lip(file, corner, value.deciding_set):
        doubts.append(Doubt.LIP)
    if measure is Measure.THICKNESS_VARIATION and not _repeats(value.deciding_set, spread):
        doubts.append(Doubt.DID_NOT_REPEAT)
    if measure in (Measure.RUNOUT, Measure.HUB_RUNOUT):
        studs = file.traits.get((corner.axle, "fasteners"))
        doubts.extend(_runout_doubts(bound, value, measure, studs))
    return tuple(doubts)


REPEATS_NM = 5_000
"""How far point 1 may read differently at the end of its circle: 0.005 mm, common practice; more
where the gauge itself scatters more. [nm]"""


def _reads_a_lip(file: CaseFile, corner: Corner, reading: ReadingSet) -> bool:
    """Whether a lip was found that the measuring faces may have rested on."""
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    is_calliper = gauge is not None and gauge.kind is GaugeKind.CALLIPER
    if reading.tips is Tips.POINTED and not is_calliper:
        return False
    said = [each.lip for each in file.sets_of(corner, Quantity.ROTOR) if _is_same(file, each)]
    return True in said or any(
        finding.kind is FindingKind.LIP and finding.part is Part.ROTOR
        for finding in file.findings_at(corner)
    )


def _is_same(file: CaseFile, reading: ReadingSet) -> bool:
    """Whether the set is of this visit and of the rotor that is judged."""
    if reading.visit_id != file.visit.id:
        return False
    if reading.stage is file.stage:
        return True
    return file.stage is Stage.AS_LEFT and not file.was_changed(reading.corner, Quantity.ROTOR)


def _repeats(reading: ReadingSet, spread: Spread) -> bool:
    first = reading.values_nm[0]
    if reading.again_nm is None or first is None:
        return True
    return abs(reading.again_nm - first) <= max(REPEATS_NM, 3 * spread.u1_difference_nm)


def _is_unfit(file: CaseFile, bound: Bound, value: DecidingValue, spread: Spread) -> bool:
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


def _runout_doubts(
    bound: Bound, value: DecidingValue, measure: Measure, studs: str | None
) -> list[Doubt]:
    reading = value.deciding_set
    doubts: list[Doubt] = []
    fitted, of = reading.fasteners_fitted, reading.fasteners_of
    is_all = fitted is not None and fitted == of and studs in (None, str(of))
    if measure is Measure.RUNOUT and not is_all:
        doubts.append(Doubt.FASTENERS)
    if bound.strictest is not None and value.wave_nm > bound.strictest.nm:
        doubts.append(Doubt.WAVE)
    if reading.bearing_checked is not True:
        doubts.extend(play_of(measure, reading) or (Doubt.BEARING,))
    if reading.returned_to_start is False:
        doubts.append(Doubt.DID_NOT_RETURN)
    if measure is Measure.HUB_RUNOUT and any(
        figure.limit.radius_nm != reading.radius_nm for figure in bound.figures
    ):
        doubts.append(Doubt.OTHER_RADIUS)
    return doubts


def play_of(measure: Measure, reading: ReadingSet) -> tuple[Doubt, ...]:
    """Return the play that a bearing was said to have; it is no less one where nothing is judged.

    Parameters
    ----------
    measure : Measure
        The measure.
    reading : ReadingSet
        The set that decides it.
    """
    is_runout = measure in (Measure.RUNOUT, Measure.HUB_RUNOUT)
    is_loose = is_runout and reading.bearing_checked is False
    return (Doubt.BEARING_PLAY,) if is_loose else ()


def _lacks_an_edge(
    file: CaseFile, corner: Corner, measure: Measure, sets: tuple[ReadingSet, ...]
) -> bool:
    """Whether a drum's diameter was read at one edge only although bell-mouth has a limit."""
    if measure is not Measure.DRUM_DIAMETER or drum_points(file, corner) == POINTS_DRUM:
        return False
    edges = [
        [each for each in sets if each.quantity is quantity]
        for quantity in measure.facts.quantities
    ]
    return any(sum(len(s.measured_nm) for s in edge) < POINTS_DRUM for edge in edges)
