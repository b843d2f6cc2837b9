"""The line that a projection goes on from: its central rate, drawn through what was measured."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.wear.history import MM_PER_1000KM, start_odometer_mm
from brakelog.wear.life import PartLife
from brakelog.wear.projection import Note, Projection


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A straight line of size against odometer, over the part of a life that it was fitted to.

    Parameters
    ----------
    from_mm, to_mm
        Odometer at its ends. [mm]
    from_nm, to_nm
        Size at its ends. [nm]
    """

    from_mm: int
    from_nm: int
    to_mm: int
    to_nm: int


def estimated_nm(life: PartLife, projection: Projection) -> int | None:
    """Size at the last reading, as the projection sees it. [nm]

    Parameters
    ----------
    life
        The part life.
    projection
        Its projection.

    Returns
    -------
    int or None
        None where the projection has no rate, or sees the part at its limit.

    Notes
    -----
    The median distance is margin over rate, so that margin is rate times median distance.
    """
    rate, centre_mm = projection.rate_nm_per_1000km, projection.centre_mm
    if rate is None or not centre_mm or life.limit_nm is None:
        return None
    margin_nm = round(rate * (centre_mm / MM_PER_1000KM))
    return life.limit_nm + (-margin_nm if life.grows else margin_nm)


def trend_of(life: PartLife, projection: Projection) -> Trend | None:
    """Return the line behind a projection; None where there is none.

    Parameters
    ----------
    life
        The part life.
    projection
        Its projection.

    Notes
    -----
    Where wear is accelerating the rate is that of the last interval, and so is the line.
    """
    to_nm, rate = estimated_nm(life, projection), projection.rate_nm_per_1000km
    if to_nm is None or rate is None or not life.readings:
        return None
    to_mm, from_mm = life.readings[-1].odometer_mm, start_odometer_mm(life)
    if Note.ACCELERATING in projection.notes:
        from_mm = life.readings[-2].odometer_mm
    if from_mm >= to_mm:
        return None
    worn_nm = round(rate * ((to_mm - from_mm) / MM_PER_1000KM))
    return Trend(
        from_mm=from_mm,
        from_nm=to_nm - worn_nm if life.grows else to_nm + worn_nm,
        to_mm=to_mm,
        to_nm=to_nm,
    )
