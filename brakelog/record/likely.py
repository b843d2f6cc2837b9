"""What a value that cannot be was probably meant to be: another unit, or the point elsewhere."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from brakelog.lengths import LengthUnit, print_length


def likely_values(
    nm: int, unit: LengthUnit, *, usual_nm: tuple[int, int], other_units: Iterable[LengthUnit]
) -> tuple[str, ...]:
    """Return what the same digits would be in another unit or with the point moved.

    Parameters
    ----------
    nm : int
        The value as it was read. [nm]
    unit : LengthUnit
        The unit that it was read in.
    usual_nm : tuple of int
        Least and most that is met; what lies outside is no candidate. [nm]
    other_units : iterable of LengthUnit
        Units that may have been meant, the likeliest first.

    Returns
    -------
    tuple of str
        ``27.4 mm``, or ``1.079 in (27.407 mm)``; the other units first.

    Examples
    --------
    >>> usual = (5_000_000, 50_000_000)
    >>> likely_values(
    ...     274_000_000, LengthUnit.MM, usual_nm=usual, other_units=[LengthUnit.INCH]
    ... )
    ('27.4 mm',)
    """
    least_nm, most_nm = usual_nm
    number = Fraction(nm, unit.nm)
    meant = [(number, each) for each in other_units if each is not unit]
    meant += [(number / 10, unit), (number * 10, unit)]
    return tuple(
        _shown(value, each) for value, each in meant if least_nm <= value * each.nm <= most_nm
    )


def _shown(value: Fraction, unit: LengthUnit) -> str:
    """Return a value with its unit, and in mm where that is another one."""
    nm = round(value * unit.nm)
    text = print_length(nm, unit, decimals=_DECIMALS).rstrip("0").rstrip(".")
    if unit is LengthUnit.MM:
        return f"{text} mm"
    return f"{text} {unit.value} ({print_length(nm, LengthUnit.MM, decimals=3)} mm)"


_DECIMALS = 5
"""Enough to show every digit that a gauge gives."""
