"""How far a part will still go, or why that cannot be said."""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass, replace

from brakelog.wear.acceleration import last_interval
from brakelog.wear.experience import Experience, WearKind
from brakelog.wear.forecast import Forecast, forecast
from brakelog.wear.history import (
    MM_PER_1000KM,
    NM_PER_MM,
    History,
    first_visit,
    history_of,
    margin_mm,
    start_odometer_mm,
)
from brakelog.wear.life import PartLife
from brakelog.wear.question import growth_questions, odometer_questions
from brakelog.wear.rate import Screening, screen

MM_PER_KM = 1_000_000

OLDEST_MONTHS = 24
"""Age of a reading beyond which nothing is projected from it. [month]

Assumption: two yearly inspections missed; what happened since is anybody's guess.
"""

FARTHEST_MM = 30_000 * MM_PER_KM
"""Distance driven since a reading beyond which nothing is projected from it. [mm]

Assumption: two usual service intervals of 15,000 km.
"""

LEAST_BOUND_MM = 500 * MM_PER_KM
"""Distance below which a bound is none. [mm]

Assumption: the step that bounds are rounded down to.
"""

EXTRAPOLATION = 3
"""Multiple of the distance under measurement beyond which a bound is not stated. [-]

Assumption: in simulation bounds beyond it held less often than they should.
"""

WIDEST_RATIO = 8.0
"""Ratio of the late to the early distance from which only the bound is worth saying. [-]

Assumption: a range such as "10,000 to 80,000 km" helps nobody.
"""

CLOSE_MM = {
    WearKind.FRONT_LINING: 1.5,
    WearKind.REAR_LINING: 1.5,
    WearKind.ROTOR: 0.4,
    WearKind.SHOE: 1.5,
    WearKind.DRUM: 0.3,
}
"""Margin below which a wide range is put down to the nearness of the limit. [mm]

Assumption: 1.5 mm of lining; for rotors and drums about the same share of what may be worn.
"""

BOUND_STEP = 500
"""Step that a bound is rounded down to. [km or mile]

Assumption: finer would promise more than the method keeps.
"""

MEDIAN_STEP = 1_000
"""Step that the other distances are rounded to. [km or mile]

Assumption: as for the bound.
"""


class Refusal(enum.Enum):
    """Why no distance is stated, in order of precedence."""

    NO_LIMIT = "no limit"
    LIMIT_NOT_INSIDE_NEW = "limit not inside the new size"
    UNRESOLVED = "unresolved"
    TOO_OLD = "reading too old"
    AT_LIMIT = "at or beyond the limit"
    NO_BASIS = "no basis for a rate"
    WITHIN_ERROR = "within measurement error of the limit"
    NO_READING = "no reading"


class Note(enum.Enum):
    """What a reader must know to take a projection rightly."""

    FAR_EXTRAPOLATION = "far extrapolation"
    BOUND_ONLY_CLOSE = "bound only: close to the limit"
    BOUND_ONLY_UNKNOWN = "bound only: too little is known"
    ACCELERATING = "wear is accelerating"
    NOMINAL_START = "the new size is nominal, not measured"
    OUTLIER_DOWNWEIGHTED = "one reading fits badly and counts less"
    NO_START = "no fitting record"
    EXPERIENCE_ONLY = "no rate of its own: the experience of other parts only"


@dataclass(frozen=True, slots=True, kw_only=True)
class Projection:
    """What is said about the rest of one part life.

    Every distance counts from the odometer of the last reading, not from the day it is asked.

    Parameters
    ----------
    refusal
        Why no distance is stated; None if one is.
    at_least_mm
        Distance that 9 of 10 such parts reach, never more than three times the distance under
        measurement; exact, not rounded. 0 within measurement error of the limit. [mm]
    median_mm
        Distance that half of them reach; None if only the bound is worth saying. [mm]
    latest_mm
        Distance that 1 of 10 reaches; None with the median. [mm]
    d05_mm, d95_mm
        Two-sided 90 % interval, for back-tests. [mm]
    rate_nm_per_1000km
        Central wear rate. [nm/1000 km]
    own_share
        Weight of the part's own readings against the experience, from 0 to 1. [-]
    readings_used
        Readings that the distances rest on. [-]
    notes
        In the order of their declaration.
    flagged
        Index of the reading that counts less, if one does.
    unresolved
        Open questions, the caller's first.
    experience
        What was known beforehand.
    from_odometer_mm
        Odometer that the distances count from. [mm]
    uncapped_at_least_mm
        The bound before it was held to three times the distance under measurement. [mm]
    typical_mm
        Where a rate is lacking: what half of typical parts with this margin would last. It says
        nothing about this one. [mm]
    """

    refusal: Refusal | None
    at_least_mm: int | None
    median_mm: int | None
    latest_mm: int | None
    d05_mm: int | None
    d95_mm: int | None
    rate_nm_per_1000km: float | None
    own_share: float
    readings_used: int
    notes: tuple[Note, ...]
    flagged: int | None
    unresolved: tuple[str, ...]
    experience: Experience
    from_odometer_mm: int | None = None
    uncapped_at_least_mm: int | None = None
    typical_mm: int | None = None


