"""What evenly spaced points round a circle can and cannot see, and the waves that they show.

A thickness or an indicator reading round one turn is a sum of waves: order 1 rises and falls once
per turn, order 2 twice. A few points see only a share of each wave, and none at all of some.
"""

from __future__ import annotations

import cmath
import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.errors import InvalidInput

LEAST_POINTS = 3
"""Fewer points than this determine no wave: a mean, a size and a place are three unknowns."""
NOISE_FACTOR = 3.0
"""Times its own standard uncertainty that a wave must reach before it is named. Pure noise gets
there with probability exp(-4.5), about 1.1 per cent: the amplitude of noise is Rayleigh. [-]"""


def worst_share(points: int, order: int) -> float:
    """Return the least share of a wave's peak-to-peak that the points can see, over all phases.

    Parameters
    ----------
    points : int
        Evenly spaced points in one turn, at least 1. [-]
    order : int
        Waves in one turn, at least 1. [-]

    Returns
    -------
    float
        From 0 (the points can miss the wave altogether) to less than 1. [-]

    Notes
    -----
    Points see a wave of order n at m = k / gcd(n, k) different places of the wave. For even m the
    worst phase shows cos(pi / m) of it, for odd m cos(pi / 2m) squared.

    Examples
    --------
    >>> [round(worst_share(points, 2), 2) for points in (4, 8, 9, 12)]
    [0.0, 0.71, 0.97, 0.87]
    """
    places = _places(points, order)
    if places <= 2:
        return 0.0
    if places % 2 == 0:
        return math.cos(math.pi / places)
    return math.cos(math.pi / (2 * places)) ** 2


def best_share(points: int, order: int) -> float:
    """Return the largest share of a wave's peak-to-peak that the points can see. [-]

    An even number of places can hit both the top and the bottom, an odd one never both.
    """
    places = _places(points, order)
    if places == 1:
        return 0.0
    return 1.0 if places % 2 == 0 else math.cos(math.pi / (2 * places))


def mean_share(points: int, order: int) -> float:
    """Return the share of a wave's peak-to-peak that the points see on average over phases. [-]

    Notes
    -----
    (m / pi) sin(pi / m), with the m different places of ``worst_share``, even or odd.

    Examples
    --------
    >>> [round(mean_share(points, 1), 3) for points in (4, 6, 8, 12)]
    [0.9, 0.955, 0.974, 0.989]
    """
    places = _places(points, order)
    if places == 1:
        return 0.0
    return places / math.pi * math.sin(math.pi / places)


def _places(points: int, order: int) -> int:
    if points < 1 or order < 1:
        raise ValueError("points and order begin at 1")
    return points // math.gcd(order, points)


def blind_orders(points: int, up_to: int = 6) -> tuple[int, ...]:
    """Return the orders, up to one, that the points can miss altogether.

    >>> blind_orders(4), blind_orders(8), blind_orders(9)
    ((2, 4, 6), (4,), ())
    """
    return tuple(n for n in range(1, up_to + 1) if _places(points, n) <= 2)


def missed_share(points: int) -> tuple[float, ...]:
    """Return the share of the orders 1 to 4 that the points miss in the worst case. [-]"""
    return tuple(1.0 - worst_share(points, order) for order in (1, 2, 3, 4))


def folded(order: int, points: int) -> int:
    """Return the order as which a wave appears in evenly spaced points; 0 for a constant.

    >>> folded(5, 6), folded(6, 8), folded(5, 5)
    (1, 2, 0)
    """
    rest = order % points
    return min(rest, points - rest)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderVector:
    """One wave: its amplitude and where its high spots are."""

    order: int
    vector_nm: complex
    """(2/k) times the sum of y e^(i n theta). [nm]"""
    points: int

    @property
    def amplitude_nm(self) -> float:
        """Half of its peak-to-peak. [nm]"""
        return abs(self.vector_nm)

    @property
    def peak_to_peak_nm(self) -> float:
        """Highest minus lowest; for order 1 of a runout, the total indicator reading. [nm]"""
        return 2.0 * abs(self.vector_nm)

    @property
    def high_deg(self) -> tuple[float, ...]:
        """Angles of its high spots from the first point, in the direction read. [degrees]"""
        first = math.degrees(cmath.phase(self.vector_nm)) / self.order
        step = 360.0 / self.order
        return tuple(sorted(turn(first + n * step) for n in range(self.order)))


