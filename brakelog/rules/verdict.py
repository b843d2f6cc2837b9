"""Verdicts as values: six words, two grounds, and the reasons that led there."""

from __future__ import annotations

import enum
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from brakelog.record.corner import Corner
from brakelog.record.finding import Finding
from brakelog.record.quantity import Part
from brakelog.rules.casefile import CaseFile
from brakelog.rules.flag import Flag
from brakelog.rules.hint import Hint
from brakelog.rules.judgement import Judgement
from brakelog.rules.lives import PositionLife
from brakelog.rules.matching import LifeMatch
from brakelog.rules.measure import Measure
from brakelog.rules.settling import Settling

if TYPE_CHECKING:
    from brakelog.rules.pack_verdict import PackVerdict
    from brakelog.rules.world import World


class Word(enum.Enum):
    """What is to become of a part."""

    REUSE = "reuse"
    CORRECT = "correct"
    REFINISH = "refinish"
    REPLACE = "replace"
    MEASURE_AGAIN = "measure again"
    NO_VERDICT = "no verdict"


class Grounds(enum.Enum):
    """Required: out of a stated limit, or unsafe today. Suggested: in limits, but. Never mixed."""

    REQUIRED = "required"
    SUGGESTED = "suggested"


class Because(enum.Enum):
    """Which rule speaks; stable codes, in the order of the table from quantities to a part."""

    CONDEMNED = "V101"
    BEYOND_LIMIT = "V102"
    IN_QUESTION = "V103"
    LIMIT_MISSING = "V104"
    LIMIT_CONTRADICTS = "V105"
    NOT_INSPECTED = "V106"
    CUT_POSSIBLE = "V107"
    CUT_IMPOSSIBLE = "V108"
    CUT_LIMIT_UNKNOWN = "V109"
    MUST_BE_CUT = "V116"
    NOT_PROVEN_GOES = "V117"
    NOT_PROVEN = "V110"
    PUT_RIGHT = "V111"
    WILL_NOT_LAST = "V112"
    WILL_NOT_OUTLAST_PADS = "V118"
    CUT_FOR_NEW_SHOES = "V119"
    WORN_TO_OLD_DRUM = "V113"
    AXLE_SET = "V114"
    IN_LIMITS = "V115"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What would be left of a part after refinishing."""

    per_side_nm: int
    after_nm: int
    machine_to: str
    """The machine-to limit as printed; empty where none can be used."""
    discard: str = ""
    """The discard limit as printed, where the cut would end at or beyond it."""
    is_forbidden: bool = False
    """Whether the sheet says that the part must not be machined."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A cut that nothing asks for: whether it could be done, and what would be left of it."""

    because: Because
    cut: Cut
    match: LifeMatch | None = None
    """How the rotor would stand at the end of the pads that go on now, after the cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One rule that applied, with the facts it rests on."""

    because: Because
    word: Word
    grounds: Grounds | None
    judgement: Judgement | None = None
    finding: Finding | None = None
    life: PositionLife | None = None
    cut: Cut | None = None
    mate: Corner | None = None
    stays: bool = False
    """Whether the part may stay once this is put right."""
    settling: Settling | None = None
    """What would settle a reading that proves nothing."""
    match: LifeMatch | None = None
    """How a rotor would stand at the end of the next pads."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartVerdict:
    """The verdict on one part at one corner."""

    corner: Corner
    part: Part
    word: Word
    grounds: Grounds | None
    reasons: tuple[Reason, ...]
    """The deciding one first."""
    judgements: tuple[Judgement, ...]
    not_measured: tuple[Measure, ...]
    """Service measures without a reading."""
    condition_recorded: bool
    lives: tuple[PositionLife, ...] = ()
    match: LifeMatch | None = None
    """How it would stand at the end of the pads that go on now; None where none go on."""
    option: Option | None = None
    """A rotor that may stay beside new pads: what a cut would do to it all the same."""
    noted: tuple[Finding, ...] = ()
    """Findings that are noted only."""

    @property
    def required(self) -> tuple[Reason, ...]:
        """Required actions that are open, whatever word decides."""
        return tuple(each for each in self.reasons if each.grounds is Grounds.REQUIRED)

    @property
    def gravest(self) -> Reason:
        """The reason that weighs most on the axle."""
        return min(self.reasons, key=lambda each: gravity(each.word, each.grounds))


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleVerdict:
    """What one kind of part across an axle needs: the gravest reason of either side."""

    axle: int
    part: Part
    word: Word
    grounds: Grounds | None
    decided_by: Corner


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleVerdict:
    """Everything that a visit's readings say, as of its date, odometer and stage."""

    file: CaseFile
    parts: tuple[PartVerdict, ...]
    axles: tuple[AxleVerdict, ...]
    policy: str
    """Digest of the rules and settings that it was made with."""
    packs: tuple[PackVerdict, ...] = ()
    """What the local rules that are on say; they never change a verdict above."""
    flags: tuple[Flag, ...] = ()
    """Uneven wear; like the hints it never changes a verdict above."""
    hints: tuple[Hint, ...] = ()
    """Wear patterns with their probable causes and the next checks."""
    _worlds: list[tuple[World, ...]] = field(
        init=False, default_factory=list, compare=False, repr=False
    )
    """What may become of each axle, made when first asked for."""

    @property
    def worlds(self) -> tuple[World, ...]:
        """What may become of each axle that was looked at; it never changes a verdict above."""
        if not self._worlds:
            from brakelog.rules.worlds import worlds_of

            self._worlds.append(worlds_of(self.file, self.parts))
        return self._worlds[0]

    def months_old(self, today: date) -> int:
        """Return the age of the judged visit. [whole months]"""
        day = self.file.visit.day
        months = (today.year - day.year) * 12 + today.month - day.month
        return months - (today.day < day.day)

    def is_stale(self, today: date) -> bool:
        """Whether the next planned visit should have been by now."""
        visit = self.file.visit
        return self.months_old(today) >= (visit.next_months or self.file.shop.next_months)

    @property
    def required(self) -> tuple[PartVerdict, ...]:
        """Parts with required work, decided or still hidden behind something to measure."""
        return tuple(each for each in self.parts if each.required)

    @property
    def suggested(self) -> tuple[PartVerdict, ...]:
        """Parts with suggested work."""
        return tuple(each for each in self.parts if each.grounds is Grounds.SUGGESTED)

    @property
    def not_judged(self) -> tuple[PartVerdict, ...]:
        """Parts that could not be judged."""
        return tuple(
            each for each in self.parts if each.word in (Word.MEASURE_AGAIN, Word.NO_VERDICT)
        )


_GRAVITY = (
    (Word.REPLACE, Grounds.REQUIRED),
    (Word.REFINISH, Grounds.REQUIRED),
    (Word.CORRECT, Grounds.REQUIRED),
    (Word.NO_VERDICT, None),
    (Word.MEASURE_AGAIN, None),
    (Word.REPLACE, Grounds.SUGGESTED),
    (Word.REFINISH, Grounds.SUGGESTED),
    (Word.REUSE, None),
)


def gravity(word: Word, grounds: Grounds | None) -> int:
    """Return how grave a verdict is: 0 is the gravest."""
    return _GRAVITY.index((word, grounds))
