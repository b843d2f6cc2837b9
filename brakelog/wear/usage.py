"""How far a vehicle is driven in a day, and the day on which a distance is reached."""

from __future__ import annotations

import math
from dataclasses import dataclass

USUAL_KM_PER_DAY = 35.0
"""Median distance driven in a day. [km/day]

From memory: about 12,000 km a year in Europe, 33 km a day. A shop elsewhere sets its own.
"""

LOG_SD = 0.5
"""Standard deviation of the natural logarithm of it between vehicles. [-]

Assumption: 9 cars of 10 are driven between 15 and 80 km a day.
"""

PROCESS_DAYS = 22.8
"""Variance of the logarithm of the mean distance per day, times the days it is taken over. [day]

Assumption: the distance of one year varies by 25 % from year to year (0.25 ** 2 * 365 = 22.8).
"""

ROUNDS = 6
"""Rounds of the search for the day. [-]

Assumption: found by trial; further rounds move it by less than a day.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Usage:
    """Log-normal belief about the distance that a vehicle is driven in a day.

    Parameters
    ----------
    log_km_per_day
        Natural logarithm of the median in km per day. [-]
    log_sd
        Standard uncertainty of it. [-]
    days_behind
        Days between the odometers that it was taken from; 0 where it is the shop's. [day]
    """

    log_km_per_day: float = math.log(USUAL_KM_PER_DAY)
    log_sd: float = LOG_SD
    days_behind: int = 0

    @property
    def km_per_day(self) -> float:
        """Median distance in a day. [km/day]"""
        return math.exp(self.log_km_per_day)


def usage_of(prior: Usage, *, distance_km: float, days: int) -> Usage:
    """Join what the odometers of a vehicle say with what is usual in the shop.

    Parameters
    ----------
    prior
        What is usual.
    distance_km
        Distance between the first and the last odometer. [km]
    days
        Days between the two. [day]

    Returns
    -------
    Usage
        The prior as it is where the odometers say nothing.
    """
    if distance_km <= 0.0 or days <= 0:
        return prior
    before, own = 1.0 / prior.log_sd**2, days / PROCESS_DAYS
    log_own = math.log(distance_km / days)
    return Usage(
        log_km_per_day=(before * prior.log_km_per_day + own * log_own) / (before + own),
        log_sd=math.sqrt(1.0 / (before + own)),
        days_behind=days,
    )


def days_until(usage: Usage, *, distance_km: float, median_km: float, z: float) -> float | None:
    """Return the days in which a distance is driven, at level z.

    Parameters
    ----------
    usage
        How far the vehicle is driven in a day.
    distance_km
        Distance at level z. [km]
    median_km
        Median distance. [km]
    z
        Standard normal level: negative for an early day, positive for a late one, 0 for the
        median. [-]

    Returns
    -------
    float or None
        Days; 0 where the distance is 0, None where there is no median to start from. [day]

    Notes
    -----
    Distance and distance per day are log-normal and independent, so that the variances of their
    logarithms add up. The further ahead, the better a mean distance per day evens out:
    its variance falls with the days, held at one process length for the nearest ones.
    """
    if median_km <= 0.0:
        return None
    if distance_km <= 0.0:
        return 0.0
    t50 = median_km / usage.km_per_day
    if z == 0.0:
        return t50
    spread = math.log(distance_km / median_km) / z
    days = t50
    for _ in range(ROUNDS):
        ahead = max(math.sqrt(days * t50), PROCESS_DAYS)
        sd = math.sqrt(spread**2 + usage.log_sd**2 + PROCESS_DAYS / ahead)
        days = t50 * math.exp(z * sd)
    return days
