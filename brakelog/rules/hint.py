"""Wear patterns as values: what the numbers look like, what usually causes it, what to check next.

A hint is never a verdict and never changes one.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind


class Pattern(enum.Enum):
    """Which pattern; stable codes. The numbers that are left out are kept for later ones."""

    INNER_WORN = "H301"
    OUTER_WORN = "H302"
    ONE_WHEEL_WORN = "H303"
    ONE_WHEEL_IDLE = "H304"
    TAPERED = "H305"
    TAPERED_OPPOSITE = "H307"
    AXLE_FAST = "H308"
    REAR_FAST = "H309"
    PARKING_BRAKE = "H310"
    SHOES_IDLE = "H311"
    SHOES_ONE_SIDE = "H312"
    BELL_MOUTHED = "H313"
    ALL_FAST = "H314"
    FASTER_THAN_BEFORE = "H315"
    LITTLE_USE = "H316"
    VARIATION_AND_RUNOUT = "H317"
    VARIATION_ALONE = "H318"
    RUNOUT_ALONE = "H319"
    BACK_SOON = "H323"

    @property
    def label(self) -> str:
        """The pattern in a few words."""
        return _LABELS[self]


_LABELS = {
    Pattern.INNER_WORN: "inner pad far thinner than outer",
    Pattern.OUTER_WORN: "outer pad far thinner than inner",
    Pattern.ONE_WHEEL_WORN: "both pads far thinner than on the other side",
    Pattern.ONE_WHEEL_IDLE: "pads hardly worn, the other side's are",
    Pattern.TAPERED: "pad tapered along its length",
    Pattern.TAPERED_OPPOSITE: "inner and outer pad tapered opposite ways",
    Pattern.AXLE_FAST: "all four pads worn fast",
    Pattern.REAR_FAST: "pads worn fast, front pads not",
    Pattern.PARKING_BRAKE: "one rear wheel worn far more",
    Pattern.SHOES_IDLE: "shoes hardly worn, front pads worn fast",
    Pattern.SHOES_ONE_SIDE: "shoes thick on one side, thin on the other",
    Pattern.BELL_MOUTHED: "drum bell-mouthed, shoes worn to it",
    Pattern.ALL_FAST: "all linings worn fast",
    Pattern.FASTER_THAN_BEFORE: "wears faster than it used to",
    Pattern.LITTLE_USE: "pads thick, rotor rusted",
    Pattern.VARIATION_AND_RUNOUT: "thickness variation and runout both out",
    Pattern.VARIATION_ALONE: "thickness variation out, runout in limits",
    Pattern.RUNOUT_ALONE: "runout out, thickness variation in limits",
    Pattern.BACK_SOON: "back soon after work",
}


_PACE = (Pattern.AXLE_FAST, Pattern.REAR_FAST, Pattern.FASTER_THAN_BEFORE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """One probable cause with the check that tells, and the findings that point to it."""

    cause: str
    check: str
    found_as: frozenset[FindingKind] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hint:
    """One pattern at one wheel or axle."""

    pattern: Pattern
    axle: int | None
    """None where it is the whole vehicle."""
    corners: tuple[Corner, ...]
    """The wheels to look at first."""
    evidence: tuple[str, ...]
    """What in the record shows it."""
    leads: tuple[Lead, ...]
    """Probable causes with their checks, the likeliest first."""
    is_borne_out: bool = False
    """Whether a finding of the visit points to one of the causes."""
    cause_open: bool = True
    """Whether something must still be found and put right, so that new parts wear otherwise.
    False where nothing is wrong with the brake, or a cause was put right in this visit."""

    @property
    def is_about_pace(self) -> bool:
        """Whether linings wear faster than the brake should make them."""
        return self.cause_open and self.pattern in _PACE

    @property
    def probable_causes(self) -> tuple[str, ...]:
        """The causes alone, the likeliest first."""
        return tuple(lead.cause for lead in self.leads)

    @property
    def next_checks(self) -> tuple[str, ...]:
        """The checks alone, in the order of the causes."""
        return tuple(dict.fromkeys(lead.check for lead in self.leads))
