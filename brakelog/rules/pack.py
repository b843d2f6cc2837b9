"""A pack of local rules: what an inspection text says about linings, and where it was read."""

from __future__ import annotations

import enum
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from brakelog.lengths import TypedLength
from brakelog.record.limit import LimitKind, OutWhen, print_figure
from brakelog.record.quantity import Part
from brakelog.record.trait import WHOLE_VEHICLE


class Standing(enum.Enum):
    """How the text of a pack came to be known; the value is the word typed."""

    SEEN = "seen"
    SECONDARY = "seen in a secondary text"
    MEMORY = "from memory"


class CountedFrom(enum.Enum):
    """Where a lining's figure starts; the value is the word typed."""

    SHOE = "above shoe"
    RIVETS = "above rivet heads"


class MeasuredAt(enum.Enum):
    """Where the text wants a lining measured; the value is the word typed."""

    THINNEST = "thinnest point"
    SHOE_CENTRE = "shoe centre"
    NOT_STATED = "not stated"


LININGS = (Part.PADS, Part.SHOES)
"""Parts that a clause may be about."""

CONDITIONS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        "lining": {"bonded": "bonded", "riveted": "riveted"},
        "actuation": {"hydraulic": "hydraulic", "air": "worked by air", "electric": "electric"},
        "steering": {"yes": "steers", "no": "does not steer"},
        "class": {"car": "car", "light": "light", "heavy": "heavy"},
    }
)
"""Traits that a clause may depend on, with each value in words."""
_SUBJECTS = {
    "lining": "the lining is",
    "actuation": "the brake is",
    "steering": "the axle",
    "class": "the vehicle's class is",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A trait that must have one of some values for a clause to apply."""

    trait: str
    values: tuple[str, ...]

    def holds(self, traits: Mapping[tuple[int, str], str], axle: int) -> bool | None:
        """Return whether it holds at an axle; None where the record does not say."""
        at = 0 if self.trait in WHOLE_VEHICLE else axle
        value = traits.get((at, self.trait))
        return value in self.values if value in CONDITIONS[self.trait] else None

    @property
    def words(self) -> str:
        """The condition in words: ``the brake is hydraulic or electric``."""
        values = " or ".join(CONDITIONS[self.trait][value] for value in self.values)
        return f"{_SUBJECTS[self.trait]} {values}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One clause: a figure that linings are judged by, or a text that is only shown."""

    id: str
    number: str
    """As the document numbers it: ``393.47(d)(1)``."""
    wording: str
    """In short, with the operative words."""
    standing: Standing
    parts: tuple[Part, ...] = ()
    figures: tuple[TypedLength, ...] = ()
    """As printed, mm or inch or both; empty for a text that is only shown."""
    out_when: OutWhen | None = None
    """The failing condition; None where the text does not state it."""
    counted_from: CountedFrom = CountedFrom.SHOE
    measured_at: MeasuredAt = MeasuredAt.NOT_STATED
    conditions: tuple[Condition, ...] = ()
    only_if: str = ""
    """A condition that nothing on file can settle."""
    unless: str = ""
    """What the text takes instead where the lining is beyond the figure."""
    note: str = ""

    @property
    def comparator(self) -> OutWhen:
        """The failing condition that is judged by; the stricter where none is stated."""
        return self.out_when or LimitKind.PAD_MINIMUM.facts.stricter

    @property
    def strictest(self) -> TypedLength:
        """The figure that a wearing lining reaches first."""
        return max(self.figures, key=lambda each: each.nm)

    @property
    def as_printed(self) -> str:
        """The figures with their units: ``1.6 mm (1/16 in)``."""
        texts = [print_figure(figure) for figure in self.figures]
        return texts[0] + (f" ({texts[1]})" if len(texts) > 1 else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """The clauses of one document."""

    id: str
    title: str
    document: str
    authority: str
    jurisdiction: str
    scope: str
    """Which vehicles the document is for, in words; nothing on file settles it."""
    valid_from: date | None
    """The day from which the document holds so; None where that is not known."""
    valid_from_note: str
    standing: Standing
    standing_note: str
    """Where the text was seen."""
    clauses: tuple[Clause, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Applying:
    """A clause that applies to an axle, as far as is on file."""

    clause: Clause
    open: tuple[str, ...]
    """Conditions that the record does not settle, in words."""


def applicable(
    pack: Pack, traits: Mapping[tuple[int, str], str], axle: int, part: Part
) -> tuple[Applying, ...]:
    """Return the clauses with a figure for a part of an axle.

    A clause is left out only where a trait on file says that it is for other vehicles. Where the
    record does not say, the clause stays, with what is open.
    """
    return tuple(_applying(pack, traits, axle, part))


def _applying(
    pack: Pack, traits: Mapping[tuple[int, str], str], axle: int, part: Part
) -> Iterator[Applying]:
    for clause in pack.clauses:
        if part not in clause.parts or not clause.figures:
            continue
        held = [(each, each.holds(traits, axle)) for each in clause.conditions]
        if any(holds is False for _, holds in held):
            continue
        unsettled = [each.words for each, holds in held if holds is None]
        if clause.only_if:
            unsettled.append(clause.only_if)
        yield Applying(clause=clause, open=tuple(unsettled))


def normalised(pack: Pack) -> dict[str, Any]:
    """Return all that a pack can change about a verdict or its words, as plain values."""
    return {
        "id": pack.id,
        "title": pack.title,
        "document": pack.document,
        "authority": pack.authority,
        "jurisdiction": pack.jurisdiction,
        "scope": pack.scope,
        "valid_from": pack.valid_from.isoformat() if pack.valid_from else None,
        "valid_from_note": pack.valid_from_note,
        "standing": pack.standing.value,
        "standing_note": pack.standing_note,
        "clauses": [normalised_clause(clause) for clause in pack.clauses],
    }


def normalised_clause(clause: Clause) -> dict[str, Any]:
    """Return a clause as plain values."""
    return {
        "id": clause.id,
        "number": clause.number,
        "wording": clause.wording,
        "standing": clause.standing.value,
        "parts": [part.value for part in clause.parts],
        "figures": [print_figure(figure) for figure in clause.figures],
        "out_when": clause.comparator.value if clause.figures else None,
        "comparator_stated": clause.out_when is not None,
        "counted_from": clause.counted_from.value if clause.figures else None,
        "measured_at": clause.measured_at.value if clause.figures else None,
        "conditions": {each.trait: list(each.values) for each in clause.conditions},
        "only_if": clause.only_if or None,
        "unless": clause.unless or None,
        "note": clause.note or None,
    }
