"""Hub or rotor: their shares of a runout, from two or more mountings.

With the rotor turned by psi on its hub, the once-per-turn vector is T(psi) = H + R e^(i psi): the
hub's part stays, the rotor's turns along. Angles count from stud 1 of the hub, in the direction in
which the points were read, and the rotor is turned in that same direction.
"""

from __future__ import annotations

import cmath
import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.errors import InvalidInput
from brakelog.metrology.profile import NOISE_FACTOR, component_sd1_nm
from brakelog.metrology.runout import harmonic

SMALL_NM = 20_000.0
"""Where every mounting runs out less than this, the split is noise: 0.02 mm, common practice.
[nm]"""
_FALSE_ALARM = math.exp(-(NOISE_FACTOR**2) / 2.0)


class Mark(enum.Enum):
    """What the first point of a profile is marked on."""

    HUB = "hub"
    ROTOR = "rotor"
    """The mark travels with the rotor: T' = H e^(-i psi) + R."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mounting:
    """The rotor on its hub at one stud position, read once round."""

    index: int
    """Studs that the rotor was turned from its first position."""
    vector_nm: complex
    """Once-per-turn vector, from the mark of the profile. [nm]"""
    sd1_nm: float
    """Standard uncertainty of each of its components. [nm]"""
    points: int

    @property
    def tir_nm(self) -> float:
        """Total indicator reading of the once-per-turn part. [nm]"""
        return 2.0 * abs(self.vector_nm)


def mounting(index: int, values_nm: Sequence[int], sigma1_nm: float) -> Mounting:
    """Return a mounting from its profile.

    Parameters
    ----------
    index : int
        Studs that the rotor was turned from its first position. [-]
    values_nm : sequence of int
        Signed readings at evenly spaced points of one turn. [nm]
    sigma1_nm : float
        Standard uncertainty of one reading, its random part only. [nm]
    """
    wave = harmonic(values_nm)
    return Mounting(
        index=index,
        vector_nm=wave.vector_nm,
        sd1_nm=component_sd1_nm(sigma1_nm, wave.points),
        points=wave.points,
    )


class NoAdvice(enum.Enum):
    """Why no advice rests on a split."""

    SMALL = "all mountings run out too little to be split"
    HUB_IS_NOISE = "the hub's share does not stand out of the noise"
    ROTOR_IS_NOISE = "the rotor's share does not stand out of the noise"
    DISAGREE = "the mountings do not agree with each other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """The shares of hub and rotor, with the covariance of their estimate."""

    studs: int
    hub_nm: complex
    """From stud 1 of the hub. [nm]"""
    rotor_nm: complex
    """From the place of the rotor that sat on stud 1 at index 0. [nm]"""
    hub_sd1_nm: float
    """Standard uncertainty of each component. [nm]"""
    rotor_sd1_nm: float
    """Standard uncertainty of each component. [nm]"""
    covariance1_nm2: complex
    """Of hub and rotor, for one component. [nm^2]"""
    mountings: tuple[Mounting, ...]
    misfit: float
    """Sum of the squared residuals over their variance. [-]"""

    def at(self, index: int) -> complex:
        """Return the vector of the assembly at a stud position. [nm]"""
        return self.hub_nm + self.rotor_nm * rotation(index, self.studs)

    def sd1_at_nm(self, index: int) -> float:
        """Return the standard uncertainty of each component of that vector. [nm]"""
        shared = 2.0 * (self.covariance1_nm2 * rotation(index, self.studs).conjugate()).real
        return math.sqrt(max(self.hub_sd1_nm**2 + self.rotor_sd1_nm**2 + shared, 0.0))

    def gain_nm(self, start: int, end: int) -> tuple[float, float]:
        """Return by how much the runout falls from one position to another, and how sure that is.

        Returns
        -------
        tuple of float
            Total indicator reading at the first less that at the second, and the standard
            uncertainty of this difference; both share the same readings. [nm]
        """
        first, second = self.at(start), self.at(end)
        along = [0j if v == 0 else (v / abs(v)).conjugate() for v in (first, second)]
        by_hub = along[0] - along[1]
        by_rotor = along[0] * rotation(start, self.studs) - along[1] * rotation(end, self.studs)
        variance = (
            abs(by_hub) ** 2 * self.hub_sd1_nm**2
            + abs(by_rotor) ** 2 * self.rotor_sd1_nm**2
            + 2.0 * (by_hub * by_rotor.conjugate() * self.covariance1_nm2).real
        )
        return 2.0 * (abs(first) - abs(second)), 2.0 * math.sqrt(max(variance, 0.0))

    @property
    def doubts(self) -> tuple[NoAdvice, ...]:
        """Why no advice rests on it; none if advice may."""
        doubts: list[NoAdvice] = []
        if all(each.tir_nm < SMALL_NM for each in self.mountings):
            doubts.append(NoAdvice.SMALL)
        if abs(self.hub_nm) <= NOISE_FACTOR * self.hub_sd1_nm:
            doubts.append(NoAdvice.HUB_IS_NOISE)
        if abs(self.rotor_nm) <= NOISE_FACTOR * self.rotor_sd1_nm:
            doubts.append(NoAdvice.ROTOR_IS_NOISE)
        if _tail(self.misfit, len(self.mountings) - 2) < _FALSE_ALARM:
            doubts.append(NoAdvice.DISAGREE)
        return tuple(doubts)


def rotation(index: int, studs: int) -> complex:
    """Return e^(i psi) for a rotor turned by that many studs."""
    return cmath.exp(2j * math.pi * (index % studs) / studs)


def split(mountings: Sequence[Mounting], studs: int, *, mark: Mark = Mark.HUB) -> Split:
    """Return the shares of hub and rotor: least squares over two or more mountings.

    Parameters
    ----------
    mountings : sequence of Mounting
        At least two different positions of the rotor.
    studs : int
        Positions in one turn. [-]
    mark : Mark
        What the first point of each profile is marked on.

    Raises
    ------
    InvalidInput
        Where all mountings stand at one and the same position, or there are no studs.

    Notes
    -----
    For two mountings at 0 and psi: R = (T_0 - T_psi) / (1 - e^(i psi)), H = T_0 - R, and the
    standard uncertainty of each component of both is s_T sqrt(2) / (2 |sin(psi / 2)|).
    """
    if studs < 1:
        raise InvalidInput("a rotor has at least one position", hint="nuts=5/5 and the like")
    if len({each.index % studs for each in mountings}) < 2:
        raise InvalidInput(
            "all mountings stand at one position of the rotor",
            hint="turn it by about half of its studs and read it again",
        )
    # Exact readings have no spread; any equal weights give the same shares.
    exact = any(each.sd1_nm <= 0 for each in mountings)
    weights = [1.0 if exact else each.sd1_nm**-2 for each in mountings]
    turns = [rotation(each.index, studs) for each in mountings]
    vectors = [
        each.vector_nm * (w if mark is Mark.ROTOR else 1.0)
        for each, w in zip(mountings, turns, strict=True)
    ]
    total = sum(weights)
    cross = sum(g * w for g, w in zip(weights, turns, strict=True))
    left = sum(g * t for g, t in zip(weights, vectors, strict=True))
    right = sum(g * w.conjugate() * t for g, w, t in zip(weights, turns, vectors, strict=True))
    determinant = total**2 - abs(cross) ** 2
    hub = (total * left - cross * right) / determinant
    rotor = (total * right - complex(cross).conjugate() * left) / determinant
    residuals = [t - hub - rotor * w for t, w in zip(vectors, turns, strict=True)]
    variance = 0.0 if exact else total / determinant
    return Split(
        studs=studs,
        hub_nm=complex(hub),
        rotor_nm=complex(rotor),
        hub_sd1_nm=math.sqrt(variance),
        rotor_sd1_nm=math.sqrt(variance),
        covariance1_nm2=0j if exact else -cross / determinant,
        mountings=tuple(mountings),
        misfit=0.0
        if exact
        else sum(g * abs(r) ** 2 for g, r in zip(weights, residuals, strict=True)),
    )


def _tail(misfit: float, spare: int) -> float:
    """Return how probable a misfit of at least that size is by noise alone. [-]

    Chi-squared with two degrees of freedom for each mounting beyond the second.
    """
    if spare < 1:
        return 1.0
    half, term, total = misfit / 2.0, 1.0, 0.0
    for n in range(spare):
        total += term
        term *= half / (n + 1)
    return math.exp(-half) * total
