"""Whole sheets in."""

from __future__ import annotations

import os
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import Annotated, BinaryIO

import typer

from brakelog.cli.terminal import opened, say, today, write_new
from brakelog.errors import InvalidInput, NotFound, StoreError
from brakelog.rules.figure import counted


def hang_up(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("import")(import_sheet)


def import_sheet(
    ctx: typer.Context,
    file: Annotated[
        list[Path] | None,
        typer.Argument(help="Sheets (CSV), put on file in this order; or the folder of an export."),
    ] = None,
    kind: Annotated[
        str | None, typer.Option(help="Kind of sheet, where the header does not tell it.")
    ] = None,
    template: Annotated[
        str | None, typer.Option(metavar="KIND", help="Print an empty sheet of that kind.")
    ] = None,
    out: Annotated[Path | None, typer.Option(help="File to write the empty sheet to.")] = None,
    by: Annotated[
        str | None, typer.Option("--by", envvar="BRAKELOG_BY", help="Initials of who imports.")
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Of an export: only say what would be added.")
    ] = False,
    ours: Annotated[
        bool, typer.Option("--ours", help="Of an export: as with brakelog store merge.")
    ] = False,
    take_doubled: Annotated[
        bool, typer.Option("--take-doubled", help="Of an export: as with brakelog store merge.")
    ] = False,
    wrong_clock: Annotated[
        bool, typer.Option("--wrong-clock", help="Of an export: as with brakelog store merge.")
    ] = False,
) -> None:
    """Put an export on file, or sheets: vehicles, limits, gauges, readings, findings, fittings."""
    if template is not None:
        from brakelog.intake.sheet import template as empty_sheet

        if out is None:
            sys.stdout.write(empty_sheet(template))
        else:
            write_new(out, empty_sheet(template))
            say(f"written to {out}")
        return
    if not file:
        raise InvalidInput("no sheet named", hint="brakelog import FILE.csv, or --template KIND")
    if any(path.is_dir() for path in file):
        from brakelog.cli.merging import import_export
        from brakelog.store.merge_plan import Settled

        settled = Settled(keeps_ours=ours, takes_doubled=take_doubled, takes_future=wrong_clock)
        import_export(ctx, file, settled, is_dry=dry_run)
        return
    if dry_run or ours or take_doubled or wrong_clock:
        raise InvalidInput("those options go with the folder of an export", hint="name the folder")
    from brakelog.workshop.importing import import_sheet as put_on_file

    with ExitStack() as open_files:
        # No store is begun for a file that is not there.
        sheets = [(path, open_files.enter_context(open_sheet(path))) for path in file]
        store = open_files.enter_context(opened(ctx, create=True))
        for path, stream in sheets:
            result = put_on_file(store, stream, path.name, kind=kind, by=by, today=today())
            already = f", {result.already} on file already" if result.already else ""
            say(
                f"{path.name}: {counted(result.added, 'row')} of {result.kind} put on file{already}"
            )


def open_sheet(path: Path) -> BinaryIO:
    """Open a sheet to be read.

    Raises
    ------
    NotFound
        Where there is no such file.
    StoreError
        Where it cannot be read.
    InvalidInput
        Where it is too large; it is not read first.
    """
    from brakelog.intake.sheet import LARGEST, too_large

    try:
        stream = path.open("rb")
    except FileNotFoundError as error:
        raise NotFound(f"there is no file {path}", hint="check the name") from error
    except OSError as error:
        raise StoreError(f"{path} cannot be read: {error.strerror}") from error
    if os.fstat(stream.fileno()).st_size > LARGEST:
        stream.close()
        raise too_large(path.name)
    return stream
