"""What merging two stores comes to, found before anything is written."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import Table

from brakelog.errors import Conflict
from brakelog.store.raw_rows import RawRow

MOST_NAMED = 8
"""Conflicts that a refusal names; the rest is counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What somebody has decided about what the two sides do not agree about."""

    keeps_ours: bool = False
    """Where both have changed the same thing, what is here holds."""
    takes_doubled: bool = False
    """Rows of a sheet that was imported on both sides are taken although they are here too."""
    takes_future: bool = False
    """Rows are taken that were recorded at a time which is yet to come."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """What was added, or would be."""

    added: Mapping[str, int]
    """Rows by table."""
    restated: int
    """Rows of this store that were written once more, so that they hold. [-]"""
    names_taken: int
    """Names that only the other side had changed. [-]"""
    names_kept: int
    """Names that stayed as they are here, although the other side has others. [-]"""
    settings_left: int
    """Settings of the other store that were left there. [-]"""
    drafts_left: int
    """Answers of guided entry that are not filed there yet. [-]"""
    doubled: int
    """Rows of sheets that are here already under another id. [-]"""
    forgotten_there: tuple[str, ...]
    """Tags of customers that the other store has forgotten and this one has not."""

    @property
    def rows(self) -> int:
        """All rows that were added. [-]"""
        return sum(self.added.values())


@dataclass(kw_only=True)
class Plan:
    """What is to be done."""

    ids: dict[Table, list[str]] = field(default_factory=dict)
    """Evidence to add, in order."""
    conflicts: list[str] = field(default_factory=list)
    hints: list[str] = field(default_factory=list)
    names: dict[Table, list[RawRow]] = field(default_factory=lambda: defaultdict(list))
    rewritten: dict[Table, list[RawRow]] = field(default_factory=lambda: defaultdict(list))
    again: dict[Table, list[str]] = field(default_factory=lambda: defaultdict(list))
    keys: list[RawRow] = field(default_factory=list)
    doubled: int = 0
    kept: int = 0
    settings: int = 0
    drafts: int = 0
    forgotten: set[str] = field(default_factory=set)

    def refuse(self, what: str, hint: str) -> None:
        """Put down what the two sides do not agree about, and how to settle it."""
        self.conflicts.append(what)
        if hint not in self.hints:
            self.hints.append(hint)

    def need_agreed(self) -> None:
        """Do nothing where the two sides agree about everything.

        Raises
        ------
        Conflict
            With what they do not agree about, and how to settle it.
        """
        if not self.conflicts:
            return
        more = len(self.conflicts) - MOST_NAMED
        rest = f"; and {more} more" if more > 0 else ""
        raise Conflict(
            "the stores do not agree, and nothing was merged: "
            + "; ".join(self.conflicts[:MOST_NAMED])
            + rest,
            hint="; ".join(self.hints),
        )
