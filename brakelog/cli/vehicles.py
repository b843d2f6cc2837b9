"""``brakelog vehicle``: the vehicles of the shop."""

from __future__ import annotations

from typing import Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json
from brakelog.lengths import DistanceUnit
from brakelog.record.people import Customer
from brakelog.record.vehicle import Vehicle
from brakelog.reports.plain import shown

group = typer.Typer(no_args_is_help=True, help="Vehicles: add, list, show, change.")

_Description = Annotated[str | None, typer.Option(help="What it is, in words.")]
_Brakes = Annotated[str | None, typer.Option(help="From the front: disc/disc, disc/drum ...")]
_Unit = Annotated[DistanceUnit | None, typer.Option(help="Unit of its odometer.")]
_Sheet = Annotated[str | None, typer.Option(help="Name of its limit sheet.")]
_Plate = Annotated[str | None, typer.Option(help="Its plate.")]
_Vin = Annotated[str | None, typer.Option(help="Its VIN, 17 characters.")]
_Owner = Annotated[str | None, typer.Option(help="Whose it is; added if not yet on file.")]
_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]


@group.command("add")
def add(
    ctx: typer.Context,
    tag: Annotated[str, typer.Argument(help="The shop's short name for it.")],
    description: _Description = None,
    brakes: _Brakes = "disc/disc",
    odometer_unit: _Unit = None,
    sheet: _Sheet = None,
    plate: _Plate = None,
    vin: _Vin = None,
    customer: _Owner = None,
    contact: Annotated[str | None, typer.Option(help="How to reach the customer.")] = None,
) -> None:
    """Put a vehicle on file."""
    from brakelog.intake.vehicle_row import VehicleRow
    from brakelog.workshop.office import add_vehicle
    from brakelog.workshop.rows import typed_row

    def read(unit: DistanceUnit) -> VehicleRow:
        row = typed_row(
            "vehicles",
            {
                "tag": tag,
                "description": description,
                "brakes": brakes,
                "odometer_unit": unit.value,
                "sheet": sheet,
                "plate": plate,
                "vin": vin,
                "customer": customer,
                "customer_contact": contact,
            },
        )
        assert isinstance(row, VehicleRow)
        return row

    # What is wrong with it is said before a store is begun for it.
    read(odometer_unit or DistanceUnit.KM)
    with opened(ctx, create=True) as store:
        vehicle = add_vehicle(store, read(odometer_unit or store.shop().distance_unit))
    say(f"{shown(vehicle.tag)} is on file")


@group.command("change")
def change(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    tag: Annotated[str | None, typer.Option(help="Another short name.")] = None,
    description: _Description = None,
    brakes: _Brakes = None,
    odometer_unit: _Unit = None,
    sheet: _Sheet = None,
    plate: _Plate = None,
    vin: _Vin = None,
    customer: _Owner = None,
) -> None:
    """Change what is given, and nothing else."""
    from brakelog.workshop.office import change_vehicle

    with opened(ctx) as store:
        changed = change_vehicle(
            store,
            vehicle,
            tag=tag,
            description=description,
            brakes=brakes,
            odometer_unit=odometer_unit,
            sheet=sheet,
            plate=plate,
            vin=vin,
            customer=customer,
        )
    say(f"{shown(changed.tag)} is changed")


@group.command("list")
def list_all(ctx: typer.Context, as_json: _Json = False) -> None:
    """List the vehicles."""
    with opened(ctx) as store:
        vehicles = store.vehicles()
        owners = {customer.id: customer for customer in store.customers()} if as_json else {}
    if as_json:
        rows = [_document(each, owners.get(each.customer_id or "")) for each in vehicles]
        say_json({"format": "brakelog.vehicles/1", "vehicles": rows})
        return
    for vehicle in vehicles:
        brakes = "/".join(brake.value for brake in vehicle.brakes)
        parts = [vehicle.tag, vehicle.description, vehicle.plate, brakes, vehicle.sheet or ""]
        say("  ".join(shown(part) for part in parts if part))
    if not vehicles:
        say("no vehicles on file; brakelog vehicle add TAG")


@group.command("show")
def show(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    as_json: _Json = False,
) -> None:
    """Show one vehicle and its visits."""
    from brakelog.workshop.counter import customer_of

    with opened(ctx) as store:
        found = store.vehicle(vehicle)
        visits = store.visits_of(found.id, include_void=True)
        customer = customer_of(store, found)
    if as_json:
        document = _document(found, customer)
        document["visits"] = [
            {
                "id": visit.id,
                "date": visit.day.isoformat(),
                "odometer": visit.odometer_text,
                "odometer_unit": visit.odometer_unit.value,
                "void": visit.void_reason,
                "moved": visit.moved_from is not None,
            }
            for visit in visits
        ]
        say_json({"format": "brakelog.vehicle/1", "vehicle": document})
        return
    for label, text in (
        ("tag", found.tag),
        ("description", found.description),
        ("brakes", "/".join(brake.value for brake in found.brakes)),
        ("limit sheet", found.sheet or "none"),
        ("plate", found.plate),
        ("VIN", found.vin),
        ("customer", customer.name if customer else ""),
    ):
        if text:
            say(f"{label}: {shown(text)}")
    for visit in visits:
        odometer = shown(visit.odometer_text)
        unit = "" if odometer.rstrip().endswith(("km", "mi")) else f" {visit.odometer_unit.value}"
        notes = f"  void: {shown(visit.void_reason)}" if visit.void_reason else ""
        notes += "  moved here from another vehicle" if visit.moved_from else ""
        say(f"visit {visit.day.isoformat()}  {odometer}{unit}  {visit.id[:12]}{notes}")


def _document(vehicle: Vehicle, customer: Customer | None) -> dict[str, object]:
    return {
        "id": vehicle.id,
        "tag": vehicle.tag,
        "description": vehicle.description,
        "brakes": [brake.value for brake in vehicle.brakes],
        "odometer_unit": vehicle.odometer_unit.value,
        "limit_sheet": vehicle.sheet,
        "plate": vehicle.plate or None,
        "vin": vehicle.vin or None,
        "customer": customer.name if customer else None,
    }
