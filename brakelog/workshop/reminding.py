"""For the customer: which parts of which vehicles are to be reminded of, before they run out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from brakelog.intake.span import Span
from brakelog.record.people import Customer
from brakelog.record.quantity import Part
from brakelog.record.vehicle import Vehicle
from brakelog.rules.due import DueEntry, DueListing, Wanted, cannot_wait, is_told
from brakelog.rules.outlook import PartOutlook, VehicleOutlook
from brakelog.store.store import Store
from brakelog.wear.age import is_too_old_on
from brakelog.wear.projection import Refusal
from brakelog.workshop.due import due_list
from brakelog.workshop.outlook import read_outlook

REQUIRED = "required"
"""The grounds of a part that needs work as it is."""
AT_ONCE = 200
"""Vehicles whose names are read together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """One vehicle whose first part runs out within the time or distance asked for."""

    vehicle: Vehicle
    customer: Customer | None
    entry: DueEntry
    parts: tuple[PartOutlook, ...]
    """What runs out within it, the earliest first: of each kind of part of an axle the first, as
    the others go with it."""
    today: date


def reminder_of(store: Store, vehicle_name: str, span: Span, today: date) -> Reminder | None:
    """Return what to remind one customer of; None where nothing runs out within the span.

    The outlook that is kept must be up to date.

    Raises
    ------
    NotFound
        Where there is no such vehicle.
    """
    wanted = _wanted(span)
    with store.reading():
        vehicle, outlook = _with_outlook(store, vehicle_name)
        listing = DueListing(wanted, today)
        listing.take(vehicle.id, vehicle.tag, outlook)
        entries = listing.finished().entries
        customer = store.customer_by_id(vehicle.customer_id) if vehicle.customer_id else None
    if not entries or outlook is None:
        return None
    return _reminder(vehicle, customer, entries[0], outlook.parts, wanted, today)


def parts_unknown(store: Store, vehicle_name: str, today: date) -> int | None:
    """Return of how many parts of a vehicle no distance can be stated; None where of none one can.

    The outlook that is kept must be up to date.

    Raises
    ------
    NotFound
        Where there is no such vehicle.
    """
    with store.reading():
        _, outlook = _with_outlook(store, vehicle_name)
    parts = outlook.parts if outlook else ()
    unknown = sum(not is_told(part, today) for part in parts)
    return None if unknown == len(parts) else unknown


def _with_outlook(store: Store, vehicle_name: str) -> tuple[Vehicle, VehicleOutlook | None]:
    """Return a vehicle and what is kept of how far its brakes will go; None without a visit."""
    vehicle = store.vehicle(vehicle_name)
    return vehicle, read_outlook(dict(store.due_documents([vehicle.id])).get(vehicle.id, ""))


def every_reminder(store: Store, span: Span, today: date) -> Iterator[Reminder]:
    """Yield what to remind every customer of, the earliest first.

    The outlook that is kept must be up to date.
    """
    wanted = _wanted(span)
    entries = due_list(store, wanted, today).entries
    with store.reading():
        customers = {each.id: each for each in store.customers()}
    for start in range(0, len(entries), AT_ONCE):
        chunk = entries[start : start + AT_ONCE]
        with store.reading():
            ids = [entry.id for entry in chunk]
            vehicles = {each.id: each for each in store.vehicles_by_ids(ids)}
            outlooks = {id: read_outlook(text) for id, text in store.due_documents(ids)}
        for entry in chunk:
            vehicle = vehicles[entry.id]
            customer = customers.get(vehicle.customer_id or "")
            outlook = outlooks.get(entry.id)
            parts = outlook.parts if outlook else ()
            found = _reminder(vehicle, customer, entry, parts, wanted, today)
            if found is not None:
                yield found


def _wanted(span: Span) -> Wanted:
    return Wanted(last_day=span.until, within_mm=span.within_mm)


def _reminder(
    vehicle: Vehicle,
    customer: Customer | None,
    entry: DueEntry,
    parts: Sequence[PartOutlook],
    wanted: Wanted,
    today: date,
) -> Reminder | None:
    inside = [part for part in parts if _is_due(part, entry, wanted, today)]
    if not inside:
        return None
    first: dict[tuple[int, Part], PartOutlook] = {}
    for part in sorted(inside, key=_order):
        first.setdefault((part.corner.axle, part.position.part), part)
    return Reminder(
        vehicle=vehicle,
        customer=customer,
        entry=entry,
        parts=tuple(first.values()),
        today=today,
    )


def _is_due(part: PartOutlook, entry: DueEntry, wanted: Wanted, today: date) -> bool:
    """Whether a customer is to be reminded of a part.

    What was only suggested, and has no distance of its own, goes with the part that has one.
    """
    if cannot_wait(part) or (entry.by_time and part == entry.part):
        return True
    if part.refusal is not None or (part.read_on and is_too_old_on(part.read_on, today)):
        return False
    if wanted.last_day is not None:
        return part.not_before is not None and part.not_before <= wanted.last_day
    if wanted.within_mm is None or part.at_least_mm is None or part.from_odometer_mm is None:
        return False
    ends_mm = part.from_odometer_mm + part.at_least_mm
    return ends_mm - entry.vehicle.last_odometer_mm <= wanted.within_mm


def _order(part: PartOutlook) -> tuple[int, date, int]:
    rank = 2
    if part.refusal is Refusal.AT_LIMIT or part.grounds == REQUIRED:
        rank = 0
    elif part.refusal is Refusal.WITHIN_ERROR:
        rank = 1
    return rank, part.not_before or date.max, part.at_least_mm or 0
