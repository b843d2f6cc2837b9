"""One question of guided entry, as a terminal shows it."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.intake.step import Step, StepKind
from brakelog.intake.words import DATUM_WORDS
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum

WIDTH = 80
"""Columns of the narrowest terminal that is served."""
_LONGEST_TAG = 16
_NAMES = {
    Quantity.ROTOR: "rotor",
    Quantity.RUNOUT: "runout",
    Quantity.SCORING: "scoring",
    Quantity.PAD_INNER: "inner pad",
    Quantity.PAD_OUTER: "outer pad",
    Quantity.DRUM_OPEN: "drum open edge",
    Quantity.DRUM_CLOSED: "drum closed edge",
    Quantity.SHOE_LEADING: "leading shoe",
    Quantity.SHOE_TRAILING: "trailing shoe",
}
WORDS = {
    StepKind.AGAIN: "point 1 again",
    StepKind.NUTS: "fasteners fitted (such as 5/5)",
    StepKind.BEARING: "bearing free of play (y/n)",
    StepKind.BACK: "back at its start after one turn (y/n)",
    StepKind.LIP: "unworn lip at the edge (y/n)",
}
"""What is asked beside the numbers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked next."""

    corner: Corner
    key: str
    """Which question of the corner it is; the key of the draft entry that answers it."""
    prompt: str
    """One line of at most 80 columns."""
    previous: str = ""
    """What the last visit had, to be shown beside it."""
    summary: str = ""
    """The corner so far, before it is filed; lines of at most 80 columns."""


def prompt_for(
    corner: Corner,
    step: Step,
    unit: LengthUnit | None,
    gauge: Gauge | None,
    datum: Datum | None = None,
) -> str:
    """Return the line that asks for one step.

    Parameters
    ----------
    corner, step
        What is asked for.
    unit : LengthUnit or None
        The unit of a number typed without one.
    gauge : Gauge or None
        The gauge taken for the quantity.
    datum : Datum or None
        What a lining is measured from.
    """
    if step.kind is StepKind.FINDING:
        return f"{corner}  anything seen? (finding words, or Enter for nothing more)"
    if step.kind is StepKind.LOOKED_OVER:
        return f"{corner}  looked over for cracks, leaks and damage? (y/n)"
    if step.kind is StepKind.CONFIRM:
        return f"{corner}  Enter files this corner, - goes back"
    assert step.quantity is not None
    words = f"{corner}  {_NAMES[step.quantity]}"
    if step.kind in (StepKind.NUTS, StepKind.BEARING, StepKind.BACK, StepKind.LIP):
        return f"{words}: {WORDS[step.kind]}"
    asked = _point(step) if step.kind is StepKind.VALUE else WORDS[step.kind]
    return f"{words} {asked}  [{', '.join(_taken_with(unit, gauge, datum))}]"


def _point(step: Step) -> str:
    assert step.quantity is not None
    if step.quantity is Quantity.ROTOR:
        return f"point {step.number} of {step.of}"
    return step.quantity.facts.points[step.number - 1]


def _taken_with(unit: LengthUnit | None, gauge: Gauge | None, datum: Datum | None) -> list[str]:
    words = [unit.value if unit else "type the unit"]
    if gauge is not None:
        tag = gauge.tag
        words.append(tag if len(tag) <= _LONGEST_TAG else tag[: _LONGEST_TAG - 3] + "...")
    if datum is Datum.WITH_PLATE:
        words.append(DATUM_WORDS[datum])
    return words
