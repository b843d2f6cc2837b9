"""In the bay: the end of a job is put on file, and what is still open is said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import TextIO

from brakelog.errors import InvalidInput, Problem
from brakelog.intake.bounded import bounded_lines
from brakelog.intake.closing_line import (
    AgreementEntry,
    CheckEntry,
    ClosingEntry,
    OdometerOut,
    TorqueEntry,
    parse_closing_line,
)
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, FindingEntry, LookedOver, ReadingEntry
from brakelog.intake.line import LONGEST_LINE, MOST_LINES
from brakelog.intake.problems import MOST_PROBLEMS, bad_input, problem_from
from brakelog.lengths import LengthUnit
from brakelog.record.agreement import Agreement
from brakelog.record.closing import NOT_SAID, ClosingAnswer, TorqueLeft
from brakelog.record.reading import Stage
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.closing import Closing, ClosingRecord, close
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.worked import is_work
from brakelog.store.store import Store
from brakelog.workshop.bay import context_of, file_entries
from brakelog.workshop.counter import case_file
from brakelog.workshop.visiting import VisitTyped, find_visit, open_visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One visit at its end."""

    left: VehicleVerdict
    closing: Closing

    @property
    def vehicle(self) -> Vehicle:
        """Whose visit it is."""
        return self.left.file.vehicle

    @property
    def visit(self) -> Visit:
        """The visit."""
        return self.left.file.visit


def job_of(store: Store, vehicle_name: str, visit_name: str | None = None) -> Job:
    """Return how far the job of a visit is, the newest unless another is named.

    Raises
    ------
    NotFound
        Where there is no such vehicle or visit.
    """
    with store.reading():
        file = case_file(store, store.vehicle(vehicle_name), visit_name, Stage.AS_LEFT)
        left = judge_vehicle(file)
        return Job(left=left, closing=closing_of(store, left))


def closing_of(store: Store, verdict: VehicleVerdict) -> Closing:
    """Return what is still open about the visit that a verdict of either stage is for."""
    file = verdict.file
    with store.reading():
        record = ClosingRecord(
            answers=tuple(store.closing_answers_of(file.visit.id)),
            torques=tuple(store.torques_left_of(file.visit.id)),
            wanted=tuple(store.torques_of_sheet(file.vehicle.sheet) if file.vehicle.sheet else ()),
            agreements=tuple(store.agreements_of(file.visit.id)),
        )
    if not is_work(file):
        return close(verdict, verdict, record)
    both = {
        stage: verdict if file.stage is stage else judge_vehicle(replace(file, stage=stage))
        for stage in Stage
    }
    return close(both[Stage.AS_LEFT], both[Stage.AS_FOUND], record)


def finish_lines(
    store: Store,
    vehicle_name: str,
    stream: TextIO,
    *,
    today: date,
    visit_name: str | None = None,
    unit: LengthUnit | None = None,
    by: str | None = None,
    source: str = "standard input",
) -> int:
    """Put typed lines on file for the end of a visit: all of them, or none.

    Returns
    -------
    int
        How many lines were filed; none where nothing was typed.

    Raises
    ------
    BadSheet
        With every line that could not be read.
    """
    vehicle = store.vehicle(vehicle_name)
    visit = find_visit(store, vehicle, visit_name)
    context = context_of(store, vehicle, unit=unit, stage=Stage.AS_LEFT)
    entries = _read(stream, context, source)
    file_closing(store, vehicle, visit, entries, context, today=today, by=by)
    return len(entries)


def _read(stream: TextIO, context: Context, source: str) -> list[ClosingEntry | Entry]:
    entries: list[ClosingEntry | Entry] = []
    problems: list[Problem] = []
    for line in bounded_lines(stream, longest=LONGEST_LINE):
        where = f"{source}:{line.number}"
        if line.number > MOST_LINES:
            raise InvalidInput(
                f"{source} has more than {MOST_LINES} lines", hint="send one visit at a time"
            )
        try:
            if line.is_too_long:
                raise InvalidInput("the line is too long", hint="shorten it")
            text = line.text.removeprefix("\ufeff") if line.number == 1 else line.text
            entry = parse_closing_line(text, line.number, context, source=source)
        except InvalidInput as error:
            problems.append(problem_from(error, where))
            if len(problems) >= MOST_PROBLEMS:
                break
            continue
        if entry is not None:
            entries.append(entry)
    if problems:
        raise bad_input(problems, source, "nothing was kept")
    return entries


