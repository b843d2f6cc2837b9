"""From the readings of a simulated car to its case file, as if they had been put on file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cache

from brakelog.lengths import DistanceUnit, print_length
from brakelog.record.gauge import Gauge
from brakelog.record.limit import Limit, LimitKind, OutWhen
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement
from brakelog.rules.measure import Measure
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import PartVerdict
from tests.simulation.cars import CORNERS, LEFT, Column, Place
from tests.simulation.tasks import Task, limit

Readings = Mapping[Place, Column]
KM = 1_000_000
BETWEEN_KM = 15_000
BETWEEN_DAYS = 380


@cache
def visit(age: int) -> Visit:
    """Return the visit so many visits ago; the next one is planned for at once.

    With no distance ahead no part is replaced for what it would wear until then, so that nothing
    but the readings decides.
    """
    km = 100_000 - age * BETWEEN_KM
    return Visit(
        id=f"visit-{age}",
        vehicle_id="car",
        day=date(2026, 3, 2) - timedelta(days=age * BETWEEN_DAYS),
        odometer_mm=km * KM,
        odometer_text=str(km),
        odometer_unit=DistanceUnit.KM,
        looked_over=frozenset(CORNERS),
        next_distance_mm=0,
    )


@cache
def sheet(task: Task) -> tuple[Limit, ...]:
    """Return the limits of the axle; a coarse gauge meets no variation limit beside a thickness."""
    usual = _DRUM_SHEET if task.brake is AxleBrake.DRUM else _DISC_SHEET
    return (*(each for each in usual if each.kind is not task.limit.kind), task.limit)


_DRUM_SHEET = (
    limit(LimitKind.DRUM_NEW, "203.2"),
    limit(LimitKind.SHOE_NEW, "4.5"),
    limit(LimitKind.SHOE_MINIMUM, "1.0", OutWhen.BELOW),
)
_DISC_SHEET = (
    limit(LimitKind.ROTOR_NEW, "28.0"),
    limit(LimitKind.ROTOR_MACHINE_TO, "26.4", OutWhen.BELOW),
    limit(LimitKind.ROTOR_DISCARD, "26.0", OutWhen.AT_OR_BELOW),
    limit(LimitKind.PAD_NEW, "11.0"),
    limit(LimitKind.PAD_MINIMUM, "2.0", OutWhen.BELOW),
)


def case(task: Task, by_age: Sequence[Readings], shop: Shop) -> CaseFile:
    """Return the case of a car.

    Parameters
    ----------
    task : Task
        What is in the balance.
    by_age : sequence of readings
        Those of the visit that is judged, then of each earlier one.
    shop : Shop
        Its settings.
    """
    gauges: dict[str, Gauge] = {}
    sets = []
    for age in reversed(range(len(by_age))):
        for place, column in by_age[age].items():
            gauge = _on_file(column)
            if gauge is not None:
                gauges[gauge.id] = gauge
            sets.append(_set(age, place, column, gauge))
    return CaseFile(
        vehicle=Vehicle(
            id="car",
            tag="CAR-1",
            description="Invented 1.0",
            brakes=(task.brake,),
            odometer_unit=DistanceUnit.KM,
            sheet="Sheet",
        ),
        visit=visit(0),
        stage=Stage.AS_FOUND,
        shop=shop,
        limits=sheet(task),
        gauges=gauges,
        visits=tuple(visit(age) for age in reversed(range(len(by_age)))),
        sets=tuple(sets),
    )


def _on_file(column: Column) -> Gauge | None:
    gauge = column.tool.on_file
    if gauge is None or column.tips_on_file:
        return gauge
    return replace(gauge, id=f"{gauge.id}, tips unknown", tips=None)


def typed_of(column: Column) -> list[str]:
    """Return what was typed for each reading."""
    if column.typed is not None:
        return column.typed
    instrument = column.instrument
    return [
        print_length(nm, instrument.unit, decimals=instrument.decimals) for nm in column.values_nm
    ]


def _set(age: int, place: Place, column: Column, gauge: Gauge | None) -> ReadingSet:
    corner, quantity = place
    instrument = column.instrument
    is_runout = quantity is Quantity.RUNOUT
    again = column.again_nm
    return ReadingSet(
        id=f"{age} {corner} {quantity.value}",
        visit_id=visit(age).id,
        corner=corner,
        quantity=quantity,
        stage=Stage.AS_FOUND,
        values_nm=tuple(column.values_nm),
        typed=tuple(typed_of(column)),
        unit=instrument.unit,
        datum=Datum.LINING if quantity.is_lining else None,
        again_nm=again,
        again_typed=""
        if again is None
        else print_length(again, instrument.unit, decimals=instrument.decimals),
        gauge_id=None if gauge is None else gauge.id,
        tips=column.tips,
        lip=column.lip,
        fasteners_fitted=5 if is_runout else None,
        fasteners_of=5 if is_runout else None,
        bearing_checked=True if is_runout else None,
        returned_to_start=True if is_runout else None,
    )


def judge(task: Task, by_age: Sequence[Readings], shop: Shop) -> tuple[PartVerdict, Judgement]:
    """Return the verdict on the part in the balance, and the judgement of its measure."""
    part: Part = task.measure.facts.part
    verdict = next(
        each
        for each in judge_vehicle(case(task, by_age, shop)).parts
        if each.corner == LEFT and each.part is part
    )
    return verdict, judgement_of(verdict, task.measure)


def judgement_of(verdict: PartVerdict, measure: Measure) -> Judgement:
    """Return what became of one measure."""
    return next(each for each in verdict.judgements if each.measure is measure)
