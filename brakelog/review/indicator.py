"""Indicator readings: unit and point of a runout, a tip without contact, a base that slipped."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brakelog.lengths import NM_PER_INCH, NM_PER_MM
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about, shifted
from brakelog.review.figures import all_as_typed, as_typed, length, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.wave import depth_below_nm

INDICATED = (Quantity.RUNOUT, Quantity.HUB_RUNOUT)
LEAST_PROFILE = 5
"""Values of one turn from which a set is a profile by angle; fewer tell no wave from noise."""
RETURNS_NM = 10_000
"""How far an indicator may be from its start after one turn: 0.01 mm, common practice; one step of
a coarser dial. [nm]"""
MOST_RUNOUT_NM = 300_000
"""Runout that a brake in service hardly has: 0.3 mm. Assumption: twice the largest limit that is
met (0.15 mm). [nm]"""
LEAST_RUNOUT_NM = 5_000
"""Runout that a shop indicator hardly shows: 0.005 mm. Assumption: half a step of 0.01 mm. [nm]"""
MOST_SCORING_NM = 3 * NM_PER_MM
"""Scoring that no rotor in service has: 3 mm. Assumption: twice the largest limit that is met
(1.5 mm). [nm]"""
LEAST_FLAT = 3
"""Equal minima in a row that count as a flat run; assumption."""
DEEP_IN_U1 = 3.0
"""Random standard uncertainties that the wave has to go below the flat run; assumption. [-]"""
FINE_STEP_NM = 13_000
"""Step up to which a dial shows some runout on every rotor: 0.01 mm or 0.0005 in. Assumption: none
in service runs truer than half of that. [nm]"""


def ask_indicator(look: Look) -> Iterator[Question]:
    """Yield the questions about runouts and depths of the visit."""
    for moment in look.newest:
        reading = moment.reading
        if reading.quantity in INDICATED:
            if len(reading.measured_nm) >= LEAST_PROFILE:
                yield from _profile(look, reading)
            yield from _base(look, reading)
            yield from _unit(look, reading, LEAST_RUNOUT_NM, MOST_RUNOUT_NM)
            yield from _below_step(look, reading)
            yield from _nothing(look, reading)
        elif reading.quantity is Quantity.SCORING:
            yield from _unit(look, reading, 0, MOST_SCORING_NM)


def _total_nm(reading: ReadingSet) -> int:
    """Return the total indicator reading: the span of a profile, else the largest value. [nm]"""
    values = reading.measured_nm
    if reading.quantity in INDICATED and len(values) >= LEAST_PROFILE:
        return max(values) - min(values)
    return max(values)


def _profile(look: Look, reading: ReadingSet) -> Iterator[Question]:
    values = reading.measured_nm
    low, high = min(values), max(values)
    flat, top = _longest_run(values, low), _longest_run(values, high)
    if high > low and flat >= LEAST_FLAT and _is_cut_off(look, reading, flat, top):
        yield ask_about(
            Suspicion.CLIPPED,
            [reading],
            scope=Scope.SET,
            confidence=Confidence.HIGH,
            reads_high=False,
            evidence=(
                f"{what(reading)}, {all_as_typed(reading)}: {flat} readings in a row are the same "
                f"minimum, {length(low, unit_of(reading), reading.quantity)}, and only {top} the "
                "maximum. The tip lost contact, and the runout is larger."
            ),
            ask=f"Push the indicator in by about 1.3 mm (0.050 in) and read the {reading.corner} "
            "profile again.",
        )
    elif low < 0:
        yield ask_about(
            Suspicion.BELOW_ZERO,
            [reading],
            scope=Scope.SET,
            confidence=Confidence.MEDIUM,
            instead_nm=shifted(reading, -low),
            evidence=(
                f"{what(reading)}, {all_as_typed(reading)}: the lowest reading is "
                f"{length(low, unit_of(reading), reading.quantity)}, and an indicator is zeroed at "
                "the low spot. The span counts as it is, unless the base moved."
            ),
            ask=f"Check base and preload; if the indicator came back to its start, the "
            f"{reading.corner} profile is right.",
            settled_by_looking=True,
        )


def _is_cut_off(look: Look, reading: ReadingSet, flat: int, top: int) -> bool:
    """Whether the minima are more than a wave has, or the wave goes well below them."""
    values = reading.measured_nm
    low, total_nm = min(values), max(values) - min(values)
    step_nm, u1r_nm = look.step_nm(reading), look.spread(reading).u1r_nm
    if total_nm < LEAST_STEPS * step_nm:
        # All of the runout is one step of the dial, which says nothing about its shape.
        return False
    usual = _minima_of_a_wave(len(values), step_nm + round(u1r_nm / 2.0), total_nm)
    if flat > max(usual, top + 1):
        return True
    least_nm = max(1.5 * step_nm, DEEP_IN_U1 * u1r_nm)
    return len(values) - flat > LEAST_SHOWN and depth_below_nm(values, low) > least_nm


LEAST_STEPS = 2
"""Steps of the dial that a runout needs before its shape is looked at; assumption."""
LEAST_SHOWN = 3
"""Readings above the flat run that fix a wave: more than its three unknowns."""


def _longest_run(values: tuple[int, ...], level: int) -> int:
    """Return the most equal readings in a row, round the circle."""
    if all(value == level for value in values):
        return len(values)
    best = run = 0
    for value in (*values, *values):
        run = run + 1 if value == level else 0
        best = max(best, run)
    return best


def _minima_of_a_wave(points: int, step_nm: int, total_nm: int) -> int:
    """Return how many neighbouring readings of one wave a turn may fall on its lowest step."""
    if total_nm <= step_nm:
        return points
    half_angle = math.acos(1.0 - 2.0 * step_nm / total_nm)
    return math.floor(points * half_angle / math.pi) + 1


def _base(look: Look, reading: ReadingSet) -> Iterator[Question]:
    first, again = reading.values_nm[0], reading.again_nm
    allowed_nm = max(RETURNS_NM, look.step_nm(reading))
    if first is None or again is None or abs(again - first) <= allowed_nm:
        return
    unit = unit_of(reading)
    yield ask_about(
        Suspicion.BASE_SLIPPED,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.HIGH,
        evidence=(
            f"{what(reading)}: {as_typed(reading, 0)} at the start and "
            f"{length(again, unit, reading.quantity)} there after one turn, "
            f"{length(abs(again - first), unit, reading.quantity)} apart. The base slipped, or the "
            "bearing has play."
        ),
        ask=f"Check the bearing, clamp the base anew and read the {reading.corner} runout again.",
    )


def _below_step(look: Look, reading: ReadingSet) -> Iterator[Question]:
    """Ask about a total reading that is less than one step of its gauge: a point moved."""
    total_nm = _total_nm(reading)
    if look.gauge(reading) is None or len(reading.measured_nm) != 1:
        return
    if not LEAST_RUNOUT_NM <= total_nm < look.step_nm(reading):
        return
    unit = unit_of(reading)
    yield ask_about(
        Suspicion.DECIMAL,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.MEDIUM,
        instead_nm={reading.id: tuple(None if nm is None else 10 * nm for nm in reading.values_nm)},
        reads_high=False,
        evidence=f"{what(reading)}, {all_as_typed(reading)}: less than one step of its gauge, "
        f"{length(look.step_nm(reading), unit, Quantity.RUNOUT)}; with the point moved "
        f"{length(10 * total_nm, unit, Quantity.RUNOUT)}.",
        ask=f"Read the {reading.corner} {reading.quantity.facts.label} again.",
    )


def _nothing(look: Look, reading: ReadingSet) -> Iterator[Question]:
    """Ask about a rotor without any runout: a tip in the air shows none."""
    if reading.quantity is not Quantity.RUNOUT or _total_nm(reading) != 0:
        return
    if look.step_nm(reading) > FINE_STEP_NM:
        return
    yield ask_about(
        Suspicion.HOLD,
        [reading],
        scope=Scope.SET,
        confidence=Confidence.MEDIUM,
        reads_high=False,
        evidence=f"{what(reading)}, {all_as_typed(reading)}: no runout at all. A gauge on hold, or "
        "a tip that does not touch, shows that.",
        ask=f"Take the gauge off hold, touch the rotor with preload and read the {reading.corner} "
        "runout again.",
    )


_UNITS = (("mm", NM_PER_MM), ("inches", NM_PER_INCH))
_WHOLE_UNITS = (("thou", NM_PER_INCH // 1000), ("hundredths of a mm", NM_PER_MM // 100))
"""Typed as whole numbers: 2 for 0.002 in, 5 for 0.05 mm."""


def _unit(look: Look, reading: ReadingSet, least_nm: int, most_nm: int) -> Iterator[Question]:
    """Ask about a value that no brake has, where the same number fits in another unit."""
    total_nm = _total_nm(reading)
    is_fine = 0 < total_nm < least_nm and look.step_nm(reading) > total_nm
    if total_nm <= most_nm and not is_fine:
        return
    unit = unit_of(reading)
    plausible_nm = max(least_nm, 1)
    is_whole = all(nm % unit.nm == 0 for nm in reading.measured_nm)
    fitting = [
        (name, each)
        for name, each in (*_UNITS, *(_WHOLE_UNITS if is_whole else ()))
        if each != unit.nm and plausible_nm <= total_nm * each // unit.nm <= most_nm
    ]
    tenth_nm = total_nm // 10
    is_decimal = total_nm > most_nm and plausible_nm <= tenth_nm <= most_nm
    if not fitting and not is_decimal:
        return
    yield _unit_question(reading, total_nm, fitting, tenth_nm if is_decimal else None)


def _unit_question(
    reading: ReadingSet, total_nm: int, fitting: list[tuple[str, int]], tenth_nm: int | None
) -> Question:
    unit = unit_of(reading)
    candidates = [(f"in {name}", total_nm * size_nm // unit.nm) for name, size_nm in fitting]
    if tenth_nm is not None:
        candidates.append(("with the point moved", tenth_nm))
    shown = "; ".join(f"{how} {length(nm, unit, Quantity.RUNOUT)}" for how, nm in candidates)
    is_decimal = not fitting
    size = "more" if total_nm > candidates[0][1] else "less"
    instead: dict[str, tuple[int | None, ...]] | None = None
    if len(candidates) == 1:
        top, bottom = candidates[0][1], total_nm
        instead = {
            reading.id: tuple(
                None if nm is None else round(nm * top / bottom) for nm in reading.values_nm
            )
        }
    return ask_about(
        Suspicion.DECIMAL if is_decimal else Suspicion.RUNOUT_UNIT,
        [reading],
        scope=Scope.SET if is_decimal else Scope.UNIT,
        confidence=Confidence.HIGH if is_decimal else Confidence.MEDIUM,
        instead_nm=instead,
        reads_high=total_nm > max(nm for _, nm in candidates),
        evidence=f"{what(reading)}, {all_as_typed(reading)}: {size} than a brake in service has; "
        f"{shown}.",
        ask=f"Check unit and decimal point and read the {reading.corner} "
        f"{reading.quantity.facts.label} again, with the unit typed behind it.",
    )