def file_closing(
    store: Store,
    vehicle: Vehicle,
    visit: Visit,
    entries: Iterable[ClosingEntry | Entry],
    context: Context,
    *,
    today: date,
    by: str | None = None,
) -> None:
    """Put entries on file under a visit in the order typed, in one transaction.

    The order counts: a runout read before it was put right does not hold after that.
    """
    person_id = store.person(by).id if by else None
    with store.writing(by=person_id):
        for entry in entries:
            match entry:
                case ReadingEntry() | FindingEntry() | LookedOver():
                    file_entries(
                        store, store.visit(visit.id), [entry], context, person_id=person_id
                    )
                case TorqueEntry():
                    store.add_torques_left([_torque(store, visit, entry, person_id)])
                case CheckEntry():
                    store.add_closing_answers([_answer(store, visit, entry, person_id)])
                case OdometerOut():
                    typed = VisitTyped(
                        day=visit.day,
                        odometer_out=entry.text,
                        odometer_out_note=entry.note,
                        is_leaving=True,
                    )
                    open_visit(store, vehicle, typed, person_id=person_id)
                case AgreementEntry():
                    store.add_agreement(_agreement(store, visit, entry, person_id, today))


TAKEN_BACK = "taken back at the car"
"""The reason that is kept beside a reading or finding that was taken back."""


def take_back(
    store: Store, visit: Visit, entry: ClosingEntry | Entry, *, by: str | None = None
) -> None:
    """Put on file that an entry no longer holds; the entry itself is kept.

    Parameters
    ----------
    store : Store
        The store.
    visit : Visit
        The visit that it was filed under.
    entry : ClosingEntry or Entry
        What was filed last about its subject.
    by : str, optional
        Initials of who takes it back.
    """
    person_id = store.person(by).id if by else None
    with store.writing(by=person_id):
        match entry:
            case CheckEntry():
                answer = _answer(store, visit, entry, person_id)
                store.add_closing_answers([replace(answer, said=NOT_SAID, note="")])
            case TorqueEntry():
                torque = _torque(store, visit, entry, person_id)
                store.add_torques_left([replace(torque, figure=NOT_SAID)])
            case OdometerOut():
                store.add_visit_facts(visit.id, takes_odometer_out_back=True)
            case FindingEntry():
                found = [
                    each.id
                    for each in store.findings_of_visit(visit.id)
                    if (each.corner, each.kind) == (entry.corner, entry.kind)
                    and each.part is entry.part
                    and each.put_right == entry.put_right
                ]
                if found:
                    store.void_finding(found[-1], TAKEN_BACK)
            case ReadingEntry():
                read = [
                    each.id
                    for each in store.reading_sets_of_visit(visit.id)
                    if (each.corner, each.quantity) == (entry.corner, entry.quantity)
                    and each.stage is entry.stage
                ]
                if read:
                    store.void_set(read[-1], TAKEN_BACK)
            case _:
                raise AssertionError("not asked for at the car")


def agree(
    store: Store,
    vehicle_name: str,
    entry: AgreementEntry,
    *,
    today: date,
    visit_name: str | None = None,
    by: str | None = None,
) -> Visit:
    """Put on file what the customer agreed to or declined.

    Raises
    ------
    NotFound
        Where there is no such vehicle or visit.
    """
    vehicle = store.vehicle(vehicle_name)
    visit = find_visit(store, vehicle, visit_name)
    context = Context(brakes=vehicle.brakes)
    file_closing(store, vehicle, visit, [entry], context, today=today, by=by)
    return visit


def _torque(store: Store, visit: Visit, entry: TorqueEntry, person_id: str | None) -> TorqueLeft:
    return TorqueLeft(
        id=store.new_id(),
        visit_id=visit.id,
        axle=entry.axle,
        corner=entry.corner,
        fastener=entry.fastener,
        figure=entry.figure,
        person_id=person_id,
    )


def _answer(store: Store, visit: Visit, entry: CheckEntry, person_id: str | None) -> ClosingAnswer:
    return ClosingAnswer(
        id=store.new_id(),
        visit_id=visit.id,
        check=entry.check,
        said=entry.said,
        axle=entry.axle,
        corner=entry.corner,
        part=entry.part,
        note=entry.note,
        person_id=person_id,
    )


def _agreement(
    store: Store, visit: Visit, entry: AgreementEntry, person_id: str | None, today: date
) -> Agreement:
    if entry.day is not None and entry.day > today:
        raise InvalidInput(
            f"{entry.day.isoformat()} is in the future", hint=f"today is {today.isoformat()}"
        )
    return Agreement(
        id=store.new_id(),
        visit_id=visit.id,
        consent=entry.consent,
        items=entry.items,
        day=entry.day or today,
        time=entry.time,
        how=entry.how,
        cost=entry.cost,
        note=entry.note,
        who=entry.who,
        number=entry.number,
        person_id=person_id,
    )
