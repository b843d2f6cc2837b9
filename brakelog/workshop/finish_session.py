"""In the bay: the end of a job, asked for step by step; every answer is on disk at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.errors import BrakelogError, InvalidInput
from brakelog.intake.answer import understand
from brakelog.intake.closing_line import ClosingEntry, parse_closing_line
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry
from brakelog.intake.question import WORDS
from brakelog.intake.step import Step, StepKind
from brakelog.intake.words import parse_yes_no
from brakelog.lengths import LengthUnit
from brakelog.record.closing import Check
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Stage
from brakelog.record.torque import TorqueUnit
from brakelog.rules.closing import Closing
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.store.store import Store
from brakelog.workshop.bay import context_of
from brakelog.workshop.finishing import Job, file_closing, job_of, take_back

BACK, STOP = "-", "stop"
_PUT_RIGHT = "fixed=yes"
_RUNOUT = f" {Quantity.RUNOUT.value} "
_CONDITIONS = (StepKind.NUTS, StepKind.BEARING, StepKind.BACK)
_NOT_HERE = (Hand.ENTRY, Hand.PAPER)
"""What is not done at the car with the wheels off."""
_AFTER_THE_PEDAL = (Hand.DRIVE, Hand.AFTER_DRIVE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Took:
    """The answer is on file."""

    closed: bool
    """Whether it closed what was asked."""
    still: str = ""
    """What is open about it, where it did not."""
    do: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asks:
    """Something belongs to the answer that was not said; it is asked before anything is kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOpen:
    """Nothing was answered; it stays open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotTaken:
    """The answer could not be read; the same is asked again."""

    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBack:
    """The step before is asked again; what was answered to it no longer holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """The person leaves."""


Outcome = Took | Asks | LeftOpen | NotTaken | TakenBack | Left


@dataclass(frozen=True, slots=True, kw_only=True)
class _Begun:
    """An answer that is not whole yet."""

    item: OpenItem
    typed: str
    missing: tuple[StepKind, ...] = ()
    """Conditions of a runout that were not said; what was done is missing where there are none."""

    @property
    def ask(self) -> str:
        """What is asked for."""
        return WORDS[self.missing[0]] if self.missing else "what was done"

    def with_answer(self, said: str, context: Context) -> _Begun | str:
        """Return the answer with what was said; the whole text once nothing is missing.

        Raises
        ------
        InvalidInput
            Where it is no answer to what is asked.
        """
        if not self.missing:
            return f"{self.typed} {said}".strip()
        kind, rest = self.missing[0], self.missing[1:]
        typed = self.typed
        if said:
            assert self.item.corner is not None
            step = Step(kind=kind, quantity=Quantity.RUNOUT)
            understand(step, said, corner=self.item.corner, unit=None, context=context)
            typed += f" {kind.value}={''.join(said.split()).replace('of', '/')}"
        return _Begun(item=self.item, typed=typed, missing=rest) if rest else typed


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """A step that was passed, with what was put on file for it, if anything."""

    item: OpenItem
    entry: ClosingEntry | Entry | None


