"""Uneven wear as values: what differs, by how much, and from where on it is looked into."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from brakelog.record.corner import Corner
from brakelog.record.quantity import Part, Position


class FlagKind(enum.Enum):
    """What is compared with what."""

    INNER_OUTER = "inner and outer pad"
    TAPER = "taper"
    SIDES = "left and right lining"
    SHOES = "leading and trailing shoe"
    ROTORS = "left and right rotor"
    DRUMS = "left and right drum"

    @property
    def is_information(self) -> bool:
        """Whether it is only worth knowing, and no reason to look for anything."""
        return self in (FlagKind.ROTORS, FlagKind.DRUMS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One place that was read, with its size."""

    corner: Corner
    position: Position
    nm: int
    """After the zero error of the day. [nm]"""
    place: str = ""
    """Where on the part: ``trailing end``; empty where the thinnest of all is meant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """One difference that is large enough to be looked into; never a verdict."""

    kind: FlagKind
    axle: int
    corners: tuple[Corner, ...]
    """The corner that is worn more, then the other where two are compared."""
    part: Part
    worn: Spot
    """The place that is worn more."""
    other: Spot
    threshold_nm: int
    """Difference from which it is looked into. [nm]"""
    for_fixed: bool = False
    """Whether the threshold is the one for a fixed caliper."""
    is_severe: bool = False
    """Whether it is so large that common practice replaces the lining."""

    @property
    def difference_nm(self) -> int:
        """How far the two places differ. [nm]"""
        return abs(self.worn.nm - self.other.nm)
