"""Odometers that run back, jump, or rise by far too little: digits, unit, tenths, trip meter.

Only what is driven between visits hangs on them, so that limits are judged all the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brakelog.lengths import MM_PER_KM
from brakelog.record.quantity import LININGS
from brakelog.record.visit import Visit
from brakelog.review.asking import ask_of_visit
from brakelog.review.driven import Wear, moments_of, usual_a_day_km, wear_between
from brakelog.review.figures import kilometres, odometer
from brakelog.review.look import Look
from brakelog.review.odometer_candidate import (
    Candidate,
    best_of,
    other_unit,
    others_of,
    swapped,
    without_tenths,
)
from brakelog.review.question import Confidence, Question, Suspicion

MOST_A_DAY_MM = 1_000 * MM_PER_KM
"""Distance that nobody drives day after day: 1,000 km, common practice. [mm]"""
TRIP_MM = 5_000 * MM_PER_KM
"""Below this an old car shows its trip meter: 5,000 km, common practice. [mm]"""
OLD_CAR_MM = 20_000 * MM_PER_KM
"""Last odometer from which a car is old in that sense; assumption. [mm]"""
WORN_SOON_NM = 3_000_000
"""Lining that no car wears off in the distance of a trip meter: 3 mm. Assumption: five times what
general experience says. [nm]"""
FAR_OFF = 3.0
"""Factor between a distance a day and the car's own from which it is strange; assumption. [-]"""
STRANGE_Z = 2.5
"""Standard uncertainties by which the wear has to contradict the distance. Assumption: together
with the distance a day, which has to contradict it too. [-]"""


def ask_odometer(look: Look) -> Iterator[Question]:
    """Yield the questions about the odometers of the newest visits."""
    trusted: list[Visit] = []
    for visit in look.visits:
        question = _first(look, visit) if not trusted else _next(look, trusted, visit)
        if question is not None:
            yield question
        if question is None or not trusted:
            trusted.append(visit)


def _first(look: Look, visit: Visit) -> Question | None:
    """Ask about a low odometer where the linings have seen far more than that."""
    evidence = look.evidence
    if visit.odometer_mm >= TRIP_MM or evidence.visits[0] is not visit or evidence.fittings:
        return None
    for moment in moments_of(look, visit):
        reading = moment.reading
        position = reading.quantity.position
        if reading.quantity not in LININGS or position is None:
            continue
        new_nm = evidence.new_nm.get((reading.corner.axle, position))
        if new_nm is None:
            continue
        worn_nm = new_nm - look.level_nm(reading)
        if worn_nm > WORN_SOON_NM + 3.0 * look.sigma1_nm(reading):
            return ask_of_visit(
                Suspicion.TRIP_METER,
                visit,
                None,
                confidence=Confidence.MEDIUM,
                evidence=f"The odometer is {odometer(visit)}, and the {reading.corner} "
                f"{position.label} has worn by {worn_nm / 1e6:.1f} mm.",
                ask=_ASK_TRIP,
            )
    return None


_ASK_TRIP = "Was the trip meter read? Read the odometer itself."
_ASK = "Read the odometer again; correct it if it was wrong."


def _next(look: Look, trusted: Sequence[Visit], visit: Visit) -> Question | None:
    last = trusted[-1]
    if visit.odometer_mm < last.odometer_mm:
        return _lower(trusted, visit)
    days = max((visit.day - last.day).days, 1)
    distance_mm = visit.odometer_mm - last.odometer_mm
    usual_km, is_own = usual_a_day_km(trusted)
    ratio = distance_mm / MM_PER_KM / days / usual_km
    if distance_mm > MOST_A_DAY_MM * days:
        return _too_far(trusted, visit, days, usual_km)
    if 1.0 / FAR_OFF <= ratio <= FAR_OFF:
        return None
    wear = wear_between(look, last, visit) if is_own else None
    if wear is not None and _contradicts(wear.z(distance_mm), ratio):
        candidates = [*swapped(visit), *others_of(visit, look.evidence.odometer_unit)]
        best = best_of(candidates, last, days, usual_km, wear)
        return None if best is None else _strange(last, visit, days, usual_km, wear, best)
    if ratio > FAR_OFF and wear is None:
        best = best_of(others_of(visit, look.evidence.odometer_unit), last, days, usual_km, None)
        return None if best is None else _strange(last, visit, days, usual_km, None, best)
    return None


