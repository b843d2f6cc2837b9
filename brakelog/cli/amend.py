"""``brakelog amend``: corrections that keep the old value."""

from __future__ import annotations

from typing import Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json, today
from brakelog.lengths import decimal_mm
from brakelog.record.reading import ReadingSet
from brakelog.reports.plain import shown

group = typer.Typer(no_args_is_help=True, help="Corrections that keep the old value.")

_Why = Annotated[str, typer.Option("--why", help="The reason; it stays on record.")]
_By = Annotated[
    str | None, typer.Option("--by", envvar="BRAKELOG_BY", help="Initials of who corrects.")
]
_Vehicle = Annotated[str, typer.Argument(help="Tag, plate or VIN.")]
_Visit = Annotated[str, typer.Argument(help="Date or id of the visit.")]


@group.command("list")
def list_sets(
    ctx: typer.Context,
    vehicle: _Vehicle,
    date: Annotated[str | None, typer.Option(help="Only the visit of that day.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
) -> None:
    """List the reading sets of a vehicle with their ids."""
    from brakelog.workshop.correcting import vehicle_sets
    from brakelog.workshop.visiting import read_day

    day = read_day(date, today()) if date else None
    with opened(ctx) as store:
        rows = vehicle_sets(store, vehicle, day)
    if as_json:
        say_json(
            {
                "format": "brakelog.readings/1",
                "reading_sets": [
                    {"visit": visit.day.isoformat(), **_document(each)} for visit, each in rows
                ],
            }
        )
        return
    for visit, each in rows:
        values = " ".join(text.strip() or "x" for text in each.typed)
        say(
            shown(
                f"{each.id[:12]}  {visit.day.isoformat()}  {each.stage.value}  {each.corner} "
                f"{each.quantity.value}  {values}  ({each.unit.value})"
            )
        )


@group.command("set")
def amend_set(
    ctx: typer.Context,
    set_id: Annotated[str, typer.Argument(help="Id of the set, as listed.")],
    values: Annotated[list[str], typer.Argument(help="The whole set, in order; x: not measured.")],
    why: _Why,
    by: _By = None,
) -> None:
    """Put a corrected set beside the old one, which is kept."""
    from brakelog.intake.tokens import join_units
    from brakelog.workshop.correcting import amend_set as amend

    with opened(ctx) as store:
        old, new = amend(store, set_id, join_units(values), why, by=by)
    was = " ".join(text.strip() or "x" for text in old.typed)
    now = " ".join(text.strip() or "x" for text in new.typed)
    say(shown(f"{new.corner} {new.quantity.value}: {was} is kept, {now} stands in for it"))


@group.command("void")
def void(ctx: typer.Context, vehicle: _Vehicle, visit: _Visit, why: _Why, by: _By = None) -> None:
    """Mark a visit as entered by mistake; it is kept, and not judged any more."""
    from brakelog.workshop.correcting import void_visit

    with opened(ctx) as store:
        gone = void_visit(store, vehicle, visit, why, by=by)
    say(f"the visit of {gone.day.isoformat()} is void; it is kept with the reason")


@group.command("move")
def move(
    ctx: typer.Context,
    vehicle: _Vehicle,
    visit: _Visit,
    to: Annotated[str, typer.Option(help="The vehicle that it was really for.")],
    why: _Why,
    by: _By = None,
) -> None:
    """Give a visit that was entered for the wrong vehicle to the right one."""
    from brakelog.workshop.correcting import move_visit

    with opened(ctx) as store:
        moved = move_visit(store, vehicle, visit, to, why, by=by)
    say(shown(f"the visit of {moved.day.isoformat()} belongs to {to} now; the reason is kept"))


def _document(each: ReadingSet) -> dict[str, object]:
    return {
        "id": each.id,
        "stage": each.stage.value,
        "corner": each.corner.code,
        "quantity": each.quantity.value,
        "typed": list(each.typed),
        "values_mm": [None if nm is None else decimal_mm(nm) for nm in each.values_nm],
        "unit": each.unit.value,
        "corrects": each.corrects,
    }
