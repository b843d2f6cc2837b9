"""How often a wheel turns, and so how fast a pulsation of the brake comes."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import DistanceUnit

ROLLING_SHARE = 0.97
"""Rolling circumference over that of the unloaded tyre: 0.97, common practice. [-]"""
_MM_PER_INCH = Fraction(254, 10)
_SECONDS_PER_HOUR = 3600.0

SPEEDS = {DistanceUnit.KM: (50, 80, 100, 120), DistanceUnit.MILE: (30, 50, 60, 70)}
"""Speeds that a table of frequencies is printed for, per hour in that unit: assumption."""

_WIDTHS_MM = (125, 395)
_ASPECTS = (25, 95)
_RIMS_INCH = (10, 26)
"""What tyres of cars and light trucks have; assumption, so that a slip cannot become a tyre."""
_SIZE = re.compile(
    r"(?:P|LT)?(?P<width>\d{3})/(?P<aspect>\d{2})"
    r"\s*(?:ZR|R|-|D|B)\s*(?P<rim>\d{2}(?:\.5)?)\s*(?:LT|C)?(?:\s+\S.*)?",
    re.ASCII,
)
_HINT = "as on its side wall, such as 205/55R16"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tyre:
    """The size of a tyre."""

    width_mm: int
    """Nominal section width. [mm]"""
    aspect: int
    """Height of the side wall as a percentage of the width. [%]"""
    rim_inch: Fraction
    """Diameter of the rim. [in]"""

    @property
    def size(self) -> str:
        """``205/55R16``."""
        whole = self.rim_inch.denominator == 1
        rim = str(int(self.rim_inch)) if whole else f"{float(self.rim_inch):.1f}"
        return f"{self.width_mm}/{self.aspect}R{rim}"

    @property
    def circumference_mm(self) -> float:
        """Rolling circumference. [mm]

        0.97 pi (rim + 2 width aspect / 100); the 0.97 is common practice.
        """
        diameter = self.rim_inch * _MM_PER_INCH + Fraction(2 * self.width_mm * self.aspect, 100)
        return ROLLING_SHARE * math.pi * float(diameter)


def parse_tyre(text: str) -> Tyre:
    """Read the size of a tyre as it stands on its side wall.

    Raises
    ------
    InvalidInput
        Where it is no size of that form, lacks its aspect, or no tyre is like that.

    Examples
    --------
    >>> round(parse_tyre("205/55 R16 91V").circumference_mm)
    1926
    """
    found = _SIZE.fullmatch(text.strip().upper())
    if found is None:
        raise InvalidInput(f"{clip(text)!r} is not a tyre size", hint=_why_not(text))
    tyre = Tyre(
        width_mm=int(found["width"]), aspect=int(found["aspect"]), rim_inch=Fraction(found["rim"])
    )
    for value, (least, most), what in (
        (tyre.width_mm, _WIDTHS_MM, "mm wide"),
        (tyre.aspect, _ASPECTS, "% high"),
        (tyre.rim_inch, _RIMS_INCH, "in rim"),
    ):
        if not least <= value <= most:
            raise InvalidInput(
                f"{clip(text)!r}: no tyre is {float(value):g} {what}", hint=f"check it; {_HINT}"
            )
    return tyre


def _why_not(text: str) -> str:
    word = text.strip().upper()
    if re.fullmatch(r"\d{3}\s*(?:ZR|R|-)\s*\d{2}.*", word, re.ASCII):
        return f"the height is missing; {_HINT}"
    if re.fullmatch(r"\d{2}(?:\.\d+)?\s*X.*|\d{1,2}\.\d+.*", word, re.ASCII):
        return f"sizes in inches are not read; {_HINT}"
    return _HINT


def frequency_hz(order: int, speed_mm_per_h: int, circumference_mm: float) -> float:
    """Return how often a wave of the rotor comes past the pads.

    Parameters
    ----------
    order : int
        Waves in one turn. [-]
    speed_mm_per_h : int
        Speed of the vehicle. [mm/h]
    circumference_mm : float
        Rolling circumference of the tyre. [mm]

    Returns
    -------
    float
        n v / C. [Hz]

    Examples
    --------
    >>> round(frequency_hz(2, 100_000_000, 1950.0), 3)
    28.49
    """
    return order * speed_mm_per_h / _SECONDS_PER_HOUR / circumference_mm
