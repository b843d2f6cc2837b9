"""Sheets of vehicles."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.errors import InvalidInput, clip
from brakelog.intake.cells import Cells
from brakelog.lengths import DistanceUnit, parse_distance
from brakelog.record.vehicle import AxleBrake, check_vin, parse_brakes

COLUMNS = (
    "tag",
    "description",
    "brakes",
    "odometer_unit",
    "sheet",
    "plate",
    "vin",
    "customer",
    "customer_contact",
)
REQUIRED = ("tag", "brakes", "odometer_unit")


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleRow:
    """One vehicle as listed."""

    source: str
    tag: str
    description: str
    brakes: tuple[AxleBrake, ...]
    odometer_unit: DistanceUnit
    sheet: str | None = None
    """Name of the limit sheet."""
    plate: str = ""
    vin: str = ""
    customer: str = ""
    """Name of the customer."""
    customer_contact: str = ""


def read_vehicle(cells: Cells) -> VehicleRow:
    """Return the vehicle of one row."""
    row = VehicleRow(
        source=cells.source,
        tag=cells.name("tag"),
        description=cells.note("description"),
        brakes=cells.needed("brakes", parse_brakes, (AxleBrake.DISC,)),
        odometer_unit=cells.needed("odometer_unit", parse_distance_unit, DistanceUnit.KM),
        sheet=cells.name_if_any("sheet") or None,
        plate=cells.name_if_any("plate"),
        vin=cells.maybe("vin", check_vin, ""),
        customer=cells.note("customer"),
        customer_contact=cells.note("customer_contact"),
    )
    if row.customer_contact and not row.customer:
        cells.refuse("customer_contact is filled and customer is empty")
    return row


def parse_distance_unit(text: str) -> DistanceUnit:
    """Read ``km`` or ``mi``."""
    try:
        return parse_distance(f"1 {text}", declared=None)[1]
    except InvalidInput:
        raise InvalidInput(f"{clip(text)!r} is no unit of distance", hint="km or mi") from None
