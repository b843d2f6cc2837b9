"""Lines of the terminal sheet, taken over for paper: the sentences stay, the wrapping goes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from brakelog.reports.plain import Line

UNWRAPPED = 1_000_000
"""A width at which no paragraph is broken: the longest text of a record is far shorter."""
_BULLET = "- "


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One paragraph, with what it is rather than how it looks."""

    text: str
    role: str
    level: int
    """How far it stands in. [columns]"""
    is_item: bool
    """Whether it is one of a list."""


def told(lines: Iterable[Line]) -> tuple[Told, ...]:
    """Return lines that were made at ``UNWRAPPED`` as paragraphs; blank ones go.

    >>> told([Line(text="   - Declined: nothing.")])[0].is_item
    True
    """
    return tuple(_told(each) for each in lines if each.text.strip())


def _told(line: Line) -> Told:
    text = line.text.strip()
    is_item = text.startswith(_BULLET)
    return Told(
        text=text.removeprefix(_BULLET),
        role=line.role,
        level=len(line.text) - len(line.text.lstrip()),
        is_item=is_item,
    )
