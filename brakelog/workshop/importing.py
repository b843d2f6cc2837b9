"""In the office: whole sheets in. All of a sheet is put on file, or nothing of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from typing import BinaryIO, TextIO

from brakelog.errors import Conflict, InvalidInput, NotFound, Problem
from brakelog.intake.context import Context
from brakelog.intake.finding_row import FindingRow, finding_entry
from brakelog.intake.fitting_row import FittingRow
from brakelog.intake.gauge_row import GaugeRow
from brakelog.intake.limit_row import LimitRow, TorqueRow
from brakelog.intake.problems import bad_input
from brakelog.intake.reading_row import ReadingRow, row_entries
from brakelog.intake.row_key import row_key
from brakelog.intake.rows import Row
from brakelog.intake.sheet import read_sheet
from brakelog.intake.vehicle_row import VehicleRow
from brakelog.lengths import LengthUnit, parse_distance
from brakelog.record.corner import Corner
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.store.store import Store
from brakelog.workshop.bay import context_of, file_entries
from brakelog.workshop.fitting import fittings_of
from brakelog.workshop.limits import add_limit, add_torque
from brakelog.workshop.office import add_gauge, add_vehicle, known_sheet
from brakelog.workshop.visiting import VisitTyped, check_day, open_visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What became of one sheet."""

    kind: str
    added: int
    already: int
    """Rows that an earlier import has put on file."""


def import_sheet(
    store: Store,
    stream: BinaryIO | TextIO,
    name: str,
    *,
    kind: str | None = None,
    by: str | None = None,
    today: date,
) -> Imported:
    """Put a sheet on file; importing the same sheet again adds nothing.

    Raises
    ------
    BadSheet
        With every row that cannot be put on file, and nothing written.
    """
    problems: list[Problem] = []
    sheet = read_sheet(stream, name, kind, collect=problems)
    person_id = store.person(by).id if by else None
    keys = {id(row): row_key(sheet.kind, row) for row in sheet.rows}
    with store.writing(by=person_id):
        known = store.known_import_keys(list(keys.values()))
        new = [row for row in sheet.rows if keys[id(row)] not in known]
        clerk = _Clerk(store=store, person_id=person_id, today=today)
        remembered: dict[str, tuple[str, str]] = {}
        for row in new:
            try:
                remembered[keys[id(row)]] = (sheet.kind, clerk.file(row))
            except (InvalidInput, NotFound, Conflict) as error:
                hint = f"; {error.hint}" if error.hint else ""
                problems.append(Problem(source=row.source, message=f"{error}{hint}"))
        if problems:
            raise bad_input(sorted(problems, key=_line_of), name, "nothing was imported")
        store.remember_imports(remembered)
    return Imported(kind=sheet.kind, added=len(new), already=len(sheet.rows) - len(new))


def _line_of(problem: Problem) -> int:
    number = problem.source.rpartition(":")[2]
    return int(number) if number.isdecimal() else 0


@dataclass(kw_only=True)
class _Clerk:
    """Files one row after another and remembers what was looked up for those before."""

    store: Store
    person_id: str | None
    today: date
    vehicles: dict[str, Vehicle] = field(default_factory=dict)
    visits: dict[tuple[str, date, int, str, str], Visit] = field(default_factory=dict)
    contexts: dict[str, Context] = field(default_factory=dict)
    unit: LengthUnit | None = None

    def file(self, row: Row) -> str:
        """Put one row on file and return the id of what it became."""
        match row:
            case VehicleRow():
                return add_vehicle(self.store, row).id
            case GaugeRow():
                return add_gauge(self.store, row).id
            case LimitRow():
                self._need_sheet(row.sheet)
                return add_limit(self.store, row).id
            case TorqueRow():
                self._need_sheet(row.sheet)
                return add_torque(self.store, row).id
            case ReadingRow():
                return self._reading(row)
            case FindingRow():
                return self._finding(row)
            case FittingRow():
                return self._fitting(row)

    def _need_sheet(self, name: str) -> None:
        """A sheet of limits brings its own name with it."""
        try:
            known_sheet(self.store, name)
        except NotFound:
            self.store.add_sheet(name)

    def _reading(self, row: ReadingRow) -> str:
        vehicle = self._vehicle(row.vehicle)
        context = self._context(vehicle)
        entries = row_entries(row, context)
        visit = self._visit(
            vehicle,
            VisitTyped(
                day=row.day,
                odometer=row.odometer,
                odometer_out=row.odometer_out,
                complaint=row.complaint,
            ),
        )
        filed = file_entries(self.store, visit, entries, context, person_id=self.person_id)
        self._note_looked_over(visit, filed.looked_over)
        return filed.reading_sets[0].id if filed.reading_sets else visit.id

    def _finding(self, row: FindingRow) -> str:
        vehicle = self._vehicle(row.vehicle)
        context = self._context(vehicle)
        entry = finding_entry(row, context)
        visit = self._visit(vehicle, VisitTyped(day=row.day, odometer=row.odometer))
        filed = file_entries(self.store, visit, [entry], context, person_id=self.person_id)
        self._note_looked_over(visit, filed.looked_over)
        return filed.findings[0].id if filed.findings else visit.id

    def _fitting(self, row: FittingRow) -> str:
        vehicle = self._vehicle(row.vehicle)
        visit = self._visit(vehicle, VisitTyped(day=row.day, odometer=row.odometer))
        person_id = self.store.person(row.by).id if row.by else self.person_id
        if self.unit is None:
            self.unit = self.store.shop().unit
        rows = fittings_of(self.store, row, vehicle, visit, unit=self.unit, person_id=person_id)
        self.store.add_fittings(rows)
        return rows[0].id

    def _vehicle(self, name: str) -> Vehicle:
        key = name.strip().casefold()
        if key not in self.vehicles:
            self.vehicles[key] = self.store.vehicle(name)
        return self.vehicles[key]

    def _context(self, vehicle: Vehicle) -> Context:
        if vehicle.id not in self.contexts:
            self.contexts[vehicle.id] = context_of(self.store, vehicle, unit=None)
        return self.contexts[vehicle.id]

    def _visit(self, vehicle: Vehicle, typed: VisitTyped) -> Visit:
        check_day(typed.day, self.today)
        odometer_mm, _ = parse_distance(typed.odometer, declared=vehicle.odometer_unit)
        key = (vehicle.id, typed.day, odometer_mm, typed.odometer_out, typed.complaint)
        if key not in self.visits:
            self.visits[key] = open_visit(self.store, vehicle, typed, person_id=self.person_id)
        return self.visits[key]

    def _note_looked_over(self, visit: Visit, corners: tuple[Corner, ...]) -> None:
        """Keep what was just filed in mind, so that it is not filed once more."""
        for key, known in self.visits.items():
            if known.id == visit.id and corners:
                self.visits[key] = replace(known, looked_over=known.looked_over.union(corners))
