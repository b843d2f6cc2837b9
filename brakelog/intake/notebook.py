"""The answers of guided entry so far, corner by corner, and what follows from them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from brakelog.errors import InvalidInput
from brakelog.intake.answer import understand
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry
from brakelog.intake.filing import entries_of, gauge_taken, unit_taken
from brakelog.intake.step import Step, StepKind, has_values, points_answered, steps_of
from brakelog.intake.words import parse_datum
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, walking_order
from brakelog.record.draft import DraftEntry
from brakelog.record.gauge import Gauge, Tips
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum


class Notebook:
    """Answers by corner and key; says which question is open, and with which gauge and unit."""

    def __init__(
        self, context: Context, points_wanted: Mapping[int, int], person_id: str | None
    ) -> None:
        self.context = context
        self.chosen: dict[Quantity, Gauge | None] = {}
        """Gauges chosen by hand for a quantity."""
        self.datum_chosen = Datum.LINING
        """What linings are measured from, from here on."""
        self.order = walking_order(len(context.brakes))
        self.answers: dict[Corner, dict[str, DraftEntry]] = {each: {} for each in self.order}
        self._rotor_points = dict(points_wanted)
        self._person_id = person_id

    def settle(self) -> None:
        """Drop answers on file that no longer hold, so that they are asked for again."""
        for corner, answers in self.answers.items():
            self._rotor_points[corner.axle] = max(
                self._rotor_points.get(corner.axle, 0), points_answered(answers)
            )
            asked = set()
            for step in self.steps(corner):
                asked.add(step.key)
                if not self._holds(step, corner):
                    del answers[step.key]
            for key in answers.keys() - asked:
                del answers[key]

    def _holds(self, step: Step, corner: Corner) -> bool:
        entry = self.answers[corner].get(step.key)
        if entry is None or not entry.typed:
            return True
        try:
            understand(step, entry.typed, corner=corner, unit=entry.unit, context=self.context)
        except InvalidInput:
            return False
        return True

    def steps(self, corner: Corner) -> Iterator[Step]:
        """The steps of a corner that its answers lead to, in order."""
        brake = self.context.brakes[corner.axle - 1]
        gauge = self.gauge(corner, Quantity.ROTOR)
        return steps_of(
            brake,
            self._rotor_points.get(corner.axle, 0),
            self.answers[corner],
            asks_lip=gauge is None or gauge.tips is not Tips.POINTED,
        )

    def step(self, corner: Corner) -> Step:
        """The first step that is open."""
        answers = self.answers[corner]
        return next(step for step in self.steps(corner) if step.key not in answers)

    def entries(self, corner: Corner) -> tuple[Entry, ...]:
        """What the answers of the corner say."""
        steps = [step for step in self.steps(corner) if step.key in self.answers[corner]]
        return entries_of(corner, steps, self.answers[corner], self.context)

    def gauge(self, corner: Corner, quantity: Quantity) -> Gauge | None:
        """The gauge of the quantity: that of its first number, else the chosen or usual one."""
        taken = gauge_taken(quantity, self.answers[corner])
        if taken is not None:
            return self.context.gauge_by_id(taken.gauge_id)
        if quantity in self.chosen:
            return self.chosen[quantity]
        return self.context.gauge_for(quantity)

    def unit(self, corner: Corner, quantity: Quantity) -> LengthUnit | None:
        """The unit of a number typed without one; None where it has to be typed."""
        gauge = self.gauge(corner, quantity)
        return unit_taken(quantity, self.answers[corner]) or (
            gauge.unit if gauge else self.context.declared
        )

    def datum(self, corner: Corner, quantity: Quantity) -> Datum | None:
        """What the quantity is measured from; None where it is no lining."""
        if not quantity.is_lining:
            return None
        answers = self.answers[corner]
        if not has_values(quantity, answers):
            return self.datum_chosen
        kept = answers.get(Step(kind=StepKind.DATUM, quantity=quantity).key)
        return parse_datum(kept.typed) if kept is not None else Datum.LINING

    def keep_new_datum(self, corner: Corner, quantity: Quantity, datum: Datum) -> DraftEntry | None:
        """Note what a lining is measured from; None where that says nothing new."""
        key = Step(kind=StepKind.DATUM, quantity=quantity).key
        if datum is Datum.LINING and key not in self.answers[corner]:
            return None
        return self.keep_datum(corner, quantity, datum)

    def keep_datum(self, corner: Corner, quantity: Quantity, datum: Datum) -> DraftEntry:
        """Note what a lining is measured from, and return what goes into the draft."""
        step = Step(kind=StepKind.DATUM, quantity=quantity)
        unit = self.unit(corner, quantity)
        return self.keep(corner, step, datum.value, unit or LengthUnit.MM)

    def keep(self, corner: Corner, step: Step, typed: str, unit: LengthUnit) -> DraftEntry:
        """Note an answer, and return what goes into the draft."""
        gauge = None if step.quantity is None else self.gauge(corner, step.quantity)
        entry = DraftEntry(
            corner=corner,
            stage=self.context.stage,
            key=step.key,
            typed=typed,
            unit=unit,
            gauge_id=gauge.id if gauge else None,
            person_id=self._person_id,
        )
        self.answers[corner][step.key] = entry
        return entry

    def leave_out(self, corner: Corner, step: Step) -> DraftEntry:
        """Note that a step is left out, and return what goes into the draft."""
        unit = None if step.quantity is None else self.unit(corner, step.quantity)
        return self.keep(corner, step, "", unit or LengthUnit.MM)
