"""How far a part will go as lines to its limit: no more of them than is told in words."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from datetime import date

from brakelog.lengths import DistanceUnit
from brakelog.rules.lives import PositionLife
from brakelog.wear.life import PartLife
from brakelog.wear.projection import (
    Note,
    at_least_rounded_mm,
    latest_rounded_mm,
    median_rounded_mm,
)
from brakelog.wear.trend import estimated_nm


class Share(enum.Enum):
    """How many of such parts get as far."""

    NINE_OF_TEN = "9 of 10"
    HALF = "half"
    ONE_IN_TEN = "1 in 10"


@dataclass(frozen=True, slots=True, kw_only=True)
class FanEnd:
    """Where one line of a fan ends."""

    share: Share
    distance_mm: int
    """From the last reading, rounded as it is told. [mm]"""
    odometer_mm: int
    size_nm: int
    """The limit; short of it where the bound was cut at three times what was driven. [nm]"""
    day: date | None
    """The day that goes with it; None where none is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fan:
    """The straight lines from the size at the last reading to the limit."""

    from_mm: int
    """Odometer of the last reading, or of the fitting. [mm]"""
    from_nm: int
    """Size there, as the projection sees it. [nm]"""
    ends: tuple[FanEnd, ...]
    """The nearest first."""


def fan_of(told: PositionLife, life: PartLife, unit: DistanceUnit) -> Fan | None:
    """Return the fan of a part life; None where no distance is told.

    Parameters
    ----------
    told : PositionLife
        The part with its projection.
    life : PartLife
        Its life.
    unit : DistanceUnit
        The unit that distances are rounded in.

    Notes
    -----
    The late end is told of linings only, and of a far extrapolation nothing but the bound. That
    was cut then, so that its line runs towards where it would meet the limit, and is cut as well.
    """
    projection = told.projection
    from_mm, from_nm = projection.from_odometer_mm, estimated_nm(life, projection)
    bound_mm = at_least_rounded_mm(projection, unit.mm)
    if projection.refusal is not None or from_mm is None or from_nm is None or not bound_mm:
        return None
    limit_nm = life.limit_nm
    assert limit_nm is not None
    is_cut = Note.FAR_EXTRAPOLATION in projection.notes
    first_nm = limit_nm
    if is_cut and projection.uncapped_at_least_mm:
        worn_nm = (limit_nm - from_nm) * bound_mm // projection.uncapped_at_least_mm
        first_nm = from_nm + worn_nm
    dates = told.dates
    reaches: list[tuple[Share, int | None, date | None]] = [
        (Share.NINE_OF_TEN, bound_mm, dates.at_least if dates else None)
    ]
    if not is_cut:
        median_mm = median_rounded_mm(projection, unit.mm)
        reaches.append((Share.HALF, median_mm, dates.median if dates else None))
    if not is_cut and told.is_lining:
        latest_mm = latest_rounded_mm(projection, unit.mm)
        reaches.append((Share.ONE_IN_TEN, latest_mm, dates.latest if dates else None))
    return Fan(
        from_mm=from_mm,
        from_nm=from_nm,
        ends=tuple(
            FanEnd(
                share=share,
                distance_mm=mm,
                odometer_mm=from_mm + mm,
                size_nm=first_nm if share is Share.NINE_OF_TEN else limit_nm,
                day=day,
            )
            for share, mm, day in reaches
            if mm is not None
        ),
    )
