"""Text from the record made safe to show: what came in as text goes out as text."""

from __future__ import annotations

import json
import textwrap
import unicodedata
from dataclasses import dataclass

WIDTH = 80
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
_JOINER = "\u200d"
"""Joins emoji; harmless, and names may hold it."""


def shown(text: str) -> str:
    """Return the text on one line without characters that could steer a terminal or turn its order.

    Control characters, escapes, line breaks, and marks that reverse the reading direction are
    shown as a replacement sign.

    >>> shown("Ann\\x1b[31m")
    'Ann\\ufffd[31m'
    """
    return "".join(
        sign if sign == _JOINER or unicodedata.category(sign) not in _HIDDEN else "\ufffd"
        for sign in text
    )


def escaped(document: str) -> str:
    """Return a JSON text with the same characters written as escapes; its meaning stays.

    >>> escaped(chr(0x9B)) == chr(92) + "u009b"
    True
    """
    return "".join(
        sign
        if sign == "\n" or sign == _JOINER or unicodedata.category(sign) not in _HIDDEN
        else json.dumps(sign)[1:-1]
        for sign in document
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of a sheet, with what it is rather than how it looks."""

    text: str = ""
    role: str = "plain"
    """``title``, ``heading``, ``required``, ``suggested``, ``open``, ``quiet`` or ``plain``."""


def wrapped(
    text: str, *, first: str = "", rest: str | None = None, role: str = "plain", width: int = WIDTH
) -> list[Line]:
    """Return a paragraph wrapped to a width, with an indent for its first and its further lines."""
    lines = textwrap.wrap(
        shown(text),
        width=width,
        initial_indent=first,
        subsequent_indent=first if rest is None else rest,
        break_on_hyphens=False,
    )
    return [Line(text=each, role=role) for each in lines]


def as_text(lines: list[Line]) -> str:
    """Return the lines as plain text, ending with a line break."""
    return "".join(f"{line.text.rstrip()}\n" for line in lines)
