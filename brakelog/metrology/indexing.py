"""What every stud position would give, which is the best, and how to turn for a sure split."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

from brakelog.metrology.profile import folded, turn
from brakelog.metrology.runout import expected_reading_nm
from brakelog.metrology.shares import Split


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """What the assembly is predicted to run out at one stud position."""

    index: int
    vector_nm: complex
    sd1_nm: float
    """Standard uncertainty of each component. [nm]"""

    @property
    def tir_nm(self) -> float:
        """Total indicator reading. [nm]"""
        return 2.0 * abs(self.vector_nm)

    @property
    def u1_nm(self) -> float:
        """Standard uncertainty of the total indicator reading, to first order. [nm]"""
        return 2.0 * self.sd1_nm

    @property
    def bias_nm(self) -> float:
        """How much noise alone makes it read too large on average (Rice). [nm]"""
        return expected_reading_nm(self.tir_nm, self.sd1_nm) - self.tir_nm


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """Every stud position, and how near the best comes to the ideal angle."""

    positions: tuple[Position, ...]
    """By index, from 0."""
    best: Position
    ideal_deg: float
    """Angle to turn the rotor by from index 0, if any angle could be had. [degrees]"""
    left_over_deg: float
    """How far the best position is off that angle: at most 180/N. [degrees]"""

    @property
    def worst(self) -> Position:
        """The position that runs out most."""
        return max(self.positions, key=lambda each: each.tir_nm)


def predict(found: Split) -> Prediction:
    """Return what every stud position is predicted to run out, and the best of them.

    Notes
    -----
    The best angle puts the rotor's high spot opposite the hub's: arg H + 180 - arg R. Because the
    best of several noisy predictions is picked, it is a little optimistic: measure again.
    """
    positions = tuple(
        Position(index=index, vector_nm=found.at(index), sd1_nm=found.sd1_at_nm(index))
        for index in range(found.studs)
    )
    best = min(positions, key=lambda each: each.tir_nm)
    opposite = cmath.phase(found.hub_nm) + math.pi - cmath.phase(found.rotor_nm)
    ideal_deg = turn(math.degrees(opposite))
    off = (best.index * 360.0 / found.studs - ideal_deg + 180.0) % 360.0 - 180.0
    return Prediction(positions=positions, best=best, ideal_deg=ideal_deg, left_over_deg=abs(off))


def best_turn(studs: int) -> int:
    """Return by how many studs to turn the rotor for the second mounting: as near opposite as
    they allow, where the split is least uncertain.

    >>> [best_turn(studs) for studs in (4, 5, 6)]
    [2, 2, 3]
    """
    return studs // 2


def split_factor(turned: int, studs: int) -> float:
    """Return the standard uncertainty of a share over that of one mounting. [-]

    >>> [round(split_factor(*each), 3) for each in ((2, 4), (2, 5), (1, 5), (1, 6))]
    [0.707, 0.743, 1.203, 1.414]
    """
    return math.sqrt(2.0) / (2.0 * abs(math.sin(math.pi * (turned % studs) / studs)))


def stud_alias(points: int, studs: int) -> int | None:
    """Return the order, 1 or 2, that a distortion by the studs would pass for; None for neither.

    Uneven nut torque bends a rotor into as many waves as there are studs. Where these fold onto
    order 1, they falsify the split; onto order 2, they look like clamping.

    >>> stud_alias(6, 5), stud_alias(8, 6), stud_alias(12, 5)
    (1, 2, None)
    """
    order = folded(studs, points)
    return order if order in (1, 2) and studs > 2 else None
