"""The deciding value of a measure: the worst reading or difference, never a mean."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from brakelog.metrology.runout import harmonic
from brakelog.metrology.temperature import at_reference_nm
from brakelog.metrology.uncertainty import Spread
from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.bound import Bound, BoundState
from brakelog.rules.casefile import CaseFile
from brakelog.rules.measure import Measure
from brakelog.rules.spreading import IRON_SIZES

POINTS_THICKNESS = 4
"""Points for a rotor thickness to count as in limits where the maker names no number: "4 or
more" in service information of several makers."""


POINTS_VARIATION = 8
"""Points for a thickness variation: "at least 8" in service information of several makers; four
points can miss a two-lobed variation altogether."""


POINTS_DRUM = 2
"""Diameters at one edge, 90 degrees apart: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DecidingValue:
    """The deciding value with what belongs to it."""

    nm: int
    typed: str
    place: str
    points: int
    needed: int
    u1_nm: float
    is_difference: bool
    deciding_set: ReadingSet
    wave_nm: float = 0.0
    """Peak to peak of the wave through a profile: what its angles may have missed. [nm]"""


def deciding_value(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    sets: tuple[ReadingSet, ...],
    spread: Spread,
    bound: Bound,
) -> DecidingValue | None:
    """Return the deciding value; None where the readings do not give one."""
    match measure:
        case Measure.THICKNESS_VARIATION:
            return _variation(sets[0], spread, bound)
        case Measure.OUT_OF_ROUND:
            return _out_of_round(sets, spread)
        case Measure.BELL_MOUTH:
            return _bell_mouth(sets, spread)
        case Measure.RUNOUT | Measure.HUB_RUNOUT if len(sets[0].values_nm) > 1:
            return _profile(sets[0], spread)
        case Measure.RUNOUT | Measure.HUB_RUNOUT:
            return _extreme(sets, spread, largest=True, needed=1, is_difference=True)
        case Measure.SCORING | Measure.DRUM_SCORING:
            return _extreme(sets, spread, largest=True, needed=1)
        case Measure.DRUM_DIAMETER:
            return _extreme(sets, spread, largest=True, needed=drum_points(file, corner))
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
) -> DecidingValue:
    """Lowest reading of a thickness or lining, highest of a diameter; never a mean."""
    pick = max if largest else min
    # Zero error and warmth are the same for a set, so that its worst reading is its worst number.
    worst = [(pick(each.every_nm), each) for each in sets]
    # Between sets they may differ: there, what is compared decides.
    nm, deciding_set = pick(
        worst,
        key=lambda each: (
            each[0] if is_difference else corrected_nm(each[0], each[1], least=not largest)
        ),
    )
    if nm in deciding_set.values_nm:
        index = deciding_set.values_nm.index(nm)
        is_single = len(sets[0].quantity.facts.points) == 1
        typed = deciding_set.typed[index]
        place = "" if is_single else place_name(deciding_set, index)
    else:
        typed, place = deciding_set.again_typed, "point 1, read again"
    return DecidingValue(
        nm=nm,
        typed=typed,
        place=place,
        points=sum(len(each.measured_nm) for each in sets),
        needed=needed,
        u1_nm=spread.u1_difference_nm if is_difference else spread.u1_nm,
        is_difference=is_difference,
        deciding_set=deciding_set,
    )


def left_out(file: CaseFile, reading: ReadingSet) -> tuple[str, ...]:
    """Return the ends of a lining that were said not to be read, and that no other set gives."""
    if not reading.quantity.is_lining or None not in reading.values_nm:
        return ()
    read = {
        n
        for each in file.sets_at(reading.corner, reading.quantity)
        for n, nm in enumerate(each.values_nm)
        if nm is not None
    }
    return tuple(
        place_name(reading, n)
        for n, nm in enumerate(reading.values_nm)
        if nm is None and n not in read
    )


POINTS_PROFILE = 8
"""Angles of a runout profile from which it may show a runout to be in limits: "at least 8
positions" in service information; with fewer, the highest place is too easily missed."""


def _profile(reading: ReadingSet, spread: Spread) -> DecidingValue:
    """Return the runout of a profile by angle: what was read, never the wave through it.

    Readings at a few angles miss the highest and lowest places; the wave through them may not,
    and keeps a runout from passing where it alone is beyond the limit.
    """
    low = min((nm, n) for n, nm in enumerate(reading.measured_nm))
    high = max((nm, n) for n, nm in enumerate(reading.measured_nm))
    return DecidingValue(
        nm=high[0] - low[0],
        typed=f"{reading.typed[high[1]]} - {reading.typed[low[1]]}",
        place=f"{len(reading.values_nm)} angles",
        points=len(reading.values_nm),
        needed=POINTS_PROFILE,
        u1_nm=spread.u1_difference_nm,
        is_difference=True,
        deciding_set=reading,
        wave_nm=harmonic(reading.measured_nm).peak_to_peak_nm,
    )


