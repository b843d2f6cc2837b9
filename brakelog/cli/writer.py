"""Commands of the service writer."""

from __future__ import annotations

import enum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brakelog.cli.counter_page import Paper, check_paper, put_issued, put_page
from brakelog.cli.terminal import columns, opened, say_json, say_lines, say_text, today
from brakelog.errors import NotFound

if TYPE_CHECKING:
    from brakelog.rules.closing import Closing
    from brakelog.rules.verdict import VehicleVerdict
    from brakelog.store.store import Store

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
    vehicle: Annotated[
        str | None, typer.Argument(help="Tag, plate or VIN; not with --all.")
    ] = None,
    visit: Annotated[
        str | None, typer.Option(help="Date or id of the visit; the newest if not given.")
    ] = None,
    stage: Annotated[str | None, typer.Option(help="as-found or as-left.")] = None,
    as_of: Annotated[
        str | None,
        typer.Option("--as-of", help="Visit whose issued verdict is given again, word for word."),
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Every vehicle's newest visit; needs --json.")
    ] = False,
    preview: Annotated[
        bool, typer.Option("--preview", help="Show it without putting it on record as issued.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
    html: Annotated[
        bool, typer.Option("--html", help="As a page for paper, with what the vehicle leaves with.")
    ] = False,
    out: Annotated[
        Path | None, typer.Option(help="File to write the page to; - for standard output.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Write over what is there.")] = False,
    fail_on: Annotated[
        FailOn | None,
        typer.Option(help="Exit 10 on required work, 11 where something was not judged."),
    ] = None,
) -> None:
    """Say for every part whether it may stay, why, and how far it will go."""
    check_paper(out, html=html, every=every, as_json=as_json, replace=replace)
    _check_together(vehicle, visit, as_of, every=every, as_json=as_json)
    if every:
        _say_all(ctx, read_fail=fail_on)
        return
    assert vehicle is not None
    if as_of is not None:
        paper = Paper(out=out, replace=replace) if html else None
        _say_issued(ctx, vehicle, as_of, stage, as_json=as_json, paper=paper)
        return
    from brakelog.reports.counter import counter_sheet
    from brakelog.reports.plain import as_text
    from brakelog.workshop.counter import give_verdict, read_stage

    def sheet(given: VehicleVerdict) -> str:
        return as_text(counter_sheet(given, today=today()))

    with opened(ctx) as store:
        result = give_verdict(
            store,
            vehicle,
            visit_name=visit,
            stage=read_stage(stage),
            render=None if preview else sheet,
        )
        closing = None if as_json else _closing(store, result)
        names = {each.tag: each.name for each in store.people()} if html else {}
    if html:
        from brakelog.reports.counter_page import counter_page

        page = counter_page(result, closing, names=names, today=today(), is_preview=preview)
        put_page(page, result.file, Paper(out=out, replace=replace))
    elif as_json:
        from brakelog.rules.document import verdict_text

        say_text(verdict_text(result))
    else:
        say_lines(counter_sheet(result, width=columns(), today=today(), closing=closing))
    _fail(fail_on, is_required=bool(result.required), is_open=_is_open(result))


def _closing(store: Store, result: VehicleVerdict) -> Closing | None:
    """Return what is open of the visit's job; where there is no job, nothing is loaded for it."""
    from brakelog.rules.worked import is_work

    if not is_work(result.file) and not store.agreements_of(result.file.visit.id):
        return None
    from brakelog.workshop.finishing import closing_of

    return closing_of(store, result)


def _check_together(
    vehicle: str | None, visit: str | None, as_of: str | None, *, every: bool, as_json: bool
) -> None:
    """Refuse options that do not go together."""
    if every and (vehicle or visit or as_of):
        raise typer.BadParameter("--all is for every vehicle: leave out vehicle and visit")
    if every and not as_json:
        raise typer.BadParameter("--all is for machines: add --json; one verdict a line")
    if not every and vehicle is None:
        raise typer.BadParameter("which vehicle? brakelog vehicle list, or --all --json")
    if as_of is not None and visit is not None:
        raise typer.BadParameter("--as-of names the visit itself: leave out --visit")


def _say_issued(
    ctx: typer.Context,
    vehicle: str,
    as_of: str,
    stage: str | None,
    *,
    as_json: bool,
    paper: Paper | None,
) -> None:
    from brakelog.workshop.counter import issued_verdict, read_stage

    with opened(ctx) as store:
        issued = issued_verdict(store, vehicle, as_of, read_stage(stage))
        by = issued.recorded_by
        who = store.person_by_id(by).tag if paper and by else ""
    if as_json:
        say_text(issued.document)
        return
    if issued.sheet is None:
        raise NotFound(
            "that verdict was kept for machines only", hint="add --json to see it as issued"
        )
    if paper is not None:
        put_issued(issued, issued.sheet, who, paper)
    else:
        say_text(issued.sheet, ends=True)


def _say_all(ctx: typer.Context, read_fail: FailOn | None) -> None:
    """Say one verdict a line, vehicle by vehicle, and keep nothing."""

    from brakelog.rules.document import verdict_document
    from brakelog.workshop.counter import every_verdict

    is_required = is_open = False
    with opened(ctx) as store:
        for result in every_verdict(store):
            is_required = is_required or bool(result.required)
            is_open = is_open or _is_open(result)
            say_json(verdict_document(result), on_a_line=True)
    _fail(read_fail, is_required=is_required, is_open=is_open)


def _is_open(result: VehicleVerdict) -> bool:
    return bool(result.not_judged or result.file.unfiled)


def _fail(fail_on: FailOn | None, *, is_required: bool, is_open: bool) -> None:
    if fail_on is FailOn.REQUIRED:
        if is_required:
            raise typer.Exit(REQUIRED_FOUND)
        if is_open:
            raise typer.Exit(NOT_JUDGED)
