"""The command ``runout``: hub or rotor, the best stud position, plates."""

from __future__ import annotations

from typing import Annotated

import typer

from brakelog.cli.terminal import columns, opened, say_json, say_lines
from brakelog.metrology.plates import Face
from brakelog.metrology.shares import Mark


def runout(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    corner: Annotated[str, typer.Argument(help="LF RF LR RR ...")],
    visit: Annotated[
        str | None,
        typer.Option(help="Date or id of the visit; the newest with a runout if not given."),
    ] = None,
    stage: Annotated[str | None, typer.Option(help="as-found or as-left.")] = None,
    mark: Annotated[
        Mark, typer.Option(help="What the first point of each profile is marked on.")
    ] = Mark.HUB,
    face: Annotated[
        Face, typer.Option(help="Face of the rotor that was read; turns the plates round.")
    ] = Face.OUTER,
    plates: Annotated[
        str | None,
        typer.Option(help='Plates to try: "3 thou 6 thou", or none; the common ones if not given.'),
    ] = None,
    plate_radius: Annotated[
        str | None, typer.Option(help='Radius at which a plate\'s taper is stated: "70 mm".')
    ] = None,
    indicator_radius: Annotated[
        str | None,
        typer.Option(help='Radius from the middle at which the rotor is read: "140 mm".'),
    ] = None,
    tyre: Annotated[
        str | None, typer.Option(help="Tyre size for the pulsation table: 205/55R16.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
) -> None:
    """Tell hub from rotor, and say what each stud position or correction plate would give."""
    from brakelog.workshop.runout import RunoutTyped, runout_of

    typed = RunoutTyped(
        visit=visit,
        stage=stage,
        mark=mark,
        face=face,
        plates=plates,
        plate_radius=plate_radius,
        indicator_radius=indicator_radius,
        tyre=tyre,
    )
    with opened(ctx) as store:
        study = runout_of(store, vehicle, corner, typed)
    if as_json:
        from brakelog.reports.runout_document import runout_document

        say_json(runout_document(study))
    else:
        from brakelog.reports.runout import runout_sheet

        say_lines(runout_sheet(study, width=columns()))
