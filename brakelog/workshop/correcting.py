"""Corrections: the old value is kept, with who, when and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from brakelog.errors import Conflict, InvalidInput, NotFound
from brakelog.intake.check import check_reading
from brakelog.intake.context import NO_GAUGE
from brakelog.intake.value import NOT_MEASURED
from brakelog.lengths import parse_distance, parse_length
from brakelog.record.finding import Finding
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.record.visit import Visit
from brakelog.store.store import Store
from brakelog.workshop.bay import context_of
from brakelog.workshop.fits import check_fits
from brakelog.workshop.visiting import check_odometer, find_visit


def amend_set(
    store: Store,
    set_id: str,
    tokens: Sequence[str],
    reason: str,
    *,
    again: str | None = None,
    by: str | None = None,
) -> tuple[ReadingSet, ReadingSet]:
    """Put a corrected set on file beside the old one, which is kept.

    Point 1, read again, is taken over from the old set unless ``again`` says it, or ``x`` says
    that it was not read again.

    Returns
    -------
    tuple of ReadingSet
        The old set and the one that stands in for it.

    Raises
    ------
    InvalidInput
        Where no reason is given, or a value cannot be read.
    """
    if not reason.strip():
        raise InvalidInput("a correction needs a reason", hint='--why "turned one thimble too far"')
    old = find_set(store, set_id)
    vehicle = store.vehicle_by_id(store.visit(old.visit_id).vehicle_id)
    context = context_of(store, vehicle, unit=old.unit, stage=old.stage)
    options = {"unit": old.unit.value}
    if any(
        parse_length(text, declared=old.unit, close_blanks=True).unit_typed
        for text in old.typed
        if text
    ):
        # Its numbers carried their unit; one without would be taken for another.
        options = {"gauge": NO_GAUGE}
    if old.quantity is Quantity.HUB_RUNOUT:
        options["radius"] = f"{(old.radius_nm or 0) // 1000} um"
    if again is not None and again.strip().lower() != NOT_MEASURED:
        options["again"] = again
    entry = check_reading(
        source="amend",
        corner=old.corner,
        quantity=old.quantity,
        tokens=list(tokens),
        options=options,
        context=context,
    )
    person_id = store.person(by).id if by else None
    new = replace(
        old,
        again_nm=old.again_nm if again is None else entry.again_nm,
        again_typed=old.again_typed if again is None else entry.again_typed,
        id=store.new_id(),
        values_nm=entry.values_nm,
        typed=entry.typed,
        person_id=person_id or old.person_id,
        corrects=old.id,
        recorded_at=None,
    )
    with store.writing(by=person_id):
        store.amend_set(old.id, new, reason)
    return old, new


def find_set(store: Store, text: str) -> ReadingSet:
    """Return the reading set whose id was typed, whole or as printed.

    Raises
    ------
    NotFound
        Where there is none.
    """
    return store.reading_set(store.full_set_id(text.strip().lower()))


def drop(store: Store, text: str, reason: str, *, by: str | None = None) -> str:
    """Mark a reading set, finding or fitting as entered by mistake; it is kept, and counts no more.

    Returns
    -------
    str
        What it was, in words.

    Raises
    ------
    NotFound
        Where nothing has such an id.
    """
    _need_reason(reason)
    typed = text.strip().lower()
    ways = (
        ("reading set", store.full_set_id, store.void_set),
        ("finding", store.full_finding_id, store.void_finding),
    )
    with store.writing(by=store.person(by).id if by else None):
        for what, full_id, void in ways:
            try:
                void(full_id(typed), reason)
            except NotFound:
                continue
            return what
        store.void_fitting(store.full_fitting_id(typed), reason)
        return "fitting"


def void_visit(
    store: Store, vehicle_name: str, visit_name: str, reason: str, *, by: str | None = None
) -> Visit:
    """Mark a visit as entered by mistake; it is kept, and no longer judged."""
    _need_reason(reason)
    vehicle = store.vehicle(vehicle_name)
    visit = find_visit(store, vehicle, visit_name)
    with store.writing(by=store.person(by).id if by else None):
        store.void_visit(visit.id, reason)
    return visit


def correct_odometer(
    store: Store,
    vehicle_name: str,
    visit_name: str,
    typed: str,
    reason: str,
    *,
    by: str | None = None,
) -> Visit:
    """Put another odometer in the place of a visit's own, which is kept with the reason.

    Raises
    ------
    InvalidInput
        Where it cannot be read, or does not fit the vehicle's other visits.
    """
    _need_reason(reason)
    vehicle = store.vehicle(vehicle_name)
    visit = find_visit(store, vehicle, visit_name)
    odometer_mm, unit = parse_distance(typed, declared=vehicle.odometer_unit)
    others = [each for each in store.visits_of(vehicle.id) if each.id != visit.id]
    check_odometer(others, visit.day, odometer_mm)
    with store.writing(by=store.person(by).id if by else None):
        store.correct_odometer(visit.id, odometer_mm, typed, unit, reason)
    return store.visit(visit.id)


def move_visit(
    store: Store,
    vehicle_name: str,
    visit_name: str,
    to_name: str,
    reason: str,
    *,
    by: str | None = None,
) -> Visit:
    """Give a visit that was entered for the wrong vehicle to the right one; both are marked.

    Raises
    ------
    Conflict
        Where the other vehicle has other brakes than the ones that were measured.
    InvalidInput
        Where the odometer does not fit the other vehicle's visits.
    """
    _need_reason(reason)
    vehicle, to = store.vehicle(vehicle_name), store.vehicle(to_name)
    visit = find_visit(store, vehicle, visit_name)
    fitted = [f for f in store.fittings_of_vehicle(vehicle.id) if f.visit_id == visit.id]
    check_fits(
        to.tag,
        to.brakes,
        [
            *store.reading_sets_of_visit(visit.id),
            *store.findings_of_visit(visit.id),
            *fitted,
        ],
    )
    there = store.visits_of(to.id)
    if any(each.day == visit.day for each in there):
        raise Conflict(
            f"{to.tag} has a visit on {visit.day.isoformat()} already",
            hint="a vehicle has one visit a day; void the one that is wrong first",
        )
    check_odometer(there, visit.day, visit.odometer_mm)
    with store.writing(by=store.person(by).id if by else None):
        store.move_visit(visit.id, to.id, reason)
    return visit


def _need_reason(reason: str) -> None:
    if not reason.strip():
        raise InvalidInput("a correction needs a reason", hint='--why "wrong car"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """One thing on file about a vehicle, with what it is traced to."""

    visit: Visit
    what: ReadingSet | Finding | Fitting
    gauge: str
    person: str


def entered(store: Store, vehicle_name: str, day: date | None) -> list[Entered]:
    """Return the reading sets, findings and fittings of a vehicle, oldest visit first.

    Raises
    ------
    NotFound
        Where nothing is on file.
    """
    vehicle = store.vehicle(vehicle_name)
    visits = {visit.id: visit for visit in store.visits_of(vehicle.id)}
    sets = store.reading_sets_of_vehicle(vehicle.id)
    gauges = store.gauges_by_ids({each.gauge_id for each in sets if each.gauge_id})
    people = {person.id: person.tag for person in store.people()}
    things: list[ReadingSet | Finding | Fitting] = [
        *sets,
        *store.findings_of_vehicle(vehicle.id),
        *store.fittings_of_vehicle(vehicle.id),
    ]
    rows = []
    for each in things:
        gauge = gauges.get(each.gauge_id or "") if isinstance(each, ReadingSet) else None
        rows.append(
            Entered(
                visit=visits[each.visit_id],
                what=each,
                gauge=gauge.tag if gauge else "",
                person=people.get(each.person_id or "", ""),
            )
        )
    order = {visit_id: n for n, visit_id in enumerate(visits)}
    found = [row for row in rows if day is None or row.visit.day == day]
    if not found:
        raise NotFound(
            f"{vehicle.tag} has no readings on file", hint=f"brakelog measure {vehicle.tag}"
        )
    return sorted(found, key=lambda row: order[row.visit.id])
