"""What a picture of the wear shows, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from brakelog.record.quantity import Part
from brakelog.record.shop import Shop
from brakelog.reports.plain_names import POSITION_NAMES, place_of
from brakelog.rules.figure import distance, one_unit
from brakelog.rules.part_history import PlaceHistory, RecordedReading


def picture_words(place: PlaceHistory, shop: Shop) -> str:
    """Return the readings of the part that is on the vehicle, and its limit."""
    running = place.running
    assert running is not None
    fine = place.position.part is Part.ROTOR
    name = f"{place_of(place.corner)} {POSITION_NAMES[place.position]}".capitalize()
    read = _read(running.readings, shop, fine=fine)
    limit_nm = running.life.limit_nm
    if limit_nm is None:
        return f"{name}: {read}."
    return f"{name}: {read}; its limit is {one_unit(limit_nm, shop, fine=fine)}."


def _read(readings: Sequence[RecordedReading], shop: Shop, *, fine: bool) -> str:
    return ", ".join(
        f"{one_unit(each.size_nm, shop, fine=fine)} at "
        f"{distance(each.odometer_mm, shop.distance_unit)} on {each.day.isoformat()}"
        for each in readings
    )
