"""``brakelog due``: how far every vehicle of the store will go."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from brakelog.cli.terminal import (
    columns,
    is_plain,
    lock_wait_s,
    opened,
    say_json,
    say_lines,
    say_text,
    today,
)
from brakelog.errors import InvalidInput

if TYPE_CHECKING:
    from brakelog.rules.due import Wanted
    from brakelog.store.store import Store

PATIENCE_S = 1.0
"""Work that takes longer shows how far it is. [s]"""


def hang_up(app: typer.Typer) -> None:
    """Add the command."""
    app.command("due")(due)


def due(
    ctx: typer.Context,
    since: Annotated[
        str | None, typer.Option("--from", help="Due on this day or later: 2026-12-01.")
    ] = None,
    until: Annotated[str | None, typer.Option(help="Due on this day or before.")] = None,
    within: Annotated[str | None, typer.Option(help='Due within this distance: "5000 km".')] = None,
    axle: Annotated[str | None, typer.Option(help="front, rear, or its number.")] = None,
    vehicle_class: Annotated[
        str | None, typer.Option("--class", help="car, light or heavy.")
    ] = None,
    grounds: Annotated[str | None, typer.Option(help="required, suggested, open or none.")] = None,
    on: Annotated[str | None, typer.Option("--on", help="As of this day instead of today.")] = None,
    experience: Annotated[
        bool, typer.Option("--experience", help="Show what the shop has learned instead.")
    ] = False,
    back_test: Annotated[
        bool, typer.Option("--back-test", help="Show how often the bounds held instead.")
    ] = False,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", help="Throw away what is kept and work it out anew.")
    ] = False,
    every_site: Annotated[
        bool,
        typer.Option("--every-site", help="On a server: the lists of all sites, site by site."),
    ] = False,
    processes: Annotated[
        int, typer.Option("--processes", min=1, max=64, help="Sites worked on at a time.")
    ] = 2,
    as_json: Annotated[bool, typer.Option("--json", help="As JSON.")] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="As comma-separated values.")] = False,
) -> None:
    """List the vehicles whose brakes end first, with the part that ends them and when."""
    if as_json and as_csv:
        raise typer.BadParameter("--json or --csv, not both")
    if experience and back_test:
        raise typer.BadParameter("--experience or --back-test, not both")
    if as_csv and (experience or back_test):
        raise typer.BadParameter("--csv is for the list")
    if every_site and (experience or back_test or rebuild):
        raise typer.BadParameter("--every-site is for the list")
    from brakelog.workshop.due import due_list, read_wanted

    with opened(ctx) as store:
        wanted = read_wanted(
            since=_day(since),
            until=_day(until),
            within_mm=_distance_mm(store, within),
            axle=axle,
            vehicle_class=vehicle_class,
            grounds=grounds,
        )
        if every_site:
            _every_site(
                store, wanted, _day(on) or today(), processes, as_json=as_json, as_csv=as_csv
            )
            return
        _refresh(store, rebuild=rebuild)
        if experience:
            _say_experience(store, as_json=as_json)
            return
        if back_test:
            _say_back_test(store, as_json=as_json)
            return
        found = due_list(store, wanted, _day(on) or today())
        shop = store.shop()
    if as_json:
        from brakelog.reports.due_document import due_document

        say_json(due_document(found, wanted, shop.site))
    elif as_csv:
        from brakelog.reports.due_document import due_sheet

        say_text(due_sheet(found), ends=True)
    else:
        from brakelog.reports.due import due_lines

        say_lines(due_lines(found, shop, width=columns(most=200), aloud=is_plain()))


def _every_site(
    store: Store, wanted: Wanted, day: date, processes: int, *, as_json: bool, as_csv: bool
) -> None:
    from brakelog.store.address import ServerAddress
    from brakelog.workshop.due_of_sites import due_of_sites

    if not isinstance(store.path, ServerAddress):
        raise InvalidInput("a file holds one site", hint="--every-site is for a store on a server")
    from brakelog.store.postgres_opening import open_sites

    sites = open_sites(store.path, wait_s=lock_wait_s())
    with progress() as told:
        found = list(
            due_of_sites(
                store.path,
                sites,
                wanted,
                day,
                wait_s=lock_wait_s(),
                processes=processes,
                told=told,
            )
        )
    if as_json:
        from brakelog.reports.due_document import due_document

        for each in found:
            say_json(due_document(each.due, wanted, each.site), on_a_line=True)
    elif as_csv:
        from brakelog.reports.due_document import due_of_sites_sheet

        lists = [(each.site, each.due) for each in found]
        say_text(due_of_sites_sheet(lists), ends=True)
    else:
        from brakelog.reports.due import due_of_sites_lines

        shops = [(each.site, each.shop, each.due) for each in found]
        say_lines(due_of_sites_lines(shops, width=columns(most=200), aloud=is_plain()))


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    from brakelog.intake.words import parse_day

    return parse_day(text)


def _distance_mm(store: Store, text: str | None) -> int | None:
    if text is None:
        return None
    from brakelog.lengths import parse_distance

    return parse_distance(text, declared=store.shop().distance_unit)[0]


def _refresh(store: Store, *, rebuild: bool) -> None:
    from brakelog.workshop.fleet import refresh

    with progress() as told:
        refresh(store, told, rebuild=rebuild)


@contextmanager
def progress() -> Iterator[Callable[[str, int, int], None]]:
    """Show how far some work is on standard error, once it takes longer than a second."""
    if not sys.stderr.isatty() or is_plain():
        yield lambda what, done, total: None
        return
    bars: dict[str, int] = {}
    begun = time.monotonic()
    shown = None

    def told(what: str, done: int, total: int) -> None:
        nonlocal shown
        if shown is None:
            if time.monotonic() - begun < PATIENCE_S:
                return
            from rich.console import Console
            from rich.progress import Progress

            shown = Progress(console=Console(stderr=True), transient=True)
            shown.start()
        if what not in bars:
            bars[what] = int(shown.add_task(what, total=total))
        from rich.progress import TaskID

        shown.update(TaskID(bars[what]), completed=done)

    try:
        yield told
    finally:
        if shown is not None:
            shown.stop()


def _say_experience(store: Store, *, as_json: bool) -> None:
    from brakelog.reports.experience import experience_document, experience_lines
    from brakelog.workshop.experience import learned_experiences, usual_usage

    rows, shop = store.experience_rows(), store.shop()
    usage, share = usual_usage(store, shop), learned_experiences(store).vehicle_share
    if as_json:
        say_json(experience_document(rows, usage, share))
    else:
        say_lines(experience_lines(rows, usage, share, shop, width=columns()))


def _say_back_test(store: Store, *, as_json: bool) -> None:
    from brakelog.reports.back_test import back_test_document, back_test_lines
    from brakelog.workshop.learning import tested

    found = tested(store)
    if as_json:
        say_json(back_test_document(found))
    else:
        say_lines(back_test_lines(found, width=columns()))