class FinishSession:
    """Asks only for what is open, in the order of the hand.

    The pedal is the last thing before the vehicle moves: while it is not confirmed, or its answer
    was taken back, nothing is asked that has to be driven for.
    """

    def __init__(
        self,
        store: Store,
        vehicle_name: str,
        *,
        today: date,
        visit_name: str | None = None,
        unit: LengthUnit | None = None,
        by: str | None = None,
    ) -> None:
        self._store, self._by, self._today = store, by, today
        self._job = job_of(store, vehicle_name, visit_name)
        self._visit_name = self._job.visit.id
        shop_unit = unit or store.shop().unit
        self._context = context_of(store, self._job.vehicle, unit=shop_unit, stage=Stage.AS_LEFT)
        self.torque_unit = TorqueUnit.POUND_FOOT if shop_unit.is_inch else TorqueUnit.NEWTON_METRE
        """The unit of a torque typed without one; every prompt shows it."""
        self.length_unit = shop_unit
        self._passed: set[str] = set()
        self._asked: list[_Asked] = []
        self._again: OpenItem | None = None
        self._begun: _Begun | None = None

    @property
    def job(self) -> Job:
        """The job as it stands now."""
        return self._job

    @property
    def closing(self) -> Closing:
        """What is open now."""
        return self._job.closing

    @property
    def item(self) -> OpenItem | None:
        """What is asked next; None where nothing is left to ask at the car."""
        if self._begun is not None:
            return self._begun.item
        if self._again is not None:
            return self._again
        return next((each for each in self.closing.open if self._is_asked(each)), None)

    @property
    def follow_up(self) -> str:
        """What still belongs to the answer that was begun; empty where none was."""
        return self._begun.ask if self._begun is not None else ""

    @property
    def waits_for_the_pedal(self) -> bool:
        """Whether steps are held back because the pedal is not confirmed to be firm."""
        return self._pedal_is_open and self._has_drives

    @property
    def waits_for_the_wheels(self) -> bool:
        """Whether steps are held back because the wheels are said not to be tightened."""
        return self._wheels_are_loose and self._has_drives

    @property
    def _has_drives(self) -> bool:
        return any(each.hand in _AFTER_THE_PEDAL for each in self.closing.open)

    @property
    def _pedal_is_open(self) -> bool:
        return any(each.check is Check.PEDAL_FIRM for each in self.closing.open)

    @property
    def _wheels_are_loose(self) -> bool:
        return any(
            each.check is Check.TIGHTENED and each.gap is Gap.CHECK_FAILED
            for each in self.closing.open
        )

    def _is_asked(self, item: OpenItem) -> bool:
        if item.hand in _NOT_HERE or not item.line or item.line.startswith("declined"):
            return False
        if item.hand in _AFTER_THE_PEDAL and (self._pedal_is_open or self._wheels_are_loose):
            return False
        return item.line not in self._passed

    def answer(self, text: str) -> Outcome:
        """Take an answer; what is acknowledged by the outcome is on disk when this returns."""
        item = self.item
        assert item is not None
        typed = text.strip()
        if typed.lower() == STOP:
            return Left()
        if typed == BACK:
            return self._back()
        if typed.lower().startswith(item.line.lower()):
            # The whole line, as it is typed elsewhere, is understood here too.
            typed = typed[len(item.line) :].strip()
        try:
            begun = self._begin(item, typed)
        except InvalidInput as error:
            return NotTaken(message=str(error), hint=error.hint)
        if isinstance(begun, _Begun):
            self._begun = begun
            return Asks()
        typed, self._begun, self._again = begun, None, None
        if not typed:
            self._pass(item, None)
            return LeftOpen()
        try:
            entry = parse_closing_line(
                _line_of(item, typed), 1, self._context, torque_unit=self.torque_unit,
                source="guided entry",
            )  # fmt: skip
            assert entry is not None
            file_closing(
                self._store,
                self._job.vehicle,
                self._job.visit,
                [entry],
                self._context,
                today=self._today,
                by=self._by,
            )
        except BrakelogError as error:
            self._again = item
            return NotTaken(message=str(error), hint=error.hint)
        self._look_again()
        self._pass(item, entry)
        self._passed &= {each.line for each in self.closing.open}
        still = next((each for each in self.closing.open if each.line == item.line), None)
        if still is None:
            return Took(closed=True)
        return Took(closed=False, still=still.text, do=still.do)

    def _begin(self, item: OpenItem, typed: str) -> _Begun | str:
        """Return the whole answer, or how far it is where something that belongs to it is missing.

        A runout without its conditions proves nothing, and "yes" alone does not say what was done.
        """
        if self._begun is not None:
            return self._begun.with_answer(typed, self._context)
        if item.line.endswith(_RUNOUT) and typed:
            parse_closing_line(_line_of(item, typed), 1, self._context)
            missing = tuple(kind for kind in _CONDITIONS if f"{kind.value}=" not in typed.lower())
            return _Begun(item=item, typed=typed, missing=missing) if missing else typed
        if _PUT_RIGHT in item.line and len(typed.split()) == 1 and parse_yes_no(typed):
            return _Begun(item=item, typed=typed)
        return typed

    def _look_again(self) -> None:
        self._job = job_of(self._store, self._job.vehicle.tag, self._visit_name)

    def _pass(self, item: OpenItem, entry: ClosingEntry | Entry | None) -> None:
        self._passed.add(item.line)
        self._asked.append(_Asked(item=item, entry=entry))

    def _back(self) -> Outcome:
        """Take the last answer back, on file too: until it is answered again, it is open."""
        if self._begun is not None:
            self._again, self._begun = self._begun.item, None
            return TakenBack()
        if not self._asked:
            return NotTaken(message="nothing was answered before", hint="Enter leaves it open")
        last = self._asked.pop()
        self._passed.discard(last.item.line)
        if last.entry is not None:
            take_back(self._store, self._job.visit, last.entry, by=self._by)
            self._look_again()
        self._again = next(
            (each for each in self.closing.open if each.line == last.item.line), last.item
        )
        return TakenBack()


def _line_of(item: OpenItem, typed: str) -> str:
    """Return the whole line that an answer stands for."""
    said, _, note = typed.partition(" ")
    if item.check is Check.RIGHT_PART and "note=" not in typed:
        quoted = note.replace('"', "'").strip()
        typed = f'{said} note="{quoted}"' if quoted else said
    if _PUT_RIGHT in item.line:
        if not parse_yes_no(said):
            raise InvalidInput("then it stays open", hint="Enter leaves it open")
        typed = note
    return f"{item.line}{typed}"
