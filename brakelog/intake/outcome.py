"""What guided entry makes of one answer."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.intake.entry import Entry
from brakelog.record.corner import Corner
from brakelog.record.draft import DraftEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class Accepted:
    """The answer holds: to be kept in the draft, then the next question."""

    entry: DraftEntry
    echo: str
    """What was understood; a length in both unit systems."""
    also: DraftEntry | None = None
    """What follows from it, to be kept in the draft with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """Left out: to be kept in the draft as not measured. Several where a quantity is skipped."""

    entries: tuple[DraftEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Not understood or not possible; the same question again."""

    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WentBack:
    """The answer before is taken back: to be dropped from the draft, and asked again."""

    corner: Corner
    key: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reopened:
    """A quantity is read once more: its answers are to be dropped from the draft."""

    corner: Corner
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A command was carried out; nothing to keep."""

    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped:
    """The person leaves; the draft stays as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerReady:
    """The corner is to be filed and its draft dropped; the next corner is asked for."""

    corner: Corner
    entries: tuple[Entry, ...]


Outcome = Accepted | Blank | Refused | WentBack | Reopened | Changed | Stopped | CornerReady
