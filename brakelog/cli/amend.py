"""``brakelog amend``: corrections that keep the old value."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json, today
from brakelog.lengths import decimal_mm
from brakelog.record.finding import Finding
from brakelog.record.fitting import Fitting
from brakelog.record.reading import ReadingSet
from brakelog.reports.plain import shown

if TYPE_CHECKING:
    from brakelog.workshop.correcting import Entered

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
    """List what is on file about a vehicle, with ids, gauges and people."""
    from brakelog.workshop.correcting import entered
    from brakelog.workshop.visiting import read_day

    day = read_day(date, today()) if date else None
    with opened(ctx) as store:
        rows = entered(store, vehicle, day)
    if as_json:
        say_json({"format": "brakelog.entries/1", "entries": [_document(row) for row in rows]})
        return
    visits = {row.visit.id: row.visit for row in rows}
    for visit in visits.values():
        if visit.odometer_was:
            when = visit.day.isoformat()
            say(shown(f"odometer of {when}: {visit.odometer_text}; first {visit.odometer_was}"))
    for row in rows:
        traced = ", ".join(text for text in (row.gauge, row.person) if text)
        say(
            shown(
                f"{row.what.id[:12]}  {row.visit.day.isoformat()}  {_words(row).rstrip()}"
                + (f"  [{traced}]" if traced else "")
            )
        )


@group.command("set")
def amend_set(
    ctx: typer.Context,
    set_id: Annotated[str, typer.Argument(help="Id of the set, as listed.")],
    values: Annotated[list[str], typer.Argument(help="The whole set, in order; x: not measured.")],
    why: _Why,
    again: Annotated[
        str | None, typer.Option(help="Point 1, read again; x: not read again. Else kept.")
    ] = None,
    by: _By = None,
) -> None:
    """Put a corrected set beside the old one, which is kept."""
    from brakelog.intake.tokens import join_units
    from brakelog.workshop.correcting import amend_set as amend

    with opened(ctx) as store:
        old, new = amend(store, set_id, join_units(values), why, again=again, by=by)
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


@group.command("odometer")
def odometer(
    ctx: typer.Context,
    vehicle: _Vehicle,
    visit: _Visit,
    value: Annotated[str, typer.Argument(help='What it really read: "87690 km".')],
    why: _Why,
    by: _By = None,
) -> None:
    """Correct the odometer of a visit; what was typed first is kept."""
    from brakelog.workshop.correcting import correct_odometer

    with opened(ctx) as store:
        found = correct_odometer(store, vehicle, visit, value, why, by=by)
    say(
        shown(
            f"the odometer of {found.day.isoformat()} is {found.odometer_text} now; "
            f"{found.odometer_was} is kept with the reason"
        )
    )


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


@group.command("drop")
def drop(
    ctx: typer.Context,
    entry_id: Annotated[str, typer.Argument(help="Id of a set, finding or fitting, as listed.")],
    why: _Why,
    by: _By = None,
) -> None:
    """Mark a set, finding or fitting as entered by mistake; it is kept with the reason."""
    from brakelog.workshop.correcting import drop as drop_entry

    with opened(ctx) as store:
        what = drop_entry(store, entry_id, why, by=by)
    say(f"the {what} does not count any more; it is kept with the reason")


def _words(row: Entered) -> str:
    match row.what:
        case ReadingSet() as each:
            values = " ".join(text.strip() or "x" for text in each.typed)
            return (
                f"{each.stage.value}  {each.corner} {each.quantity.value}  {values}  "
                f"({each.unit.value})"
            )
        case Finding() as each:
            fixed = "  put right" if each.put_right else ""
            return (
                f"{each.stage.value}  {each.corner} finding {each.kind.value}{fixed}  {each.note}"
            )
        case Fitting() as each:
            return (
                f"fitting  {each.corner} {each.position.value} {each.event.value}  "
                f"{each.size_typed}  {each.note}"
            )


def _document(row: Entered) -> dict[str, object]:
    each = row.what
    document: dict[str, object] = {
        "id": each.id,
        "visit": row.visit.day.isoformat(),
        "odometer": row.visit.odometer_text,
        "odometer_was": row.visit.odometer_was or None,
        "corner": each.corner.code,
        "gauge": row.gauge or None,
        "person": row.person or None,
    }
    match each:
        case ReadingSet():
            document |= {
                "entry": "reading set",
                "stage": each.stage.value,
                "quantity": each.quantity.value,
                "typed": list(each.typed),
                "values_mm": [None if nm is None else decimal_mm(nm) for nm in each.values_nm],
                "unit": each.unit.value,
                "recorded_at": each.recorded_at.isoformat() if each.recorded_at else None,
                "corrects": each.corrects,
            }
        case Finding():
            document |= {
                "entry": "finding",
                "stage": each.stage.value,
                "finding": each.kind.value,
                "part": each.part.value,
                "put_right": each.put_right,
                "note": each.note,
            }
        case Fitting():
            document |= {
                "entry": "fitting",
                "part": each.position.value,
                "event": each.event.value,
                "basis": each.basis.value,
                "size_typed": each.size_typed or None,
                "size_mm": None if each.size_nm is None else decimal_mm(each.size_nm),
                "note": each.note,
            }
    return document
