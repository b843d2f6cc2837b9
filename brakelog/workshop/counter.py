"""At the counter: verdicts."""

from __future__ import annotations

import json
from dataclasses import replace

from brakelog.errors import InvalidInput, clip
from brakelog.record.people import Customer
from brakelog.record.reading import Stage
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.document import FORMAT, verdict_document
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import VehicleVerdict
from brakelog.store.store import Store
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
    issue: bool = True,
) -> VehicleVerdict:
    """Judge one visit of a vehicle, the newest unless another is named.

    The verdict is put on record as issued, unless it is the same as the one issued last.

    Raises
    ------
    NotFound
        Where there is no such vehicle or visit.
    """
    with store.reading():
        vehicle = store.vehicle(vehicle_name)
        visits = store.visits_of(vehicle.id)
        file = case_file(store, vehicle, visits, pick_visit(vehicle, visits, visit_name), stage)
        last = store.last_verdict(file.visit.id, file.stage) if issue else None
    verdict = judge_vehicle(file)
    if issue:
        document = json.dumps(verdict_document(verdict), ensure_ascii=False, sort_keys=True)
        if document != last:
            store.issue_verdict(file.visit.id, file.stage, FORMAT, document, verdict.policy)
    return verdict


def case_file(
    store: Store, vehicle: Vehicle, visits: list[Visit], visit: Visit, stage: Stage | None
) -> CaseFile:
    """Gather what is on file about a vehicle up to and including one of its visits."""
    upto = tuple(visits[: [each.id for each in visits].index(visit.id) + 1])
    ids = {each.id for each in upto}
    sets = tuple(each for each in store.reading_sets_of_vehicle(vehicle.id) if each.visit_id in ids)
    findings = store.findings_of_visit(visit.id)
    if stage is None:
        left = any(s.visit_id == visit.id and s.stage is Stage.AS_LEFT for s in sets) or any(
            finding.stage is Stage.AS_LEFT for finding in findings
        )
        stage = Stage.AS_LEFT if left else Stage.AS_FOUND
    limits = tuple(store.limits_for(vehicle))
    confirmations = store.confirmations_of([limit.id for limit in limits])
    gauges = store.gauges_by_ids({each.gauge_id for each in sets if each.gauge_id})
    fittings = store.fittings_of_vehicle(vehicle.id)
    return CaseFile(
        vehicle=vehicle,
        visit=upto[-1],
        stage=stage,
        # Distances are told in the unit that the driver sees.
        shop=replace(store.shop(), distance_unit=vehicle.odometer_unit),
        limits=limits,
        confirmations={each.limit_id: each for each in confirmations},
        gauges=gauges,
        visits=upto,
        sets=sets,
        findings=tuple(findings),
        fittings=tuple(each for each in fittings if each.visit_id in ids),
        people={person.id: person.tag for person in store.people()},
        unfiled=len(store.draft_entries(visit.id)),
    )


def customer_of(store: Store, vehicle: Vehicle) -> Customer | None:
    """Return the customer of a vehicle, where one is on file."""
    return store.customer_by_id(vehicle.customer_id) if vehicle.customer_id else None
