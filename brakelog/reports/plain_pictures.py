"""What a picture of the wear shows, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from brakelog.record.quantity import Part
from brakelog.record.shop import Shop
from brakelog.reports.language.figures import both_sizes
from brakelog.reports.language.language import Language
from brakelog.reports.plain_names import position_at
from brakelog.rules.part_history import PlaceHistory, RecordedReading


def picture_words(lang: Language, place: PlaceHistory, shop: Shop) -> str:
    """Return the readings of the part that is on the vehicle, and its limit."""
    running = place.running
    assert running is not None
    fine = place.position.part is Part.ROTOR
    words = {
        "part": position_at(lang, place.corner, place.position),
        "readings": _read(lang, running.readings, shop, fine=fine),
    }
    limit_nm = running.life.limit_nm
    if limit_nm is None:
        return lang.sentence("picture.words", **words)
    limit, _ = both_sizes(lang, limit_nm, shop, fine=fine)
    return lang.sentence("picture.words_limit", limit=limit, **words)


def _read(lang: Language, readings: Sequence[RecordedReading], shop: Shop, *, fine: bool) -> str:
    return ", ".join(
        lang.say(
            "picture.reading",
            size=both_sizes(lang, each.size_nm, shop, fine=fine)[0],
            odometer=lang.distance(each.odometer_mm, shop.distance_unit),
            day=lang.day(each.day),
        )
        for each in readings
    )
