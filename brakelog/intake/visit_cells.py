"""The cells that name the visit, the same in every sheet that has one."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

from brakelog.intake.cells import Cells
from brakelog.intake.words import WORDS_KNOWN, parse_day
from brakelog.lengths import DistanceUnit, parse_distance


def odometer(text: str, declared: DistanceUnit | None) -> tuple[int, DistanceUnit]:
    """Return an odometer cell as a distance, once the vehicle's own unit is known.

    Returns
    -------
    tuple of int and DistanceUnit
        The distance [mm] and the unit that it was read in.

    Raises
    ------
    InvalidInput
        Where it is no whole number, or its unit cannot be told.
    """
    return parse_distance(text, declared=declared)


@lru_cache(maxsize=WORDS_KNOWN)
def parse_odometer(text: str) -> str:
    """Return the cell itself if it can be an odometer in one unit or the other.

    Raises
    ------
    InvalidInput
        Where it is no whole number.
    """
    parse_distance(text, declared=DistanceUnit.KM)
    return text


def read_day(cells: Cells) -> date:
    """Return the day of the visit."""
    return cells.needed("date", parse_day, date.min)