def project(life: PartLife, experience: Experience) -> Projection:
    """Project a part life to its limit; never raises on data.

    Parameters
    ----------
    life
        The part life.
    experience
        What is known of the rate of such parts.

    Returns
    -------
    Projection
        Distances, or the first refusal that applies.
    """
    asked = life.unresolved + odometer_questions(life)
    if life.limit_nm is None:
        return _refused(life, experience, Refusal.NO_LIMIT)
    typical_mm = None
    if life.readings:
        left = margin_mm(life, life.readings[-1].value_nm, life.limit_nm)
        typical_mm = _whole_mm(max(left, 0.0) / math.exp(experience.log_rate))
    if not _limit_is_inside_new(life, life.limit_nm):
        return _refused(life, experience, Refusal.LIMIT_NOT_INSIDE_NEW, typical_mm=typical_mm)
    if asked:
        return _refused(
            life, experience, Refusal.UNRESOLVED, unresolved=asked, typical_mm=typical_mm
        )
    if life.start is None and not life.readings:
        return _refused(life, experience, Refusal.NO_READING)

    history = history_of(life, life.limit_nm)
    screening = screen(history, experience)
    asked = growth_questions(life, life.limit_nm, history, screening)
    if asked:
        return _refused(
            life, experience, Refusal.UNRESOLVED, unresolved=asked, typical_mm=typical_mm
        )
    if _is_too_old(life):
        return _refused(life, experience, Refusal.TOO_OLD)
    if life.is_out:
        return _refused(life, experience, Refusal.AT_LIMIT)

    cap_mm = EXTRAPOLATION * (_last_odometer_mm(life) - start_odometer_mm(life))
    if cap_mm >= LEAST_BOUND_MM:
        return _stated(life, experience, history, screening, cap_mm=cap_mm)
    # Hardly driven under measurement: three times nothing would condemn a part just fitted.
    if experience.stands_alone:
        return _stated(life, experience, history, screening, cap_mm=None)
    margin = history.visits[-1].margin_mm if history.visits else history.margin_mm
    return _refused(
        life,
        experience,
        Refusal.NO_BASIS if life.readings else Refusal.NO_READING,
        typical_mm=_whole_mm(max(margin, 0.0) / math.exp(experience.log_rate)),
    )


def at_least_rounded_mm(projection: Projection, unit_mm: int) -> int:
    """The bound, rounded down to 500 of the unit; 0 where none is stated. [mm]

    Parameters
    ----------
    projection
        The projection.
    unit_mm
        Length of the kilometre or mile that is shown. [mm]
    """
    step_mm = BOUND_STEP * unit_mm
    return (projection.at_least_mm or 0) // step_mm * step_mm


def median_rounded_mm(projection: Projection, unit_mm: int) -> int | None:
    """The median, rounded to 1,000 of the unit; None where none is stated. [mm]

    Parameters
    ----------
    projection
        The projection.
    unit_mm
        Length of the kilometre or mile that is shown. [mm]
    """
    return _to_nearest(projection.median_mm, MEDIAN_STEP * unit_mm)


def latest_rounded_mm(projection: Projection, unit_mm: int) -> int | None:
    """The late end, rounded to 1,000 of the unit; None where none is stated. [mm]

    Parameters
    ----------
    projection
        The projection.
    unit_mm
        Length of the kilometre or mile that is shown. [mm]
    """
    return _to_nearest(projection.latest_mm, MEDIAN_STEP * unit_mm)


