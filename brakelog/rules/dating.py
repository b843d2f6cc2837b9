"""The days on which a part's distances are reached, as this vehicle is driven."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from brakelog.wear.crossing import Z90
from brakelog.wear.projection import Projection
from brakelog.wear.usage import Usage, days_until

MOST_DAYS = 5 * 365
"""Days beyond which no day is told. [day]

Assumption: nobody knows how a car will be driven, or by whom, in five years.
"""

WEEK = 7
"""Days that an early day is rounded down to. [day]

Assumption: finer would promise more than the method keeps.
"""

OLD_ODOMETER_MONTHS = 12
"""Age of the last odometer from which it is said. [month]

Assumption: a year without a visit leaves out a whole season of driving.
"""

_KM = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """The days that go with the distances of a projection, counted from its last reading."""

    at_least: date | None
    """The day that 9 of 10 such parts reach, rounded down to a week; None beyond five years."""
    median: date | None
    """The day that half of them reach; None where none is worth saying."""
    latest: date | None
    """The day that 1 in 10 reaches; None where none is worth saying."""
    usage: Usage

    def is_past(self, today: date) -> bool:
        """Whether the part may have reached its limit already."""
        return self.at_least is not None and self.at_least <= today


def dates_of(projection: Projection, read_on: date, usage: Usage) -> Dates | None:
    """Return the days of a projection; None where it states no distance.

    Parameters
    ----------
    projection
        The projection.
    read_on
        Day of the reading, or of the fitting, that its distances count from.
    usage
        How far the vehicle is driven in a day.
    """
    centre_mm = projection.centre_mm
    if not projection.at_least_mm or not centre_mm:
        return None

    def day(distance_mm: int | None, z: float, step: int) -> date | None:
        if distance_mm is None:
            return None
        days = days_until(usage, distance_km=distance_mm / _KM, median_km=centre_mm / _KM, z=z)
        if days is None or days > MOST_DAYS:
            return None
        return read_on + timedelta(days=int(days) // step * step)

    return Dates(
        at_least=day(projection.at_least_mm, -Z90, WEEK),
        median=day(projection.median_mm, 0.0, 1),
        latest=day(projection.latest_mm, Z90, 1),
        usage=usage,
    )


def months_between(day: date, today: date) -> int:
    """Return the whole months from one day to a later one. [month]"""
    months = (today.year - day.year) * 12 + today.month - day.month
    return months - (today.day < day.day)
