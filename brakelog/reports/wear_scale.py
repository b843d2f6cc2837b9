"""Sizes and odometers as numbers on an axis, in the units that the shop reads."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brakelog.lengths import DistanceUnit, LengthUnit, print_length
from brakelog.record.shop import Shop

_FEWEST_DECIMALS = {LengthUnit.MM: 1, LengthUnit.INCH: 3}
_MOST_DECIMALS = {LengthUnit.MM: 3, LengthUnit.INCH: 4}
"""Decimals of a limit or a new size: as it is printed, so far as that is worth reading."""
_STEPS = (1, 2, 5, 10)
"""Steps that a scale of ten is read by without counting: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """The units of a drawing. What it makes is for the eye; no number is judged by it."""

    unit: LengthUnit
    distance_unit: DistanceUnit

    def size(self, nm: int) -> float:
        """Return a size in the unit of length."""
        return nm / self.unit.nm

    def figure(self, nm: int) -> str:
        """Return a limit or a new size with the decimals that it has, without its unit."""
        decimals = _FEWEST_DECIMALS[self.unit]
        while decimals < _MOST_DECIMALS[self.unit] and nm * 10**decimals % self.unit.nm:
            decimals += 1
        return print_length(nm, self.unit, decimals=decimals)

    def at(self, odometer_mm: int) -> float:
        """Return an odometer in the unit of distance."""
        return odometer_mm / self.distance_unit.mm


def scale_of(shop: Shop) -> Scale:
    """Return the units that a shop, or the odometer of the vehicle, is read in."""
    return Scale(
        unit=LengthUnit.INCH if shop.unit.is_inch else LengthUnit.MM,
        distance_unit=shop.distance_unit,
    )


def ticks(low: float, high: float, most: int) -> list[float]:
    """Return round numbers inside a range, so many at most.

    >>> ticks(1.7, 11.2, 5)
    [2.0, 4.0, 6.0, 8.0, 10.0]
    """
    step = step_of(high - low, most)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [n * step for n in range(first, last + 1)]


def step_of(span: float, most: int) -> float:
    """Return the smallest round step that divides a span into so many parts at most."""
    least = span / most
    ten = 10.0 ** math.floor(math.log10(least)) if least > 0 else 1.0
    return next((n * ten for n in _STEPS if n * ten >= least * (1 - 1e-9)), 10 * ten)


def label(value: float, step: float) -> str:
    """Return a number with the decimals that its step has.

    >>> label(60000.0, 20000.0), label(0.25, 0.05)
    ('60,000', '0.25')
    """
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return f"{value:,.{decimals}f}"
