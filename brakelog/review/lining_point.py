"""One end of a lining that did not wear like the rest of it: two digits, or the decimal point."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.record.reading import ReadingSet
from brakelog.review.asking import ask_about, with_points
from brakelog.review.change import Change
from brakelog.review.figures import all_as_typed, as_typed, length, place, unit_of, what
from brakelog.review.look import Look
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.typed_digits import moved_point, swapped_digits

TAPER_NM = 1_500_000
"""Wear by which the ends of one lining may differ: 1.5 mm, the taper that is flagged; common
practice. [nm]"""
ALIKE_NM = 700_000
"""How near to the wear of the rest a corrected value has to be: 0.7 mm. Assumption: what the ends
of a lining differ by from visit to visit. [nm]"""
TELLS_IN_U1 = 4.0
"""Standard uncertainties of a difference by which the ends have to differ; assumption. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Odd:
    """One end with what it was probably meant to be."""

    off_nm: float
    index: int
    suspicion: Suspicion
    meant_nm: int


def ask_one_point(look: Look, change: Change) -> Question | None:
    """Return the question about the one end that a slip of typing makes fit; None without one.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    change : Change
        A lining since it was last read.
    """
    reading, before = change.reading, change.before.reading
    if _span(reading.measured_nm) <= TAPER_NM:
        return None
    worn = _worn(reading, before)
    if len(worn) < 2:
        return None
    now = [reading.values_nm[index] or 0 for index in worn]
    unlike_nm = min(_span(list(worn.values())), _span(now))
    if unlike_nm <= TAPER_NM or unlike_nm <= _noise_nm(look, reading, before):
        # Either the ends wore alike, or they are alike now and were not before.
        return None
    odd = [
        found
        for index in worn
        for found in [_slip(reading, before, index, worn)]
        if found is not None
    ]
    if not odd:
        return None
    return _question(change, min(odd, key=lambda each: each.off_nm))


def _worn(reading: ReadingSet, before: ReadingSet) -> dict[int, int]:
    """Return what each end lost, by its index. [nm]"""
    if len(reading.values_nm) != len(before.values_nm):
        return {}
    return {
        index: old - new
        for index, (old, new) in enumerate(zip(before.values_nm, reading.values_nm, strict=True))
        if old is not None and new is not None
    }


def _span(values: Sequence[int]) -> int:
    return max(values) - min(values)


def _noise_nm(look: Look, reading: ReadingSet, before: ReadingSet) -> float:
    """Return what chance makes the wear of two ends differ by: each was read twice. [nm]"""
    return TELLS_IN_U1 * math.hypot(
        look.spread(reading).u1_difference_nm, look.spread(before).u1_difference_nm
    )


def _slip(reading: ReadingSet, before: ReadingSet, index: int, worn: dict[int, int]) -> _Odd | None:
    """Return the slip that makes one end wear like the others; None where none does."""
    others = [nm for n, nm in worn.items() if n != index]
    nm, old = reading.values_nm[index], before.values_nm[index]
    assert nm is not None
    assert old is not None
    wanted_nm = old - sum(others) // len(others)
    swapped = swapped_digits(reading, index, wanted_nm, ALIKE_NM)
    if swapped is not None:
        suspicion, meant_nm = Suspicion.DIGITS, swapped[0]
    else:
        moved_nm = moved_point(nm, wanted_nm, ALIKE_NM)
        if moved_nm is None:
            return None
        suspicion, meant_nm = Suspicion.DECIMAL, moved_nm
    return _Odd(
        off_nm=abs(meant_nm - wanted_nm), index=index, suspicion=suspicion, meant_nm=meant_nm
    )


def _question(change: Change, odd: _Odd) -> Question:
    reading, index = change.reading, odd.index
    position = reading.quantity.position
    assert position is not None
    nm = reading.values_nm[index]
    assert nm is not None
    spot = place(reading, index)
    slip = "two digits swapped" if odd.suspicion is Suspicion.DIGITS else "the point moved"
    return ask_about(
        odd.suspicion,
        [reading],
        scope=Scope.POINTS,
        confidence=Confidence.MEDIUM,
        points=[index],
        against=[change.before.reading],
        instead_nm=with_points(reading, {index: odd.meant_nm}),
        reads_high=nm > odd.meant_nm,
        evidence=f"{what(reading)}, {all_as_typed(reading)}: it read "
        f"{all_as_typed(change.before.reading)} on {change.before.visit.day.isoformat()}, and the "
        f"{spot} did not wear like the rest. {as_typed(reading, index)} with {slip} is "
        f"{length(odd.meant_nm, unit_of(reading), reading.quantity)}, which fits.",
        ask=f"Read the {spot} of the {reading.corner} {position.label} again; a second reading "
        "set answers it.",
    )
