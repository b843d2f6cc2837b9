"""How far many vehicles are driven in a day; see ``wear.usage`` for one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.lives import Floats
from brakelog.wear.bulk.moments import Moments, medians, moments
from brakelog.wear.bulk.population import LOG_SD_RANGE, Populations, blended
from brakelog.wear.usage import PROCESS_DAYS, ROUNDS, Usage

PULLED_IN_FROM = (3.0, 3.0)
"""Standardised distances from the mean from which a vehicle is pulled in. [-]

Source: common practice (three standard deviations).
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Usages:
    """Log-normal belief about the distance that each vehicle is driven in a day.

    Parameters
    ----------
    log_km_per_day
        Natural logarithm of the median in km per day, shape (N,). [-]
    log_sd
        Standard uncertainty of it, shape (N,). [-]
    """

    log_km_per_day: Floats
    log_sd: Floats


def learn_usage(distance_km: Floats, days: Floats, prior: Usage) -> Usage:
    """Return how far the vehicles of a shop are usually driven in a day.

    Parameters
    ----------
    distance_km
        Distance between the first and the last odometer of each vehicle, shape (N,). [km]
    days
        Days between the two, shape (N,). [day]
    prior
        What is usual elsewhere.

    Returns
    -------
    Usage
        Median and spread, for one more vehicle; the prior where fewer than two vehicles say
        anything.

    Notes
    -----
    As with wear rates, but on the scale of the logarithm: the logarithm of a vehicle's own mean
    is normal about its own value, with a variance that falls with the days it is taken over.
    """
    says = (distance_km > 0.0) & (days > 0.0)
    own = np.log(distance_km[says] / days[says])
    codes = np.zeros(len(own), dtype=np.int64)
    seen = moments(
        own,
        PROCESS_DAYS / days[says],
        codes,
        1,
        pulled_in_from=PULLED_IN_FROM,
        least_sd=LOG_SD_RANGE[0],
        start=Moments(
            mean=medians(own, codes, 1),
            var=np.array([prior.log_sd**2]),
            units_behind=np.zeros(1),
        ),
    )
    if seen.units_behind[0] <= 0.0:
        return prior
    above = Populations(
        log_rate=np.array([prior.log_km_per_day]),
        log_sd=np.array([prior.log_sd]),
        lives_behind=np.zeros(1),
    )
    joined = blended(seen.mean, seen.var, seen.units_behind, above)
    return Usage(log_km_per_day=float(joined.log_rate[0]), log_sd=float(joined.log_sd[0]))


def usages_of(prior: Usage, *, distance_km: Floats, days: Floats) -> Usages:
    """Join what the odometers of each vehicle say with what is usual in the shop.

    Parameters
    ----------
    prior
        What is usual.
    distance_km
        Distance between the first and the last odometer of each, shape (N,). [km]
    days
        Days between the two, shape (N,). [day]
    """
    says = (distance_km > 0.0) & (days > 0.0)
    before, own = 1.0 / prior.log_sd**2, np.where(says, days, 0.0) / PROCESS_DAYS
    log_own = np.log(np.where(says, distance_km, 1.0) / np.where(says, days, 1.0))
    return Usages(
        log_km_per_day=np.where(
            says,
            (before * prior.log_km_per_day + own * log_own) / (before + own),
            prior.log_km_per_day,
        ),
        log_sd=np.where(says, np.sqrt(1.0 / (before + own)), prior.log_sd),
    )


def days_until_many(usages: Usages, *, distance_km: Floats, median_km: Floats, z: float) -> Floats:
    """Return the days in which each distance is driven, at level z.

    Parameters
    ----------
    usages
        How far each vehicle is driven in a day.
    distance_km
        Distance at level z, shape (N,). [km]
    median_km
        Median distance, shape (N,). [km]
    z
        Standard normal level: negative for an early day, positive for a late one, 0 for the
        median. [-]

    Returns
    -------
    array of shape (N,)
        Days; 0 where the distance is 0, not a number where there is no median to start from.
        [day]
    """
    has_median, is_ahead = median_km > 0.0, distance_km > 0.0
    median_km = np.where(has_median, median_km, 1.0)
    t50 = median_km / np.exp(usages.log_km_per_day)
    days = t50
    if z != 0.0:
        spread = np.log(np.where(is_ahead, distance_km, median_km) / median_km) / z
        var = np.square(spread) + np.square(usages.log_sd)
        for _ in range(ROUNDS):
            ahead = np.maximum(np.sqrt(days * t50), PROCESS_DAYS)
            days = t50 * np.exp(z * np.sqrt(var + PROCESS_DAYS / ahead))
    return np.where(has_median, np.where(is_ahead, days, 0.0), np.nan)