def turn(angle_deg: float) -> float:
    """Return the same angle from 0 to below 360. [degrees]"""
    angle = angle_deg % 360.0
    return 0.0 if angle == 360.0 else angle


def order_vector(values_nm: Sequence[int], order: int) -> OrderVector:
    """Return one wave of a profile read at evenly spaced points of one turn.

    Parameters
    ----------
    values_nm : sequence of int
        The readings, in the order taken. [nm]
    order : int
        Waves in one turn, below half the number of points. [-]

    Raises
    ------
    InvalidInput
        Where there are too few points for that order.

    Notes
    -----
    y is approximated by y0 + |T| cos(n (theta - theta_high)), with n theta_high = arg T. The
    wave is exact, whatever its phase, so long as no higher order folds onto it: see ``folded``.
    """
    points = len(values_nm)
    if points < LEAST_POINTS or not 1 <= order <= highest_order(points):
        raise InvalidInput(
            f"{points} points do not determine a wave of order {order}",
            hint=f"at least {max(LEAST_POINTS, 2 * order + 1)} points, evenly spaced",
        )
    # Differences of whole nanometres are exact; thicknesses as floats would lose digits.
    first = values_nm[0]
    total = sum(
        (value - first) * cmath.exp(2j * math.pi * ((order * j) % points) / points)
        for j, value in enumerate(values_nm)
    )
    return OrderVector(order=order, vector_nm=2.0 / points * total, points=points)


def highest_order(points: int) -> int:
    """Return the highest order that the points determine with both size and place."""
    return (points - 1) // 2


def component_sd1_nm(sigma1_nm: float, points: int) -> float:
    """Return the standard uncertainty of each component of a wave: sigma sqrt(2/k). [nm]"""
    return sigma1_nm * math.sqrt(2.0 / points)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderFound:
    """A wave with what the noise of the readings makes of it."""

    wave: OrderVector
    sd1_nm: float
    """Standard uncertainty of its amplitude. [nm]"""

    @property
    def is_real(self) -> bool:
        """Whether it stands out of the noise of the readings."""
        return self.wave.amplitude_nm > NOISE_FACTOR * self.sd1_nm


def orders(values_nm: Sequence[int], sigma1_nm: float) -> tuple[OrderFound, ...]:
    """Return every wave that the points determine, lowest order first.

    Parameters
    ----------
    values_nm : sequence of int
        The readings at evenly spaced points of one turn, in the order taken. [nm]
    sigma1_nm : float
        Standard uncertainty of one reading, its random part only. [nm]
    """
    points = len(values_nm)
    sd1_nm = component_sd1_nm(sigma1_nm, points) if points else math.inf
    return tuple(
        OrderFound(wave=order_vector(values_nm, order), sd1_nm=sd1_nm)
        for order in range(1, highest_order(points) + 1)
    )


class OrderCause(enum.Enum):
    """What a wave of the thickness usually comes from: common practice."""

    ONE_ZONE = "one thick and one thin zone: worn by runout"
    TWO_ZONES = "two thick and two thin zones: clamped out of shape, or runout rubbing both pads"
    FASTENERS = "as many zones as wheel nuts: uneven or too high nut torque"
    MORE_ZONES = "as many zones as there are hot spots or pad imprints"


def usual_cause(order: int, studs: int | None = None) -> OrderCause:
    """Return what a wave of that order usually comes from.

    Parameters
    ----------
    order : int
        Waves in one turn. [-]
    studs : int, optional
        Number of wheel fasteners, where it is known. [-]
    """
    if order == 1:
        return OrderCause.ONE_ZONE
    if order == 2:
        return OrderCause.TWO_ZONES
    return OrderCause.FASTENERS if order == studs else OrderCause.MORE_ZONES
