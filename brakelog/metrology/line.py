"""A straight line through readings of a standard, and how well it is known anywhere on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line y = a + b (x - origin) by least squares, all readings alike."""

    origin: float
    a: float
    b: float
    s1: float
    """Standard deviation of one reading about the line. [unit of y]"""
    dof: int
    count: int
    mean_x: float
    """[unit of x]"""
    squares_x: float
    """Sum of squared distances from the mean. [unit of x, squared]"""
    lowest_x: float
    highest_x: float

    @property
    def u1_a(self) -> float:
        """Standard uncertainty of the height at the origin. [unit of y]"""
        return self.u1_at(self.origin)

    @property
    def u1_b(self) -> float:
        """Standard uncertainty of the slope. [unit of y per unit of x]"""
        return self.s1 / math.sqrt(self.squares_x)

    @property
    def correlation(self) -> float:
        """Correlation of height and slope. [-]"""
        reach = self.origin - self.mean_x
        return reach / math.sqrt(self.squares_x / self.count + reach**2)

    def at(self, x: float) -> float:
        """Return the height of the line. [unit of y]"""
        return self.a + self.b * (x - self.origin)

    def u1_at(self, x: float) -> float:
        """Return the standard uncertainty of the line itself at x. [unit of y]"""
        return self.s1 * math.sqrt(1 / self.count + (x - self.mean_x) ** 2 / self.squares_x)

    def u1_of_reading_at(self, x: float) -> float:
        """Return the standard uncertainty of one new reading at x; never less than one's own."""
        return math.hypot(self.s1, self.u1_at(x))

    def is_beyond(self, x: float) -> bool:
        """Whether x lies outside the readings, where nothing says that the line goes on."""
        return not self.lowest_x <= x <= self.highest_x


def line_through(xs: Sequence[float], ys: Sequence[float], *, origin: float = 0.0) -> Line:
    """Return the line of least squares.

    Parameters
    ----------
    xs, ys : sequence of float
        At least three pairs, not all at one x. [any unit]
    origin : float
        Where the height is asked for; far from the data it is poorly known. [unit of x]

    Raises
    ------
    ValueError
        Where the pairs do not give a line.

    References
    ----------
    JCGM 100:2008 (GUM), H.3.
    """
    count = len(xs)
    if count < 3 or count != len(ys):
        raise ValueError("a line needs three pairs or more")
    mean_x, mean_y = math.fsum(xs) / count, math.fsum(ys) / count
    squares_x = math.fsum((x - mean_x) ** 2 for x in xs)
    if squares_x == 0:
        raise ValueError("all readings are at one place")
    b = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / squares_x
    left = math.fsum((y - mean_y - b * (x - mean_x)) ** 2 for x, y in zip(xs, ys, strict=True))
    return Line(
        origin=origin,
        a=mean_y + b * (origin - mean_x),
        b=b,
        s1=math.sqrt(left / (count - 2)),
        dof=count - 2,
        count=count,
        mean_x=mean_x,
        squares_x=squares_x,
        lowest_x=min(xs),
        highest_x=max(xs),
    )
