"""Files the rows of sheets, one after another, with as little looking up as that takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from brakelog.errors import InvalidInput, NotFound
from brakelog.intake.check import unit_without_word
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, ReadingEntry
from brakelog.intake.finding_row import FindingRow, finding_entry
from brakelog.intake.fitting_row import FittingRow
from brakelog.intake.gauge_row import GaugeRow
from brakelog.intake.limit_row import LimitRow, TorqueRow
from brakelog.intake.reading_row import (
    BesideSaid,
    ReadingRow,
    VisitSaid,
    check_alone,
    row_entries,
)
from brakelog.intake.rows import Row
from brakelog.intake.vehicle_row import VehicleRow
from brakelog.intake.words import parse_unit
from brakelog.lengths import LengthUnit
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.store.readings import SetLike
from brakelog.store.store import Store
from brakelog.workshop.alike import Alike
from brakelog.workshop.bay import Filed, context_of, file_entries, reading_set
from brakelog.workshop.fitting import fittings_of
from brakelog.workshop.limits import add_limit, add_torque
from brakelog.workshop.office import add_gauge, add_vehicle, known_sheet
from brakelog.workshop.visiting import VisitTyped, check_day, open_visit, visit_meant

VEHICLES_KNOWN = 2_000
"""Vehicles that are kept in mind for the rows to come: a sheet lists what belongs together close
together. What was forgotten is read again. [-]"""
VEHICLES_AT_ONCE = 400
"""Vehicles whose visits are read by one statement, which binds each of them twice. [-]"""
VISITS_MEANT = 10_000
"""Ways to say which visit is meant that are kept in mind; in a sheet that lists the rows of one
visit far from each other each row is another. [-]"""
COMBINATIONS_KNOWN = 4_096
"""Things said beside values that are kept in mind; a shop's sheets have some hundred. [-]"""


