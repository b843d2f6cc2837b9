"""Commands of the service writer."""

from __future__ import annotations

import enum
from typing import Annotated

import typer

from brakelog.cli.terminal import columns, opened, say_json, say_lines, today

REQUIRED_FOUND = 10
NOT_JUDGED = 11
"""Exit codes of ``verdict --fail-on required``."""


class FailOn(enum.Enum):
    """What makes ``verdict`` end with an exit code of its own."""

    REQUIRED = "required"


def hang_up(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("verdict")(verdict)


def verdict(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    visit: Annotated[
        str | None, typer.Option(help="Date or id of the visit; the newest if not given.")
    ] = None,
    stage: Annotated[str | None, typer.Option(help="as-found or as-left.")] = None,
    preview: Annotated[
        bool, typer.Option("--preview", help="Show it without putting it on record as issued.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
    fail_on: Annotated[
        FailOn | None,
        typer.Option(help="Exit 10 on required work, 11 where something was not judged."),
    ] = None,
) -> None:
    """Say for every part whether it may stay, why, and how far it will go."""
    from brakelog.workshop.counter import give_verdict, read_stage

    with opened(ctx) as store:
        result = give_verdict(
            store, vehicle, visit_name=visit, stage=read_stage(stage), issue=not preview
        )
    if as_json:
        from brakelog.rules.document import verdict_document

        say_json(verdict_document(result))
    else:
        from brakelog.reports.counter import counter_sheet

        say_lines(counter_sheet(result, width=columns(), today=today()))
    if fail_on is FailOn.REQUIRED:
        if result.required:
            raise typer.Exit(REQUIRED_FOUND)
        if result.not_judged or result.file.unfiled:
            raise typer.Exit(NOT_JUDGED)
