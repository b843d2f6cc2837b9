"""Where a straight line, or a reading about it, comes to a given height."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brakelog.metrology.coverage import coverage_factor
from brakelog.metrology.line import Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """The x at which a height is reached, with the interval that holds it."""

    x: float
    u1: float
    """Standard uncertainty to first order; too small where the slope is hardly proven."""
    low: float | None
    high: float | None
    """None, both, where the slope is not proven to differ from zero."""


def place_of(
    line: Line, y: float, *, probability: float, reading_weight: float | None = None
) -> Place | None:
    """Return the x at which a line comes to a height.

    Parameters
    ----------
    line : Line
        The line.
    y : float
        The height. [unit of y]
    probability : float
        Of the interval, between 0 and 1. [-]
    reading_weight : float, optional
        Where the height is that of new readings: 1 for one, m for the mean of m, each times its
        own weight if the line is a weighted one. Without it the height is that of the line.

    Returns
    -------
    Place or None
        None for a level line.

    Notes
    -----
    With d = x - x_pivot and h = y - y_pivot, the interval holds every x at which the height could
    not be told from the line: (h - b d)^2 <= t^2 s^2 (1/m + 1/W + d^2/Sxx), t with the degrees
    of freedom of the line. Where b is less than t times its standard uncertainty, that is all x,
    or all but a gap: there is no finite interval.

    References
    ----------
    E. C. Fieller, "Some problems in interval estimation", J. R. Statist. Soc. B 16 (1954)
    175-185 (from memory). The standard uncertainty is eq. 8.28 of D. L. Massart et al.,
    "Handbook of Chemometrics and Qualimetrics", part A (1997), as public programs quote it.
    """
    if line.b == 0:
        return None
    height = y - line.pivot_y
    of_height = 1 / line.pivot_weight + (0.0 if reading_weight is None else 1 / reading_weight)
    along = height / line.b
    x = line.pivot_x + along
    u1 = line.s1 / abs(line.b) * math.sqrt(of_height + along**2 / line.squares_x)
    reach = coverage_factor(probability, dof=line.dof) * line.s1
    steepness = line.b**2 - reach**2 / line.squares_x
    if steepness <= 0:
        return Place(x=x, u1=u1, low=None, high=None)
    # Rearranged so that only positive terms meet under the root.
    half = reach * math.sqrt(height**2 / line.squares_x + steepness * of_height)
    return Place(
        x=x,
        u1=u1,
        low=line.pivot_x + (line.b * height - half) / steepness,
        high=line.pivot_x + (line.b * height + half) / steepness,
    )
