"""A question: what looks wrong, on which evidence, and what the readings would be if it were."""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field

from brakelog.record.corner import Corner
from brakelog.review.suspicion import Suspicion

__all__ = ["Confidence", "Question", "Scope", "Suspicion"]


class Scope(enum.Enum):
    """What may be wrong if the suspicion is right."""

    POINTS = "points"
    """Single points of one set."""
    SET = "set"
    """All points of one set by the same amount."""
    UNIT = "unit"
    """The unit that a set was read in."""
    CORNERS = "corners"
    """Which corner, or which pad of it, the readings belong to."""
    VEHICLE = "vehicle"
    """Which vehicle the visit belongs to."""
    ODOMETER = "odometer"
    """The odometer of a visit; only what is driven between visits hangs on it."""
    LIFE = "life"
    """Whether the same part is still on the car; only its history hangs on it."""

    @property
    def holds_back(self) -> bool:
        """Whether no reading that it touches may be used until it is answered."""
        return self in (Scope.UNIT, Scope.CORNERS, Scope.VEHICLE)


class Confidence(enum.Enum):
    """How sure the data alone can be."""

    CERTAIN = "certain"
    HIGH = "high"
    MEDIUM = "medium"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question with its evidence; nothing is corrected by asking it."""

    suspicion: Suspicion
    scope: Scope
    confidence: Confidence
    key: str
    """The same for the same evidence, so that an answer can name it."""
    visit_id: str
    corners: tuple[Corner, ...] = ()
    set_ids: tuple[str, ...] = ()
    """The sets it is about."""
    points: tuple[int, ...] = ()
    """Which values of the first of those sets, counted from 0; all where empty."""
    instead_nm: Mapping[str, tuple[int | None, ...]] = field(default_factory=dict)
    """What each set would read if the suspicion were right; None where a point would be unusable.
    Empty where nothing can be said about that. [nm]"""
    reads_high: bool | None = None
    """Whether the readings would be larger than the truth if the suspicion were right; None where
    either is possible."""
    settled_by_looking: bool = False
    """Whether "it is right" is enough because somebody looked at the part, not at the reading."""
    evidence: str
    """One or two sentences with the figures."""
    ask: str
    """What to look at, and what answers it."""
