"""``brakelog limits``: service limits as printed, and marks cast on parts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json
from brakelog.lengths import decimal_mm
from brakelog.record.corner import axle_name, parse_corner
from brakelog.record.limit import Limit, LimitKind, Torque, WhichPad
from brakelog.record.trait import Trait
from brakelog.reports.plain import shown

if TYPE_CHECKING:
    from brakelog.intake.limit_row import LimitRow

group = typer.Typer(
    no_args_is_help=True, help="Limit sheets: add, list, show, change, cast, confirm, withdraw."
)

_Kind = Annotated[LimitKind, typer.Argument(help="What it bounds.")]
_Figure = Annotated[str, typer.Argument(help='As printed, with its unit: "22.8 mm".')]
_Other = Annotated[str, typer.Argument(help='The second figure of the same limit: "0.898 in".')]
_Source = Annotated[str, typer.Option(help="Document and page, or where it is cast.")]
_OutWhen = Annotated[
    str | None,
    typer.Option(help="Where the source states it: below, at-or-below, above, at-or-above."),
]
_Unit = Annotated[str | None, typer.Option(help="Unit of figures typed without one.")]
_Datum = Annotated[str | None, typer.Option(help="For linings: lining or with-plate.")]
_Pad = Annotated[WhichPad, typer.Option(help="Which pad or shoe.")]
_Points = Annotated[int | None, typer.Option(min=1, help="Points that the maker wants.")]
_Radius = Annotated[str, typer.Option(help="Radius of a hub runout limit.")]
_Dated = Annotated[str | None, typer.Option(help="Date of the source.")]
_Why = Annotated[str, typer.Option("--why", help="The reason.")]
_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]


@group.command("sheet")
def sheet(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(help="Name of the sheet.")],
    note: Annotated[str, typer.Option(help="A note.")] = "",
) -> None:
    """Start an empty limit sheet."""
    from brakelog.workshop.limits import add_sheet

    with opened(ctx, create=True) as store:
        clean = add_sheet(store, name, note)
    say(f"sheet {shown(clean)} is on file")


@group.command("rename")
def rename(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(metavar="SHEET", help="Name of the sheet.")],
    new_name: Annotated[str, typer.Argument(metavar="NEW", help="Its name from now on.")],
) -> None:
    """Give a limit sheet another name; its limits and vehicles stay with it."""
    from brakelog.workshop.limits import rename_sheet

    with opened(ctx) as store:
        old, new = rename_sheet(store, name, new_name)
    say(f"sheet {shown(old)} is called {shown(new)} now")


@group.command("add")
def add(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(metavar="SHEET", help="Name of the sheet.")],
    axle: Annotated[str, typer.Argument(help="front, rear, 3 ...")],
    kind: _Kind,
    figure: _Figure,
    source: _Source,
    other_figure: _Other = "",
    out_when: _OutWhen = None,
    unit: _Unit = None,
    datum: _Datum = None,
    pad: _Pad = WhichPad.BOTH,
    points: _Points = None,
    radius: _Radius = "",
    dated: _Dated = None,
) -> None:
    """Put a limit on a sheet, as printed."""
    from brakelog.workshop.limits import add_limit, contradicting

    row = _limit_row(
        sheet=name,
        axle=axle,
        limit=kind.value,
        figure=figure,
        other_figure=other_figure,
        unit=unit,
        out_when=out_when,
        datum=datum,
        which_pad=None if pad is WhichPad.BOTH else pad.value,
        points=None if points is None else str(points),
        radius=radius,
        source=source,
        source_date=dated,
    )
    with opened(ctx) as store:
        limit = add_limit(store, row)
        disputed = contradicting(store, store.limits_of_sheet(limit.sheet or ""))
    say(_line(limit))
    if limit.id in disputed:
        _say_disputed(limit)


@group.command("cast")
def cast(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    corner: Annotated[str, typer.Argument(help="LF RF LR RR ...")],
    kind: _Kind,
    figure: _Figure,
    other_figure: _Other = "",
    unit: _Unit = None,
    out_when: _OutWhen = None,
    datum: _Datum = None,
    pad: _Pad = WhichPad.BOTH,
    dated: _Dated = None,
    source: _Source = "cast on the part",
) -> None:
    """Put on file what is cast on a part of one vehicle."""
    from brakelog.workshop.limits import cast_mark, contradicting, limits_of

    place = parse_corner(corner)
    row = _limit_row(
        sheet=vehicle,
        axle=str(place.axle),
        limit=kind.value,
        figure=figure,
        other_figure=other_figure,
        unit=unit,
        out_when=out_when,
        datum=datum,
        which_pad=None if pad is WhichPad.BOTH else pad.value,
        source=source,
        source_date=dated,
    )
    with opened(ctx) as store:
        limit = cast_mark(store, vehicle, place, row)
        disputed = contradicting(store, limits_of(store, vehicle, is_vehicle=True)[1])
    say(_line(limit))
    if limit.id in disputed:
        _say_disputed(limit)


@group.command("torque")
def torque(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(metavar="SHEET", help="Name of the sheet.")],
    axle: Annotated[str, typer.Argument(help="front, rear, 3 ...")],
    fastener: Annotated[str, typer.Argument(help="What is tightened.")],
    figure: Annotated[str, typer.Argument(help='As printed: "110 N·m".')],
    source: _Source,
) -> None:
    """Put a torque on a sheet, as printed."""
    from brakelog.intake.limit_row import TORQUE, TorqueRow
    from brakelog.workshop.limits import add_torque
    from brakelog.workshop.rows import typed_row

    row = typed_row(
        "limits",
        {
            "sheet": name,
            "axle": axle,
            "limit": TORQUE,
            "fastener": fastener,
            "figure": figure,
            "source": source,
        },
    )
    assert isinstance(row, TorqueRow)
    with opened(ctx) as store:
        kept = add_torque(store, row)
    say(_torque_line(kept))


@group.command("trait")
def trait(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(metavar="SHEET", help="Name of the sheet.")],
    axle: Annotated[str, typer.Argument(help="front, rear, 3 ... or vehicle.")],
    trait_name: Annotated[str, typer.Argument(metavar="TRAIT", help="caliper, faster-pad ...")],
    value: Annotated[str, typer.Argument(help="floating, inner ...")],
    source: Annotated[str, typer.Option(help="Document and page.")] = "",
) -> None:
    """Say what kind of brake the sheet is for, beyond its limits."""
    from brakelog.workshop.limits import add_trait

    with opened(ctx) as store:
        kept = add_trait(store, name, axle, trait_name, value, source)
    say(_trait_line(kept))


@group.command("change")
def change(
    ctx: typer.Context,
    limit_id: Annotated[str, typer.Argument(help="Id of the limit, as shown.")],
    figure: _Figure,
    why: _Why,
    other_figure: _Other = "",
) -> None:
    """Follow a limit by another one; the old one is kept."""
    from brakelog.workshop.limits import change_limit, contradicting

    with opened(ctx) as store:
        limit = change_limit(store, limit_id, (figure, other_figure), why)
        near = store.limits_of_sheet(limit.sheet) if limit.sheet else [limit]
        disputed = contradicting(store, near)
    say(_line(limit))
    if limit.id in disputed:
        _say_disputed(limit)


@group.command("withdraw")
def withdraw(
    ctx: typer.Context,
    limit_id: Annotated[str, typer.Argument(help="Id of the limit, as shown.")],
    why: _Why,
) -> None:
    """Take a limit out of use; it is kept, with the reason."""
    from brakelog.workshop.limits import find_limit

    with opened(ctx) as store:
        limit = find_limit(store, limit_id)
        store.withdraw_limit(limit.id, why)
    say(f"withdrawn: {_line(limit)}")


@group.command("confirm")
def confirm(
    ctx: typer.Context,
    limit_id: Annotated[str, typer.Argument(help="Id of the limit, as shown.")],
    figure: Annotated[str, typer.Argument(help='The figure that holds: "22.8 mm".')],
    by: Annotated[str, typer.Option(help="Initials of who confirms.")],
    why: _Why,
) -> None:
    """Confirm which figure holds where figures contradict each other."""
    from brakelog.workshop.limits import confirm_limit

    with opened(ctx) as store:
        limit, confirmation = confirm_limit(store, limit_id, figure, why, by=by)
    held = limit.figures[confirmation.figure]
    say(f"confirmed: {shown(held.text)} of {_line(limit)}")


@group.command("list")
def list_all(ctx: typer.Context, as_json: _Json = False) -> None:
    """List the limit sheets."""
    with opened(ctx) as store:
        sheets = store.sheets()
    if as_json:
        say_json({"format": "brakelog.sheets/1", "sheets": sheets})
        return
    for name in sheets:
        say(shown(name))
    if not sheets:
        say("no limit sheets on file; brakelog limits sheet NAME")


@group.command("show")
def show(
    ctx: typer.Context,
    name: Annotated[str, typer.Argument(help="A sheet, or a vehicle with its cast marks.")],
    vehicle: Annotated[
        bool, typer.Option("--vehicle", help="The name is a vehicle's, even if a sheet has it.")
    ] = False,
    as_json: _Json = False,
) -> None:
    """Show a sheet with its limits and torques."""
    from brakelog.workshop.limits import contradicting, limits_of

    with opened(ctx) as store:
        title, limits, torques = limits_of(store, name, is_vehicle=vehicle)
        disputed = contradicting(store, limits)
        traits = store.traits_of_sheet(title) if title in store.sheets() else []
    if as_json:
        say_json(
            {
                "format": "brakelog.limits/1",
                "sheet": title,
                "limits": [_document(each, each.id in disputed) for each in limits],
                "torques": [
                    {
                        "axle": axle_name(each.axle),
                        "fastener": each.fastener,
                        "figure": each.figure,
                        "source": each.source,
                    }
                    for each in torques
                ],
                "traits": [
                    {
                        "axle": axle_name(each.axle) if each.axle else None,
                        "trait": each.name,
                        "value": each.value,
                        "source": each.source or None,
                    }
                    for each in traits
                ],
            }
        )
        return
    say(shown(title))
    for each in limits:
        say(f"  {_line(each)}")
        if each.id in disputed:
            say(
                f"    contradiction: brakelog limits confirm {each.id[:12]} FIGURE --by WHO "
                f'--why "REASON"'
            )
    for torque_row in torques:
        say(f"  {_torque_line(torque_row)}")
    for trait_row in traits:
        say(f"  {_trait_line(trait_row)}")


def _limit_row(**texts: str | None) -> LimitRow:
    from brakelog.intake.limit_row import LimitRow
    from brakelog.workshop.rows import typed_row

    row = typed_row("limits", texts)
    assert isinstance(row, LimitRow)
    return row


def _line(limit: Limit) -> str:
    where = limit.corner.code if limit.corner else axle_name(limit.axle)
    pad = "" if limit.which_pad is WhichPad.BOTH else f" {limit.which_pad.value}"
    datum = f" {limit.datum.value}" if limit.datum else ""
    out = ""
    if limit.kind.facts.is_bound:
        out = f", out when {limit.comparator.value}"
        out += "" if limit.out_when else " (not stated, the stricter taken)"
    return shown(
        f"{limit.id[:12]}  {where}{pad} {limit.kind.value} {limit.as_printed}{datum}{out}; "
        f"{limit.source}"
    )


def _torque_line(torque_row: Torque) -> str:
    return shown(
        f"{axle_name(torque_row.axle)} torque {torque_row.fastener}: {torque_row.figure}; "
        f"{torque_row.source}"
    )


def _trait_line(trait: Trait) -> str:
    where = axle_name(trait.axle) if trait.axle else "vehicle"
    source = f"; {trait.source}" if trait.source else ""
    return shown(f"{where} {trait.name}: {trait.value}{source}")


def _say_disputed(limit: Limit) -> None:
    typer.echo(
        "note: figures for this bound contradict each other; none decides until one is "
        f'confirmed: brakelog limits confirm {limit.id[:12]} FIGURE --by WHO --why "REASON"',
        err=True,
    )


def _document(limit: Limit, disputed: bool) -> dict[str, object]:
    return {
        "id": limit.id,
        "axle": axle_name(limit.axle),
        "corner": limit.corner.code if limit.corner else None,
        "kind": limit.kind.value,
        "as_printed": limit.as_printed,
        "figures": [
            {"text": f.text, "unit": f.unit.value, "mm": decimal_mm(f.nm)} for f in limit.figures
        ],
        "out_when": limit.comparator.value if limit.kind.facts.is_bound else None,
        "comparator_stated": limit.out_when is not None,
        "datum": limit.datum.value if limit.datum else None,
        "which_pad": limit.which_pad.value,
        "points": limit.points,
        "radius_mm": None if limit.radius_nm is None else decimal_mm(limit.radius_nm),
        "source": limit.source,
        "source_date": limit.source_date.isoformat() if limit.source_date else None,
        "contradicts": disputed,
        "note": limit.note,
    }
