"""Commands for the customer."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json, today, write_new
from brakelog.record.reading import Stage


def hang_up(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("summary")(summary)


def summary(
    ctx: typer.Context,
    vehicle: Annotated[str, typer.Argument(help="Tag, plate or VIN.")],
    visit: Annotated[
        str | None, typer.Option(help="Date or id of the visit; the newest if not given.")
    ] = None,
    stage: Annotated[str | None, typer.Option(help="as-found or as-left.")] = None,
    text: Annotated[bool, typer.Option("--text", help="Plain text for mail, printed.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="The same facts as JSON.")] = False,
    out: Annotated[Path | None, typer.Option(help="File to write; - for standard output.")] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over a page that is there.")
    ] = False,
) -> None:
    """Write one self-contained page for the customer."""
    from brakelog.reports.counter import counter_sheet
    from brakelog.reports.customer import customer_summary
    from brakelog.reports.customer_page import summary_document, summary_page, summary_text
    from brakelog.reports.plain import as_text
    from brakelog.workshop.counter import customer_of, give_verdict, read_stage
    from brakelog.workshop.earlier_jobs import with_earlier
    from brakelog.workshop.finishing import closing_of, stage_of_page

    with opened(ctx) as store:
        verdict = give_verdict(
            store,
            vehicle,
            visit_name=visit,
            stage=read_stage(stage) or stage_of_page(store, vehicle, visit),
            render=lambda given: as_text(counter_sheet(given, today=today())),
        )
        customer = customer_of(store, verdict.file.vehicle)
        closing = with_earlier(store, verdict.file, closing_of(store, verdict))
        facts = customer_summary(verdict, customer, today=today(), closing=closing)
    if as_json:
        say_json(summary_document(facts))
        return
    content = summary_text(facts) if text else summary_page(facts)
    if (text and out is None) or str(out) == "-":
        sys.stdout.write(content)
        return
    day = verdict.file.visit.day.isoformat()
    tag = verdict.file.vehicle.tag
    name = page_name(tag, day, verdict.file.stage, is_preliminary=facts.is_preliminary)
    target = out or Path(name)
    write_new(
        target, content, replace=replace, hint="--replace writes over it, --out names another"
    )
    say(f"written to {target}")


_STATE = {Stage.AS_FOUND: "as-found", Stage.AS_LEFT: "after-work"}


def page_name(tag: str, day: str, stage: Stage, *, is_preliminary: bool = False) -> str:
    """Return a file name that every system allows, another one for every state of the work.

    >>> page_name("../Ab 1", "2026-03-02", Stage.AS_FOUND)
    'brakes-Ab-1-2026-03-02-as-found.html'
    """
    words = "".join(sign if sign.isascii() and sign.isalnum() else " " for sign in tag).split()
    end = "-preliminary" if is_preliminary else ""
    return f"brakes-{'-'.join(words)[:60] or 'vehicle'}-{day}-{_STATE[stage]}{end}.html"
