"""Slips of single rotor points: a turn, a sleeve digit, the decimal point, two digits, a groove.

The other points of the same circle are the evidence: a rotor that agrees with itself to a few
hundredths does not have one place half a millimetre thicker.
"""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.gauge import Tips
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.review.look import Look, median_nm
from brakelog.review.question import Question, Suspicion
from brakelog.review.slip_words import AGREE_NM, Off, question_about
from brakelog.review.thimble import has_thimble, noise_nm, sleeve_nm, turn_nm
from brakelog.review.typed_digits import moved_point, swapped_digits

OFF_IN_U1 = 6.0
"""Random standard uncertainties of the gauge by which a point is off; assumption: nine points of a
calliper spread over four. [-]"""
LEAST_AGREEING = 3
"""Points that have to agree before one can be called off; assumption: two tell no more than one."""
LEAST_LIP_NM = 300_000
MOST_LIP_NM = 2_000_000
"""What an unworn lip adds to a reading: 0.3 to 2 mm, common practice. [nm]"""
LEAST_GROOVE_NM = 100_000
MOST_GROOVE_NM = 600_000
"""What the bottom of a groove takes from it: 0.1 to 0.6 mm, common practice. [nm]"""
STRAY_NM = 100_000
"""From here one point is far from the others: 0.1 mm. Assumption: twice what still agrees. [nm]"""


def ask_points(look: Look) -> Iterator[Question]:
    """Yield the questions about single points of rotors."""
    for moment in look.rotors:
        reading = moment.reading
        if _agree(reading.measured_nm):
            continue
        others_nm = _others(reading)
        if others_nm is None:
            continue
        least_nm = max(AGREE_NM, OFF_IN_U1 * look.spread(reading).u1r_nm)
        off: dict[tuple[Suspicion, bool], list[Off]] = {}
        for index, nm in enumerate(reading.values_nm):
            if nm is None or abs(nm - others_nm) <= least_nm:
                continue
            found = Off(index=index, residual_nm=nm - others_nm)
            suspicion = _suspect(look, reading, found, others_nm)
            if suspicion is not None:
                off.setdefault((suspicion, found.residual_nm > 0), []).append(found)
        for (suspicion, _), points in off.items():
            yield question_about(look, reading, suspicion, points, others_nm)


def _agree(values: tuple[int, ...]) -> bool:
    return max(values) - min(values) <= AGREE_NM


def _others(reading: ReadingSet) -> int | None:
    """Return the median of the points that agree; None where most do not. [nm]"""
    ordered = sorted(reading.measured_nm)
    best: tuple[int, ...] = ()
    first = 0
    for last in range(len(ordered)):
        while ordered[last] - ordered[first] > AGREE_NM:
            first += 1
        if last - first + 1 > len(best):
            best = tuple(ordered[first : last + 1])
    if len(best) < LEAST_AGREEING or 2 * len(best) <= len(ordered):
        return None
    return median_nm(best)


def _suspect(look: Look, reading: ReadingSet, off: Off, others_nm: int) -> Suspicion | None:
    """Return the first suspicion that the gap fits; None for one too small to ask about."""
    gap_nm = abs(off.residual_nm)
    nm = others_nm + off.residual_nm
    if has_thimble(look, reading):
        slack_nm = noise_nm(look, reading)
        if abs(gap_nm - turn_nm(look, reading)) <= slack_nm:
            return Suspicion.TURN
        if abs(gap_nm - sleeve_nm(look, reading)) <= slack_nm:
            return Suspicion.SLEEVE
    if moved_point(nm, others_nm, 2 * AGREE_NM) is not None:
        return Suspicion.DECIMAL
    if swapped_digits(reading, off.index, others_nm, AGREE_NM) is not None:
        return Suspicion.DIGITS
    if LEAST_LIP_NM <= off.residual_nm <= MOST_LIP_NM:
        return Suspicion.LIP
    if LEAST_GROOVE_NM <= -off.residual_nm <= MOST_GROOVE_NM and _reaches_grooves(look, reading):
        return None if _groove_is_known(look, reading, gap_nm) else Suspicion.GROOVE
    return Suspicion.STRAY if gap_nm > STRAY_NM else None


def _reaches_grooves(look: Look, reading: ReadingSet) -> bool:
    return look.tips(reading) in (Tips.POINTED, None)


def _groove_is_known(look: Look, reading: ReadingSet, gap_nm: int) -> bool:
    """Whether somebody said that it was read in a groove, or a scoring explains the gap."""
    if reading.in_groove:
        return True
    scoring = look.at(reading.corner, Quantity.SCORING)
    # Both faces may be scored at the same place.
    return scoring is not None and gap_nm <= 2 * max(scoring.measured_nm) + AGREE_NM