def corrected_nm(nm: int, reading: ReadingSet, *, least: bool) -> int | Fraction:
    """Return a reading after zero error, and after temperature where that is stricter. [nm]

    Parameters
    ----------
    nm : int
        The reading. [nm]
    reading : ReadingSet
        The set that it belongs to.
    least : bool
        Whether smaller is worse.
    """
    zeroed, cold = nm - reading.zero_error_nm, cold_nm(nm, reading)
    return min(zeroed, cold) if least else max(zeroed, cold)


def cold_nm(nm: int, reading: ReadingSet) -> int | Fraction:
    """Return what an iron part would read at 20 degrees Celsius, after zero error. [nm]"""
    zeroed = nm - reading.zero_error_nm
    if reading.temperature_dc is None or reading.quantity not in IRON_SIZES:
        return zeroed
    return at_reference_nm(zeroed, reading.temperature_dc)


def _variation(reading: ReadingSet, spread: Spread, bound: Bound) -> DecidingValue | None:
    measured = [(nm, n) for n, nm in enumerate(reading.values_nm) if nm is not None]
    if len(measured) < 2:
        return None
    low, high = min(measured), max(measured)
    return DecidingValue(
        nm=high[0] - low[0],
        typed=f"{reading.typed[high[1]]} - {reading.typed[low[1]]}",
        place=f"{place_name(reading, high[1])} to {place_name(reading, low[1])}",
        points=len(measured),
        needed=max(bound.points or 0, POINTS_VARIATION),
        u1_nm=spread.u1_difference_nm,
        is_difference=True,
        deciding_set=reading,
    )


def _out_of_round(sets: tuple[ReadingSet, ...], spread: Spread) -> DecidingValue | None:
    found = [
        value for value in (_edge_difference(each, spread) for each in sets) if value is not None
    ]
    return max(found, key=lambda each: each.nm) if found else None


def _edge_difference(reading: ReadingSet, spread: Spread) -> DecidingValue | None:
    measured = [(nm, n) for n, nm in enumerate(reading.values_nm) if nm is not None]
    if len(measured) < 2:
        return None
    low, high = min(measured), max(measured)
    edge = "open edge" if reading.quantity is Quantity.DRUM_OPEN else "closed edge"
    return DecidingValue(
        nm=high[0] - low[0],
        typed=f"{reading.typed[high[1]]} - {reading.typed[low[1]]}",
        place=edge,
        points=len(measured),
        needed=POINTS_DRUM,
        u1_nm=spread.u1_difference_nm,
        is_difference=True,
        deciding_set=reading,
    )


def _bell_mouth(sets: tuple[ReadingSet, ...], spread: Spread) -> DecidingValue | None:
    """Return the largest, over the angles measured, of open edge minus closed edge."""
    opened = next((s for s in sets if s.quantity is Quantity.DRUM_OPEN), None)
    closed = next((s for s in sets if s.quantity is Quantity.DRUM_CLOSED), None)
    if opened is None or closed is None:
        return None
    pairs = [
        ((wide - opened.zero_error_nm) - (narrow - closed.zero_error_nm), n)
        for n, (wide, narrow) in enumerate(zip(opened.values_nm, closed.values_nm, strict=False))
        if wide is not None and narrow is not None
    ]
    if not pairs:
        return None
    largest, index = max(pairs)
    return DecidingValue(
        nm=largest,
        typed=f"{opened.typed[index]} - {closed.typed[index]}",
        place=place_name(opened, index),
        points=len(pairs),
        needed=POINTS_DRUM,
        u1_nm=spread.u1_difference_nm,
        is_difference=True,
        deciding_set=opened,
    )


def drum_points(file: CaseFile, corner: Corner) -> int:
    """Two diameters, at each edge where a bell-mouth limit exists."""
    bell = file.bounds.of(Measure.BELL_MOUTH.facts.limit, corner)
    return POINTS_DRUM if bell.state is BoundState.MISSING else 2 * POINTS_DRUM


def place_name(reading: ReadingSet, index: int) -> str:
    """Return the trade's name for the place of one reading of a set."""
    names = reading.quantity.facts.points
    if reading.quantity is Quantity.ROTOR or index >= len(names):
        return f"point {index + 1}"
    return names[index]
