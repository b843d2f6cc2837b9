"""The headings and fixed words of the customer's page, as a language says them."""

from __future__ import annotations

from datetime import date

from brakelog.reports.language.language import Language

CHECK_BAR_MM = 50
"""Length of the line that shows whether the page was printed at its size. [mm]"""
_HEADINGS = (
    *("open", "know", "measured", "means", "if_you_wait", "to_expect"),
    *("pictures", "done", "declined", "watch", "back"),
)
_WORDS = (
    *("preliminary", "still_open", "mark", "now", "limit", "last_time", "not_known"),
    *("another_part", "nothing_measured", "drawn", "key_left", "key_stays", "key_limit"),
    *("key_ghost", "check_bar", "at_least", "seldom_more", "unsaid", "picture_key", "sign"),
)


def headings(lang: Language) -> dict[str, str]:
    """Return the headings by their names."""
    return {name: lang.say(f"heading.{name}") for name in _HEADINGS}


def fixed_words(lang: Language) -> dict[str, str]:
    """Return the words that stand on every page, by their names."""
    return {name: lang.say(f"page.{name}") for name in _WORDS} | {
        "when_fitted": lang.say("state.when_fitted")
    }


def for_whom(lang: Language, name: str) -> str:
    """Return whom a page is for."""
    return lang.say("page.for_whom", name=name)


def when_words(lang: Language, day: date, odometer: str, *, is_left: bool) -> str:
    """Return the day and odometer of a visit, and whether it is the state after the work."""
    key = "page.when_after" if is_left else "page.when"
    return lang.say(key, day=lang.day(day), odometer=odometer)


def picture_units(lang: Language, *, inch: bool, mile: bool) -> str:
    """Return the units of the pictures."""
    return lang.say(f"picture.units_{'in' if inch else 'mm'}_{'mi' if mile else 'km'}")
