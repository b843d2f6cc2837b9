"""For the customer: everything that the summary of a visit rests on, for one vehicle or for all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from brakelog.record.people import Customer
from brakelog.record.reading import Stage
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Status
from brakelog.rules.document import FORMAT, verdict_text
from brakelog.rules.lives import PositionLife
from brakelog.rules.measure import Measure
from brakelog.rules.part_history import PlaceHistory
from brakelog.rules.questioning import with_questions
from brakelog.rules.tracing import place_history
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.worked import is_work
from brakelog.rules.world import Plan
from brakelog.store.store import Store
from brakelog.workshop.caseload import Caseload, Shared
from brakelog.workshop.earlier_jobs import with_earlier
from brakelog.workshop.finishing import closing_of
from brakelog.workshop.visiting import pick_visit

Render = Callable[[VehicleVerdict], str]
"""Makes the sheet for people that is kept beside an issued verdict."""
AT_ONCE = 50
"""Vehicles that are read together: as fast as more of them, measured, and never much in memory."""
FEWEST_READINGS = 2
"""Readings of a part from which its wear is worth a picture: one is no line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerCase:
    """What the summary of one visit rests on."""

    verdict: VehicleVerdict
    closing: Closing
    customer: Customer | None
    places: tuple[PlaceHistory, ...] = ()
    """Of each axle the part that ends first, where it was read at least twice."""


def customer_case(
    store: Store,
    vehicle_name: str,
    *,
    visit_name: str | None,
    stage: Stage | None,
    render: Render | None,
    today: date,
    with_places: bool = False,
) -> CustomerCase:
    """Judge one visit for its customer, the newest unless another is named.

    With ``render`` the verdict is put on record as issued, as the page rests on it.

    Raises
    ------
    NotFound
        Where there is no such vehicle or visit.
    """
    with store.reading():
        vehicle = store.vehicle(vehicle_name)
        load = Caseload(Shared(store, for_one=True), [vehicle])
        visit = pick_visit(vehicle, load.visits[vehicle.id], visit_name)
        found = _Vehicle(store, load, vehicle).case(visit, stage, today, with_places=with_places)
    customer = store.customer_by_id(vehicle.customer_id) if vehicle.customer_id else None
    if render is not None:
        _issue(store, found.verdict, render)
    return replace(found, customer=customer)


def every_customer_case(
    store: Store, *, render: Render, today: date, with_places: bool = False
) -> Iterator[tuple[Vehicle, CustomerCase | None]]:
    """Yield every vehicle with the case of its newest visit; None where it has no visit.

    A few vehicles are read together and forgotten before the next ones are, so that memory does
    not grow with the store. Every verdict is put on record as issued.
    """
    with store.reading():
        shared = Shared(store)
        vehicles = store.vehicles()
        customers = {each.id: each for each in store.customers()}
    for start in range(0, len(vehicles), AT_ONCE):
        chunk = vehicles[start : start + AT_ONCE]
        with store.reading():
            load = Caseload(shared, chunk)
        for vehicle in chunk:
            visits = load.visits[vehicle.id]
            if not visits:
                yield vehicle, None
                continue
            with store.reading():
                of = _Vehicle(store, load, vehicle)
                found = of.case(visits[-1], None, today, with_places=with_places)
            _issue(store, found.verdict, render)
            customer = customers.get(vehicle.customer_id or "")
            yield vehicle, replace(found, customer=customer)


def _issue(store: Store, verdict: VehicleVerdict, render: Render) -> None:
    """Put a verdict on record as issued, unless it is the same as the one issued last."""
    visit_id, stage = verdict.file.visit.id, verdict.file.stage
    document = verdict_text(verdict)
    if document != store.last_verdict(visit_id, stage):
        store.issue_verdict(visit_id, stage, FORMAT, document, verdict.policy, render(verdict))


class _Vehicle:
    """One vehicle of a caseload, with the cases of its visits as they are asked for."""

    def __init__(self, store: Store, load: Caseload, vehicle: Vehicle) -> None:
        self._store = store
        self._load = load
        self._vehicle = vehicle
        self._made: dict[str, CaseFile] = {}

    def case(
        self, visit: Visit, stage: Stage | None, today: date, *, with_places: bool
    ) -> CustomerCase:
        """Return the case of one visit; where its job is finished, in the state it left in."""
        file = self._load.case(self._vehicle, visit, stage)
        verdict, closing = self._judged(file, may_leave=stage is None)
        closing = with_earlier(self._store, verdict.file, closing, self._as_left)
        return CustomerCase(
            verdict=verdict,
            closing=closing,
            customer=None,
            places=tuple(self._places(verdict, today)) if with_places else (),
        )

    def _judged(self, file: CaseFile, *, may_leave: bool) -> tuple[VehicleVerdict, Closing]:
        """Judge a visit, and its job.

        A job can be finished without a reading as left, where what was fitted was measured before.
        """
        if may_leave and file.stage is Stage.AS_FOUND and is_work(file):
            left = judge_vehicle(replace(file, stage=Stage.AS_LEFT))
            closing = closing_of(self._store, left)
            if closing.status is Status.FINISHED:
                return left, closing
        verdict = judge_vehicle(file)
        return verdict, closing_of(self._store, verdict)

    def _as_left(self, visit: Visit) -> CaseFile:
        """Return an earlier visit as left; what it left untyped is counted for newest ones only."""
        unfiled = self._store.unfiled_of([visit.id]).get(visit.id, ())
        return replace(self._load.case(self._vehicle, visit, Stage.AS_LEFT), unfiled=unfiled)

    def _places(self, verdict: VehicleVerdict, today: date) -> Iterator[PlaceHistory]:
        for life in ends_first(verdict):
            measure = next(each for each in Measure if each.facts.position is life.position)
            place = place_history(
                verdict.file, life.corner, measure, case_of=self._with_questions, today=today
            )
            if place.running and len(place.running.readings) >= FEWEST_READINGS:
                yield place

    def _with_questions(self, visit: Visit) -> CaseFile:
        if visit.id not in self._made:
            self._made[visit.id] = with_questions(self._load.case_as_left(self._vehicle, visit))
        return self._made[visit.id]


def ends_first(verdict: VehicleVerdict) -> Iterator[PositionLife]:
    """Yield of every axle the part that ends first as it is now, where a distance is known."""
    for axle in dict.fromkeys(each.axle for each in verdict.worlds):
        worlds = [each for each in verdict.worlds if each.axle == axle]
        as_it_is = next((each for each in worlds if each.plan is Plan.LEFT), worlds[0])
        if as_it_is.first is not None:
            yield as_it_is.first