@dataclass(kw_only=True)
class Clerk:
    """Files one row after another and remembers what was looked up for those before.

    Visits and readings wait until ``write``, or until something that follows needs them there.
    """

    store: Store
    person_id: str | None
    today: date
    _vehicles: dict[str, Vehicle] = field(default_factory=dict)
    _visits: dict[str, list[Visit]] = field(default_factory=dict)
    """By the id of the vehicle."""
    _meant: dict[VisitSaid | tuple[str, date, str], Visit] = field(default_factory=dict)
    """By what rows of one visit share, and by vehicle, day and odometer as listed."""
    _contexts: dict[str, Context] = field(default_factory=dict)
    _new_visits: list[Visit] = field(default_factory=list)
    _new_sets: list[ReadingSet | SetLike] = field(default_factory=list)
    _checked: dict[tuple[tuple[AxleBrake, ...], BesideSaid], Alike] = field(default_factory=dict)
    """What was checked already, by the brakes and by what rows share beside their values."""
    _bare: dict[tuple[Quantity, LengthUnit | None, bool], dict[str, tuple[int, str]]] = field(
        default_factory=dict
    )
    """Numbers that were checked already, by what they are values of; see ``Alike``."""
    _unit: LengthUnit | None = None

    def look_up(self, rows: Sequence[Row]) -> None:
        """Look up together what rows that are to be filed need: their vehicles and the visits."""
        self._forget_some()
        names = dict.fromkeys(row.visit.vehicle for row in rows if isinstance(row, ReadingRow))
        found = self.store.vehicles_tagged(
            name for name in names if _key(name) not in self._vehicles
        )
        self._vehicles |= {_key(name): vehicle for name, vehicle in found.items()}
        known = dict.fromkeys(vehicle.id for vehicle in found.values())
        ids = [id for id in known if id not in self._visits]
        for start in range(0, len(ids), VEHICLES_AT_ONCE):
            self._visits |= self.store.visits_of_vehicles(ids[start : start + VEHICLES_AT_ONCE])

    def file(self, row: Row) -> str:
        """Put one row on file and return the id of what it became."""
        match row:
            case ReadingRow():
                return self._reading(row)
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

    def write(self) -> None:
        """Write what waits."""
        if self._new_visits:
            self.store.add_visits(self._new_visits)
            self._new_visits = []
        if self._new_sets:
            self.store.add_reading_sets(self._new_sets)
            self._new_sets = []

    def _forget_some(self) -> None:
        """Forget what is too much to be kept in mind."""
        if len(self._meant) > VISITS_MEANT:
            self._meant.clear()
        if len(self._vehicles) > VEHICLES_KNOWN:
            # What is forgotten is read again, and has to be there.
            self.write()
            for known in (self._vehicles, self._visits, self._contexts, self._meant):
                known.clear()
            self._checked.clear()

    def _reading(self, row: ReadingRow) -> str:
        said, beside = row.visit, row.beside
        says_more = bool(said.odometer_out or said.complaint)
        try:
            vehicle = self._vehicle(said.vehicle)
            context = self._context(vehicle)
            like = None if says_more else self._checked.get((vehicle.brakes, beside))
            values = like.values(row.tokens) if like else None
            if like and values:
                visit = self._visit_to_be(vehicle, said)
                another = SetLike(like.one, self.store.new_id(), visit.id, *values)
                self._new_sets.append(another)
                return another.id
            entries = row_entries(row, context)
        except (InvalidInput, NotFound):
            # What is wrong with the row alone comes first.
            check_alone(row)
            raise
        match entries:
            case (ReadingEntry() as entry,) if not says_more:
                visit = self._visit_to_be(vehicle, said)
                id = self.store.new_id()
                one = reading_set(entry, id, visit.id, context, self.person_id)
                self._new_sets.append(one)
                if "again" not in beside.options and len(self._checked) < COMBINATIONS_KNOWN:
                    self._checked[vehicle.brakes, beside] = self._alike(one, entry, beside, context)
                return id
        typed = VisitTyped(
            day=said.day,
            odometer=said.odometer,
            odometer_out=said.odometer_out,
            complaint=said.complaint,
        )
        filed = self._file(vehicle, typed, entries, context)
        return filed.reading_sets[0].id if filed.reading_sets else filed.visit.id

    def _alike(
        self, one: ReadingSet, entry: ReadingEntry, said: BesideSaid, context: Context
    ) -> Alike:
        unit = said.options.get("unit")
        declared = parse_unit(unit) if unit else unit_without_word(entry.gauge, context)
        # A profile has a reading at every angle, each of which may be below zero.
        kind = (one.quantity, declared, len(one.typed) > 1)
        return Alike(one=one, unit=declared, bare=self._bare.setdefault(kind, {}))

    def _finding(self, row: FindingRow) -> str:
        vehicle = self._vehicle(row.vehicle)
        context = self._context(vehicle)
        typed = VisitTyped(day=row.day, odometer=row.odometer)
        filed = self._file(vehicle, typed, (finding_entry(row, context),), context)
        return filed.findings[0].id if filed.findings else filed.visit.id

    def _fitting(self, row: FittingRow) -> str:
        vehicle = self._vehicle(row.vehicle)
        visit = self._opened(vehicle, VisitTyped(day=row.day, odometer=row.odometer))
        person_id = self.store.person(row.by).id if row.by else self.person_id
        if self._unit is None:
            self._unit = self.store.shop().unit
        rows = fittings_of(self.store, row, vehicle, visit, unit=self._unit, person_id=person_id)
        self.store.add_fittings(rows)
        return rows[0].id

    def _file(
        self, vehicle: Vehicle, typed: VisitTyped, entries: Sequence[Entry], context: Context
    ) -> Filed:
        """File entries at once, with all that was said of their visit."""
        visit = self._opened(vehicle, typed)
        return file_entries(self.store, visit, entries, context, person_id=self.person_id)

    def _opened(self, vehicle: Vehicle, typed: VisitTyped) -> Visit:
        """Return a visit that is on file."""
        self.write()
        check_day(typed.day, self.today)
        self._visits.pop(vehicle.id, None)
        self._meant.clear()
        return open_visit(self.store, vehicle, typed, person_id=self.person_id)

    def _visit_to_be(self, vehicle: Vehicle, said: VisitSaid) -> Visit:
        """Return a visit that is on file, or will be before anything of it is."""
        if said in self._meant:
            return self._meant[said]
        listed = (vehicle.id, said.day, said.odometer)
        if listed not in self._meant:
            self._meant[listed] = self._visit_listed(vehicle, said)
        self._meant[said] = self._meant[listed]
        return self._meant[said]

    def _visit_listed(self, vehicle: Vehicle, said: VisitSaid) -> Visit:
        check_day(said.day, self.today)
        typed = VisitTyped(day=said.day, odometer=said.odometer)
        if vehicle.id not in self._visits:
            self._visits[vehicle.id] = self.store.visits_of(vehicle.id)
        known = self._visits[vehicle.id]
        visit = visit_meant(vehicle, known, typed, id=self.store.new_id(), person_id=self.person_id)
        if visit not in known:
            known.append(visit)
            self._new_visits.append(visit)
        return visit

    def _vehicle(self, name: str) -> Vehicle:
        key = _key(name)
        if key not in self._vehicles:
            self._vehicles[key] = self.store.vehicle(name)
        return self._vehicles[key]

    def _context(self, vehicle: Vehicle) -> Context:
        if vehicle.id not in self._contexts:
            any_other = next(iter(self._contexts.values()), None)
            self._contexts[vehicle.id] = (
                context_of(self.store, vehicle, unit=None)
                if any_other is None
                else replace(any_other, brakes=vehicle.brakes)
            )
        return self._contexts[vehicle.id]


def _key(name: str) -> str:
    """Return what vehicles are kept in mind by."""
    return name.strip().casefold()
