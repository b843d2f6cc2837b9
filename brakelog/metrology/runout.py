"""One runout: what its readings say, and what keeps them from being used.

Angles count from stud 1 of the hub, in the direction in which the points were read.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Sequence
from fractions import Fraction

from brakelog.lengths import NM_PER_MM
from brakelog.metrology.profile import OrderVector, order_vector
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet

PROFILE_POINTS = 5
"""Points of a profile, at the least. Assumption: a wave has three unknowns, and two points more
show whether it is the only one."""
RETURN_NM = 10_000
"""How far the indicator may be off its start after one turn: 0.01 mm, common practice. [nm]"""
READ_WITH_NUTS_NM = {2: 127_000, 3: 76_200, 5: 50_800}
"""What one and the same rotor read with 2, 3 and all 5 nuts: 0.005, 0.003 and 0.002 in ("The
Chassis", Auto Service Professional, February 2016); an example, no rule. [nm]"""

HUB_RADII_NM = (55 * NM_PER_MM, 70 * NM_PER_MM)
ROTOR_RADII_NM = (125 * NM_PER_MM, 155 * NM_PER_MM)
"""Radii at which the hub face and the rotor of a car are read: common practice. [nm]"""


class Gate(enum.Enum):
    """Why a runout may not be used."""

    FEW_POINTS = "fewer points than a profile needs"
    POINT_MISSING = "a point of the profile was not measured"
    FASTENERS_NOT_SAID = "not said how many wheel fasteners held the rotor"
    FASTENERS_MISSING = "not all wheel fasteners held the rotor"
    BEARING_NOT_SAID = "not said whether the bearing is free of play"
    BEARING_PLAY = "the bearing has play"
    DID_NOT_RETURN = "the indicator did not come back to its start"
    INDEX_NOT_SAID = "not said by how many studs the rotor was turned"


def usable(reading: ReadingSet, *, resolution_nm: int = 0) -> tuple[Gate, ...]:
    """Return every reason why a runout of a rotor or hub face may not be used; none if it may.

    Parameters
    ----------
    reading : ReadingSet
        One total indicator reading, or a profile round one turn.
    resolution_nm : int
        One step of the indicator; a difference of one step is none. [nm]
    """
    gates: list[Gate] = []
    if len(reading.measured_nm) < len(reading.values_nm):
        gates.append(Gate.POINT_MISSING)
    if 1 < len(reading.values_nm) < PROFILE_POINTS:
        gates.append(Gate.FEW_POINTS)
    if reading.quantity is Quantity.RUNOUT:
        if reading.fasteners_fitted is None or reading.fasteners_of is None:
            gates.append(Gate.FASTENERS_NOT_SAID)
        elif reading.fasteners_fitted < reading.fasteners_of:
            gates.append(Gate.FASTENERS_MISSING)
    if reading.bearing_checked is None:
        gates.append(Gate.BEARING_NOT_SAID)
    elif not reading.bearing_checked:
        gates.append(Gate.BEARING_PLAY)
    if reading.returned_to_start is False or _is_off_start(reading, resolution_nm):
        gates.append(Gate.DID_NOT_RETURN)
    return tuple(gates)


def _is_off_start(reading: ReadingSet, resolution_nm: int) -> bool:
    first = reading.values_nm[0] if reading.values_nm else None
    if reading.again_nm is None or first is None:
        return False
    return abs(reading.again_nm - first) > max(RETURN_NM, resolution_nm)


def indicator_reading_nm(values_nm: Sequence[int]) -> int:
    """Return the total indicator reading: the one value, or highest minus lowest. [nm]"""
    if len(values_nm) == 1:
        return values_nm[0]
    return max(values_nm) - min(values_nm)


def harmonic(values_nm: Sequence[int]) -> OrderVector:
    """Return the once-per-turn part of a profile; its peak-to-peak is the TIR, 2|T|.

    Parameters
    ----------
    values_nm : sequence of int
        Signed readings at evenly spaced points of one turn, in the order taken. [nm]

    Raises
    ------
    InvalidInput
        Where there are fewer than three points.

    Examples
    --------
    >>> round(harmonic([30_000, 40_000, -30_000, -40_000]).peak_to_peak_nm)
    100000
    """
    return order_vector(values_nm, 1)


def expected_reading_nm(true_nm: float, sd1_nm: float) -> float:
    """Return what the fit reads on average where noise lies on a true TIR. [nm]

    Parameters
    ----------
    true_nm : float
        The true total indicator reading. [nm]
    sd1_nm : float
        Standard uncertainty of each component of its vector. [nm]

    Notes
    -----
    The length of a noisy vector has a Rice distribution: about 2 sqrt(|T|^2 + s^2). So a small
    runout reads too large, never too small, on average.
    """
    return 2.0 * math.hypot(true_nm / 2.0, sd1_nm)


def at_rotor_nm(hub_nm: int, hub_radius_nm: int, rotor_radius_nm: int) -> Fraction:
    """Return what a hub face's runout becomes where the rotor is read: the rule of the lever. [nm]

    >>> at_rotor_nm(30_000, 60_000_000, 130_000_000)
    Fraction(65000, 1)
    """
    return Fraction(hub_nm * rotor_radius_nm, hub_radius_nm)


def lever_range() -> tuple[Fraction, Fraction]:
    """Return by how much the usual radii multiply a hub face's runout: 1.8 to 2.8. [-]

    >>> [round(float(factor), 1) for factor in lever_range()]
    [1.8, 2.8]
    """
    least = Fraction(ROTOR_RADII_NM[0], HUB_RADII_NM[1])
    return least, Fraction(ROTOR_RADII_NM[1], HUB_RADII_NM[0])
