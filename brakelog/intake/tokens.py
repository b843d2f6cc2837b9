"""From words to values: a unit that stands alone belongs to the number before it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from brakelog.errors import InvalidInput, clip
from brakelog.intake.value import NOT_MEASURED
from brakelog.intake.words import is_unit_word

_NUMBERS = re.compile(r"[0-9][0-9.,]*(?:\s+[0-9][0-9.,]*)*", re.ASCII)
_WHOLE = re.compile(r"[0-9]*[1-9][0-9]*", re.ASCII)
_PROPER_FRACTION = re.compile(r"[0-9]+/[0-9]+\D*", re.ASCII)


def join_units(words: Iterable[str]) -> list[str]:
    """Return the values among the words, each with its unit.

    Raises
    ------
    InvalidInput
        Where a unit stands behind no number, or a whole number and a fraction stand side by
        side, which could be one value or two.

    Examples
    --------
    >>> join_units(["2", "thou", "x", "27.4mm"])
    ['2 thou', 'x', '27.4mm']
    """
    values: list[str] = []
    for word in words:
        if is_unit_word(word):
            attach_unit(values, word)
            continue
        if values and _WHOLE.fullmatch(values[-1]) and _PROPER_FRACTION.fullmatch(word):
            raise InvalidInput(
                f"'{clip(values[-1])} {clip(word)}' could be one value or two",
                hint=f"type {clip(values[-1])}-{clip(word)} for one value",
            )
        values.append(word)
    return values


def split_values(text: str) -> tuple[str, ...]:
    """Return the values that a text says one after another, as ``join_units`` does."""
    if _NUMBERS.fullmatch(text):
        # No unit and no fraction among them: nothing that could belong together.
        return tuple(text.split())
    return tuple(join_units(text.split()))


def attach_unit(values: list[str], word: str) -> None:
    """Put the unit behind the last value.

    Raises
    ------
    InvalidInput
        Where there is none, or it was not measured.
    """
    if not values or values[-1].lower() == NOT_MEASURED:
        raise InvalidInput(
            f"{clip(word)!r} stands behind no number",
            hint="type the unit behind its number, or unit=mm for the whole line",
        )
    values[-1] = f"{values[-1]} {word}"
