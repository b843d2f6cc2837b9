"""Quantiles and tails of the normal, Student and Fisher distributions.

Small routines of our own, so that a result does not depend on what else is installed;
tests/published compares them with scipy.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

_TINY = 1e-300
_CLOSE = 1e-15
_MOST_TERMS = 100_000
"""Terms of the continued fraction. It needs about the square root of the degrees of freedom."""
_PRACTICALLY_NORMAL = 1e7
"""Degrees of freedom from which Student's distribution is the normal one to six digits."""


def normal_quantile(probability: float) -> float:
    """Return the value that a standard normal variable stays below with a probability. [-]

    >>> round(normal_quantile(0.95), 4)
    1.6449
    """
    return NormalDist().inv_cdf(probability)


def student_quantile(probability: float, dof: float) -> float:
    """Return the value that a Student variable stays below with a probability.

    Parameters
    ----------
    probability : float
        Between 0 and 1. [-]
    dof : float
        Degrees of freedom, whole or not; infinite means normal. [-]

    Examples
    --------
    The factor for 95 % and 19 degrees of freedom, two-sided:

    >>> round(student_quantile(0.975, 19), 2)
    2.09
    """
    if not 0 < probability < 1 or not dof > 0:
        raise ValueError(f"no quantile for p = {probability} and {dof} degrees of freedom")
    if dof > _PRACTICALLY_NORMAL:
        return normal_quantile(probability)
    if probability < 0.5:
        return -student_quantile(1 - probability, dof)

    def tail(t: float) -> float:
        return 0.5 * _beta_part(dof / (dof + t * t), dof / 2, 0.5)

    return _where(tail, 1 - probability)


def f_tail(ratio: float, top_dof: float, bottom_dof: float) -> float:
    """Return the probability that chance alone gives a variance ratio as large or larger.

    Parameters
    ----------
    ratio : float
        Ratio of two mean squares. [-]
    top_dof, bottom_dof : float
        Their degrees of freedom. [-]

    Examples
    --------
    >>> round(f_tail(0.4337, 18, 60), 3)
    0.974
    """
    if ratio <= 0:
        return 1.0
    if math.isinf(ratio):
        return 0.0
    share = bottom_dof / (bottom_dof + top_dof * ratio)
    return _beta_part(share, bottom_dof / 2, top_dof / 2)


def f_quantile(probability: float, top_dof: float, bottom_dof: float) -> float:
    """Return the variance ratio that chance alone stays below with a probability. [-]"""
    if not 0 < probability < 1:
        raise ValueError(f"no quantile for p = {probability}")
    return _where(lambda ratio: f_tail(ratio, top_dof, bottom_dof), 1 - probability)


def _where(falling: Callable[[float], float], wanted: float) -> float:
    """Return where a function that falls over all positive numbers takes a value."""
    high = 1.0
    while falling(high) > wanted:
        high *= 2
    low = 0.0
    while (middle := (low + high) / 2) not in (low, high):
        if falling(middle) > wanted:
            low = middle
        else:
            high = middle
    return high


def _beta_part(x: float, a: float, b: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b).

    The continued fraction 26.5.8 of Abramowitz and Stegun (1964), evaluated by Lentz's method;
    it converges fast below the mean of the distribution, and above it the other side is taken.
    """
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    if x > (a + 1) / (a + b + 2):
        return 1.0 - _beta_part(1 - x, b, a)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    return front / (a * _fraction(x, a, b))


def _fraction(x: float, a: float, b: float) -> float:
    """Return the continued fraction 1 + d1 x / (1 + d2 x / (1 + ...))."""
    value, c, d = 1.0, 1.0, 0.0
    for term in range(1, _MOST_TERMS):
        m = term // 2
        if term % 2:
            step = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            step = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d = 1.0 / (1.0 + step * d or _TINY)
        c = 1.0 + step / c or _TINY
        value *= c * d
        if abs(c * d - 1.0) < _CLOSE:
            break
    return value
