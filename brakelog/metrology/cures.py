"""What cures a runout beyond its limit, in the order in which the trade tries it."""

from __future__ import annotations

import enum
from dataclasses import dataclass

INDEX_OVER_NM = (25_000, 127_000)
"""How far beyond its limit a runout may be to be cured by turning the rotor: 0.025 to 0.127 mm
(0.001 to 0.005 in), General Motors, "Assembled Lateral Runout Correction", 2003 to 2009. [nm]"""
PLATE_OVER_NM = 228_600
"""The same for a tapered plate: up to 0.009 in, same text. [nm]"""


class Cure(enum.Enum):
    """One cure."""

    CLEAN = "clean hub face and rotor hat, torque all nuts, measure again"
    INDEX = "turn the rotor on its studs"
    PLATE = "fit a tapered correction plate"
    CUT = "cut the rotor on the car"
    HUB = "replace hub or bearing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One cure in its turn."""

    cure: Cure
    fits: bool
    """Whether the published range reaches as far as this runout is over."""


def cures(over_nm: int) -> tuple[Step, ...]:
    """Return the cures of a runout that is out, in the order in which they are tried.

    Parameters
    ----------
    over_nm : int
        How far the runout lies beyond its limit; 0 for one that is out at its limit. [nm]

    References
    ----------
    General Motors, "Assembled Lateral Runout Correction", 2003 to 2009.
    """
    return (
        Step(cure=Cure.CLEAN, fits=True),
        Step(cure=Cure.INDEX, fits=over_nm <= INDEX_OVER_NM[1]),
        Step(cure=Cure.PLATE, fits=over_nm <= PLATE_OVER_NM),
        Step(cure=Cure.CUT, fits=True),
        Step(cure=Cure.HUB, fits=True),
    )
