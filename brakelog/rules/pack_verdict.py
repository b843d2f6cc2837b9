"""What a clause of local rules says about one lining, as a value."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from fractions import Fraction

from brakelog.lengths import TypedLength
from brakelog.record.corner import Corner
from brakelog.record.quantity import Position
from brakelog.rules.pack import Clause, Pack


class PackOutcome(enum.Enum):
    """Where a lining stands by one clause."""

    BEYOND = "beyond"
    NOT_PROVEN = "not proven"
    CANNOT_COMPARE = "cannot be compared"
    NOT_READ = "not read"
    INSIDE = "inside"


class Why(enum.Enum):
    """Why a lining is not proven inside, or cannot be compared."""

    WITH_PLATE = "the reading includes the backing plate"
    NO_DATUM = "the record does not say where the reading starts"
    FROM_RIVETS = "the figure counts from the rivet heads, the reading from the shoe"
    TOO_CLOSE = "too close to the figure for this gauge"
    NEVER_PROVES = "this way of reading never proves that a lining is inside"
    IN_QUESTION = "the reading is in question"
    FEWER_POINTS = "an earlier set with more points left it open"
    RE_MEASURED = "another set of the same visit says otherwise"


@dataclass(frozen=True, slots=True, kw_only=True)
class PackVerdict:
    """One lining by one clause; it never changes a verdict by the maker's limits."""

    pack: Pack
    clause: Clause
    corner: Corner
    position: Position
    outcome: PackOutcome
    open: tuple[str, ...] = ()
    """Conditions that the record does not settle: the outcome holds if they do."""
    why: tuple[Why, ...] = ()
    set_id: str | None = None
    value_nm: int | None = None
    """The lowest reading of the set. [nm]"""
    judged_nm: Fraction | None = None
    """The same minus the zero error of the day. [nm]"""
    typed: str = ""
    place: str = ""
    points: int = 0
    gauge: str = ""
    """The instrument that the uncertainty belongs to."""
    u1_nm: float = 0.0
    probability: float | None = None
    beyond: tuple[bool, ...] = ()
    """For each figure of the clause whether the lining meets its failing condition."""
    deciding: TypedLength | None = None
    margin_nm: Fraction | None = None
    """How far inside the deciding figure, below zero beyond it. [nm]"""