def _stated(
    life: PartLife,
    experience: Experience,
    history: History,
    screening: Screening,
    *,
    cap_mm: int | None,
) -> Projection:
    found = forecast(history, experience, screening)
    notes = _record_notes(life)
    interval = last_interval(history, experience.believed_c)
    if interval is not None:
        notes.add(Note.ACCELERATING)
        found = _faster(found, forecast(interval, experience, screen(interval, experience)))
    if screening.flagged is not None:
        notes.add(Note.OUTLIER_DOWNWEIGHTED)
    bound_mm = _whole_mm(found.d10)
    at_least_mm = bound_mm
    refusal = None
    if bound_mm < LEAST_BOUND_MM:
        refusal, bound_mm, at_least_mm = Refusal.WITHIN_ERROR, 0, 0
    else:
        if cap_mm is None:
            notes.add(Note.EXPERIENCE_ONLY)
        elif bound_mm > cap_mm:
            at_least_mm = cap_mm
            notes.add(Note.FAR_EXTRAPOLATION)
        if found.d05 <= 0.0 or found.d95 > WIDEST_RATIO * found.d05:
            is_close = found.estimate.margin_mm < CLOSE_MM[life.kind]
            notes.add(Note.BOUND_ONLY_CLOSE if is_close else Note.BOUND_ONLY_UNKNOWN)
    is_range = refusal is None and not notes & {Note.BOUND_ONLY_CLOSE, Note.BOUND_ONLY_UNKNOWN}
    spread = found.estimate.log_rate_u1 / experience.log_sd
    return Projection(
        refusal=refusal,
        at_least_mm=at_least_mm,
        median_mm=_whole_mm(found.d50) if is_range else None,
        latest_mm=_whole_mm(found.d90) if is_range else None,
        d05_mm=_whole_mm(found.d05) if refusal is None else None,
        d95_mm=_whole_mm(found.d95) if refusal is None else None,
        rate_nm_per_1000km=math.exp(found.estimate.log_rate) * NM_PER_MM,
        own_share=min(max(1.0 - spread * spread, 0.0), 1.0),
        readings_used=len(life.readings),
        notes=_in_order(notes),
        flagged=None if screening.flagged is None else screening.flagged + first_visit(life),
        unresolved=(),
        experience=experience,
        from_odometer_mm=_last_odometer_mm(life),
        uncapped_at_least_mm=bound_mm,
    )


def _refused(
    life: PartLife,
    experience: Experience,
    refusal: Refusal,
    *,
    unresolved: tuple[str, ...] | None = None,
    typical_mm: int | None = None,
) -> Projection:
    return Projection(
        refusal=refusal,
        at_least_mm=None,
        median_mm=None,
        latest_mm=None,
        d05_mm=None,
        d95_mm=None,
        rate_nm_per_1000km=None,
        own_share=0.0,
        readings_used=len(life.readings),
        notes=_in_order(_record_notes(life)),
        flagged=None,
        unresolved=life.unresolved if unresolved is None else unresolved,
        experience=experience,
        typical_mm=typical_mm,
    )


def _faster(usual: Forecast, latest: Forecast) -> Forecast:
    """The forecast of the latest interval, held to the lower bounds of the whole history."""
    return replace(
        latest,
        d05=min(usual.d05, latest.d05),
        d10=min(usual.d10, latest.d10),
        d50=min(usual.d50, latest.d50),
    )


def _record_notes(life: PartLife) -> set[Note]:
    if life.start is None:
        return {Note.NO_START}
    return set() if life.start.measured else {Note.NOMINAL_START}


def _in_order(notes: set[Note]) -> tuple[Note, ...]:
    return tuple(note for note in Note if note in notes)


def _limit_is_inside_new(life: PartLife, limit_nm: int) -> bool:
    """Whether a new part has anything to wear; a refinished one is no witness of the sheet."""
    if life.new_nm is not None:
        return margin_mm(life, life.new_nm, limit_nm) > 0.0
    return life.start is None or margin_mm(life, life.start.size_nm, limit_nm) > 0.0


def _last_odometer_mm(life: PartLife) -> int:
    return life.readings[-1].odometer_mm if life.readings else start_odometer_mm(life)


def _is_too_old(life: PartLife) -> bool:
    if life.as_of_odometer_mm - _last_odometer_mm(life) > FARTHEST_MM:
        return True
    if not life.readings:
        return False
    day, as_of = life.readings[-1].day, life.as_of
    # As tuples, because 29 February has no counterpart two years earlier.
    oldest = (as_of.year - OLDEST_MONTHS // 12, as_of.month, as_of.day)
    return (day.year, day.month, day.day) < oldest


def _whole_mm(distance: float) -> int:
    """Whole millimetres of a distance in 1000 km, rounded down. [mm]"""
    return math.floor(distance * MM_PER_1000KM)


def _to_nearest(distance_mm: int | None, step_mm: int) -> int | None:
    return None if distance_mm is None else (distance_mm + step_mm // 2) // step_mm * step_mm
