"""What is counted in a simulation, and how a run is kept."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(kw_only=True)
class Gauged:
    """What became of the parts read with one gauge; counts."""

    measure: str
    gauge: str
    with_history: bool
    u1_nm: float
    out_when: str
    parts: int = 0
    """Without a slip; those with one are counted apart."""
    out: int = 0
    out_reuse: int = 0
    """Truly beyond the limit, and called ``reuse``."""
    out_in: int = 0
    """Truly beyond the limit, and the measure judged to be in, whatever the word."""
    just_out: int = 0
    just_out_in: int = 0
    good_condemned: int = 0
    """Truly inside, and something required: replace, refinish or correct."""
    good_reuse: int = 0
    good_open: int = 0
    """Truly inside, and to be measured again."""
    good_suggested: int = 0
    """Truly inside, and a replacement suggested: it will not last, or its mate goes."""
    slipped: int = 0
    slipped_out_reuse: int = 0
    slipped_out_in: int = 0

    @property
    def all_parts(self) -> int:
        return self.parts + self.slipped

    @property
    def unsafe(self) -> float:
        """Share of all parts without a slip that are out and called ``reuse``. [-]"""
        return self.out_reuse / self.parts

    @property
    def unsafe_in(self) -> float:
        """The same for the measure: out, and judged to be in. [-]"""
        return self.out_in / self.parts

    @property
    def unsafe_with_slips(self) -> float:
        """Share of all parts, slips included, that are out and called ``reuse``. [-]"""
        return (self.out_reuse + self.slipped_out_reuse) / self.all_parts


@dataclass(kw_only=True)
class Slipped:
    """What became of one kind of slip; counts."""

    slip: str
    reads: str
    with_history: bool
    tried: int = 0
    caught: int = 0
    harmless: int = 0
    unsafe: int = 0
    costly: int = 0
    out_in: int = 0
    """Truly beyond the limit and judged to be in, whatever the word; the unsafe ones are among
    them, and those of which only a suggested replacement kept the word from being ``reuse``."""


@dataclass(frozen=True, kw_only=True)
class Counted:
    """Everything that was counted."""

    parts: int
    """For each gauge at a first visit. [-]"""
    with_history: int
    """For each gauge with a history. [-]"""
    cases: int
    """Of each slip. [-]"""
    gauges: tuple[Gauged, ...]
    slips: tuple[Slipped, ...]

    def as_json(self) -> dict[str, Any]:
        """Return it as it is kept."""
        return asdict(self)


def kept(document: dict[str, Any]) -> Counted:
    """Return what was kept."""
    return Counted(
        parts=document["parts"],
        with_history=document["with_history"],
        cases=document["cases"],
        gauges=tuple(Gauged(**row) for row in document["gauges"]),
        slips=tuple(Slipped(**row) for row in document["slips"]),
    )
