"""One language: says sentences of its catalogue, with numbers, days and units as it writes them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import DistanceUnit
from brakelog.record.shop import LANGUAGES
from brakelog.reports.language.catalogue import Catalogue, read_catalogue

if TYPE_CHECKING:
    from babel import Locale


class Language:
    """A language that a customer is written to in.

    Babel is imported only here, and only once somebody writes to a customer.
    """

    def __init__(self, catalogue: Catalogue) -> None:
        from babel import Locale
        from babel.numbers import get_decimal_symbol

        self.code = catalogue.code
        self._sentences = catalogue.sentences
        self._locale: Locale = Locale.parse(catalogue.locale)
        self._day_pattern, self._month_pattern = catalogue.day, catalogue.month
        self._days: dict[tuple[date, str], str] = {}
        self.point = get_decimal_symbol(self._locale)
        """What stands before the decimals."""

    def say(self, key: str, **words: str) -> str:
        """Return a sentence, or a part of one, with its words put in."""
        return self._sentences[key].format_map(words)

    def sentence(self, key: str, **words: str) -> str:
        """Return a sentence that begins with a capital letter."""
        return capital(self.say(key, **words))

    def count(self, key: str, number: int, **words: str) -> str:
        """Return a sentence in the plural form that goes with a number."""
        form = self._locale.plural_form(number)
        return self.say(f"{key}.{form}", number=self.number(number), **words)

    def listed(self, texts: Sequence[str]) -> str:
        """Return texts in a row: ``a, b and c``."""
        from babel.lists import format_list

        return format_list(texts, locale=self._locale)

    def joined(self, texts: Sequence[str]) -> str:
        """Return texts in a row, kept apart so that each may hold a comma."""
        return self.say("list.between").join(texts)

    def number(self, number: int | float) -> str:
        """Return a number with its thousands apart."""
        from babel.numbers import format_decimal

        return format_decimal(number, locale=self._locale)

    def decimal(self, figure: str) -> str:
        """Return a figure with its decimals behind the sign that the language puts there.

        Parameters
        ----------
        figure : str
            As printed or typed: without thousands separators, so that a comma is a point too.
        """
        return figure.replace(",", ".").replace(".", self.point)

    def distance(self, mm: int, unit: DistanceUnit) -> str:
        """Return a whole number of kilometres or miles: ``62,400 km``."""
        return self.say(f"distance.{unit.value}", number=self.number(round(Fraction(mm, unit.mm))))

    def day(self, day: date) -> str:
        """Return a day."""
        return self._printed(day, self._day_pattern)

    def month(self, day: date) -> str:
        """Return the month of a day."""
        return self._printed(day, self._month_pattern)

    def _printed(self, day: date, pattern: str) -> str:
        from babel.dates import format_date

        key = (day, pattern)
        if key not in self._days:
            if len(self._days) > _MOST_DAYS:
                self._days.clear()
            self._days[key] = format_date(day, pattern, locale=self._locale)
        return self._days[key]


_MOST_DAYS = 10_000
"""Days that are kept as text; assumption: more than one run over a shop needs."""


def capital(text: str) -> str:
    """Return the text with its first letter as a capital, the others as they are."""
    return text[:1].upper() + text[1:]


def language_named(code: str) -> Language:
    """Return a language by its code; read once.

    Raises
    ------
    InvalidInput
        Where there is no catalogue of it.
    """
    if code not in LANGUAGES:
        raise InvalidInput(
            f"{clip(code)!r} is not a language of the pages",
            hint="languages: " + " ".join(LANGUAGES),
        )
    return _language(code)


@cache
def _language(code: str) -> Language:
    return Language(read_catalogue(code))
