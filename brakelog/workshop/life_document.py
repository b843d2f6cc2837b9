"""The part lives of one vehicle as the text that is kept of them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeAlias

from brakelog.record.corner import MOST_AXLES, Corner, walking_order
from brakelog.record.quantity import Position
from brakelog.rules.vehicle_lives import Standing, VehicleLives
from brakelog.wear.earlier import tells_a_rate
from brakelog.wear.experience import WearKind, general_experience
from brakelog.wear.history import history_of
from brakelog.wear.life import PartLife, Reading, Start

Json: TypeAlias = Any
LAYOUT = "3"
"""Raised when the text of part lives or outlooks changes its form, or what is learned from them its
method, so that all are made again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLife:
    """One part life, read back."""

    corner: Corner
    position: Position
    standing: Standing
    life: PartLife
    earlier: PartLife | None
    restarted_on: date | None
    begun_on: date | None
    """Day of the event that put it there; None where none is on record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptVehicle:
    """What is kept of one vehicle."""

    vehicle_class: str | None
    model: str | None
    visits: int
    first_day: date
    last_day: date
    first_odometer_mm: int
    last_odometer_mm: int
    planned_mm: int
    """Distance to the next planned visit. [mm]"""
    planned_months: int
    is_rusty: bool
    running: tuple[KeptLife, ...]


def lives_text(found: VehicleLives, *, planned_mm: int) -> str:
    """Return the part lives of a vehicle as text."""
    file = found.file
    first, last = file.visits[0], file.visit
    document = {
        "class": file.traits.get((0, "class")),
        "model": file.vehicle.sheet,
        "visits": len(file.visits),
        "days": [first.day.toordinal(), last.day.toordinal()],
        "odometers": [first.odometer_mm, last.odometer_mm],
        "planned": [planned_mm, last.next_months or file.shop.next_months],
        "rusty": found.is_rusty,
        "learned": _learned(found),
        "running": [
            [
                each.case.corner.code,
                each.case.position.value,
                each.standing.value,
                _life(each.case.recorded.life),
                _life(each.case.earlier) if each.case.earlier else None,
                _ordinal(each.case.recorded.restarted_on),
                _ordinal(each.case.recorded.begun.day if each.case.recorded.begun else None),
            ]
            for each in found.running
        ],
    }
    return _write(document)


_write = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode


def read_lives(text: str) -> KeptVehicle | None:
    """Return what a text keeps; None for the empty one of a vehicle without a visit."""
    if not text:
        return None
    found = json.loads(text)
    first_day, last_day = (date.fromordinal(day) for day in found["days"])
    first_mm, last_mm = found["odometers"]
    planned_mm, planned_months = found["planned"]
    return KeptVehicle(
        vehicle_class=found["class"],
        model=found["model"],
        visits=found["visits"],
        first_day=first_day,
        last_day=last_day,
        first_odometer_mm=first_mm,
        last_odometer_mm=last_mm,
        planned_mm=planned_mm,
        planned_months=planned_months,
        is_rusty=found["rusty"],
        running=tuple(_kept(row, last_mm) for row in found["running"]),
    )


def _told(found: VehicleLives) -> Iterator[tuple[Corner, Position, PartLife]]:
    """Yield the lives that say how fast such parts wear, at each place the oldest first."""
    for each in found.finished:
        yield each.corner, each.position, each.recorded.life
    for one in found.running:
        recorded = one.case.recorded
        if recorded.is_sound and tells_a_rate(recorded.life):
            yield one.case.corner, one.case.position, recorded.life


def _learned(found: VehicleLives) -> list[Json]:
    """Return the lives that the shop learns from, each with the number of its forerunner."""
    newest: dict[tuple[Corner, Position], int] = {}
    rows = []
    for number, (corner, position, life) in enumerate(_told(found)):
        rows.append([*_numbers(corner, life), newest.get((corner, position), -1)])
        newest[corner, position] = number
    return rows


def _numbers(corner: Corner, life: PartLife) -> list[Json]:
    """Return a life as the numbers that the shop learns from."""
    assert life.limit_nm is not None
    history = history_of(life, life.limit_nm)
    general = general_experience(
        life.kind,
        new_mm=None if life.new_nm is None else life.new_nm / 1e6,
        limit_mm=life.limit_nm / 1e6,
    )
    return [
        life.kind.value,
        corner.axle,
        general.log_rate,
        history.margin_mm,
        history.u1_mm,
        [number for visit in history.visits for number in (visit.x, visit.margin_mm, visit.u1_mm)],
    ]


def _kept(row: list[Json], odometer_mm: int) -> KeptLife:
    corner, position, standing, life, earlier, restarted, begun = row
    return KeptLife(
        corner=_CORNERS[corner],
        position=_POSITIONS[position],
        standing=_STANDINGS[standing],
        life=_read(life, odometer_mm),
        earlier=_read(earlier, None) if earlier else None,
        restarted_on=None if restarted is None else date.fromordinal(restarted),
        begun_on=None if begun is None else date.fromordinal(begun),
    )


_CORNERS = {corner.code: corner for corner in walking_order(MOST_AXLES)}
_POSITIONS = {each.value: each for each in Position}
_STANDINGS = {each.value: each for each in Standing}
_KINDS = {each.value: each for each in WearKind}
"""What is read back, by its text: there is much of it, and it was written from these."""


def _life(life: PartLife) -> list[Json]:
    start = life.start
    return [
        life.kind.value,
        int(life.grows),
        start and [start.odometer_mm, start.size_nm, start.sigma1_nm, int(start.measured)],
        [
            [each.odometer_mm, each.value_nm, each.sigma1_nm, each.day.toordinal()]
            for each in life.readings
        ],
        life.limit_nm,
        life.new_nm,
        int(life.is_out),
        list(life.unresolved),
        life.as_of.toordinal(),
        life.as_of_odometer_mm,
    ]


def _read(row: list[Json], odometer_mm: int | None) -> PartLife:
    """Return a part life.

    One that goes on is asked about as of the day of its last reading, whose age is looked at
    when it is told, and as of the vehicle's newest odometer.
    """
    kind, grows, start, readings, limit_nm, new_nm, is_out, unresolved, day, as_of_mm = row
    return PartLife(
        kind=_KINDS[kind],
        grows=bool(grows),
        start=start
        and Start(
            odometer_mm=start[0], size_nm=start[1], sigma1_nm=start[2], measured=bool(start[3])
        ),
        readings=tuple(
            Reading(
                odometer_mm=odometer,
                value_nm=value_nm,
                sigma1_nm=sigma1_nm,
                day=date.fromordinal(ordinal),
            )
            for odometer, value_nm, sigma1_nm, ordinal in readings
        ),
        limit_nm=limit_nm,
        new_nm=new_nm,
        as_of=date.fromordinal(day),
        as_of_odometer_mm=as_of_mm if odometer_mm is None else odometer_mm,
        is_out=bool(is_out),
        unresolved=tuple(unresolved),
    )


def _ordinal(day: date | None) -> int | None:
    return None if day is None else day.toordinal()
