"""At the counter: verdicts."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from brakelog.errors import InvalidInput, NotFound, clip
from brakelog.record.issued import IssuedVerdict
from brakelog.record.people import Customer
from brakelog.record.reading import Stage
from brakelog.record.vehicle import Vehicle
from brakelog.rules.casefile import CaseFile
from brakelog.rules.document import FORMAT, verdict_text
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import VehicleVerdict
from brakelog.store.store import Store
from brakelog.workshop.caseload import Caseload, Shared, caseloads
from brakelog.workshop.visiting import pick_visit


def read_stage(text: str | None) -> Stage | None:
    """Return the stage typed; None for the newest.

    Raises
    ------
    InvalidInput
        Where it is neither as-found nor as-left.
    """
    if not text:
        return None
    try:
        return Stage(text.strip().lower().replace("-", " "))
    except ValueError:
        raise InvalidInput(
            f"{clip(text)!r} is not a stage", hint="stages: as-found, as-left"
        ) from None


def give_verdict(
    store: Store,
    vehicle_name: str,
    *,
    visit_name: str | None = None,
    stage: Stage | None = None,
    render: Callable[[VehicleVerdict], str] | None = None,
) -> VehicleVerdict:
    """Judge one visit of a vehicle, the newest unless another is named.

    With ``render``, which makes the sheet for people, the verdict is put on record as issued,
    unless it is the same as the one issued last.

    Raises
    ------
    NotFound
        Where there is no such vehicle or visit.
    """
    with store.reading():
        file = case_file(store, store.vehicle(vehicle_name), visit_name, stage)
        last = store.last_verdict(file.visit.id, file.stage) if render else None
    verdict = judge_vehicle(file)
    if render:
        document = verdict_text(verdict)
        if document != last:
            sheet = render(verdict)
            store.issue_verdict(file.visit.id, file.stage, FORMAT, document, verdict.policy, sheet)
    return verdict


def issued_verdict(
    store: Store, vehicle_name: str, visit_name: str, stage: Stage | None
) -> IssuedVerdict:
    """Return the verdict that was issued last for a visit, word for word.

    Raises
    ------
    NotFound
        Where there is no such visit, or none was issued for it.
    """
    with store.reading():
        vehicle = store.vehicle(vehicle_name)
        visit = pick_visit(vehicle, store.visits_of(vehicle.id), visit_name)
        issued = [v for v in store.verdicts_of_visit(visit.id) if stage in (None, v.stage)]
    if not issued:
        raise NotFound(
            f"no verdict was issued for {vehicle.tag} on {visit.day.isoformat()}",
            hint=f"brakelog verdict {vehicle.tag} --visit {visit.day.isoformat()}",
        )
    return issued[-1]


def every_verdict(store: Store) -> Iterator[VehicleVerdict]:
    """Judge the newest visit of every vehicle that has one; nothing is put on record."""
    with store.reading():
        for _, file in caseloads(store, store.vehicles()):
            yield judge_vehicle(file)


def case_file(
    store: Store, vehicle: Vehicle, visit_name: str | None, stage: Stage | None
) -> CaseFile:
    """Gather what is on file about a vehicle up to and including one of its visits.

    Raises
    ------
    NotFound
        Where it has no such visit.
    """
    with store.reading():
        load = Caseload(Shared(store, for_one=True), [vehicle])
        return load.case(vehicle, pick_visit(vehicle, load.visits[vehicle.id], visit_name), stage)


def customer_of(store: Store, vehicle: Vehicle) -> Customer | None:
    """Return the customer of a vehicle, where one is on file."""
    return store.customer_by_id(vehicle.customer_id) if vehicle.customer_id else None
