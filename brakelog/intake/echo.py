"""A length said back, so that a slip of unit is seen at once."""

from __future__ import annotations

from brakelog.lengths import LengthUnit, TypedLength, print_length

_DECIMALS = {LengthUnit.MM: 3, LengthUnit.INCH: 4}
_MOST_DECIMALS = 6


def in_both_units(value: TypedLength) -> str:
    """Return the length in mm and inches, the system that it was typed in first.

    >>> from brakelog.lengths import parse_length
    >>> in_both_units(parse_length("27.402", declared=LengthUnit.MM))
    '27.402 mm  1.0788 in'
    >>> in_both_units(parse_length("2 thou", declared=LengthUnit.MM))
    '0.0020 in  0.051 mm'
    """
    first, second = LengthUnit.MM, LengthUnit.INCH
    if value.unit.is_inch:
        first, second = second, first
    shown = print_length(value.nm, first, decimals=_decimals(value, first))
    other = print_length(value.nm, second, decimals=_DECIMALS[second])
    return f"{shown} {first.value}  {other} {second.value}"


def _decimals(value: TypedLength, unit: LengthUnit) -> int:
    """Enough decimals to show every digit typed."""
    places = _DECIMALS[unit]
    while 0 < value.last_digit_nm * 10**places < unit.nm and places < _MOST_DECIMALS:
        places += 1
    return places
