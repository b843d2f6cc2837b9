"""A straight line through readings, and how well it is known anywhere on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.metrology.coverage import coverage_factor


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line y = a + b (x - origin) by least squares.

    It turns about a pivot: the centre of the readings, or a start that was given as exact.
    """

    origin: float
    a: float
    b: float
    s1: float
    """Standard deviation of one reading of weight 1 about the line. [unit of y]"""
    dof: int
    count: int
    pivot_x: float
    """[unit of x]"""
    pivot_y: float
    """[unit of y]"""
    pivot_weight: float
    """Sum of the weights of the readings; infinite where the pivot is exact. [-]"""
    squares_x: float
    """Weighted sum of squared distances from the pivot. [unit of x, squared]"""
    squares_y: float
    """The same of the heights. [unit of y, squared]"""
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
        """Correlation of height and slope; 0 where the height is exact. [-]"""
        reach = self.origin - self.pivot_x
        spread = math.sqrt(self.squares_x / self.pivot_weight + reach**2)
        return reach / spread if spread else 0.0

    @property
    def r_squared(self) -> float | None:
        """Share of the squares about the pivot that the line accounts for. [-]

        About an exact start at zero that is the uncentred one. None where all heights are alike.
        """
        return 1 - self.s1**2 * self.dof / self.squares_y if self.squares_y else None

    def at(self, x: float) -> float:
        """Return the height of the line. [unit of y]"""
        return self.a + self.b * (x - self.origin)

    def u1_at(self, x: float) -> float:
        """Return the standard uncertainty of the line itself at x. [unit of y]"""
        return self.s1 * math.sqrt(1 / self.pivot_weight + (x - self.pivot_x) ** 2 / self.squares_x)

    def u1_of_reading_at(self, x: float, *, weight: float = 1.0) -> float:
        """Return the standard uncertainty of one new reading at x; never less than one's own."""
        return math.hypot(self.s1 / math.sqrt(weight), self.u1_at(x))

    def interval_of_reading_at(
        self, x: float, *, probability: float, weight: float = 1.0
    ) -> tuple[float, float]:
        """Return the prediction interval for one new reading at x. [unit of y]"""
        u1 = self.u1_of_reading_at(x, weight=weight)
        reach = coverage_factor(probability, dof=self.dof) * u1
        return self.at(x) - reach, self.at(x) + reach

    def is_beyond(self, x: float) -> bool:
        """Whether x lies outside the readings, where nothing says that the line goes on."""
        return not self.lowest_x <= x <= self.highest_x


def line_through(
    xs: Sequence[float],
    ys: Sequence[float],
    *,
    weights: Sequence[float] | None = None,
    origin: float = 0.0,
) -> Line:
    """Return the line of least squares.

    Parameters
    ----------
    xs, ys : sequence of float
        At least three pairs, not all at one x. [any unit]
    weights : sequence of float, optional
        1/u1^2 of each reading, up to a common factor; all alike where not given.
    origin : float
        Where the height is asked for; far from the data it is poorly known. [unit of x]

    Raises
    ------
    ValueError
        Where the pairs do not give a line.

    References
    ----------
    JCGM 100:2008 (GUM), H.3; with weights, ISO/TS 28037:2010, 6.3.
    """
    if len(xs) < 3:
        raise ValueError("a line needs three pairs or more")
    ws = _weights(xs, ys, weights)
    total = math.fsum(ws)
    return _line_about(
        _sum(ws, xs) / total, _sum(ws, ys) / total, total, xs, ys, ws, origin=origin, fitted=2
    )


def line_from(
    start: tuple[float, float],
    xs: Sequence[float],
    ys: Sequence[float],
    *,
    weights: Sequence[float] | None = None,
    origin: float = 0.0,
) -> Line:
    """Return the line of least squares through a start that is taken as exact.

    Parameters
    ----------
    start : tuple of float
        x and y of the start; (0, 0) gives a line without intercept. [any unit]
    xs, ys : sequence of float
        At least two pairs, not all at the start. [any unit]
    weights : sequence of float, optional
        As for ``line_through``.
    origin : float
        Where the height is asked for. [unit of x]

    Raises
    ------
    ValueError
        Where the pairs do not give a line.
    """
    if len(xs) < 2:
        raise ValueError("a line from a start needs two pairs or more")
    ws = _weights(xs, ys, weights)
    return _line_about(*start, math.inf, xs, ys, ws, origin=origin, fitted=1)


def _line_about(
    pivot_x: float,
    pivot_y: float,
    pivot_weight: float,
    xs: Sequence[float],
    ys: Sequence[float],
    ws: Sequence[float],
    *,
    origin: float,
    fitted: int,
) -> Line:
    """Fit the slope about a pivot; `fitted` is how many numbers were taken from the readings."""
    # Off the pivot first, squared second: large odometers would cancel in sums of squares.
    along = [x - pivot_x for x in xs]
    up = [y - pivot_y for y in ys]
    squares_x = _sum(ws, [each**2 for each in along])
    if squares_x == 0:
        raise ValueError("all readings are at one place")
    b = _sum(ws, [dx * dy for dx, dy in zip(along, up, strict=True)]) / squares_x
    left = _sum(ws, [(dy - b * dx) ** 2 for dx, dy in zip(along, up, strict=True)])
    dof = len(xs) - fitted
    return Line(
        origin=origin,
        a=pivot_y + b * (origin - pivot_x),
        b=b,
        s1=math.sqrt(left / dof),
        dof=dof,
        count=len(xs),
        pivot_x=pivot_x,
        pivot_y=pivot_y,
        pivot_weight=pivot_weight,
        squares_x=squares_x,
        squares_y=_sum(ws, [each**2 for each in up]),
        lowest_x=min(xs),
        highest_x=max(xs),
    )


def _weights(
    xs: Sequence[float], ys: Sequence[float], weights: Sequence[float] | None
) -> Sequence[float]:
    ws = [1.0] * len(xs) if weights is None else weights
    if not len(xs) == len(ys) == len(ws):
        raise ValueError("a line needs pairs, and a weight for each of them or for none")
    if not all(0 < weight < math.inf for weight in ws):
        raise ValueError("a weight is above zero and finite")
    return ws


def _sum(ws: Sequence[float], values: Sequence[float]) -> float:
    return math.fsum(w * value for w, value in zip(ws, values, strict=True))
