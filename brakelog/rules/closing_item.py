"""What keeps a job open, as values: named blanks and failures, in the order of the hand."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from brakelog.record.closing import Check
from brakelog.record.corner import Corner, axle_name
from brakelog.record.quantity import Part, Position
from brakelog.rules.verdict import Reason


class Gap(enum.Enum):
    """What is missing or wrong; stable codes."""

    UNFILED = "F101"
    NOTHING_FITTED = "F102"
    WRONG_PART = "F103"
    SIZE_OUT = "F104"
    SIZE_BLANK = "F105"
    NO_BASELINE = "F106"
    LEFT_OUT = "F107"
    LEFT_NOT_PROVEN = "F108"
    TORQUE_BLANK = "F109"
    TORQUE_OFF = "F110"
    CHECK_BLANK = "F111"
    CHECK_FAILED = "F112"
    ODOMETER_OUT_BLANK = "F113"
    NOT_DRIVEN = "F114"
    NO_AGREEMENT = "F115"
    NEW_AGREEMENT = "F116"
    NOT_DONE = "F117"
    SAID_WRONG = "F118"
    MACHINED = "F119"
    LIMIT_OPEN = "F120"
    BY_WHOM = "F121"
    ODOMETER_FAR = "F122"

    @property
    def is_blank(self) -> bool:
        """Whether something is missing; false where something is wrong."""
        return self in _BLANKS


_BLANKS = frozenset(
    {
        Gap.UNFILED,
        Gap.SIZE_BLANK,
        Gap.NO_BASELINE,
        Gap.TORQUE_BLANK,
        Gap.CHECK_BLANK,
        Gap.ODOMETER_OUT_BLANK,
        Gap.NO_AGREEMENT,
        Gap.LIMIT_OPEN,
        Gap.BY_WHOM,
    }
)


class Hand(enum.IntEnum):
    """Where the hand is: parts first, the pedal last before the vehicle moves, paper at the end."""

    ENTRY = 1
    PARTS = 2
    AXLE = 3
    CALIPER = 4
    WHEELS = 5
    PARKING = 6
    FLUID = 7
    PEDAL = 8
    DRIVE = 9
    AFTER_DRIVE = 10
    HAND_OVER = 11
    PAPER = 12


HAND_OF = {
    Check.RIGHT_PART: Hand.PARTS,
    Check.RUNOUT_CURE: Hand.PARTS,
    Check.SHOES_SET: Hand.AXLE,
    Check.WEAR_SENSOR: Hand.AXLE,
    Check.TIGHTENED: Hand.WHEELS,
    Check.PARKING_BRAKE: Hand.PARKING,
    Check.FLUID_LEVEL: Hand.FLUID,
    Check.PEDAL_FIRM: Hand.PEDAL,
    Check.ROAD_TEST: Hand.DRIVE,
    Check.NO_LEAK: Hand.AFTER_DRIVE,
    Check.LAMPS_OFF: Hand.AFTER_DRIVE,
    Check.BEDDING_IN: Hand.HAND_OVER,
    Check.CAUSE_PROVEN: Hand.HAND_OVER,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenItem:
    """One thing that has to be closed before the job is finished."""

    gap: Gap
    hand: Hand
    text: str
    """What is missing or wrong, with its place and figures."""
    do: str
    """What to do about it."""
    line: str = ""
    """How the typed line begins that closes it; empty where none does."""
    axle: int | None = None
    corner: Corner | None = None
    part: Part | None = None
    position: Position | None = None
    fastener: str = ""
    check: Check | None = None
    reason: Reason | None = None
    """The reason of the verdict as left, where one keeps it open."""

    @property
    def place(self) -> str:
        """``LF``, ``front``, or nothing where it is the vehicle."""
        if self.corner is not None:
            return self.corner.code
        return axle_name(self.axle) if self.axle is not None else ""


def axle_word(axle: int) -> str:
    """Return an axle in one word, as lines are typed: ``front``, ``rear``, ``3``."""
    return {1: "front", 2: "rear"}.get(axle, str(axle))
