"""``brakelog export``: everything in the store, in files that other programs read."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from brakelog.cli.terminal import opened, say
from brakelog.rules.figure import counted


def hang_up(app: typer.Typer) -> None:
    """Add the command."""
    app.command("export")(export)


def export(
    ctx: typer.Context,
    folder: Annotated[Path, typer.Argument(help="Folder to write; new, or empty.")],
    as_json: Annotated[
        bool, typer.Option("--json", help="One file of JSON instead of sheets (CSV).")
    ] = False,
) -> None:
    """Write everything in the store into a folder: names, plates and words of customers too."""
    from brakelog.workshop.exporting import export_store

    with opened(ctx) as store:
        done = export_store(store, folder, as_json=as_json)
    say(f"{counted(done.rows, 'row')} in {counted(done.files, 'file')} in {done.folder}")
