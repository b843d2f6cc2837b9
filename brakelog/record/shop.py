"""The shop's own settings."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from brakelog.lengths import MM_PER_KM, DistanceUnit, LengthUnit

LANGUAGES = ("de", "en")
"""Languages that a customer can be written to in, by their codes in HTML; a test compares them with
the catalogues that the program comes with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """What holds for every visit unless the visit says otherwise."""

    name: str = ""
    site: str = "main"
    """Short name of the place; every row of evidence carries it."""
    unit: LengthUnit = LengthUnit.MM
    """Printed first, the other beside it."""
    distance_unit: DistanceUnit = DistanceUnit.KM
    language: str = "en"
    """Of what customers read; one of ``LANGUAGES``."""
    probability: Fraction = field(default=Fraction(95, 100))
    """Probability of conformance from which a reading counts as in limits. Default of
    ISO 14253-1:2017."""
    clean_up_nm: int = 100_000
    """Cut per side beyond the deepest defect: 0.10 mm, common practice. [nm]"""
    next_distance_mm: int = 15_000 * MM_PER_KM
    """Distance to the next planned visit: common practice. [mm]"""
    next_months: int = 12
    """Time to the next planned visit: common practice. [months]"""
    daily_distance_mm: int | None = None
    """Distance that vehicles here are usually driven in a day; None where the program's own
    figure, or what it learned here, is to be taken. [mm]"""
    phone: str = ""
    packs: tuple[str, ...] = ()
    """Ids of the packs of local rules that are turned on."""
