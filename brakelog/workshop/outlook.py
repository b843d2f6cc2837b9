"""How far the parts of many vehicles will go, projected together, and the text kept of it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from typing import Any, TypeAlias

from brakelog.record.corner import parse_corner
from brakelog.record.quantity import Position
from brakelog.rules.dating import Dates, dates_of
from brakelog.rules.outlook import PartOutlook, VehicleOutlook
from brakelog.rules.part import bound_ends_before
from brakelog.rules.vehicle_lives import Standing
from brakelog.wear.earlier import after_earlier_life
from brakelog.wear.experience import Experience
from brakelog.wear.experiences import Experiences, group_of
from brakelog.wear.history import margin_mm
from brakelog.wear.projection import Projection, Refusal
from brakelog.wear.usage import Usage, usage_of
from brakelog.workshop.life_document import KeptLife, KeptVehicle, read_lives

Json: TypeAlias = Any
_KM = 1_000_000


def outlook_texts(
    kept: Mapping[str, str], experiences: Experiences, usual: Usage
) -> dict[str, str]:
    """Project the parts of vehicles.

    Parameters
    ----------
    kept : mapping
        The part lives of each vehicle as text, by its id.
    experiences : Experiences
        What the shop has learned.
    usual : Usage
        How far vehicles are usually driven here.

    Returns
    -------
    dict
        The outlook of each vehicle as text, by its id.
    """
    from brakelog.wear.bulk.project import project_many

    vehicles = {id: read_lives(text) for id, text in kept.items()}
    lives = [
        (vehicle, each) for vehicle in vehicles.values() if vehicle for each in vehicle.running
    ]
    projections = iter(
        project_many(
            [each.life for _, each in lives],
            [_believed(vehicle, each, experiences) for vehicle, each in lives],
        )
    )
    texts = {}
    for id, vehicle in vehicles.items():
        if vehicle is None:
            texts[id] = ""
            continue
        usage = _usage(vehicle, usual)
        parts = [_part(vehicle, each, next(projections), usage) for each in vehicle.running]
        texts[id] = _text(vehicle, usage, parts)
    return texts


def _believed(vehicle: KeptVehicle, kept: KeptLife, experiences: Experiences) -> Experience:
    life = kept.life
    experience = experiences.of(
        group_of(
            life.kind,
            axle=kept.corner.axle,
            vehicle_class=vehicle.vehicle_class,
            model=vehicle.model,
        ),
        new_mm=None if life.new_nm is None else life.new_nm / 1e6,
        limit_mm=0.0 if life.limit_nm is None else life.limit_nm / 1e6,
    )
    return after_earlier_life(experience, kept.earlier, vehicle_share=experiences.vehicle_share)


def _usage(vehicle: KeptVehicle, usual: Usage) -> Usage:
    return usage_of(
        usual,
        distance_km=(vehicle.last_odometer_mm - vehicle.first_odometer_mm) / _KM,
        days=(vehicle.last_day - vehicle.first_day).days,
    )


def _stands_still(vehicle: KeptVehicle) -> bool:
    """Whether the odometer has not moved from the first visit to the last."""
    return (
        vehicle.last_day > vehicle.first_day
        and vehicle.last_odometer_mm == vehicle.first_odometer_mm
    )


def _part(vehicle: KeptVehicle, kept: KeptLife, projection: Projection, usage: Usage) -> list[Json]:
    life = kept.life
    read_on = life.readings[-1].day if life.readings else kept.begun_on or life.as_of
    dates: Dates | None = dates_of(projection, read_on, usage)
    margin_nm = None
    if life.readings and life.limit_nm is not None:
        margin_nm = round(margin_mm(life, life.readings[-1].value_nm, life.limit_nm) * 1e6)
    ask = projection.unresolved[0] if projection.unresolved else ""
    refusal = projection.refusal
    return [
        kept.corner.code,
        kept.position.value,
        _grounds(vehicle, kept, projection),
        refusal.value if refusal else None,
        ask,
        projection.at_least_mm,
        projection.median_mm,
        projection.latest_mm,
        projection.from_odometer_mm,
        read_on.toordinal(),
        _ordinal(dates.at_least if dates else None),
        _ordinal(dates.median if dates else None),
        margin_nm,
        life.limit_nm,
        projection.readings_used,
        round(projection.own_share, 2),
        projection.experience.source,
    ]


def _grounds(vehicle: KeptVehicle, kept: KeptLife, projection: Projection) -> str:
    if kept.standing is Standing.FINE:
        is_near = bound_ends_before(projection, vehicle.planned_mm)
        return "suggested" if is_near else ""
    return str(kept.standing.value)


def _text(vehicle: KeptVehicle, usage: Usage, parts: list[list[Json]]) -> str:
    document = [
        vehicle.vehicle_class,
        vehicle.visits,
        vehicle.last_day.toordinal(),
        vehicle.last_odometer_mm,
        vehicle.planned_months,
        int(vehicle.is_rusty or _stands_still(vehicle)),
        [usage.log_km_per_day, usage.log_sd, usage.days_behind],
        parts,
    ]
    text: str = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
    return text


def read_outlook(text: str) -> VehicleOutlook | None:
    """Return what a text keeps; None for the empty one of a vehicle without a visit."""
    if not text:
        return None
    vehicle_class, visits, last, odometer_mm, months, by_age, usage, parts = json.loads(text)
    return VehicleOutlook(
        vehicle_class=vehicle_class,
        visits=visits,
        last_day=date.fromordinal(last),
        last_odometer_mm=odometer_mm,
        planned_months=months,
        wears_by_age=bool(by_age),
        usage=Usage(log_km_per_day=usage[0], log_sd=usage[1], days_behind=usage[2]),
        parts=tuple(_read_part(row) for row in parts),
    )


def _read_part(row: list[Json]) -> PartOutlook:
    return PartOutlook(
        corner=parse_corner(row[0]),
        position=Position(row[1]),
        grounds=row[2],
        refusal=None if row[3] is None else Refusal(row[3]),
        ask=row[4],
        at_least_mm=row[5],
        median_mm=row[6],
        latest_mm=row[7],
        from_odometer_mm=row[8],
        read_on=_day(row[9]),
        not_before=_day(row[10]),
        median_day=_day(row[11]),
        margin_nm=row[12],
        limit_nm=row[13],
        readings=row[14],
        own_share=row[15],
        source=row[16],
    )


def _ordinal(day: date | None) -> int | None:
    return None if day is None else day.toordinal()


def _day(ordinal: int | None) -> date | None:
    return None if ordinal is None else date.fromordinal(ordinal)
