"""Guided entry at the car: one question after another, as a pure state machine."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from brakelog.errors import InvalidInput
from brakelog.intake.answer import understand
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry
from brakelog.intake.filing import gauge_taken, summary_of, unit_taken
from brakelog.intake.guide_command import (
    AGAIN,
    CORNER,
    DATUM,
    GAUGE,
    HELP,
    SKIP,
    STOP,
    Command,
    help_text,
    parse_command,
)
from brakelog.intake.notebook import Notebook
from brakelog.intake.outcome import (
    Accepted,
    Blank,
    Changed,
    CornerReady,
    Outcome,
    Refused,
    Reopened,
    Stopped,
    WentBack,
)
from brakelog.intake.question import Question, prompt_for
from brakelog.intake.step import Step, StepKind
from brakelog.intake.value import NOT_MEASURED, finer_than_gauge, shown_step
from brakelog.intake.words import DATUM_WORDS, has_control, parse_datum, parse_unit
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, parse_corner
from brakelog.record.draft import DraftEntry
from brakelog.record.quantity import Quantity, parse_quantity
from brakelog.record.reading import Datum
from brakelog.record.vehicle import AxleBrake

LONGEST_ANSWER = 2_200
"""Characters of an answer: a note and the words before it."""
_BACK = "-"


class Guided:
    """Asks for the readings of one vehicle, corner by corner, and can stop at any answer.

    Parameters
    ----------
    brakes : tuple of AxleBrake
        The brake of each axle from the front.
    context : Context
        Gauges, people, declared unit and stage.
    draft : iterable of DraftEntry
        The answers on file, in the order in which they were given.
    filed : collection of Corner
        Corners that are filed already and are not asked for.
    person : str or None
        Tag of the person who measures.
    points_wanted : mapping
        Rotor points that the maker wants, by axle; fewer than nine change nothing.
    previous : mapping
        What the last visit had, to be shown beside each question.
    datum : Datum
        What the linings of this visit that are filed already were measured from.
    """

    def __init__(
        self,
        *,
        brakes: tuple[AxleBrake, ...],
        context: Context,
        draft: Iterable[DraftEntry] = (),
        filed: Collection[Corner] = (),
        person: str | None = None,
        points_wanted: Mapping[int, int] | None = None,
        previous: Mapping[tuple[Corner, Quantity], str] | None = None,
        datum: Datum = Datum.LINING,
    ) -> None:
        person_id = None if person is None else context.people[context.person_called(person)]
        self._notebook = Notebook(
            replace(context, brakes=brakes), dict(points_wanted or {}), person_id
        )
        self._notebook.datum_chosen = datum
        self._order = self._notebook.order
        self._filed = set(filed)
        self._previous = dict(previous or {})
        self._pending: tuple[str, str] | None = None
        """Key and text of a number with more decimals than the gauge, typed once."""
        self._corner = self._next_corner()
        for entry in draft:
            is_open = entry.corner in self._order and entry.corner not in self._filed
            if is_open and entry.stage is context.stage:
                self._notebook.answers[entry.corner][entry.key] = entry
                self._corner = entry.corner
                if entry.key.endswith(f":{StepKind.DATUM.value}"):
                    self._notebook.datum_chosen = parse_datum(entry.typed)
        self._notebook.settle()

    @property
    def question(self) -> Question | None:
        """What is asked next; None when every corner is filed."""
        corner = self._corner
        if corner is None:
            return None
        step = self._notebook.step(corner)
        unit, gauge, datum, previous, summary = None, None, None, "", ""
        if step.quantity is not None:
            unit, gauge, datum = (
                self._notebook.unit(corner, step.quantity),
                self._notebook.gauge(corner, step.quantity),
                self._notebook.datum(corner, step.quantity),
            )
        if step.quantity is not None and step.kind is StepKind.VALUE:
            previous = self._previous.get((corner, step.quantity), "")
        if step.kind is StepKind.CONFIRM:
            summary = summary_of(self._notebook.entries(corner), corner)
        return Question(
            corner=corner,
            key=step.key,
            prompt=prompt_for(corner, step, unit, gauge, datum),
            previous=previous,
            summary=summary,
        )

    def answer(self, text: str) -> Outcome:
        """Take one answer, or one command, and say what came of it."""
        corner = self._corner
        if corner is None:
            return Refused(message="every corner is filed", hint="nothing is open")
        step = self._notebook.step(corner)
        if len(text) > LONGEST_ANSWER or has_control(text.strip()):
            return Refused(message="that is no answer", hint="type it again")
        typed = text.strip()
        try:
            command = parse_command(typed)
            if command is not None:
                return self._obey(command, corner, step)
            if typed == _BACK:
                return self._go_back(corner, step)
            if step.kind is StepKind.CONFIRM:
                return self._file(corner, typed)
            if not typed or (typed.lower() == NOT_MEASURED and step.quantity is not None):
                return Blank(entries=(self._notebook.leave_out(corner, step),))
            return self._take(corner, step, typed)
        except InvalidInput as error:
            self._pending = None
            return Refused(message=str(error), hint=error.hint)

    def entries_so_far(self, corner: Corner) -> tuple[Entry, ...]:
        """Return what the answers of a corner say up to now; nothing is filed by that."""
        return self._notebook.entries(corner)

    def pass_over(self, corner: Corner) -> None:
        """Ask no more for a corner that somebody else has filed."""
        self._filed.add(corner)
        self._notebook.answers[corner] = {}
        self._corner = self._next_corner(corner)

    def _next_corner(self, after: Corner | None = None) -> Corner | None:
        start = 0 if after is None else self._order.index(after)
        round_trip = (*self._order[start:], *self._order[:start])
        return next((each for each in round_trip if each not in self._filed), None)

    def _take(self, corner: Corner, step: Step, typed: str) -> Outcome:
        gauge = unit = None
        if step.quantity is not None:
            gauge, unit = (
                self._notebook.gauge(corner, step.quantity),
                self._notebook.unit(corner, step.quantity),
            )
        found = understand(step, typed, corner=corner, unit=unit, context=self._notebook.context)
        echo = found.echo
        if gauge is not None and found.value is not None:
            asked = (step.key, typed)
            if finer_than_gauge(found.value, gauge) and self._pending != asked:
                self._pending = asked
                return Refused(
                    message=f"{gauge.tag} shows {shown_step(gauge)}: type it again to keep it",
                    hint="or type what the gauge shows",
                )
            if found.value.unit.is_inch != gauge.unit.is_inch:
                echo = f"{echo}  ({gauge.tag} is entered with {gauge.unit.value})"
        if unit is None:
            unit = found.value.unit if found.value else LengthUnit.MM
        datum = None if step.quantity is None else self._notebook.datum(corner, step.quantity)
        entry = self._notebook.keep(corner, step, typed, unit)
        also = None
        if step.quantity is not None and datum is not None:
            also = self._notebook.keep_new_datum(corner, step.quantity, datum)
        return Accepted(entry=entry, echo=echo, also=also)

    def _go_back(self, corner: Corner, now: Step) -> Outcome:
        self._pending = None
        before = ""
        for step in self._notebook.steps(corner):
            if step.key == now.key:
                break
            if step.kind is not StepKind.DATUM:
                before = step.key
        if not before:
            return Refused(
                message=f"this is the first question of {corner}",
                hint="corner and its name goes to another",
            )
        del self._notebook.answers[corner][before]
        return WentBack(corner=corner, key=before)

    def _file(self, corner: Corner, typed: str) -> Outcome:
        if typed:
            return Refused(message=f"Enter alone files {corner}", hint="- goes back")
        entries = self._notebook.entries(corner)
        self._filed.add(corner)
        self._notebook.answers[corner] = {}
        self._corner = self._next_corner(corner)
        return CornerReady(corner=corner, entries=entries)

    def _obey(self, command: Command, corner: Corner, step: Step) -> Outcome:
        self._pending = None
        if command.name == STOP:
            return Stopped()
        if command.name == SKIP:
            return self._skip(corner, step)
        if command.name == CORNER:
            return self._jump(parse_corner(command.argument))
        if command.name == AGAIN:
            return self._again(corner, step, command.argument)
        if command.name == HELP:
            brake = self._notebook.context.brakes[corner.axle - 1]
            return Changed(message=help_text(step, brake))
        if step.quantity is None:
            return Refused(message="nothing is measured here", hint="? says what can be typed")
        if command.name == GAUGE:
            return self._change_gauge(corner, step.quantity, command.argument)
        if command.name == DATUM:
            return self._change_datum(corner, step.quantity, command.argument)
        return self._change_unit(corner, step.quantity, command.argument)

    def _again(self, corner: Corner, now: Step, word: str) -> Outcome:
        """Ask once more for a whole quantity: the one named, else the last one answered."""
        answered = [
            step
            for step in self._notebook.steps(corner)
            if step.quantity is not None and step.key in self._notebook.answers[corner]
        ]
        wanted = parse_quantity(word) if word else None
        if wanted is None and answered:
            wanted = answered[-1].quantity
        keys = tuple(step.key for step in answered if step.quantity is wanted)
        if not keys:
            return Refused(
                message="nothing of it is answered here", hint="again and a word, such as rotor"
            )
        for key in keys:
            del self._notebook.answers[corner][key]
        return Reopened(corner=corner, keys=keys)

    def _skip(self, corner: Corner, first: Step) -> Outcome:
        if first.kind is StepKind.CONFIRM:
            return Refused(message=f"Enter files {corner}", hint="- goes back")
        left_out = [self._notebook.leave_out(corner, first)]
        while first.quantity is not None and self._notebook.step(corner).quantity is first.quantity:
            left_out.append(self._notebook.leave_out(corner, self._notebook.step(corner)))
        return Blank(entries=tuple(left_out))

    def _jump(self, corner: Corner) -> Outcome:
        if corner not in self._order:
            return Refused(
                message=f"this vehicle has no corner {corner}",
                hint=f"corners: {' '.join(map(str, self._order))}",
            )
        if corner in self._filed:
            return Refused(
                message=f"{corner} is filed already, or was not asked for",
                hint="amend corrects a reading; --corner asks for a corner",
            )
        self._corner = corner
        return Changed(message=f"{corner} it is")

    def _change_gauge(self, corner: Corner, quantity: Quantity, tag: str) -> Outcome:
        gauge = self._notebook.context.gauge_called(tag)
        taken = gauge_taken(quantity, self._notebook.answers[corner])
        if taken is not None and taken.gauge_id != (gauge.id if gauge else None):
            return Refused(
                message=f"one gauge for all of {quantity.facts.label}",
                hint="- goes back to its first point; then change the gauge",
            )
        self._notebook.chosen[quantity] = gauge
        name = gauge.tag if gauge else "no gauge"
        return Changed(message=f"{name} for {quantity.facts.label} from here on")

    def _change_datum(self, corner: Corner, quantity: Quantity, text: str) -> Outcome:
        if not quantity.is_lining:
            return Refused(
                message=f"{quantity.facts.label} has no datum", hint="it is for pads and shoes"
            )
        datum = parse_datum(text)
        self._notebook.datum_chosen = datum
        words = f"{quantity.facts.label} {DATUM_WORDS[datum]}, and every lining from here on"
        # Kept at once: after a stop a plate must not be taken for lining.
        entry = self._notebook.keep_datum(corner, quantity, datum)
        return Accepted(entry=entry, echo=words)

    def _change_unit(self, corner: Corner, quantity: Quantity, text: str) -> Outcome:
        unit = parse_unit(text)
        gauge = self._notebook.gauge(corner, quantity)
        if gauge is not None:
            return Refused(
                message=f"{gauge.tag} is entered with {gauge.unit.value}",
                hint="type the unit behind the number",
            )
        if unit_taken(quantity, self._notebook.answers[corner]) not in (None, unit):
            return Refused(
                message=f"one unit for all of {quantity.facts.label}",
                hint="- goes back to its first point, or type the unit behind the number",
            )
        self._notebook.context = replace(self._notebook.context, declared=unit)
        return Changed(message=f"{unit.value} where no unit is typed, from here on")
