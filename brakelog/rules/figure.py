"""Figures as people read them: both unit systems, never rounded across a limit."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from brakelog.lengths import DistanceUnit, LengthUnit, print_length
from brakelog.record.shop import Shop

_LEAST_PLACES = {LengthUnit.MM: (1, 3), LengthUnit.INCH: (3, 4)}
_MOST_PLACES = {LengthUnit.MM: (2, 4), LengthUnit.INCH: (3, 5)}
"""Decimals at least and at most: for a lining or drum, and for a rotor, runout or variation. In
between, as many as the value has."""


def both_units(nm: int | Fraction, shop: Shop, *, fine: bool, against: Iterable[int] = ()) -> str:
    """Return ``27.399 mm (1.0787 in)``, the shop's own unit first.

    Parameters
    ----------
    nm : int or Fraction
        The value. [nm]
    shop : Shop
        Says which unit comes first.
    fine : bool
        Whether a decimal more is wanted, as for rotors and differences.
    against : iterable of int
        Limits that the printed figure must not be rounded across. [nm]
    """
    return _both(nm, shop.unit.is_inch, fine, tuple(against))


@lru_cache(maxsize=4_096)
def _both(nm: int | Fraction, inch_first: bool, fine: bool, limits: tuple[int, ...]) -> str:
    """Print a value once; a verdict tells the same one in its reason and in its measure."""
    whole = _toward(nm, limits)
    first, second = (
        (LengthUnit.INCH, LengthUnit.MM) if inch_first else (LengthUnit.MM, LengthUnit.INCH)
    )
    own = print_length(whole, first, decimals=_places(whole, first, fine), against=limits)
    other = print_length(whole, second, decimals=_LEAST_PLACES[second][fine], against=limits)
    return f"{own} {first.value} ({other} {second.value})"


def _places(nm: int, unit: LengthUnit, fine: bool) -> int:
    """As many decimals as the value has, so far as they are worth reading."""
    places = _LEAST_PLACES[unit][fine]
    while places < _MOST_PLACES[unit][fine] and nm * 10**places % unit.nm:
        places += 1
    return places


def _toward(nm: int | Fraction, limits: tuple[int, ...]) -> int:
    """Return a whole nanometre on the same side of the limits: itself, or a neighbouring one."""
    low = nm.__floor__()
    return low + 1 if low != nm and low in limits else low


def one_unit(nm: int | Fraction, shop: Shop, *, fine: bool, against: Iterable[int] = ()) -> str:
    """Return the value in the shop's own unit only."""
    return both_units(nm, shop, fine=fine, against=against).split(" (")[0]


def about(nm: int | Fraction, shop: Shop, *, against: Iterable[int] = ()) -> str:
    """Return an estimated size in the shop's own unit: 0.01 mm or 0.001 in is fine enough.

    >>> about(0, Shop(), against=[0]), about(Fraction(1, 2), Shop(), against=[0])
    ('0.00 mm', '0.000001 mm')
    """
    unit, places = (LengthUnit.INCH, 3) if shop.unit.is_inch else (LengthUnit.MM, 2)
    limits = tuple(against)
    printed = print_length(_toward(nm, limits), unit, decimals=places, against=limits)
    return f"{printed} {unit.value}"


def distance(mm: int, unit: DistanceUnit) -> str:
    """Return a whole number of kilometres or miles: ``62,400 km``.

    >>> distance(62_400_000_000, DistanceUnit.KM)
    '62,400 km'
    """
    return f"{round(Fraction(mm, unit.mm)):,} {unit.value}"


def counted(number: int, what: str, several: str = "") -> str:
    """Return a number with its noun.

    >>> counted(1, "finding"), counted(2, "finding")
    ('1 finding', '2 findings')
    """
    return f"{number} {what if number == 1 else several or what + 's'}"
