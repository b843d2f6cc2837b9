"""Finding and opening visits: one vehicle, one day, one odometer reading."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.errors import Conflict, InvalidInput, NotFound, clip
from brakelog.lengths import DistanceUnit, parse_distance
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.store.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitTyped:
    """What was typed about a visit."""

    day: date
    odometer: str = ""
    odometer_out: str = ""
    odometer_out_note: str = ""
    is_leaving: bool = False
    """Whether the odometer out was read just now: then it is kept although it reads the same."""
    complaint: str = ""
    next_distance: str = ""
    next_months: int | None = None


def read_day(text: str | None, today: date) -> date:
    """Return the day typed, or today.

    Raises
    ------
    InvalidInput
        Where it is no date, or lies in the future.
    """
    if not text:
        return today
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise InvalidInput(f"{clip(text)!r} is not a date", hint="such as 2026-03-02") from None
    check_day(day, today)
    return day


def check_day(day: date, today: date) -> None:
    """Refuse a day in the future.

    Raises
    ------
    InvalidInput
        Where the day is after today.
    """
    if day > today:
        raise InvalidInput(
            f"{day.isoformat()} is in the future", hint=f"today is {today.isoformat()}"
        )


def find_visit(store: Store, vehicle: Vehicle, text: str | None) -> Visit:
    """Return the visit meant: the newest, the one of a day, or the one whose id begins so.

    Raises
    ------
    NotFound
        Where the vehicle has no such visit.
    Conflict
        Where more than one is meant.
    """
    return pick_visit(vehicle, store.visits_of(vehicle.id), text)


def pick_visit(vehicle: Vehicle, visits: list[Visit], text: str | None) -> Visit:
    """Return the visit meant among those of a vehicle; raises as ``find_visit`` does."""
    if not visits:
        raise NotFound(
            f"{vehicle.tag} has no visit on file", hint=f"brakelog measure {vehicle.tag}"
        )
    if not text:
        return visits[-1]
    typed = text.strip().lower()
    found = [v for v in visits if v.day.isoformat() == typed or v.id.startswith(typed)]
    if not found:
        days = ", ".join(v.day.isoformat() for v in visits[-5:])
        raise NotFound(f"{vehicle.tag} has no visit {clip(text)!r}", hint=f"newest: {days}")
    if len(found) > 1:
        ids = ", ".join(v.id[:12] for v in found)
        raise Conflict(f"{clip(text)!r} means more than one visit", hint=f"one of {ids}")
    return found[0]


def open_visit(
    store: Store, vehicle: Vehicle, typed: VisitTyped, *, person_id: str | None = None
) -> Visit:
    """Return the visit of that day, opening it where there is none; adds what was learnt.

    Raises
    ------
    InvalidInput
        Where the odometer is missing, cannot be read, or does not fit the vehicle's other visits.
    """
    visits = store.visits_of(vehicle.id)
    visit = visit_meant(vehicle, visits, typed, id=store.new_id(), person_id=person_id)
    if visit not in visits:
        store.add_visit(visit)
    _add_facts(store, vehicle, visit, typed)
    return store.visit(visit.id)


def visit_meant(
    vehicle: Vehicle, visits: list[Visit], typed: VisitTyped, *, id: str, person_id: str | None
) -> Visit:
    """Return the visit of that day among those of a vehicle, or a new one with an id.

    Raises
    ------
    InvalidInput
        Where the odometer is missing, cannot be read, or does not fit the other visits.
    """
    same_day = [visit for visit in visits if visit.day == typed.day]
    odometer = _distance(typed.odometer, vehicle.odometer_unit) if typed.odometer else None
    visit = _matching(same_day, odometer, vehicle)
    if visit is not None:
        return visit
    if odometer is None:
        raise InvalidInput(
            f"{vehicle.tag} has no visit on {typed.day.isoformat()} yet: type its odometer",
            hint=f'--odometer "62400 {vehicle.odometer_unit.value}"',
        )
    check_odometer(visits, typed.day, odometer[0])
    return Visit(
        id=id,
        vehicle_id=vehicle.id,
        day=typed.day,
        odometer_mm=odometer[0],
        odometer_text=typed.odometer,
        odometer_unit=odometer[1],
        person_id=person_id,
    )


def _matching(
    same_day: list[Visit], odometer: tuple[int, DistanceUnit] | None, vehicle: Vehicle
) -> Visit | None:
    if not same_day:
        return None
    if odometer is None or odometer[0] == same_day[-1].odometer_mm:
        return same_day[-1]
    raise InvalidInput(
        f"{vehicle.tag} has a visit that day at {clip(same_day[-1].odometer_text)}",
        hint="a visit has one odometer reading; leave it out, or void the wrong visit",
    )


def check_odometer(visits: list[Visit], day: date, odometer_mm: int) -> None:
    """Refuse an odometer that runs backwards against the visits before and after.

    Raises
    ------
    InvalidInput
        Naming the visit that it does not fit.
    """
    for visit in visits:
        shown = f"{visit.odometer_text} on {visit.day.isoformat()}"
        if visit.day <= day and visit.odometer_mm > odometer_mm:
            raise InvalidInput(
                f"the odometer is lower than before: {clip(shown, 60)}",
                hint="check vehicle, digits and unit; km or mi may be typed behind it",
            )
        if visit.day > day and visit.odometer_mm < odometer_mm:
            raise InvalidInput(
                f"the odometer is higher than later: {clip(shown, 60)}",
                hint="check vehicle, date, digits and unit",
            )


def _distance(text: str, unit: DistanceUnit) -> tuple[int, DistanceUnit]:
    return parse_distance(text, declared=unit)


def _add_facts(store: Store, vehicle: Vehicle, visit: Visit, typed: VisitTyped) -> None:
    if typed.odometer_out:
        out_mm, _ = _distance(typed.odometer_out, visit.odometer_unit)
        if out_mm < visit.odometer_mm:
            raise InvalidInput(
                "the odometer out is lower than the odometer in", hint=visit.odometer_text
            )
        if typed.is_leaving or visit.odometer_out_mm != out_mm:
            store.add_visit_facts(
                visit.id,
                odometer_out=(out_mm, typed.odometer_out),
                odometer_out_note=typed.odometer_out_note,
            )
    if typed.next_distance:
        next_mm, _ = _distance(typed.next_distance, vehicle.odometer_unit)
        if next_mm < DistanceUnit.KM.mm:
            raise InvalidInput(
                f"{clip(typed.next_distance)!r} is no distance to a visit",
                hint='such as "15000 km"',
            )
        store.add_visit_facts(visit.id, next_distance_mm=next_mm)
    if typed.next_months is not None:
        store.add_visit_facts(visit.id, next_months=typed.next_months)
    if typed.complaint and typed.complaint != visit.complaint:
        store.add_complaint(visit.id, typed.complaint)
