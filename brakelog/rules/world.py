"""What may become of an axle: left as it is, or new linings today beside its rotors or drums."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from datetime import date

from brakelog.record.corner import Corner
from brakelog.record.quantity import Part
from brakelog.rules.lives import PositionLife
from brakelog.rules.matching import LifeMatch
from brakelog.rules.verdict import Option, PartVerdict, Word


class Plan(enum.Enum):
    """What is done to an axle today."""

    LEFT = "left"
    """Nothing."""
    KEPT = "kept"
    """New linings; the rotors or drums stay."""
    REFINISHED = "refinished"
    """New linings; the rotors or drums are cut."""
    NEW = "new"
    """New linings, and new rotors or drums."""


class Bar(enum.Enum):
    """Why a plan is not open, or why nothing can be said of a part in it."""

    REQUIRED = "required work is open"
    MUST_GO = "must be replaced"
    MUST_BE_CUT = "must be refinished"
    NOT_MEASURED = "not measured"
    NO_LIMIT = "no usable limit"
    IN_QUESTION = "in question"
    MEASURE_AGAIN = "to be measured again"
    NOT_PROVEN = "not proven to be in limits"
    NO_NEW_SIZE = "no new size on file"
    CANNOT_BE_CUT = "cannot be refinished"
    CUT_LIMIT_UNKNOWN = "machine-to not on file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """One reason why a plan is not open, or why a part of it is passed over."""

    bar: Bar
    corner: Corner
    part: Part
    word: Word | None = None
    """The required word, where required work is open."""
    option: Option | None = None
    """The cut that is not allowed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """One axle after one plan: which of its parts ends, and when."""

    axle: int
    plan: Plan
    lining: Part
    """Pads or shoes."""
    iron: Part
    """Rotor or drum."""
    obstacles: tuple[Obstacle, ...] = ()
    """Why the plan is not open today; then nothing more is told."""
    lives: tuple[PositionLife, ...] = ()
    """Every part of it that is known: the earliest end first, those without a distance last."""
    passed_over: tuple[Obstacle, ...] = ()
    """Parts that nothing is known of, and why."""
    suggested: tuple[PartVerdict, ...] = ()
    """Parts of the axle that are suggested to be replaced or refinished."""
    needs_correction: bool = False
    """Whether something that may stay has to be put right first."""
    cut_is_asked: bool = False
    """Whether the verdict asks for a refinish."""
    options: tuple[tuple[Corner, Option], ...] = ()
    """What the cut would do at each corner."""
    match: tuple[Corner, LifeMatch] | None = None
    """The rotor that is worst off when these linings are worn out, by arithmetic alone."""

    @property
    def is_told(self) -> bool:
        """Whether the plan is open today."""
        return not self.obstacles

    @property
    def stated(self) -> tuple[PositionLife, ...]:
        """Its parts with a distance, the earliest end first."""
        return tuple(each for each in self.lives if each.projection.at_least_mm is not None)

    @property
    def unstated(self) -> tuple[PositionLife, ...]:
        """Its parts without a distance; their projections say why."""
        return tuple(each for each in self.lives if each.projection.at_least_mm is None)

    @property
    def is_complete(self) -> bool:
        """Whether each of its parts has a distance, so that the earliest end is known."""
        return bool(self.lives) and not self.unstated and not self.passed_over

    @property
    def first(self) -> PositionLife | None:
        """The part that ends first of those with a distance."""
        stated = self.stated
        return stated[0] if stated else None

    @property
    def at_least_mm(self) -> int | None:
        """Distance that 9 of 10 such parts reach, of the one that ends first. [mm]"""
        return self.first.projection.at_least_mm if self.first else None

    @property
    def not_before(self) -> date | None:
        """The day of that distance; None where none is known, or it lies years ahead."""
        return self.first.dates.at_least if self.first and self.first.dates else None

    @property
    def is_choice(self) -> bool:
        """Whether pads that are only suggested may be left on, and a distance is known for them."""
        return (
            self.plan is Plan.LEFT
            and self.is_told
            and any((each.part, each.word) == (Part.PADS, Word.REPLACE) for each in self.suggested)
            and any(each.position.part is Part.PADS for each in self.stated)
        )


def earliest_first(lives: list[PositionLife]) -> tuple[PositionLife, ...]:
    """Return lives in the order in which they end, those without a distance last."""
    return tuple(sorted(lives, key=_end))


def _end(life: PositionLife) -> tuple[bool, int, int]:
    projection = life.projection
    return (
        projection.at_least_mm is None,
        projection.at_least_mm or 0,
        projection.uncapped_at_least_mm or 0,
    )
