"""The command line: every command is hung up here, every error becomes text here."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import Annotated, Any, cast

import typer
from typer.core import TyperGroup

from brakelog import __version__
from brakelog.cli.terminal import say_error
from brakelog.errors import BrakelogError, InvalidInput, clip
from brakelog.reports.plain import shown

INTERRUPTED = 130
"""Exit code after Ctrl-C: 128 and the number of the signal, as shells have it."""


class Desk(TyperGroup):
    """Turns errors of the program into one line and an exit code; a bug keeps its traceback."""

    def invoke(self, ctx: Any) -> Any:
        """Run the command."""
        try:
            _refuse_control([*getattr(ctx, "_protected_args", []), *ctx.args])
            return super().invoke(ctx)
        except BrakelogError as error:
            say_error(error)
            raise typer.Exit(error.exit_code) from error
        except UsageError as error:
            error.message = shown(error.message)
            raise
        except KeyboardInterrupt:
            typer.echo(err=True)
            typer.echo("interrupted; what was acknowledged is on file", err=True)
            typer.echo("hint: the same command goes on where it stopped", err=True)
            raise typer.Exit(INTERRUPTED) from None


UsageError = cast(type[typer.BadParameter], typer.BadParameter.__mro__[1])
"""Every error of a command line that cannot be understood; the library gives it no public name."""
_NO_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffe\uffff\U0010fffe\U0010ffff]")
"""Control characters, line breaks and tabs aside, and what Unicode says is no character."""


def _refuse_control(words: Sequence[str]) -> None:
    """Refuse them once for every command, before any of them reaches the record or a file's name.

    They could steer a terminal that shows them later, and a zero byte cannot be stored everywhere.
    """
    for word in words:
        if _NO_TEXT.search(word):
            raise InvalidInput(
                f"{clip(word)!r} holds characters that are no text", hint="type it again"
            )


COMMANDS = {
    "measure": "tech",
    "fit": "tech",
    "runout": "tech",
    "answer": "tech",
    "amend": "tech",
    "verdict": "writer",
    "history": "history",
    "due": "due",
    "finish": "finish",
    "agree": "finish",
    "decline": "finish",
    "summary": "customer",
    "vehicle": "office",
    "limits": "office",
    "gauge": "office",
    "people": "office",
    "customer": "customers",
    "shop": "office",
    "rules": "rules",
    "import": "sheets",
    "export": "export",
    "store": "store",
    "demo": "demo",
}
"""The module that each command is hung up by, in the order of the help."""


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


def root(
    ctx: typer.Context,
    store_address: Annotated[
        str | None,
        typer.Option(
            "--store",
            envvar="BRAKELOG_STORE",
            help="Store to use instead of the usual one: a file, or an address on a server.",
        ),
    ] = None,
    _version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Say the version."),
    ] = False,
) -> None:
    """Brake wear measurement logger with service-limit verdicts."""
    ctx.obj = store_address


def build(command: str | None = None) -> typer.Typer:
    """Return the program with all its commands, or with the module of one of them only.

    Building all of them takes 25 of the 300 ms of a verdict, measured.
    """
    desk = typer.Typer(
        name="brakelog",
        cls=Desk,
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        add_completion=False,
        help="Brake wear measurement logger with service-limit verdicts.",
    )
    desk.callback()(root)
    modules = COMMANDS.values() if command is None else [COMMANDS[command]]
    for name in dict.fromkeys(modules):
        import_module(f"brakelog.cli.{name}").hang_up(desk)
    return desk


def command_in(words: list[str]) -> str | None:
    """Return the command that the words of a command line begin with, if that is certain.

    >>> command_in(["--store", "verdict", "measure", "CAR-1"])
    'measure'
    """
    rest = iter(words)
    for word in rest:
        if word == "--store":
            next(rest, None)
        elif not word.startswith("--store="):
            return word if word in COMMANDS else None
    return None


def main() -> None:
    """Run the program."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")  # type: ignore[union-attr]
    try:
        build(command_in(sys.argv[1:]))()
    except BrokenPipeError:
        # The reader went away, as with `| head`. Nothing more can be said to it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None


if __name__ == "__main__":
    main()
