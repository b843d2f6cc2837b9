"""What an unknown or doubtful temperature of an iron part does to its size."""

from __future__ import annotations

import math

from brakelog.metrology.budget import Component, Shape, rectangular
from brakelog.metrology.temperature import GREY_IRON_PER_K, REFERENCE_DC
from brakelog.record.quantity import Quantity

WARM_K = 30.0
"""A part whose temperature nobody took is up to 30 K above 20 degrees Celsius, and not below:
assumption, a car that was driven in and stood while the wheels came off. [K]"""
THERMOMETER_K = 5.0
"""How far a thermometer on a part errs, each way: assumption, for an infrared thermometer on
bright iron as well as for one held against it. [K]"""
EXPANSION_DOUBT_PER_K = 1e-6
"""How far the expansion of grey iron may differ from 11e-6/K, each way: material summaries print
10.5 to 12e-6/K. [1/K]"""

_THICKNESSES = frozenset({Quantity.ROTOR})
_DIAMETERS = frozenset({Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED})
_PER_K = float(GREY_IRON_PER_K)


def warmth(quantity: Quantity, size_nm: int, temperature_dc: int | None) -> tuple[Component, ...]:
    """Return what the temperature adds to the uncertainty of a size. [nm]

    Parameters
    ----------
    quantity : Quantity
        Linings and differences take nothing from it.
    size_nm : int
        The size as read. [nm]
    temperature_dc : int or None
        Temperature of the part where somebody took it. [tenths of a degree Celsius]

    Notes
    -----
    Where nobody took it, no correction is made, and the part was warm or it was not: the allowance
    is one-sided. A warm rotor reads thick, which hides wear, so there the second moment about zero
    counts, 30 K / sqrt(3). A warm drum reads large, which hides nothing, so there only the spread
    counts, 30 K / sqrt(12).
    """
    if quantity in _THICKNESSES or quantity in _DIAMETERS:
        if temperature_dc is None:
            return (_allowance(quantity, size_nm),)
        kelvin = abs(temperature_dc - REFERENCE_DC) / 10
        return (
            rectangular("thermometer", THERMOMETER_K, sensitivity=_PER_K * size_nm),
            rectangular("expansion of iron", EXPANSION_DOUBT_PER_K, sensitivity=kelvin * size_nm),
        )
    return ()


def _allowance(quantity: Quantity, size_nm: int) -> Component:
    return Component(
        name="warmth that nobody took",
        u1=WARM_K / math.sqrt(3.0 if quantity in _THICKNESSES else 12.0),
        sensitivity=_PER_K * size_nm,
        shape=Shape.RECTANGULAR,
    )
