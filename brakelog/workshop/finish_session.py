"""In the bay: the end of a job, asked for step by step; every answer is on disk at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.errors import BrakelogError, InvalidInput
from brakelog.intake.closing_line import parse_closing_line
from brakelog.intake.words import parse_yes_no
from brakelog.lengths import LengthUnit
from brakelog.record.closing import Check
from brakelog.record.reading import Stage
from brakelog.record.torque import TorqueUnit
from brakelog.rules.closing import Closing
from brakelog.rules.closing_item import Hand, OpenItem
from brakelog.store.store import Store
from brakelog.workshop.bay import context_of
from brakelog.workshop.finishing import Job, file_closing, job_of

BACK, STOP = "-", "stop"
_PUT_RIGHT = "fixed=yes"
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
class LeftOpen:
    """Nothing was answered; it stays open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotTaken:
    """The answer could not be read; the same is asked again."""

    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBack:
    """The step before is asked again; a new answer stands in for the old one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """The person leaves."""


Outcome = Took | LeftOpen | NotTaken | TakenBack | Left


class FinishSession:
    """Asks only for what is open, in the order of the hand.

    The pedal is the last thing before the vehicle moves: while it is not confirmed, nothing is
    asked that has to be driven for.
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
        self._asked: list[OpenItem] = []
        self._again: OpenItem | None = None

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
        if self._again is not None:
            return self._again
        return next((each for each in self.closing.open if self._is_asked(each)), None)

    @property
    def waits_for_the_pedal(self) -> bool:
        """Whether steps are held back because the pedal is not confirmed to be firm."""
        return self._pedal_is_open and any(
            each.hand in _AFTER_THE_PEDAL for each in self.closing.open
        )

    @property
    def _pedal_is_open(self) -> bool:
        return any(each.check is Check.PEDAL_FIRM for each in self.closing.open)

    def _is_asked(self, item: OpenItem) -> bool:
        if item.hand in _NOT_HERE or not item.line or item.line.startswith("declined"):
            return False
        if item.hand in _AFTER_THE_PEDAL and self._pedal_is_open:
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
        self._again = None
        if not typed:
            self._pass(item)
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
        self._job = job_of(self._store, self._job.vehicle.tag, self._visit_name)
        self._pass(item)
        self._passed &= {each.line for each in self.closing.open}
        still = next((each for each in self.closing.open if each.line == item.line), None)
        if still is None:
            return Took(closed=True)
        return Took(closed=False, still=still.text, do=still.do)

    def _pass(self, item: OpenItem) -> None:
        self._passed.add(item.line)
        self._asked.append(item)

    def _back(self) -> Outcome:
        if not self._asked:
            return NotTaken(message="nothing was answered before", hint="Enter leaves it open")
        self._again = self._asked.pop()
        self._passed.discard(self._again.line)
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
