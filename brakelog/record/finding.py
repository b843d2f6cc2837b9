"""Findings: what was seen, not measured."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from brakelog.record.corner import Corner
from brakelog.record.member import Member
from brakelog.record.quantity import Part
from brakelog.record.reading import Stage


class Effect(Member):
    """What a finding means for the part."""

    CONDEMNS = "condemns"
    MACHINE = "must be machined away"
    CORRECT = "must be put right"
    NOTE = "is noted"


class FindingKind(Member):
    """What can be ticked; the value is the word typed."""

    CRACK = "crack"
    HOT_SPOTS = "hot-spots"
    DEEP_PITTING = "deep-pitting"
    VANE_RUST = "vane-rust"
    DELAMINATION = "delamination"
    LINING_CRACK = "lining-crack"
    SOAKED = "soaked"
    CHUNKED = "chunked"
    METAL_CONTACT = "metal-contact"
    LOOSE_RIVETS = "loose-rivets"
    HEAVY_RUST = "heavy-rust"
    BLUEING = "blueing"
    STUCK_SLIDE = "stuck-slide"
    STUCK_PISTON = "stuck-piston"
    HARDWARE_MISSING = "hardware-missing"
    LEAK = "leak"
    LIP = "lip"
    OTHER = "other"

    facts: FindingFacts
    """What the finding means and which parts it can be made on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingFacts:
    """Meaning of one kind of finding."""

    label: str
    parts: tuple[Part, ...]
    effect: Effect


_IRON = (Part.ROTOR, Part.DRUM)
_LINING = (Part.PADS, Part.SHOES)
_FACTS = {
    FindingKind.CRACK: FindingFacts(
        label="crack",
        parts=_IRON,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.HOT_SPOTS: FindingFacts(
        label="hot spots",
        parts=_IRON,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.DEEP_PITTING: FindingFacts(
        label="deep pitting",
        parts=_IRON,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.VANE_RUST: FindingFacts(
        label="vanes rusted or rust-jacked",
        parts=(Part.ROTOR,),
        effect=Effect.CONDEMNS,
    ),
    FindingKind.DELAMINATION: FindingFacts(
        label="lining coming off its plate",
        parts=_LINING,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.LINING_CRACK: FindingFacts(
        label="lining cracked",
        parts=_LINING,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.SOAKED: FindingFacts(
        label="lining soaked with oil or fluid",
        parts=_LINING,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.CHUNKED: FindingFacts(
        label="lining broken out",
        parts=_LINING,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.METAL_CONTACT: FindingFacts(
        label="metal on metal",
        parts=_LINING,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.LOOSE_RIVETS: FindingFacts(
        label="loose rivets",
        parts=_LINING,
        effect=Effect.CONDEMNS,
    ),
    FindingKind.HEAVY_RUST: FindingFacts(
        label="heavy rust on the friction face",
        parts=_IRON,
        effect=Effect.MACHINE,
    ),
    FindingKind.BLUEING: FindingFacts(
        label="blueing",
        parts=_IRON,
        effect=Effect.MACHINE,
    ),
    FindingKind.STUCK_SLIDE: FindingFacts(
        label="slide or pin stuck",
        parts=(Part.PADS,),
        effect=Effect.CORRECT,
    ),
    FindingKind.STUCK_PISTON: FindingFacts(
        label="piston or wheel cylinder stuck",
        parts=_LINING,
        effect=Effect.CORRECT,
    ),
    FindingKind.HARDWARE_MISSING: FindingFacts(
        label="hardware missing or broken",
        parts=_LINING,
        effect=Effect.CORRECT,
    ),
    FindingKind.LEAK: FindingFacts(
        label="leak",
        parts=_LINING,
        effect=Effect.CORRECT,
    ),
    FindingKind.LIP: FindingFacts(
        label="lip at the edge",
        parts=_IRON,
        effect=Effect.NOTE,
    ),
    FindingKind.OTHER: FindingFacts(
        label="other",
        parts=(*_IRON, *_LINING),
        effect=Effect.NOTE,
    ),
}
"""Which findings condemn: service information of several makers, as met in the trade; hot spots
come back after machining. Common practice where a maker says nothing."""
for _kind in FindingKind:
    # Written on the members themselves: they are asked for it at every judgement.
    _kind.facts = _FACTS[_kind]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing seen at one corner."""

    id: str
    visit_id: str
    corner: Corner
    stage: Stage
    kind: FindingKind
    part: Part
    note: str = ""
    put_right: bool = False
    """True where the row says, as left, that a finding of this kind has been put right."""
    person_id: str | None = None
    corrects: str | None = None
    recorded_at: datetime | None = None

    @property
    def words(self) -> str:
        """What was seen, with what was noted beside it: ``leak (at the hose)``."""
        return f"{self.kind.facts.label} ({self.note})" if self.note else self.kind.facts.label
