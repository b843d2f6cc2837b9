"""What is judged about a part, and what it is judged by."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.record.limit import LimitKind, WhichPad
from brakelog.record.member import Member
from brakelog.record.quantity import Part, Position, Quantity


class Measure(Member):
    """One judged property of a part. Safety measures come first in a verdict."""

    ROTOR_THICKNESS = "rotor thickness"
    THICKNESS_VARIATION = "thickness variation"
    RUNOUT = "runout"
    SCORING = "scoring depth"
    HUB_RUNOUT = "hub face runout"
    INNER_LINING = "inner pad lining"
    OUTER_LINING = "outer pad lining"
    DRUM_DIAMETER = "drum diameter"
    OUT_OF_ROUND = "out-of-round"
    BELL_MOUTH = "bell-mouth"
    DRUM_SCORING = "drum scoring depth"
    LEADING_LINING = "leading shoe lining"
    TRAILING_LINING = "trailing shoe lining"

    facts: MeasureFacts
    """How it is judged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureFacts:
    """Where a measure comes from and which limit it meets."""

    part: Part
    quantities: tuple[Quantity, ...]
    limit: LimitKind
    is_safety: bool
    position: Position | None = None
    """The wearing part it is the size of."""
    which_pad: WhichPad | None = None
    new: LimitKind | None = None
    needs_machining: bool = False
    """Whether being out means a cut, so far as one is allowed."""


_DRUM_EDGES = (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED)
_FACTS = {
    Measure.ROTOR_THICKNESS: MeasureFacts(
        part=Part.ROTOR,
        quantities=(Quantity.ROTOR,),
        limit=LimitKind.ROTOR_DISCARD,
        is_safety=True,
        position=Position.ROTOR,
        new=LimitKind.ROTOR_NEW,
    ),
    Measure.THICKNESS_VARIATION: MeasureFacts(
        part=Part.ROTOR,
        quantities=(Quantity.ROTOR,),
        limit=LimitKind.THICKNESS_VARIATION,
        is_safety=False,
        needs_machining=True,
    ),
    Measure.RUNOUT: MeasureFacts(
        part=Part.ROTOR,
        quantities=(Quantity.RUNOUT,),
        limit=LimitKind.RUNOUT,
        is_safety=False,
    ),
    Measure.SCORING: MeasureFacts(
        part=Part.ROTOR,
        quantities=(Quantity.SCORING,),
        limit=LimitKind.SCORING,
        is_safety=False,
        needs_machining=True,
    ),
    Measure.HUB_RUNOUT: MeasureFacts(
        part=Part.ROTOR,
        quantities=(Quantity.HUB_RUNOUT,),
        limit=LimitKind.HUB_RUNOUT,
        is_safety=False,
    ),
    Measure.INNER_LINING: MeasureFacts(
        part=Part.PADS,
        quantities=(Quantity.PAD_INNER,),
        limit=LimitKind.PAD_MINIMUM,
        is_safety=True,
        position=Position.PAD_INNER,
        which_pad=WhichPad.INNER,
        new=LimitKind.PAD_NEW,
    ),
    Measure.OUTER_LINING: MeasureFacts(
        part=Part.PADS,
        quantities=(Quantity.PAD_OUTER,),
        limit=LimitKind.PAD_MINIMUM,
        is_safety=True,
        position=Position.PAD_OUTER,
        which_pad=WhichPad.OUTER,
        new=LimitKind.PAD_NEW,
    ),
    Measure.DRUM_DIAMETER: MeasureFacts(
        part=Part.DRUM,
        quantities=_DRUM_EDGES,
        limit=LimitKind.DRUM_DISCARD,
        is_safety=True,
        position=Position.DRUM,
        new=LimitKind.DRUM_NEW,
    ),
    Measure.OUT_OF_ROUND: MeasureFacts(
        part=Part.DRUM,
        quantities=_DRUM_EDGES,
        limit=LimitKind.OUT_OF_ROUND,
        is_safety=False,
        needs_machining=True,
    ),
    Measure.BELL_MOUTH: MeasureFacts(
        part=Part.DRUM,
        quantities=_DRUM_EDGES,
        limit=LimitKind.BELL_MOUTH,
        is_safety=False,
        needs_machining=True,
    ),
    Measure.DRUM_SCORING: MeasureFacts(
        part=Part.DRUM,
        quantities=(Quantity.SCORING,),
        limit=LimitKind.SCORING,
        is_safety=False,
        needs_machining=True,
    ),
    Measure.LEADING_LINING: MeasureFacts(
        part=Part.SHOES,
        quantities=(Quantity.SHOE_LEADING,),
        limit=LimitKind.SHOE_MINIMUM,
        is_safety=True,
        position=Position.SHOE_LEADING,
        which_pad=WhichPad.LEADING,
        new=LimitKind.SHOE_NEW,
    ),
    Measure.TRAILING_LINING: MeasureFacts(
        part=Part.SHOES,
        quantities=(Quantity.SHOE_TRAILING,),
        limit=LimitKind.SHOE_MINIMUM,
        is_safety=True,
        position=Position.SHOE_TRAILING,
        which_pad=WhichPad.TRAILING,
        new=LimitKind.SHOE_NEW,
    ),
}


for _measure in Measure:
    # Written on the members themselves: they are asked for it more often than for anything else.
    _measure.facts = _FACTS[_measure]
_MEASURES_OF = {
    part: tuple(measure for measure in Measure if measure.facts.part is part) for part in Part
}


def measures_of(part: Part) -> tuple[Measure, ...]:
    """Return what is judged about a part, safety first."""
    return _MEASURES_OF[part]
