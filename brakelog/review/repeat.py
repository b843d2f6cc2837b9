"""Point 1 read again at the end: what does not repeat casts doubt on the first reading of it."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about, with_points
from brakelog.review.figures import as_typed, length, place, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion

REPEATS_NM = 5_000
"""How far point 1 may read differently at the end: 0.005 mm, common practice; more where the gauge
scatters more or has coarser steps. [nm]"""
_IN_U1 = {True: 3.0, False: 4.0}
"""Standard uncertainties of a difference for a rotor, and for what has no circle of points to say
how it scatters; assumption. [-]"""
_INDICATED = (Quantity.RUNOUT, Quantity.HUB_RUNOUT)


def ask_repeat(look: Look) -> Iterator[Question]:
    """Yield a question for each set of which the first point did not repeat."""
    for moment in look.newest:
        reading = moment.reading
        first, again = reading.values_nm[0], reading.again_nm
        if first is None or again is None or reading.quantity in _INDICATED:
            continue
        allowed_nm = max(
            REPEATS_NM,
            _IN_U1[reading.quantity is Quantity.ROTOR] * look.spread(reading).u1_difference_nm,
            2 * look.step_nm(reading),
        )
        if abs(again - first) > allowed_nm:
            yield _question(reading, first, again)


def _is_again_odd(reading: ReadingSet, first: int, again: int) -> bool:
    """Whether the reading at the end, and not the first one, is far from the other points."""
    others = [nm for nm in reading.values_nm[1:] if nm is not None]
    if not others:
        return False
    middle = median(others)
    return abs(again - middle) > abs(first - middle)


def _question(reading: ReadingSet, first: int, again: int) -> Question:
    unit = unit_of(reading)
    spot = place(reading, 0)
    gap = length(abs(again - first), unit, reading.quantity)
    read_again = length(again, unit, reading.quantity)
    typed = f" (typed {reading.again_typed.strip()})" if reading.again_typed.strip() else ""
    return ask_about(
        Suspicion.NOT_REPEATED,
        [reading],
        scope=Scope.POINTS,
        confidence=Confidence.MEDIUM,
        points=[0],
        # Of the two, the one that lies away from the rest of the circle is the slip.
        instead_nm=with_points(reading, {} if _is_again_odd(reading, first, again) else {0: again}),
        reads_high=None,
        evidence=f"{what(reading)}, {spot}: {as_typed(reading, 0)} first and {read_again}{typed} "
        f"at the end, {gap} apart. A vernier misread, or a gauge that moved.",
        ask=f"Read all points of the {reading.corner} {reading.quantity.facts.part.value} again.",
    )
