"""Sizes as a language writes them: decimals behind its own sign, units in its own words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from brakelog.lengths import parse_length
from brakelog.record.shop import Shop
from brakelog.reports.language.language import Language
from brakelog.rules.figure import both_units


def both_sizes(
    lang: Language, nm: int | Fraction, shop: Shop, *, fine: bool, against: Iterable[int] = ()
) -> tuple[str, str]:
    """Return a size in the shop's own unit, and in the other one; as ``both_units`` does."""
    own, other = split_pair(both_units(nm, shop, fine=fine, against=against))
    return _told(lang, own), _told(lang, other)


def size_words(
    lang: Language, nm: int | Fraction, shop: Shop, *, fine: bool, against: Iterable[int] = ()
) -> str:
    """Return a size in both units: ``27.399 mm (1.0787 in)``."""
    return with_other(lang, *both_sizes(lang, nm, shop, fine=fine, against=against))


def with_other(lang: Language, own: str, other: str) -> str:
    """Return a size with the same in the other unit, where that is known."""
    return lang.say("size.both", own=own, other=other) if other else own


def split_pair(text: str) -> tuple[str, str]:
    """Split ``3.0 mm (0.118 in)``; the second is empty where there is one figure only."""
    own, _, other = text.partition(" (")
    return own, other.rstrip(")")


def _told(lang: Language, size: str) -> str:
    number, _, unit = size.rpartition(" ")
    return lang.say(f"size.{unit}", number=lang.decimal(number))


def typed_size(lang: Language, text: str) -> str:
    """Return a figure as typed, such as one of a limit sheet; its digits and fractions stay.

    >>> from brakelog.reports.language.language import language_named
    >>> typed_size(language_named("de"), "22.8 mm"), typed_size(language_named("de"), '7/32"')
    ('22,8 mm', '7/32"')
    """
    found = _WITH_WORD.fullmatch(text)
    if found is None:
        # A sign for inches, which stands in every language.
        return lang.decimal(text)
    return lang.say(f"size.{_unit_of(text)}", number=lang.decimal(found[1]))


_WITH_WORD = re.compile(r"(.*[0-9.,])[\s\u00a0]*[^\W\d_]+\.?", re.DOTALL)


@lru_cache(maxsize=1_024)
def _unit_of(text: str) -> str:
    return parse_length(text, declared=None).unit.value
