"""``brakelog gauge``: the measuring instruments."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from brakelog.cli.terminal import columns, opened, say, say_json, say_lines, today, write_new
from brakelog.errors import InvalidInput
from brakelog.lengths import decimal_mm
from brakelog.record.gauge import Gauge, Tips
from brakelog.record.quantity import Quantity
from brakelog.reports.plain import shown

group = typer.Typer(no_args_is_help=True, help="Gauges: add, list, show, change.")

_Used = Annotated[
    str | None,
    typer.Option("--for", help='Quantities it is taken for: "rotor runout pad-in pad-out".'),
]
_Tips = Annotated[Tips | None, typer.Option(help="Its measuring faces.")]
_Checked = Annotated[str | None, typer.Option(help="Date of its last check.")]
_Every = Annotated[int | None, typer.Option(min=1, help="Months between checks.")]
_Note = Annotated[str | None, typer.Option(help="A note.")]
_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]
_Tag = Annotated[str, typer.Argument(help="The gauge's tag.")]


@group.command("add")
def add(
    ctx: typer.Context,
    tag: _Tag,
    kind: Annotated[str, typer.Option(help="micrometer, calliper, dial, drum, depth ...")],
    unit: Annotated[str, typer.Option(help="Unit of a number that it gives: mm or in.")],
    resolution: Annotated[str, typer.Option(help='One step of its display: "0.001 mm".')],
    used_for: _Used = None,
    tips: _Tips = None,
    error_limit: Annotated[str | None, typer.Option(help="Its error limit, if known.")] = None,
    checked: _Checked = None,
    every: _Every = None,
    note: _Note = None,
) -> None:
    """Put a gauge on file."""
    from brakelog.intake.gauge_row import GaugeRow
    from brakelog.workshop.office import add_gauge
    from brakelog.workshop.rows import typed_row

    row = typed_row(
        "gauges",
        {
            "tag": tag,
            "kind": kind,
            "unit": unit,
            "resolution": resolution,
            "used_for": used_for,
            "tips": tips.value if tips else None,
            "error_limit": error_limit,
            "checked_on": checked,
            "check_every_months": None if every is None else str(every),
            "note": note,
        },
    )
    assert isinstance(row, GaugeRow)
    with opened(ctx, create=True) as store:
        gauge = add_gauge(store, row)
    say(f"{shown(gauge.tag)} is on file")


@group.command("change")
def change(
    ctx: typer.Context,
    tag: _Tag,
    new_tag: Annotated[str | None, typer.Option("--tag", help="Another tag.")] = None,
    used_for: _Used = None,
    tips: _Tips = None,
    checked: _Checked = None,
    every: _Every = None,
    note: _Note = None,
) -> None:
    """Change what is given; earlier readings keep the gauge as it was."""
    from brakelog.workshop.office import change_gauge

    with opened(ctx) as store:
        gauge = change_gauge(
            store,
            tag,
            new_tag=new_tag,
            used_for=_quantities(used_for),
            tips=tips,
            checked_on=_day(checked),
            check_every_months=every,
            note=note,
        )
    say(f"{shown(gauge.tag)} is changed")


@group.command("list")
def list_all(ctx: typer.Context, as_json: _Json = False) -> None:
    """List the gauges."""
    with opened(ctx) as store:
        gauges = store.gauges()
    if as_json:
        say_json({"format": "brakelog.gauges/1", "gauges": [_document(g) for g in gauges]})
        return
    for gauge in gauges:
        used = " ".join(sorted(q.value for q in gauge.used_for)) or "nothing by default"
        say(
            f"{shown(gauge.tag)}  {gauge.kind.value}, {shown(gauge.resolution_text)} "
            f"({gauge.unit.value}), for {used}"
        )
    if not gauges:
        say("no gauges on file; brakelog gauge add TAG ...")


@group.command("show")
def show(ctx: typer.Context, tag: _Tag, as_json: _Json = False) -> None:
    """Show one gauge."""
    with opened(ctx) as store:
        gauge = store.gauge(tag)
    document = _document(gauge)
    if as_json:
        say_json({"format": "brakelog.gauge/1", "gauge": document})
        return
    for key, value in document.items():
        if value not in (None, "", []):
            text = " ".join(value) if isinstance(value, list) else str(value)
            say(f"{key.replace('_', ' ')}: {shown(text)}")


@group.command("study")
def study(
    file: Annotated[
        Path | None, typer.Argument(help="Sheet (CSV): part, appraiser, trial, value, unit.")
    ] = None,
    tolerance: Annotated[
        str | None, typer.Option(help='Width of a tolerance to set it against: "0.02 mm".')
    ] = None,
    template: Annotated[bool, typer.Option("--template", help="Print an empty sheet.")] = False,
    out: Annotated[Path | None, typer.Option(help="File to write the empty sheet to.")] = None,
    as_json: _Json = False,
) -> None:
    """Say how well a gauge repeats, from several people reading the same parts several times."""
    if template:
        from brakelog.intake.study_sheet import template as empty_sheet

        if out is None:
            sys.stdout.write(empty_sheet())
        else:
            write_new(out, empty_sheet())
            say(f"written to {out}")
        return
    if file is None:
        raise InvalidInput(
            "no sheet named", hint="brakelog gauge study FILE.csv, or --template for an empty one"
        )
    from brakelog.cli.sheets import open_sheet
    from brakelog.reports.study import study_text
    from brakelog.reports.study_document import study_document
    from brakelog.workshop.study import study_gauge

    with open_sheet(file) as stream:
        found = study_gauge(stream, file.name, tolerance=tolerance)
    if as_json:
        say_json(study_document(found, file.name))
    else:
        say_lines(study_text(found, file.name, width=columns()))


def _quantities(text: str | None) -> list[Quantity] | None:
    if text is None:
        return None
    from brakelog.intake.gauge_row import parse_used_for

    return sorted(parse_used_for(text), key=lambda quantity: quantity.value)


def _day(text: str | None) -> date | None:
    if not text:
        return None
    from brakelog.workshop.visiting import read_day

    return read_day(text, today())


def _document(gauge: Gauge) -> dict[str, object]:
    return {
        "id": gauge.id,
        "tag": gauge.tag,
        "kind": gauge.kind.value,
        "unit": gauge.unit.value,
        "resolution": gauge.resolution_text,
        "resolution_mm": decimal_mm(gauge.resolution_nm),
        "used_for": sorted(q.value for q in gauge.used_for),
        "tips": gauge.tips.value if gauge.tips else None,
        "error_limit_mm": (
            None if gauge.error_limit_nm is None else decimal_mm(gauge.error_limit_nm)
        ),
        "checked_on": gauge.checked_on.isoformat() if gauge.checked_on else None,
        "check_every_months": gauge.check_every_months,
        "note": gauge.note,
    }
