"""``brakelog customer``: what somebody may ask for about their own data."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from brakelog.cli.terminal import opened, say, say_json
from brakelog.errors import InvalidInput
from brakelog.reports.plain import shown
from brakelog.rules.figure import counted

MOST_MENTIONS = 50
"""Rows that still write a name out and are listed; the rest is counted."""
_Tag = Annotated[str, typer.Argument(help="The customer's tag.")]
group = typer.Typer(no_args_is_help=True, help="Personal data of a customer: export, forget.")


def hang_up(app: typer.Typer) -> None:
    """Add the group of commands."""
    app.add_typer(group, name="customer")


@group.command("export")
def export(
    ctx: typer.Context,
    tag: _Tag,
    folder: Annotated[
        Path | None, typer.Argument(help="Folder to write to; new, or empty.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print it as JSON.")] = False,
) -> None:
    """Hand out everything about one customer: vehicles, visits, readings, verdicts."""
    from brakelog.workshop.customer_data import customer_data, write_customer_data

    if as_json == (folder is not None):
        raise InvalidInput("where to?", hint="name a folder, or --json to print it")
    with opened(ctx) as store:
        document = customer_data(store, tag)
    if folder is None:
        say_json(document)
        return
    files = write_customer_data(document, folder)
    say(f"{counted(files, 'file')} in {folder}")


@group.command("forget")
def forget(
    ctx: typer.Context,
    tag: _Tag,
    why: Annotated[str, typer.Option("--why", help="The reason, without the name; it is kept.")],
    keep_plates: Annotated[
        bool, typer.Option("--keep-plates", help="Leave plates and VINs of the vehicles.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask first.")] = False,
    by: Annotated[
        str | None, typer.Option("--by", envvar="BRAKELOG_BY", help="Initials of who does it.")
    ] = None,
) -> None:
    """Take a customer's name and words out of the store; every reading stays."""
    from brakelog.workshop.forgetting import forget_customer, to_forget

    with opened(ctx) as store:
        found = to_forget(store, tag)
        if not yes:
            _ask(found.customer.name, [vehicle.tag for vehicle in found.vehicles], keep_plates)
        done = forget_customer(store, tag, why, by=by, keeps_plates=keep_plates)
    say(f"forgotten; the store says {done.tag} from now on")
    say(
        f"{counted(done.vehicles, 'vehicle')} without an owner,"
        f" {counted(done.complaints, 'complaint')} and"
        f" {counted(done.agreements, 'name')} under agreements emptied"
    )
    if done.mentions:
        say("still written out in evidence, which is never changed:")
        for mention in done.mentions[:MOST_MENTIONS]:
            say(f"  {mention.table} {mention.id[:12]}: {', '.join(mention.columns)}")
        if (more := len(done.mentions) - MOST_MENTIONS) > 0:
            say(f"  and {more} more")
    else:
        say("no note and no verdict writes the name out")
    if done.copies:
        say("copies from before may still hold it:")
        for path in done.copies:
            say(f"  {path}")
    elif not done.is_file:
        say("backups of the server may still hold it")
    if not done.is_clean:
        say("somebody else is reading the store: old words may stand in unused space of the file")
        say("brakelog store move to a new file leaves them behind")
    say("pages, exports and copies that were made before are not touched")


def _ask(name: str, tags: list[str], keep_plates: bool) -> None:
    if not sys.stdin.isatty():
        raise InvalidInput("forgetting cannot be taken back", hint="--yes says that it is meant")
    of = f" and the owner{'' if keep_plates else ', plate and VIN'} of {', '.join(tags)}"
    typer.confirm(f"Forget {shown(name)}{shown(of) if tags else ''}, for good?", abort=True)
