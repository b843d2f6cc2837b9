"""What an odometer may have been: two digits swapped, the other unit, no tenths."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.lengths import MM_PER_KM, DistanceUnit
from brakelog.record.visit import Visit
from brakelog.review.driven import Wear
from brakelog.review.question import Confidence, Suspicion

USUAL_SPREAD = 2.0
"""Factor within which the distance a day stays from visit to visit; assumption. [-]"""
AGREES_Z = 2.0
"""Standard uncertainties within which a candidate explains the wear; assumption. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """What the odometer may have been."""

    suspicion: Suspicion
    mm: int
    text: str
    confidence: Confidence


def _digits(visit: Visit) -> tuple[str, DistanceUnit]:
    """Return the digits of an odometer as typed, and their unit."""
    typed = "".join(sign for sign in visit.odometer_text if sign.isascii() and sign.isdigit())
    if typed and int(typed) * visit.odometer_unit.mm == visit.odometer_mm:
        return typed, visit.odometer_unit
    return str(visit.odometer_mm // visit.odometer_unit.mm), visit.odometer_unit


def swapped(visit: Visit) -> list[Candidate]:
    """Return the odometer with each two of its digits swapped, neighbours first.

    Such a slip differs by a multiple of nine.
    """
    digits, unit = _digits(visit)
    found: list[Candidate] = []
    for gap in range(1, len(digits)):
        for n in range(len(digits) - gap):
            if digits[n] == digits[n + gap]:
                continue
            signs = list(digits)
            signs[n], signs[n + gap] = signs[n + gap], signs[n]
            if signs[0] == "0":
                continue
            text = "".join(signs)
            found.append(
                Candidate(
                    suspicion=Suspicion.ODOMETER_DIGITS,
                    mm=int(text) * unit.mm,
                    text=f"{text} {unit.value}",
                    confidence=Confidence.HIGH,
                )
            )
    return found


def other_unit(visit: Visit, usual: DistanceUnit) -> list[Candidate]:
    """Return the odometer read in the other unit; surer where the car is known in that one."""
    digits, unit = _digits(visit)
    other = DistanceUnit.MILE if unit is DistanceUnit.KM else DistanceUnit.KM
    return [
        Candidate(
            suspicion=Suspicion.ODOMETER_UNIT,
            mm=int(digits) * other.mm,
            text=f"{digits} {other.value}",
            confidence=Confidence.HIGH if other is usual else Confidence.MEDIUM,
        )
    ]


def others_of(visit: Visit, usual: DistanceUnit) -> list[Candidate]:
    """Return the odometer in the other unit and without its last digit."""
    return [*other_unit(visit, usual), *without_tenths(visit)]


def without_tenths(visit: Visit) -> list[Candidate]:
    """Return the odometer without its last digit."""
    digits, unit = _digits(visit)
    if len(digits) < 2:
        return []
    return [
        Candidate(
            suspicion=Suspicion.ODOMETER_TENTHS,
            mm=int(digits[:-1]) * unit.mm,
            text=f"{digits[:-1]} {unit.value}",
            confidence=Confidence.HIGH,
        )
    ]


def best_of(
    candidates: Sequence[Candidate],
    last: Visit,
    days: int,
    usual_km: float,
    wear: Wear | None,
) -> Candidate | None:
    """Return the candidate that restores the distance a day and the wear; None where none does."""
    fits: list[tuple[float, int, Candidate]] = []
    for n, each in enumerate(candidates):
        distance_mm = each.mm - last.odometer_mm
        if distance_mm <= 0:
            continue
        off = abs(math.log(distance_mm / MM_PER_KM / days / usual_km))
        if off > math.log(USUAL_SPREAD):
            continue
        z = 0.0 if wear is None else abs(wear.z(distance_mm))
        if z <= AGREES_Z:
            fits.append((off + z, n, each))
    return min(fits, default=(0.0, 0, None))[2]
