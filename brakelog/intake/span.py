"""How far ahead something is wanted, as people type it: a time or a distance."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from brakelog.errors import InvalidInput, clip
from brakelog.lengths import DistanceUnit, parse_distance

MOST_DAYS = 5 * 366
"""Longest time that can be meant. Assumption: nobody plans brakes beyond five years. [day]"""
_TIME = re.compile(r"([0-9]{1,4})\s*([a-z]+)", re.ASCII)
_DAYS = {"day": 1, "d": 1, "week": 7, "w": 7}
_MONTHS = {"month": 1, "m": 1, "year": 12, "y": 12}
_HINT = 'such as "6 weeks", "2 months" or "3000 km"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A time or a distance from now on; one of the two."""

    until: date | None
    within_mm: int | None


def parse_span(text: str, *, today: date, declared: DistanceUnit | None) -> Span:
    """Read how far ahead something is wanted.

    Parameters
    ----------
    text : str
        As typed.
    today : date
        The day that a time counts from.
    declared : DistanceUnit, optional
        The unit of a number without one.

    Raises
    ------
    InvalidInput
        Where it is neither a time nor a distance.

    Examples
    --------
    >>> parse_span("2 months", today=date(2026, 12, 31), declared=None).until
    datetime.date(2027, 2, 28)
    >>> parse_span("3000 km", today=date(2026, 12, 31), declared=None).within_mm
    3000000000
    """
    found = _TIME.fullmatch(" ".join(text.lower().split()))
    word = found[2] if found else ""
    unit = word[:-1] if len(word) > 1 and word.endswith("s") else word
    if found is None or (unit not in _DAYS and unit not in _MONTHS):
        try:
            return Span(until=None, within_mm=parse_distance(text, declared=declared)[0])
        except InvalidInput as error:
            raise InvalidInput(
                f"{clip(text)!r} is neither a time nor a distance", hint=_HINT
            ) from error
    number = int(found[1])
    until = (
        today + timedelta(days=number * _DAYS[unit])
        if unit in _DAYS
        else _months_on(today, number * _MONTHS[unit])
    )
    if (until - today).days > MOST_DAYS:
        raise InvalidInput(f"{clip(text)!r} is further ahead than can be told", hint=_HINT)
    return Span(until=until, within_mm=None)


def _months_on(day: date, months: int) -> date:
    """Return the same day some months later, or the last of that month where it has no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + min(months, MOST_DAYS), 12)
    following = date(year + (month + 1) // 12, (month + 1) % 12 + 1, 1)
    last = (following - timedelta(days=1)).day
    return date(year, month + 1, min(day.day, last))
