"""In the bay: parts that were fitted, refinished, moved or removed."""

from __future__ import annotations

from dataclasses import replace

from brakelog.errors import InvalidInput
from brakelog.intake.fitting_row import FittingRow, fitted_sizes
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Position
from brakelog.record.vehicle import BRAKE_OF, Vehicle
from brakelog.record.visit import Visit
from brakelog.store.store import Store
from brakelog.workshop.visiting import VisitTyped, open_visit


def fit_parts(
    store: Store, row: FittingRow, typed: VisitTyped, *, by: str | None = None
) -> tuple[Visit, tuple[Fitting, ...]]:
    """Put on file what was done to a part; it starts, restarts or ends a part life.

    Raises
    ------
    InvalidInput
        Where a part does not belong to the corner's brake, or a size cannot be that part's.
    """
    vehicle = store.vehicle(row.vehicle)
    person_id = store.person(by).id if by else None
    with store.writing(by=person_id):
        visit = open_visit(store, vehicle, typed, person_id=person_id)
        rows = fittings_of(store, row, vehicle, visit, unit=store.shop().unit, person_id=person_id)
        store.add_fittings(rows)
    return visit, rows


def fittings_of(
    store: Store,
    row: FittingRow,
    vehicle: Vehicle,
    visit: Visit,
    *,
    unit: LengthUnit | None,
    person_id: str | None,
) -> tuple[Fitting, ...]:
    """Return one row per wearing part: pads and shoes of a corner are two."""
    for corner in (row.corner, row.from_corner):
        if corner is not None:
            _check_corner(vehicle, corner, row.positions[0])
    blank = Fitting(
        id="",
        visit_id=visit.id,
        day=visit.day,
        odometer_mm=visit.odometer_mm,
        corner=row.corner,
        position=row.positions[0],
        event=row.event,
        basis=row.basis,
        from_corner=row.from_corner,
        person_id=person_id,
        note=row.note,
    )
    return tuple(
        replace(
            blank,
            id=store.new_id(),
            position=size.position,
            size_nm=size.size_nm,
            size_typed=size.typed,
        )
        for size in fitted_sizes(row, unit)
    )


def _check_corner(vehicle: Vehicle, corner: Corner, position: Position) -> None:
    if corner.axle > len(vehicle.brakes):
        raise InvalidInput(f"{vehicle.tag} has no corner {corner}", hint="check the corner")
    brake = vehicle.brakes[corner.axle - 1]
    if BRAKE_OF[position.part] is not brake:
        raise InvalidInput(
            f"{corner} of {vehicle.tag} has no {position.part.value}: {brake.value} brakes",
            hint="check the corner and the part",
        )
