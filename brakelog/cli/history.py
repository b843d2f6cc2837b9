"""The command ``history``: what every part of a vehicle was, read, and lasted."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brakelog.cli.terminal import (
    columns,
    is_plain,
    opened,
    say,
    say_json,
    say_lines,
    today,
    write_new,
)
from brakelog.errors import InvalidInput, NotFound, clip

if TYPE_CHECKING:
    from brakelog.rules.part_history import VehicleHistory


def hang_up(app: typer.Typer) -> None:
    """Add the command."""
    app.command("history")(history)


def history(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    corner: Annotated[str | None, typer.Option(help="Only this corner: LF RF LR RR L3 ...")] = None,
    part: Annotated[
        str | None, typer.Option(help="Only this kind of part: pads, rotor, shoes or drum.")
    ] = None,
    draw: Annotated[
        bool | None,
        typer.Option(
            "--draw/--no-draw",
            help="Draw; --no-draw leaves it out. Drawn at a terminal if neither is given.",
        ),
    ] = None,
    plot: Annotated[
        Path | None,
        typer.Option(help="Write a picture to this file instead: .svg or .png.", metavar="FILE"),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over a picture that is there.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
) -> None:
    """Say what each part was, read and lasted, and draw the wear to its limit."""
    _check_together(plot, replace=replace, draw=draw, as_json=as_json)
    if plot is not None:
        _check_ending(plot)
    from brakelog.workshop.history import history_of

    day = today()
    with opened(ctx) as store:
        found = history_of(store, vehicle, today=day, corner_code=corner, part_word=part)
    if plot is not None:
        _write_picture(found, plot, replace=replace)
    elif as_json:
        from brakelog.reports.history_document import history_document

        say_json(history_document(found))
    else:
        from brakelog.reports.history import history_sheet

        draws = _is_drawn() if draw is None else draw
        say_lines(history_sheet(found, width=columns(), today=day, draws=draws))


def _check_together(plot: Path | None, *, replace: bool, draw: bool | None, as_json: bool) -> None:
    """Refuse options that do not go together."""
    if plot is not None and (as_json or draw is not None):
        raise typer.BadParameter(
            "--plot writes a picture and prints nothing else: leave out the others"
        )
    if as_json and draw is not None:
        raise typer.BadParameter("--json holds all that is drawn: leave out --draw and --no-draw")
    if replace and plot is None:
        raise typer.BadParameter("--replace is for a picture: name it with --plot")


_ENDINGS = (".png", ".svg")


def _check_ending(target: Path) -> None:
    if target.suffix.lower() not in _ENDINGS:
        raise InvalidInput(
            f"{clip(target.name)!r} does not say which kind of picture",
            hint="--plot wear.svg, or wear.png",
        )


def _is_drawn() -> bool:
    """Whether a drawing is of use: not in a file or a mail, nor to a program that reads aloud."""
    return sys.stdout.isatty() and not is_plain()


def _write_picture(found: VehicleHistory, target: Path, *, replace: bool) -> None:
    if all(place.is_bare for place in found.places):
        raise NotFound(
            "nothing is on record there that could be drawn",
            hint=f"brakelog measure {found.file.vehicle.tag}",
        )
    from brakelog.reports.wear_picture import Kind, wear_picture

    kind = Kind(target.suffix.lower().removeprefix("."))
    write_new(
        target,
        wear_picture(found, kind),
        replace=replace,
        hint="--replace writes over it, --plot names another",
        option="--plot",
    )
    say(f"written to {target}")
