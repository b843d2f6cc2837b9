"""``brakelog demo``: a sample workshop in a scratch store."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from brakelog.cli.terminal import columns, say, say_lines, today, write_new


def hang_up(app: typer.Typer) -> None:
    """Add the command."""
    app.command("demo")(demo)


def demo(
    folder: Annotated[
        Path | None, typer.Option(help="Folder to work in; a new scratch folder if not given.")
    ] = None,
) -> None:
    """Load a sample workshop, judge one vehicle, and write its customer's page."""
    from brakelog.reports.counter import counter_sheet
    from brakelog.reports.customer import customer_summary
    from brakelog.reports.customer_page import summary_page
    from brakelog.reports.customer_pictures import drawn
    from brakelog.workshop.demo import SHOWN, run_demo

    result = run_demo(folder, today())
    case = result.case
    say(f"{result.vehicles} invented vehicles, {result.readings} reading sets, all imported from:")
    say(f"  {result.sheets}")
    say()
    say_lines(counter_sheet(case.verdict, width=columns()))
    page = result.folder / f"brakes-{SHOWN}.html"
    facts = customer_summary(case.verdict, case.customer, closing=case.closing)
    pictures = drawn(case.places, case.verdict.file.shop)
    write_new(page, summary_page(facts, pictures), replace=True)
    store = result.store
    say()
    say(f"Store:           {store}")
    say(f"Customer's page: {page}")
    say("Go on with:")
    for words in (
        "vehicle list",
        f"verdict {SHOWN}",
        f"summary {SHOWN} --text",
        *(f"verdict {tag}" for tag in result.also),
        f"measure {SHOWN}",
    ):
        say(f'  brakelog --store "{store}" {words}')
