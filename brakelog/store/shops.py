"""The shop's settings: texts by name, the newest of each counts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from fractions import Fraction
from typing import Any

from sqlalchemy import select

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.shop import Shop
from brakelog.store.tables import shop_settings
from brakelog.store.transaction import Transactions


class Shops(Transactions):
    """The shop's own settings."""

    def shop(self) -> Shop:
        """Return the settings, with their defaults where nothing was set."""
        rows = self._all(
            select(shop_settings.c.name, shop_settings.c.value).order_by(shop_settings.c.row)
        )
        known = {field.name for field in fields(Shop)}
        return shop_from_texts({row.name: row.value for row in rows if row.name in known})

    def change_shop(self, texts: Mapping[str, str]) -> None:
        """Set some of the settings, by the names of the fields of a shop.

        Raises
        ------
        InvalidInput
            Where a name or a value is not allowed; nothing is set then.
        """
        shop_from_texts(texts)
        self._record(shop_settings, [{"name": name, "value": text} for name, text in texts.items()])
        self._site = None

    def own_packs(self) -> dict[str, str]:
        """Return the text of every pack of local rules that the shop brought, by its id."""
        rows = self._all(
            select(shop_settings.c.name, shop_settings.c.value)
            .where(shop_settings.c.name.startswith(_PACK))
            .order_by(shop_settings.c.row)
        )
        return {row.name.removeprefix(_PACK): row.value for row in rows}

    def keep_pack(self, pack_id: str, text: str) -> None:
        """Keep the text of a pack of the shop's own; what was kept before stays on record."""
        self._record(shop_settings, [{"name": f"{_PACK}{pack_id}", "value": text}])


_PACK = "pack:"
"""Begins the name of a setting that holds the text of a pack."""


def shop_from_texts(texts: Mapping[str, str]) -> Shop:
    """Return the settings that the texts stand for.

    Raises
    ------
    InvalidInput
        Where there is no such setting, or the text is none of its values.

    Examples
    --------
    >>> shop_from_texts({"probability": "0.9"}).probability
    Fraction(9, 10)
    """
    values: dict[str, Any] = {}
    for name, text in texts.items():
        if name not in _READ:
            raise InvalidInput(
                f"{clip(name)!r} is not a setting", hint="settings: " + " ".join(_READ)
            )
        try:
            values[name] = _READ[name](text)
        except (ValueError, ZeroDivisionError) as error:
            raise InvalidInput(
                f"{clip(text)!r} is not allowed for {name}", hint=_ALLOWED.get(name, "")
            ) from error
    return Shop(**values)


def texts_of_shop(shop: Shop) -> dict[str, str]:
    """Return every setting as the text that it is kept as."""
    return {
        "name": shop.name,
        "site": shop.site,
        "unit": shop.unit.value,
        "distance_unit": shop.distance_unit.value,
        "language": shop.language,
        "probability": str(shop.probability),
        "clean_up_nm": str(shop.clean_up_nm),
        "next_distance_mm": str(shop.next_distance_mm),
        "next_months": str(shop.next_months),
        "daily_distance_mm": "" if shop.daily_distance_mm is None else str(shop.daily_distance_mm),
        "phone": shop.phone,
        "packs": " ".join(shop.packs),
    }


def _not_blank(text: str) -> str:
    if not text.strip():
        raise ValueError("blank")
    return text


def _probability(text: str) -> Fraction:
    value = Fraction(text)
    if not 0 < value < 1:
        raise ValueError("not between 0 and 1")
    return value


def _whole(text: str) -> int:
    value = int(text)
    if value < 0:
        raise ValueError("below zero")
    return value


_READ: dict[str, Callable[[str], Any]] = {
    "name": str,
    "site": _not_blank,
    "unit": LengthUnit,
    "distance_unit": DistanceUnit,
    "language": _not_blank,
    "probability": _probability,
    "clean_up_nm": _whole,
    "next_distance_mm": _whole,
    "next_months": _whole,
    "daily_distance_mm": lambda text: _whole(text) if text else None,
    "phone": str,
    "packs": lambda text: tuple(text.split()),
}
_ALLOWED = {
    "site": "a short name of the place",
    "language": "such as en",
    "unit": "units: " + " ".join(unit.value for unit in LengthUnit),
    "distance_unit": "units: " + " ".join(unit.value for unit in DistanceUnit),
    "probability": "a number between 0 and 1, such as 0.95",
    "clean_up_nm": "a whole number of nanometres",
    "next_distance_mm": "a whole number of millimetres",
    "next_months": "a whole number of months",
    "daily_distance_mm": "a whole number of millimetres",
}
