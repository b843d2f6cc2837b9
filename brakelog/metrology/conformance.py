"""Probability of conformance for one limit."""

from __future__ import annotations

import math


def normal_cdf(z: float) -> float:
    """Return the standard normal distribution function. [-]"""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def conformance_probability(margin_nm: float, u1_nm: float) -> float:
    """Return the probability that the true value lies on the right side of one limit.

    Parameters
    ----------
    margin_nm : float
        How far the reading lies inside the limit; below zero where it lies beyond. [nm]
    u1_nm : float
        Standard uncertainty of the reading. [nm]

    Returns
    -------
    float
        Probability of conformance. [-]

    Notes
    -----
    Normal distribution, one limit: p = Phi(margin / u1).

    References
    ----------
    JCGM 106:2012, 7.3.

    Examples
    --------
    >>> round(conformance_probability(17.0, 10.0), 6)
    0.955435
    """
    if u1_nm <= 0:
        return 1.0 if margin_nm >= 0 else 0.0
    return normal_cdf(margin_nm / u1_nm)
