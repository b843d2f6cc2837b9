"""What is said about the rest of a part life, or why nothing can be said."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.record.member import Member
from brakelog.wear.experience import Experience

BOUND_STEP = 500
"""Step that a bound is rounded down to. [km or mile]

Assumption: finer would promise more than the method keeps.
"""

MEDIAN_STEP = 1_000
"""Step that the other distances are rounded to. [km or mile]

Assumption: as for the bound.
"""


class Refusal(Member):
    """Why no distance is stated, in order of precedence."""

    NO_LIMIT = "no limit"
    LIMIT_NOT_INSIDE_NEW = "limit not inside the new size"
    AT_LIMIT = "at or beyond the limit"
    UNRESOLVED = "unresolved"
    TOO_OLD = "reading too old"
    NO_BASIS = "no basis for a rate"
    WITHIN_ERROR = "within measurement error of the limit"
    NO_READING = "no reading"


class Note(Member):
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
    centre_mm
        The median, kept even where only the bound is worth saying; days are reckoned from it. [mm]
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
    centre_mm: int | None = None


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


def _to_nearest(distance_mm: int | None, step_mm: int) -> int | None:
    return None if distance_mm is None else (distance_mm + step_mm // 2) // step_mm * step_mm
