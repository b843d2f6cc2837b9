"""What a typed number would be with two digits swapped, or with its decimal point moved."""

from __future__ import annotations

import itertools

from brakelog.errors import InvalidInput
from brakelog.lengths import parse_length
from brakelog.record.reading import ReadingSet


def swapped_digits(
    reading: ReadingSet, index: int, wanted_nm: int, slack_nm: int
) -> tuple[int, str] | None:
    """Return what a value would be with two neighbouring digits swapped, where that fits.

    Parameters
    ----------
    reading, index
        The value.
    wanted_nm, slack_nm : int
        What it should be, and how far it may be from that. [nm]

    Returns
    -------
    tuple of int and str, or None
        The candidate nearest to what is wanted [nm], and how it would have been typed.
    """
    if index >= len(reading.typed):
        return None
    text = reading.typed[index].strip()
    found: list[tuple[int, int, str]] = []
    spots = [n for n, sign in enumerate(text) if sign.isdigit()]
    for one, other in itertools.pairwise(spots):
        if text[one] == text[other]:
            continue
        signs = list(text)
        signs[one], signs[other] = signs[other], signs[one]
        swapped = "".join(signs)
        try:
            nm = parse_length(swapped, declared=reading.unit, close_blanks=True).nm
        except InvalidInput:
            continue
        if abs(nm - wanted_nm) <= slack_nm:
            found.append((abs(nm - wanted_nm), nm, swapped))
    if not found:
        return None
    _, nm, swapped = min(found)
    return nm, swapped


def moved_point(nm: int, wanted_nm: float, slack_nm: float) -> int | None:
    """Return the value with its point moved by one place, where that comes near. [nm]"""
    for candidate_nm in (nm * 10, nm // 10):
        if abs(candidate_nm - wanted_nm) <= slack_nm:
            return candidate_nm
    return None
