"""In the office: vehicles, customers, gauges and people, added and changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from brakelog.errors import InvalidInput, NotFound, clip
from brakelog.intake.gauge_row import GaugeRow
from brakelog.intake.vehicle_row import VehicleRow
from brakelog.intake.words import has_control
from brakelog.lengths import DistanceUnit
from brakelog.record.gauge import Gauge, Tips
from brakelog.record.people import Customer, Person
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import Vehicle, check_vin, parse_brakes
from brakelog.store.store import Store
from brakelog.workshop.fits import check_fits

LONGEST_NAME = 300
"""Characters of a name, tag or description; assumption."""


def check_name(text: str, what: str) -> str:
    """Return a name without blanks at its ends.

    Raises
    ------
    InvalidInput
        Where it is empty, too long, or holds line breaks or control characters.
    """
    name = text.strip()
    if not name:
        raise InvalidInput(f"the {what} is empty", hint=f"type a {what}")
    if len(name) > LONGEST_NAME:
        raise InvalidInput(f"the {what} is longer than {LONGEST_NAME} characters", hint=clip(name))
    if has_control(name) or "\t" in name:
        raise InvalidInput(f"the {what} holds control characters", hint="type it on one line")
    return name


def vehicle_of(store: Store, row: VehicleRow) -> Vehicle:
    """Return the vehicle of a row; a customer not yet known is added."""
    return Vehicle(
        id=store.new_id(),
        tag=row.tag,
        description=row.description,
        brakes=row.brakes,
        odometer_unit=row.odometer_unit,
        sheet=known_sheet(store, row.sheet) if row.sheet else None,
        plate=row.plate,
        vin=row.vin,
        customer_id=(
            customer_called(store, row.customer, row.customer_contact).id if row.customer else None
        ),
    )


def add_vehicle(store: Store, row: VehicleRow) -> Vehicle:
    """Put a vehicle on file; a customer not yet known is added."""
    with store.writing():
        vehicle = vehicle_of(store, row)
        store.add_vehicle(vehicle)
    return vehicle


def change_vehicle(
    store: Store,
    name: str,
    *,
    tag: str | None = None,
    description: str | None = None,
    brakes: str | None = None,
    odometer_unit: DistanceUnit | None = None,
    sheet: str | None = None,
    plate: str | None = None,
    vin: str | None = None,
    customer: str | None = None,
) -> Vehicle:
    """Change what is given, and nothing else."""
    with store.writing():
        old = store.vehicle(name)
        new = replace(
            old,
            tag=old.tag if tag is None else check_name(tag, "vehicle tag"),
            description=old.description if description is None else description.strip(),
            brakes=old.brakes if brakes is None else parse_brakes(brakes),
            odometer_unit=odometer_unit or old.odometer_unit,
            sheet=old.sheet if sheet is None else (known_sheet(store, sheet) if sheet else None),
            plate=old.plate if plate is None else plate.strip(),
            vin=old.vin if vin is None else (check_vin(vin) if vin.strip() else ""),
            customer_id=(
                old.customer_id if customer is None else customer_called(store, customer).id
            ),
        )
        if new.brakes != old.brakes:
            check_fits(
                new.tag,
                new.brakes,
                [
                    *store.reading_sets_of_vehicle(old.id),
                    *store.findings_of_vehicle(old.id),
                    *store.fittings_of_vehicle(old.id),
                ],
            )
        store.change_vehicle(new)
    return new


def known_sheet(store: Store, name: str) -> str:
    """Return the name of a limit sheet as it is on file.

    Raises
    ------
    NotFound
        Where there is none of that name.
    """
    sheets = store.sheets()
    for sheet in sheets:
        if sheet.casefold() == name.strip().casefold():
            return sheet
    known = ", ".join(sheets[:8]) or "none yet"
    raise NotFound(
        f"no limit sheet {clip(name)!r} is on file", hint=f"sheets: {known}; brakelog limits sheet"
    )


def customer_called(store: Store, name: str, contact: str = "") -> Customer:
    """Return the customer of that tag, adding one where there is none."""
    tag = check_name(name, "customer")
    try:
        return store.customer(tag)
    except NotFound:
        customer = Customer(id=store.new_id(), tag=tag, name=tag, contact=contact.strip())
        store.add_customer(customer)
        return customer


def add_person(store: Store, tag: str, name: str, role: str = "") -> Person:
    """Put somebody of the shop on file."""
    person = Person(
        id=store.new_id(),
        tag=check_name(tag, "initials"),
        name=check_name(name, "name"),
        role=role.strip(),
    )
    store.add_person(person)
    return person


def gauge_of(store: Store, row: GaugeRow) -> Gauge:
    """Return the gauge of a row."""
    return Gauge(
        id=store.new_id(),
        tag=row.tag,
        kind=row.kind,
        unit=row.unit,
        resolution_nm=row.resolution.nm,
        resolution_text=row.resolution.text,
        used_for=row.used_for,
        tips=row.tips,
        error_limit_nm=row.error_limit_nm,
        checked_on=row.checked_on,
        check_every_months=row.check_every_months,
        note=row.note,
    )


def add_gauge(store: Store, row: GaugeRow) -> Gauge:
    """Put a gauge on file."""
    gauge = gauge_of(store, row)
    store.add_gauge(gauge)
    return gauge


def change_gauge(
    store: Store,
    tag: str,
    *,
    new_tag: str | None = None,
    used_for: Iterable[Quantity] | None = None,
    tips: Tips | None = None,
    checked_on: date | None = None,
    check_every_months: int | None = None,
    note: str | None = None,
) -> Gauge:
    """Change what is given; readings taken before keep the gauge as it was then."""
    with store.writing():
        old = store.gauge(tag)
        return store.change_gauge(
            replace(
                old,
                tag=old.tag if new_tag is None else check_name(new_tag, "tag"),
                used_for=old.used_for if used_for is None else frozenset(used_for),
                tips=tips or old.tips,
                checked_on=checked_on or old.checked_on,
                check_every_months=check_every_months or old.check_every_months,
                note=old.note if note is None else note.strip(),
            )
        )
