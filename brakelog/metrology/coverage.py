"""Coverage factors: by how many standard uncertainties an interval reaches out."""

from __future__ import annotations

import math

from brakelog.metrology.distributions import student_quantile


def coverage_factor(probability: float, *, dof: float = math.inf, sides: int = 2) -> float:
    """Return the factor k for an interval that holds the value with a probability.

    Parameters
    ----------
    probability : float
        Between 0 and 1. [-]
    dof : float
        Effective degrees of freedom, whole or not; infinite means normal. [-]
    sides : int
        2 for an interval about the result, 1 for a bound on one side of it.

    Returns
    -------
    float
        k. [-]

    References
    ----------
    GUM G.3 and G.4: Student's distribution for the effective degrees of freedom. The guard band
    of ISO 14253-1:2017 for one limit is the one-sided factor times u1.

    Examples
    --------
    >>> round(coverage_factor(0.95, dof=19), 2), round(coverage_factor(0.95, sides=1), 3)
    (2.09, 1.645)
    """
    if sides not in (1, 2):
        raise ValueError("an interval has one side or two")
    below = probability if sides == 1 else (1 + probability) / 2
    return student_quantile(below, dof)


def edge_parameter(half_width: float, other_half_width: float) -> float:
    """Return how long the flat top of the trapezoid is that two rectangles make together. [-]

    0 for two equal ones, whose sum is a triangle; 1 for a single rectangle.
    """
    return abs(half_width - other_half_width) / (half_width + other_half_width)


def trapezoid_factor(probability: float, edge: float) -> float:
    """Return the factor k where two rectangular components outweigh all others.

    Parameters
    ----------
    probability : float
        Between 0 and 1. [-]
    edge : float
        The edge parameter of the trapezoid. [-]

    Returns
    -------
    float
        k; less than the normal one, because a trapezoid has no tails. [-]

    References
    ----------
    EA-4/02 M:2022, example S10 (calibration of a vernier calliper; from memory).

    Examples
    --------
    >>> round(trapezoid_factor(0.95, edge_parameter(50, 25)), 2)
    1.83
    """
    if probability < 2 * edge / (1 + edge):
        reach = probability * (1 + edge) / 2
    else:
        reach = 1 - math.sqrt((1 - probability) * (1 - edge**2))
    return reach / math.sqrt((1 + edge**2) / 6)
