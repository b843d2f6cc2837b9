"""What a lining should read by its history or, without one, by the other side."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from brakelog.lengths import NM_PER_MM
from brakelog.record.reading import ReadingSet
from brakelog.review.change import Change, grown_at_least_nm
from brakelog.review.figures import all_as_typed
from brakelog.review.look import Look
from brakelog.review.question import Confidence

FAR_NM = NM_PER_MM
"""How far from what was expected a lining has to read: 1 mm, or four standard uncertainties of the
difference where that is more. Assumption: wear in town or with a trailer stays within it. [nm]"""
FAR_FROM_OTHERS_NM = 2_500_000
"""How far from the other side it has to read where there is no history: 2.5 mm. Assumption: more
than the 2 mm at which the sides of an axle count as unlike (common practice). [nm]"""
NEAR_NM = 700_000
"""How near to what was expected the candidate has to be: 0.7 mm. Assumption: the wear over one
service interval is not known better. [nm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What a lining should read, and why."""

    nm: float
    """As a whole. [nm]"""
    far_nm: float
    """How far from it a reading has to be to be asked about. [nm]"""
    near_nm: float
    """How near a candidate has to be. [nm]"""
    other: ReadingSet
    """The set that says so."""
    day: date | None
    """Of an earlier visit; None for the other side at the same one."""
    confidence: Confidence
    most_nm: float
    """From here it reads more than there can be. [nm]"""


def wore_as_expected(change: Change) -> bool:
    """Whether one end reads no more than before, and is not far from what was expected.

    Then nothing is asked about the set as a whole, however well the readings are known.
    """
    expected_nm = change.before_nm - change.expected_nm
    return any(
        nm <= change.before_nm and abs(nm - expected_nm) <= FAR_NM
        for nm in change.reading.measured_nm
    )


def expected_of(look: Look, reading: ReadingSet, change: Change | None) -> Expected | None:
    """Return what the set should read by its history or, without one, by the other side."""
    if change is not None:
        sigma_nm = math.hypot(change.sigma1_nm, change.expected_u1_nm)
        before = change.before.reading
        return Expected(
            nm=change.before_nm - change.expected_nm,
            far_nm=max(FAR_NM, 4.0 * sigma_nm),
            near_nm=max(NEAR_NM, 2.0 * sigma_nm),
            other=before,
            day=change.before.visit.day,
            confidence=Confidence.HIGH,
            most_nm=change.before_nm + grown_at_least_nm(look, change),
        )
    if look.fitted(reading.corner, reading.quantity.position, look.order) is not None:
        return None
    mate = look.at(reading.corner.mate, reading.quantity)
    if mate is None or mate.datum is not reading.datum:
        return None
    sigma_nm = look.sigma1_difference_nm(reading, mate)
    return Expected(
        nm=look.level_nm(mate),
        far_nm=max(FAR_FROM_OTHERS_NM, 4.0 * sigma_nm),
        near_nm=max(NEAR_NM, 2.0 * sigma_nm),
        other=mate,
        day=None,
        confidence=Confidence.MEDIUM,
        most_nm=look.level_nm(mate) + FAR_FROM_OTHERS_NM,
    )


def because(expected: Expected) -> str:
    """Say which reading the expectation rests on."""
    other = expected.other
    if expected.day is None:
        return f"{other.corner} reads {all_as_typed(other)}"
    return f"it read {all_as_typed(other)} on {expected.day.isoformat()}"
