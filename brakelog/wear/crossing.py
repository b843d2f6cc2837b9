"""The distance at which a wearing part reaches its limit, at a stated probability."""

from __future__ import annotations

import math

from brakelog.wear.rate import RateEstimate

Z90 = 1.2815515655446004
"""Standard normal quantile of 0.9: the one-sided bound that 9 of 10 reach. [-]"""

Z95 = 1.6448536269514722
"""Standard normal quantile of 0.95: either end of the two-sided 90 % interval. [-]"""

PASSES = 12
"""Rounds of the search. [-]

Assumption: found by trial; further rounds move the 90 % bound by a few kilometres at most.
"""

LEAST_MARGIN_SHARE = 0.02
"""Share of its own standard uncertainty below which a margin is not followed. [-]

Assumption: keeps the search on the near side of the limit.
"""

LEAST_SD_MM = 1e-9
"""Added to the standard uncertainty of the margin, so that it is never zero. [mm]

Assumption: a millionth of a micrometre, far below every reading.
"""


def crossing_distance(estimate: RateEstimate, process_c: float, z: float) -> float:
    """Distance after the last visit at which the limit is reached, at level z.

    Parameters
    ----------
    estimate
        Rate and margin after the last visit.
    process_c
        Process variance over rate squared and distance. [1000 km]
    z
        Standard normal level: negative for an early distance, positive for a late one. [-]

    Returns
    -------
    float
        Distance; 0 where the margin itself is not proven at a negative level. [1000 km]

    Notes
    -----
    The inverse first-order reliability method: of all combinations of rate, margin and process
    that lie |z| standard deviations from the expected one, the one that gives the extreme
    distance. The process enters as the log-normal match of a gamma process, whose squared
    coefficient of variation over a distance D is c / D.

    References
    ----------
    A. M. Hasofer and N. C. Lind, "Exact and invariant second-moment code format", J. Eng. Mech.
    Div. ASCE 100 (1974) 111-121. S. R. Winterstein et al., "Environmental parameters for extreme
    response: inverse FORM with omission factors", Proc. ICOSSAR (1993). J. Lawless and
    M. Crowder, "Covariates and random effects in a gamma process model with application to
    degradation and failure", Lifetime Data Anal. 10 (2004) 213-227.
    """
    rho, spread, lean = estimate.log_rate, estimate.log_rate_u1, estimate.lean
    centre, centre_rate = estimate.margin_mm, math.exp(rho)
    sd = math.sqrt(estimate.margin_var) + LEAST_SD_MM
    if z == 0.0:
        return median_distance(estimate)
    if z < 0.0 and centre <= -z * sd:
        return 0.0
    least = LEAST_MARGIN_SHARE * sd
    rate, margin = centre_rate, max(centre, least)
    distance = margin / rate
    moved = process_sd = u_process = 0.0
    for _ in range(PASSES):
        process_sd = math.sqrt(math.log1p(process_c / distance))
        by_margin = sd / margin
        by_rate = spread * (lean * rate / margin - 1.0)
        scale = z / math.sqrt(by_margin**2 + by_rate**2 + process_sd**2)
        u_process = -process_sd * scale
        rate = math.exp(rho + spread * by_rate * scale)
        moved = centre + lean * (rate - centre_rate) + sd * by_margin * scale
        kept = max(moved, least)
        margin = (margin + kept) / 2.0
        # The geometric mean with the last round damps an oscillation close to the limit.
        distance = math.sqrt(distance * kept / (rate * math.exp(process_sd * u_process)))
    return max(moved, 0.0) / (rate * math.exp(process_sd * u_process))


def median_distance(estimate: RateEstimate) -> float:
    """Distance that half of such parts reach; 0 at or beyond the limit. [1000 km]"""
    return max(estimate.margin_mm, 0.0) / math.exp(estimate.log_rate)


def probability_below(estimate: RateEstimate) -> float:
    """Probability that the part is beyond its limit already. [-]"""
    by_rate = estimate.lean * math.exp(estimate.log_rate) * estimate.log_rate_u1
    sd = math.sqrt(estimate.margin_var + by_rate * by_rate) + LEAST_SD_MM
    return math.erfc(estimate.margin_mm / (sd * math.sqrt(2.0))) / 2.0
