"""The one place where a value meets a limit."""

from __future__ import annotations

from fractions import Fraction

from brakelog.record.limit import OutWhen


def is_out(value_nm: int | Fraction, out_when: OutWhen, limit_nm: int | Fraction) -> bool:
    """Return whether the value meets the failing condition; exact, no tolerance.

    >>> is_out(22_000_000, OutWhen.AT_OR_BELOW, 22_000_000)
    True
    >>> is_out(22_000_000, OutWhen.BELOW, 22_000_000)
    False
    """
    match out_when:
        case OutWhen.BELOW:
            return value_nm < limit_nm
        case OutWhen.AT_OR_BELOW:
            return value_nm <= limit_nm
        case OutWhen.ABOVE:
            return value_nm > limit_nm
        case OutWhen.AT_OR_ABOVE:
            return value_nm >= limit_nm


def is_proven(probability: float, wanted: Fraction) -> bool:
    """Return whether a probability reaches the one that is wanted; exact, no tolerance.

    >>> is_proven(0.95, Fraction(95, 100)), is_proven(0.951, Fraction(95, 100))
    (False, True)

    The number that 0.95 stands for lies a little below it.
    """
    # Of two different floats, the nearest one to a fraction lies on the same side of the other as
    # the fraction does: only that one itself has to be compared the exact way, which is slow.
    nearest = float(wanted)
    return probability > nearest if probability != nearest else probability >= wanted


def margin_nm(
    value_nm: int | Fraction, out_when: OutWhen, limit_nm: int | Fraction
) -> int | Fraction:
    """Return how far the value lies inside the limit, below zero where beyond it. [nm]"""
    if out_when in (OutWhen.BELOW, OutWhen.AT_OR_BELOW):
        return value_nm - limit_nm
    return limit_nm - value_nm