def _contradicts(z: float, ratio: float) -> bool:
    """Whether the wear says that the distance is wrong in the way that the days say."""
    return z > STRANGE_Z if ratio < 1.0 else z < -STRANGE_Z


def _strange(
    last: Visit,
    visit: Visit,
    days: int,
    usual_km: float,
    wear: Wear | None,
    best: Candidate,
) -> Question:
    distance_mm = visit.odometer_mm - last.odometer_mm
    candidate_mm = best.mm - last.odometer_mm
    said = (
        f"The odometer is {odometer(visit)} after {odometer(last)} on {last.day.isoformat()}: "
        f"{_a_day(distance_mm, days)} a day, where {usual_km:.0f} km were usual"
    )
    instead = f"With {best.text} it is {_a_day(candidate_mm, days)} a day"
    if wear is not None:
        said += f", and {wear.per_1000km(distance_mm)} of lining, where {wear.usual} were"
        instead += f" and {wear.per_1000km(candidate_mm)}"
    nine = ""
    if best.suspicion is Suspicion.ODOMETER_DIGITS:
        gap = abs(best.mm - visit.odometer_mm) // visit.odometer_unit.mm
        nine = f"; the difference, {gap}, is divisible by 9, as of swapped digits"
    return ask_of_visit(
        best.suspicion,
        visit,
        last,
        confidence=best.confidence,
        evidence=f"{said}. {instead}{nine}.",
        ask=f"{best.text}? {_ASK}",
    )


def _a_day(distance_mm: int, days: int) -> str:
    return f"{distance_mm / MM_PER_KM / days:.0f} km"


def _too_far(trusted: Sequence[Visit], visit: Visit, days: int, usual_km: float) -> Question:
    last = trusted[-1]
    candidates = [*without_tenths(visit), *other_unit(visit, visit.odometer_unit)]
    candidates += swapped(visit)
    fits = [
        each
        for each in candidates
        if 0 <= each.mm - last.odometer_mm <= FAR_OFF * usual_km * days * MM_PER_KM
    ]
    said = (
        f"The odometer is {odometer(visit)} after {odometer(last)} on {last.day.isoformat()}: "
        f"{_a_day(visit.odometer_mm - last.odometer_mm, days)} a day"
    )
    if not fits:
        return ask_of_visit(
            Suspicion.ODOMETER_FAST,
            visit,
            last,
            confidence=Confidence.HIGH,
            evidence=f"{said}, and nobody drives that.",
            ask=f"Check the digits, the unit and the date. {_ASK}",
        )
    best = fits[0]
    return ask_of_visit(
        best.suspicion,
        visit,
        last,
        confidence=best.confidence,
        evidence=f"{said}; with {best.text} it is "
        f"{_a_day(best.mm - last.odometer_mm, days)} a day.",
        ask=f"{best.text}? {_ASK}",
    )


def _lower(trusted: Sequence[Visit], visit: Visit) -> Question:
    last = trusted[-1]
    days = max((visit.day - last.day).days, 1)
    usual_km, _ = usual_a_day_km(trusted)
    said = (
        f"The odometer is {odometer(visit)} after {odometer(last)} on {last.day.isoformat()}: it "
        "ran back"
    )
    if visit.odometer_mm < TRIP_MM and last.odometer_mm >= OLD_CAR_MM:
        return ask_of_visit(
            Suspicion.TRIP_METER,
            visit,
            last,
            confidence=Confidence.HIGH,
            evidence=f"{said}, to what a trip meter shows.",
            ask=_ASK_TRIP,
        )
    unit = best_of(other_unit(visit, visit.odometer_unit), last, days, usual_km, None)
    if unit is not None:
        return ask_of_visit(
            Suspicion.ODOMETER_UNIT,
            visit,
            last,
            confidence=unit.confidence,
            evidence=f"{said}. {unit.text} is {kilometres(unit.mm)}, "
            f"{_a_day(unit.mm - last.odometer_mm, days)} a day, and fits.",
            ask=f"{unit.text}? {_ASK}",
        )
    digits = best_of(swapped(visit), last, days, usual_km, None)
    hint = "" if digits is None else f"{digits.text}? "
    return ask_of_visit(
        Suspicion.ODOMETER_LOWER,
        visit,
        last,
        confidence=Confidence.CERTAIN,
        evidence=f"{said}.",
        ask=f"{hint}Which of the two is right? A slip, another car, or a replaced cluster: correct "
        "the wrong one, or say what was replaced.",
    )
