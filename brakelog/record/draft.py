"""Entries of a corner that is still being measured."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.reading import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftEntry:
    """One thing typed during guided entry, kept until the corner is finished."""

    key: str
    """What was asked for: the quantity and the point, in the words of the prompt's own code."""
    typed: str
    unit: LengthUnit
    """The unit declared when it was typed."""
    corner: Corner
    stage: Stage
    gauge_id: str | None = None
    person_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfiled:
    """What somebody has typed at one stage of a visit, in one unit, and not finished."""

    stage: Stage
    person_id: str | None
    unit: LengthUnit
    """The unit declared when it was typed."""
    entries: int
    """How many answers. [-]"""
