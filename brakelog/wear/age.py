"""From which readings nothing is projected any more."""

from __future__ import annotations

from datetime import date

from brakelog.wear.history import last_odometer_mm
from brakelog.wear.life import PartLife

MM_PER_KM = 1_000_000

OLDEST_MONTHS = 24
"""Age of a reading beyond which nothing is projected from it. [month]

Assumption: two yearly inspections missed; what happened since is anybody's guess.
"""

FARTHEST_MM = 30_000 * MM_PER_KM
"""Distance driven since a reading beyond which nothing is projected from it. [mm]

Assumption: two usual service intervals of 15,000 km.
"""


def is_too_old(life: PartLife) -> bool:
    """Whether nothing is projected any more from the last reading of a life, or from its start."""
    if life.as_of_odometer_mm - last_odometer_mm(life) > FARTHEST_MM:
        return True
    if not life.readings:
        return False
    return is_too_old_on(life.readings[-1].day, life.as_of)


def is_too_old_on(day: date, as_of: date) -> bool:
    """Whether nothing is projected any more from a reading of one day, asked on a later one."""
    # As tuples, because 29 February has no counterpart two years earlier.
    oldest = (as_of.year - OLDEST_MONTHS // 12, as_of.month, as_of.day)
    return (day.year, day.month, day.day) < oldest
