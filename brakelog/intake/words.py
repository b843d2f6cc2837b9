"""The small words and figures that stand beside a reading, the same in every way in."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from functools import lru_cache

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import LengthUnit, parse_length
from brakelog.record.gauge import Tips
from brakelog.record.reading import Datum, Stage

LONGEST_NOTE = 2_000
"""Characters of a note. Assumption: more is a file pasted by mistake."""
COLDEST_DC, HOTTEST_DC = -400, 7_000
"""Temperatures of a part that can be meant. Assumption: a winter yard and a glowing rotor.
[tenths of a degree Celsius]"""
MOST_FASTENERS = 32
"""Wheel nuts of one hub. Assumption: no road vehicle has more."""

WORDS_KNOWN = 4_096
"""Texts whose meaning is kept in mind: a sheet says the same words over and over. [-]"""

_TIPS = {
    "pointed": Tips.POINTED,
    "flat": Tips.FLAT,
    "calliper": Tips.CALLIPER,
    "caliper": Tips.CALLIPER,
}
DATUM_WORDS = {Datum.LINING: "without its plate", Datum.WITH_PLATE: "with its plate"}
"""What a lining was measured from, in words for who measures."""
_DATUMS = {"lining": Datum.LINING, "plate": Datum.WITH_PLATE, "with plate": Datum.WITH_PLATE}
_STAGES = {"as found": Stage.AS_FOUND, "as left": Stage.AS_LEFT}
_YES_NO = {"yes": True, "y": True, "ok": True, "no": False, "n": False}
_CELSIUS = {"", "c", "°c"}
_FAHRENHEIT = {"f", "°f"}
TEMPERATURE_WORDS = frozenset(_CELSIUS | _FAHRENHEIT) - {""}
_TEMPERATURE = re.compile(r"([+-]?[0-9]{1,6}(?:[.,][0-9]{1,6})?)\s*(°?\s?[CF]?)", re.I | re.ASCII)
_NUTS = re.compile(r"([0-9]{1,2})\s*(?:/|of)\s*([0-9]{1,2})", re.I | re.ASCII)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_CONTROL = re.compile("[\x00-\x08\x0a-\x1f\x7f-\x9f\ud800-\udfff]")
_CONTROL_IN_CELL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")


def has_control(text: str, *, breaks_allowed: bool = False) -> bool:
    """Whether the text holds control characters or bytes that are no UTF-8; tabs are allowed."""
    return (_CONTROL_IN_CELL if breaks_allowed else _CONTROL).search(text) is not None


@lru_cache(maxsize=WORDS_KNOWN)
def parse_unit(text: str) -> LengthUnit:
    """Read the word for a unit of length.

    >>> parse_unit("mm"), parse_unit('"')
    (<LengthUnit.MM: 'mm'>, <LengthUnit.INCH: 'in'>)
    """
    word = text.strip()
    try:
        # A word with digits in it would be taken for the fraction of a mixed number, and one with
        # a comma for the mark that some gauges put between a number and its unit.
        if any(sign.isdigit() or sign == "," for sign in word):
            raise InvalidInput("it holds more than letters")
        return parse_length(f"1 {word}", declared=None).unit
    except InvalidInput:
        raise InvalidInput(
            f"{clip(text)!r} is no unit", hint='units: mm, in, ", thou, um'
        ) from None


def is_unit_word(text: str) -> bool:
    """Whether the word is a unit of length and nothing else."""
    if len(text) > _LONGEST_UNIT_WORD or text[:1].isdigit():
        return False
    try:
        parse_unit(text)
    except InvalidInput:
        return False
    return True


_LONGEST_UNIT_WORD = len("inches")


@lru_cache(maxsize=WORDS_KNOWN)
def parse_stage(text: str) -> Stage:
    """Read ``as-found`` or ``as-left``."""
    word = " ".join(re.split(r"[\s_-]+", text.strip().lower()))
    if word not in _STAGES:
        raise InvalidInput(f"{clip(text)!r} is not a stage", hint="as-found or as-left")
    return _STAGES[word]


def parse_tips(text: str) -> Tips:
    """Read the measuring faces: ``pointed``, ``flat`` or ``calliper``."""
    word = text.strip().lower()
    if word not in _TIPS:
        raise InvalidInput(f"{clip(text)!r} are no gauge tips", hint="pointed, flat or calliper")
    return _TIPS[word]


def parse_datum(text: str) -> Datum:
    """Read where a lining reading starts: ``lining`` or ``plate``."""
    word = " ".join(text.replace("-", " ").lower().split())
    if word not in _DATUMS:
        raise InvalidInput(f"{clip(text)!r} is not a datum", hint="lining, or plate if included")
    return _DATUMS[word]


def parse_yes_no(text: str) -> bool:
    """Read ``yes``, ``ok`` or ``no``."""
    word = text.strip().lower()
    if word not in _YES_NO:
        raise InvalidInput(f"{clip(text)!r} is neither yes nor no", hint="yes or no")
    return _YES_NO[word]


def parse_nuts(text: str) -> tuple[int, int]:
    """Read how many wheel fasteners held the rotor, and of how many.

    >>> parse_nuts("5/5"), parse_nuts("3 of 5")
    ((5, 5), (3, 5))
    """
    found = _NUTS.fullmatch(text.strip())
    if found is None:
        raise InvalidInput(
            f"{clip(text)!r} does not say the fasteners", hint="such as 5/5: fitted and of how many"
        )
    fitted, of = int(found[1]), int(found[2])
    if not 1 <= of <= MOST_FASTENERS:
        raise InvalidInput(f"no hub has {of} fasteners", hint="such as 5/5")
    if fitted > of:
        raise InvalidInput(f"{fitted} fasteners of {of} cannot be fitted", hint="such as 5/5")
    return fitted, of


def parse_temperature(text: str) -> int:
    """Read the temperature of a part; degrees Celsius unless F stands behind it.

    Returns
    -------
    int
        Nearest tenth of a degree; worked out exactly before. [tenths of a degree Celsius]

    Examples
    --------
    >>> parse_temperature("31,5 C"), parse_temperature("88 F")
    (315, 311)
    """
    body = text.replace("\u2212", "-").strip()
    found = _TEMPERATURE.fullmatch(body)
    if found is None:
        raise InvalidInput(f"{clip(text)!r} is not a temperature", hint="such as 31 or 88 F")
    degrees = Fraction(found[1].replace(",", "."))
    if "".join(found[2].lower().split()) in _FAHRENHEIT:
        degrees = (degrees - 32) * Fraction(5, 9)
    if not COLDEST_DC <= degrees * 10 <= HOTTEST_DC:
        raise InvalidInput(
            f"{clip(text)!r} is no temperature of a brake",
            hint=f"{COLDEST_DC // 10} to {HOTTEST_DC // 10} degrees Celsius",
        )
    return round(degrees * 10)


@lru_cache(maxsize=WORDS_KNOWN)
def parse_day(text: str) -> date:
    """Read a date; only year-month-day, because the other orders are mistaken for each other."""
    if _DAY.fullmatch(text.strip()) is None:
        raise InvalidInput(
            f"{clip(text)!r} is not a date", hint="year-month-day, such as 2026-03-02"
        )
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InvalidInput(f"there is no day {clip(text)!r}", hint="such as 2026-03-02") from None


def parse_note(text: str) -> str:
    """Return the note without blanks at its ends."""
    note = text.strip()
    if len(note) > LONGEST_NOTE:
        raise InvalidInput(f"the note has more than {LONGEST_NOTE} characters", hint="shorten it")
    return note


def parse_count(text: str, *, most: int, what: str) -> int:
    """Read a whole number from 1."""
    body = text.strip()
    if not (body.isascii() and body.isdigit() and len(body) < 10 and 1 <= int(body) <= most):
        raise InvalidInput(f"{clip(text)!r} is not a number of {what}", hint=f"1 to {most}")
    return int(body)
