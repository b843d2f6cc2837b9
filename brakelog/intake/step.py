"""The order in which guided entry asks, corner by corner."""

from __future__ import annotations

import enum
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from brakelog.intake.check import MOST_VALUES
from brakelog.record.draft import DraftEntry
from brakelog.record.quantity import DISC_QUANTITIES, DRUM_QUANTITIES, Quantity
from brakelog.record.vehicle import AxleBrake


class StepKind(enum.Enum):
    """What kind of answer a step wants."""

    VALUE = "value"
    AGAIN = "again"
    NUTS = "nuts"
    BEARING = "bearing"
    BACK = "back"
    LIP = "lip"
    DATUM = "datum"
    """Never asked for: the word ``datum`` answers it, for all points of a lining."""
    FINDING = "finding"
    LOOKED_OVER = "looked-over"
    CONFIRM = "confirm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One question of a corner."""

    kind: StepKind
    quantity: Quantity | None = None
    number: int = 0
    """Which point, or which finding; from 1."""
    of: int = 0

    @property
    def key(self) -> str:
        """The key of the draft entry that answers it: ``rotor:3``, ``runout:nuts``."""
        if self.kind is StepKind.VALUE and self.quantity is not None:
            return value_key(self.quantity, self.number)
        if self.quantity is not None:
            return f"{self.quantity.value}:{self.kind.value}"
        return f"finding:{self.number}" if self.kind is StepKind.FINDING else self.kind.value


def value_key(quantity: Quantity, number: int) -> str:
    """Return the key of one point."""
    return f"{quantity.value}:{number}"


def points_answered(answers: Mapping[str, DraftEntry]) -> int:
    """Return the highest rotor point that has an answer; 0 where none has."""
    numbers = [0]
    for key in answers:
        name, _, number = key.partition(":")
        if name == Quantity.ROTOR.value and number.isdecimal() and len(number) < _DIGITS:
            numbers.append(int(number))
    return min(max(numbers), MOST_VALUES)


_DIGITS = 6


def point_count(quantity: Quantity, rotor_points: int) -> int:
    """Return how many points of the quantity are asked for."""
    usual = len(quantity.facts.points)
    return max(usual, rotor_points) if quantity is Quantity.ROTOR else usual


def quantities_of(brake: AxleBrake) -> tuple[Quantity, ...]:
    """Return what is measured on a brake, in the order in which it is asked for."""
    return DISC_QUANTITIES if brake is AxleBrake.DISC else DRUM_QUANTITIES


def steps_of(
    brake: AxleBrake, rotor_points: int, answers: Mapping[str, DraftEntry], *, asks_lip: bool
) -> Iterator[Step]:
    """Yield every step of a corner that the answers so far lead to, in order.

    Point 1 is asked for again where it was measured, then, unless the tips are pointed, whether
    there is a lip that they may have rested on; the conditions of a runout are asked for where
    one was typed; findings, until one is left empty.
    """
    for quantity in quantities_of(brake):
        count = point_count(quantity, rotor_points)
        for number in range(1, count + 1):
            yield Step(kind=StepKind.VALUE, quantity=quantity, number=number, of=count)
        datum = Step(kind=StepKind.DATUM, quantity=quantity)
        if datum.key in answers and has_values(quantity, answers):
            yield datum
        if not _is_filled(answers, value_key(quantity, 1)):
            continue
        if quantity is Quantity.ROTOR:
            yield Step(kind=StepKind.AGAIN, quantity=quantity)
            if asks_lip:
                yield Step(kind=StepKind.LIP, quantity=quantity)
        if quantity is Quantity.RUNOUT:
            yield Step(kind=StepKind.NUTS, quantity=quantity)
            yield Step(kind=StepKind.BEARING, quantity=quantity)
            yield Step(kind=StepKind.BACK, quantity=quantity)
    number = 1
    while True:
        step = Step(kind=StepKind.FINDING, number=number)
        yield step
        if not _is_filled(answers, step.key):
            break
        number += 1
    yield Step(kind=StepKind.LOOKED_OVER)
    yield Step(kind=StepKind.CONFIRM)


def has_values(quantity: Quantity, answers: Mapping[str, DraftEntry]) -> bool:
    """Tell whether a number was typed for the quantity."""
    return any(
        _is_filled(answers, value_key(quantity, number))
        for number in range(1, len(quantity.facts.points) + 1)
    )


def _is_filled(answers: Mapping[str, DraftEntry], key: str) -> bool:
    return key in answers and answers[key].typed != ""
