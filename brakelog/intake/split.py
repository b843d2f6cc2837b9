"""The words of a reading line: values, and what is said beside them."""

from __future__ import annotations

import re

from brakelog.errors import InvalidInput, clip
from brakelog.intake.check import OPTIONS
from brakelog.intake.nearest import did_you_mean
from brakelog.intake.words import TEMPERATURE_WORDS, is_unit_word

_WORD = re.compile(r'\s*(?:(?P<name>[A-Za-z][A-Za-z_-]*)=(?P<quote>")?)?')
_STAGES = ("as-found", "as-left")
_LENGTH_OPTIONS = ("zero", "radius", "again")
_LONG_NAMES = {"temperature": "temp", "zero-error": "zero", "person": "by"}


def split_words(rest: str) -> tuple[list[str], dict[str, str]]:
    """Return the words that are values, and what was said beside them."""
    values: list[str] = []
    options: dict[str, str] = {}
    last_option = ""
    at = 0
    while at < len(rest):
        found = _WORD.match(rest, at)
        assert found is not None
        if found["name"] is None:
            word, at = _until_blank(rest, found.end())
            if last_option and _is_unit_of(last_option, word):
                options[last_option] += f" {word}"
                last_option = ""
                continue
            last_option = ""
            if word.lower() in _STAGES:
                _say(options, "stage", word)
            else:
                values.append(word)
            continue
        name = found["name"].lower().replace("_", "-")
        name = _LONG_NAMES.get(name, name)
        if found["quote"]:
            value, at = _until_quote(rest, found.end(), name)
        else:
            value, at = _until_blank(rest, found.end())
        _say(options, name, value)
        last_option = "" if found["quote"] else name
    return values, options


def _is_unit_of(name: str, word: str) -> bool:
    if name == "temp":
        return word.lower() in TEMPERATURE_WORDS
    return name in _LENGTH_OPTIONS and is_unit_word(word)


def _until_blank(rest: str, at: int) -> tuple[str, int]:
    end = at
    while end < len(rest) and not rest[end].isspace():
        end += 1
    return rest[at:end], end


def _until_quote(rest: str, at: int, name: str) -> tuple[str, int]:
    """Read up to a quote with a blank or nothing behind it; another one is an inch mark."""
    closing = re.compile(r'"(?=\s|$)').search(rest, at)
    if closing is None:
        raise InvalidInput(f"the quote behind {name}= is not closed", hint='such as radius="60 mm"')
    return rest[at : closing.start()], closing.end()


def _say(options: dict[str, str], name: str, value: str) -> None:
    if name not in OPTIONS:
        raise InvalidInput(f"{clip(name)!r} is not known here", hint=did_you_mean(name, OPTIONS))
    if name in options:
        raise InvalidInput(f"{name} is said twice", hint="say it once")
    if not value.strip():
        raise InvalidInput(f"nothing stands behind {name}=", hint="leave it out if unknown")
    options[name] = value
