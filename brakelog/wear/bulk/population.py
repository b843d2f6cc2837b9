"""What a shop's lives say of the rates of their groups, joined with what was believed before."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.lives import Counts, Floats
from brakelog.wear.bulk.moments import SETTLED, Moments, moments

PULLED_IN_FROM = (3.0, 3.5)
"""Standardised distances below and above the mean from which a rate is pulled in. [-]

Source: common practice (three standard deviations). Assumption: half a one more above, because
rates are skewed to that side.
"""

LEAST_SPREAD = 0.1
"""Spread between vehicles, as a share of the mean, below which it is not believed. [-]

Assumption: no two drivers brake alike; a handful of lives that agree is chance.
"""

VAGUE = 25.0
"""Variance of a rate, over the square of the usual one, from which its life says nothing. [-]

Assumption: a standard uncertainty of five times the rate.
"""

SLOWEST_SHARE = 0.2
"""Mean rate, as a share of the usual one, below which the lives are not believed. [-]

Assumption: a shop whose parts hardly wear has mixed up its sizes; believing it would be unsafe.
"""

FARTHEST = 1.5
"""Farthest that the logarithm of the median moves from the one believed before. [-]

Assumption: a factor of 4.5 either way holds every kind of use.
"""

LOG_SD_RANGE = (0.1, 0.8)
"""Range outside which a spread of the logarithm is not believed. [-]

Assumption: 9 of 10 vehicles within 15 % of the median, to within a factor of 3.7.
"""

LIVES_BEFORE = 1.0
"""Lives that what was believed before counts for, in the median. [-]

Assumption: one; the lives themselves soon say it better.
"""

SPREAD_LIVES_BEFORE = 4.0
"""Lives that what was believed before counts for, in the spread. [-]

Assumption: a spread takes more lives to learn than a median.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Populations:
    """Log-normal belief about the rate of each group, each array of shape (G,).

    Parameters
    ----------
    log_rate
        Natural logarithm of the median rate in mm per 1000 km. [-]
    log_sd
        Standard deviation of it, for one more vehicle. [-]
    lives_behind
        Effective number of lives it was learned from; 0 where nothing was. [-]
    """

    log_rate: Floats
    log_sd: Floats
    lives_behind: Floats


def seen_in(
    rates: Floats,
    variances: Floats,
    codes: Counts,
    above: Populations,
    *,
    counts_as: Floats | None = None,
    start: Moments | None = None,
    settled: float = SETTLED,
) -> Moments:
    """Return mean and variance of the rates of each group, as its lives alone show them.

    Parameters
    ----------
    rates
        Most likely rate of each life by its own readings; it may be negative. [mm/1000 km]
    variances
        Variance of it; infinite where the readings say nothing. [its square]
    codes
        Group of each life.
    above
        What is believed of each group without them.
    counts_as, start, settled
        As for ``moments``.
    """
    vague = VAGUE * np.exp(2.0 * above.log_rate)
    is_telling = variances <= vague[codes]
    if not is_telling.all():
        rates, variances, codes = rates[is_telling], variances[is_telling], codes[is_telling]
    return moments(
        rates,
        variances,
        codes,
        len(vague),
        pulled_in_from=PULLED_IN_FROM,
        least_relative_sd=LEAST_SPREAD,
        counts_as=counts_as,
        start=start,
        settled=settled,
    )


def populations(seen: Moments, above: Populations) -> Populations:
    """Return what is believed of each group after its lives were looked at.

    Parameters
    ----------
    seen
        Mean and variance of the rates, as the lives alone show them.
    above
        What is believed of each group without them.

    Notes
    -----
    Mean and variance on the scale of the rates, where a negative one is no trouble, are turned
    into the log-normal distribution that has them. Its median and its spread are then joined
    with those believed before as a normal mean and variance are with a conjugate prior.
    """
    usual = np.exp(above.log_rate)
    is_learned = (seen.units_behind > 0.0) & (seen.mean >= SLOWEST_SHARE * usual)
    mean = np.where(is_learned, seen.mean, usual)
    # A few lives far apart must not pull the median down through a spread that is not believed.
    log_var = np.minimum(np.log1p(seen.var / np.square(mean)), LOG_SD_RANGE[1] ** 2)
    joined = blended(np.log(mean) - log_var / 2.0, log_var, seen.units_behind, above)
    return Populations(
        log_rate=np.where(is_learned, joined.log_rate, above.log_rate),
        log_sd=np.where(is_learned, joined.log_sd, above.log_sd),
        lives_behind=np.where(is_learned, seen.units_behind, 0.0),
    )


def blended(centre: Floats, var: Floats, behind: Floats, above: Populations) -> Populations:
    """Join the centre and the variance of logarithms with what was believed before.

    Parameters
    ----------
    centre, var
        Mean and variance of the logarithms. [-]
    behind
        Effective number of lives behind them. [-]
    above
        What was believed before.
    """
    total = LIVES_BEFORE + behind
    more = np.maximum(behind - 1.0, 0.0)
    log_rate = (LIVES_BEFORE * above.log_rate + behind * centre) / total
    apart = LIVES_BEFORE * behind / total * np.square(centre - above.log_rate)
    spread = SPREAD_LIVES_BEFORE * np.square(above.log_sd) + more * var + apart
    spread /= SPREAD_LIVES_BEFORE + more
    # One more vehicle is as uncertain as the spread, and as the median is by itself.
    return Populations(
        log_rate=np.clip(log_rate, above.log_rate - FARTHEST, above.log_rate + FARTHEST),
        log_sd=np.clip(np.sqrt(spread * (1.0 + 1.0 / total)), *LOG_SD_RANGE),
        lives_behind=behind,
    )
