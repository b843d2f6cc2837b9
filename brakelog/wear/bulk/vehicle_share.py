"""How much of the variance between rates stays with the vehicle from one set to the next."""

from __future__ import annotations

import numpy as np

from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.likelihood import rate_likelihoods
from brakelog.wear.bulk.lives import Counts, Floats, Lives
from brakelog.wear.bulk.population import PULLED_IN_FROM
from brakelog.wear.bulk.screening import expected_rates
from brakelog.wear.experience import VEHICLE_SHARE

ENOUGH_VEHICLES = 50
"""Vehicles with two sets from which the share is estimated. [-]

Assumption: with fewer the estimate is as uncertain as the share itself.
"""

SD_BEFORE = 0.2
"""Standard uncertainty of the share that is assumed. [-]

Assumption: from 0.4 up to all of it could be true.
"""

LARGEST = 0.95
"""Largest share that is believed. [-]

Assumption: no two sets of lining are quite alike, so that the rate of the last set never
settles that of the next.
"""


def learned_vehicle_share(
    lives: Lives, beliefs: Beliefs, *, before: Counts, vehicles: Counts
) -> float:
    """Return the share of the variance of the log rate that stays with the vehicle.

    Parameters
    ----------
    lives
        The lives.
    beliefs
        What is believed of the group of each, earlier sets left aside.
    before
        The life that was at the same place of the same vehicle before; -1 where none was. [-]
    vehicles
        A number for the vehicle of each life. [-]

    Returns
    -------
    float
        The share that is assumed where fewer than 50 vehicles have two sets. [-]

    Notes
    -----
    The rate of a set, less that of its group, is on average the share times that of the set
    before. The slope of the one on the other does not mind that fast vehicles come to a second
    set sooner, as a correlation would. What the earlier set's own readings leave unsure is taken
    out by shrinking it towards the group first. The uncertainty of the slope comes from the
    scatter between vehicles, and joins slope and assumption by their precisions.
    """
    second = np.flatnonzero(before >= 0)
    deviation, certainty = _deviations(lives, beliefs)
    first = before[second]
    is_telling = (certainty[first] > 0.0) & (certainty[second] > 0.0)
    first, second = first[is_telling], second[is_telling]
    _, vehicle = np.unique(vehicles[second], return_inverse=True)
    if vehicle.max(initial=-1) + 1 < ENOUGH_VEHICLES:
        return VEHICLE_SHARE
    weight = np.square(certainty[second])
    earlier = deviation[first] * certainty[first]
    later = deviation[second] / certainty[second]
    earlier = earlier - np.average(earlier, weights=weight)
    later = later - np.average(later, weights=weight)
    spread = float(np.sum(weight * earlier * earlier))
    slope = float(np.sum(weight * earlier * later)) / spread
    scatter = np.bincount(vehicle, weight * earlier * (later - slope * earlier))
    var = float(np.sum(np.square(scatter))) / spread**2
    # The slope is one of rates, the share one of their logarithms.
    log_var = float(np.mean(np.square(beliefs.log_sd[second])))
    on_logs = float(np.log1p(max(slope, 0.0) * np.expm1(log_var))) / log_var
    precision, precision_before = 1.0 / var, 1.0 / SD_BEFORE**2
    joined = (precision * on_logs + precision_before * VEHICLE_SHARE) / (
        precision + precision_before
    )
    return min(max(joined, 0.0), LARGEST)


def _deviations(lives: Lives, beliefs: Beliefs) -> tuple[Floats, Floats]:
    """Standardised deviation of each rate from its group, and its correlation with the truth.

    Both are zero where the readings say nothing.
    """
    found = rate_likelihoods(
        lives, process_c=beliefs.process_c, process_rate=np.exp(beliefs.log_rate)
    )
    mean, between = expected_rates(beliefs)
    says = found.information > 0.0
    own = 1.0 / np.where(says, found.information, 1.0)
    total = between + own
    deviation = np.clip(
        (found.score * own - mean) / np.sqrt(total), -PULLED_IN_FROM[0], PULLED_IN_FROM[1]
    )
    return np.where(says, deviation, 0.0), np.where(says, np.sqrt(between / total), 0.0)
