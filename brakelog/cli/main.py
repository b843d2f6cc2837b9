"""The command line: every command is hung up here, every error becomes text here."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from brakelog import __version__
from brakelog.cli import customer, demo, office, sheets, store, tech, writer
from brakelog.cli.terminal import say_error
from brakelog.errors import BrakelogError

INTERRUPTED = 130
"""Exit code after Ctrl-C: 128 and the number of the signal, as shells have it."""


class Desk(TyperGroup):
    """Turns errors of the program into one line and an exit code; a bug keeps its traceback."""

    def invoke(self, ctx: Any) -> Any:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except BrakelogError as error:
            say_error(error)
            raise typer.Exit(error.exit_code) from error
        except KeyboardInterrupt:
            typer.echo("interrupted; what was acknowledged is on file", err=True)
            raise typer.Exit(INTERRUPTED) from None


app = typer.Typer(
    name="brakelog",
    cls=Desk,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    help="Brake wear measurement logger with service-limit verdicts.",
)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def root(
    ctx: typer.Context,
    store_file: Annotated[
        Path | None,
        typer.Option(
            "--store", envvar="BRAKELOG_STORE", help="Store to use instead of the usual one."
        ),
    ] = None,
    _version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Say the version."),
    ] = False,
) -> None:
    """Brake wear measurement logger with service-limit verdicts."""
    ctx.obj = store_file


for _module in (tech, writer, customer, office, sheets, store, demo):
    _module.hang_up(app)


def main() -> None:
    """Run the program."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")  # type: ignore[union-attr]
    try:
        app()
    except BrokenPipeError:
        # The reader went away, as with `| head`. Nothing more can be said to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None


if __name__ == "__main__":
    main()
