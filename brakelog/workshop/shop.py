"""In the office: the shop's own settings."""

from __future__ import annotations

from collections.abc import Mapping

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import NM_PER_MM, DistanceUnit, parse_distance, parse_length
from brakelog.record.shop import LANGUAGES
from brakelog.store.store import Store
from brakelog.workshop.office import check_name

MOST_DAILY_MM = 1_000 * DistanceUnit.KM.mm
"""Most that a vehicle is usually driven in a day; assumption: ten hours at motorway speed. [mm]"""
LEAST_PROBABILITY = 0.5
"""Below it a part more likely bad than good would pass."""


def change_shop(store: Store, texts: Mapping[str, str]) -> None:
    """Change settings by their names on the command line.

    Raises
    ------
    InvalidInput
        Where a value is not allowed; nothing is changed then.
    """
    kept: dict[str, str] = {}
    shop = store.shop()
    for name, text in texts.items():
        match name:
            case "cut_per_side":
                cut = parse_length(text, declared=shop.unit)
                if not 0 < cut.nm <= 2 * NM_PER_MM:
                    raise InvalidInput(
                        f"{clip(text)!r} is no cut per side", hint='such as "0.10 mm"'
                    )
                kept["clean_up_nm"] = str(cut.nm)
            case "next_visit":
                next_mm, _ = parse_distance(text, declared=shop.distance_unit)
                if next_mm < DistanceUnit.KM.mm:
                    raise InvalidInput(
                        f"{clip(text)!r} is no distance to a visit", hint='such as "15000 km"'
                    )
                kept["next_distance_mm"] = str(next_mm)
            case "daily_distance":
                kept["daily_distance_mm"] = str(_daily(text, shop.distance_unit))
            case "language":
                if text not in LANGUAGES:
                    raise InvalidInput(
                        f"{clip(text)!r} is not a language of the pages",
                        hint="languages: " + " ".join(LANGUAGES),
                    )
                kept["language"] = text
            case "probability":
                _check_probability(text)
                kept["probability"] = text
            case "unit":
                if text not in ("mm", "in"):
                    raise InvalidInput(f"{clip(text)!r} is no unit to print", hint="mm or in")
                kept["unit"] = text
            case "name" | "site":
                kept[name] = check_name(text, name)
            case _:
                kept[name] = text
    store.change_shop(kept)


def _daily(text: str, unit: DistanceUnit) -> int:
    daily_mm, _ = parse_distance(text, declared=unit)
    if not DistanceUnit.KM.mm <= daily_mm <= MOST_DAILY_MM:
        raise InvalidInput(f"{clip(text)!r} is no distance of a day", hint='such as "35 km"')
    return daily_mm


def _check_probability(text: str) -> None:
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not LEAST_PROBABILITY <= value < 1.0:
        raise InvalidInput(
            f"{clip(text)!r} is no decision probability",
            hint="from 0.5 to below 1, such as 0.95",
        )
