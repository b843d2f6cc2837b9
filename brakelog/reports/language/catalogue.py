"""The catalogue of one language: every sentence that a customer may read, under a stable name."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent.parent / "catalogue"
"""Where the catalogues are: one TOML file for each language, named after its code.

TOML rather than gettext: nothing has to be compiled before it is used, a key is a name that
outlives the English sentence, and the standard library reads it.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """Every sentence of one language."""

    code: str
    """As in HTML: ``de``."""
    locale: str
    """Whose numbers, plural forms and lists are used, by its name in Unicode CLDR: ``de_DE``."""
    day: str
    """Pattern of a day, in the letters of Unicode CLDR: ``dd.MM.y``."""
    month: str
    """Pattern of a month."""
    sentences: Mapping[str, str]
    """By name, with the tables that they stand in before it: ``note.do.before``."""


def read_catalogue(code: str) -> Catalogue:
    """Read the catalogue of a language that there is one of."""
    tables = tomllib.loads((FOLDER / f"{code}.toml").read_text(encoding="utf-8"))
    formats = tables.pop("format")
    return Catalogue(code=code, sentences=dict(_flat(tables)), **formats)


def _flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        if isinstance(value, str):
            yield f"{before}{key}", value
        else:
            yield from _flat(value, f"{before}{key}.")
