"""What every command shares: the store that is open, and how text reaches the terminal."""

from __future__ import annotations

import json
import math
import os
import shutil
import stat
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import typer

from brakelog.cli.problem_lines import lines_of
from brakelog.errors import (
    BadSheet,
    BrakelogError,
    Conflict,
    InvalidInput,
    RulePackError,
    StoreError,
    clip,
)
from brakelog.lengths import LengthUnit
from brakelog.reports.plain import Line, as_text, escaped, shown

if TYPE_CHECKING:
    from brakelog.store.address import Address
    from brakelog.store.store import Store

MOST_PROBLEMS = 50
"""Things wrong with a sheet that are listed; the rest is counted."""
LONGEST_WAIT_S = 3600.0
"""Longest wait for another program that holds the store; assumption. [s]"""
WIDEST = 100
"""Columns beyond which lines are hard to read."""

_STYLES = {
    "title": "bold",
    "heading": "bold",
    "required": "bold #D55E00",
    "suggested": "#0072B2",
    "open": "#CC79A7",
    "quiet": "dim",
}
"""Okabe and Ito (2008), safe for the colour-blind; colour only repeats what the words say."""


def store_path(ctx: typer.Context) -> Address:
    """Return the store that the command line or the environment names, or the usual one."""
    given: str | None = ctx.find_root().obj
    if given is not None:
        from brakelog.store.address import parse_address

        return parse_address(given)
    from brakelog.store.location import default_store_path

    return default_store_path()


@contextmanager
def opened(ctx: typer.Context, *, create: bool = False) -> Iterator[Store]:
    """Open the store for one command; made only by one that needs nothing to be on file before.

    Any other would answer from an empty store where the path is mistyped.
    """
    from brakelog.store.opening import open_store

    with open_store(store_path(ctx), wait_s=lock_wait_s(), create=create) as store:
        yield store


@contextmanager
def opened_if_there(ctx: typer.Context) -> Iterator[Store | None]:
    """Open the store for a command that can say something without one, too."""
    from brakelog.store.opening import store_exists

    if not store_exists(store_path(ctx), wait_s=lock_wait_s()):
        yield None
        return
    with opened(ctx) as store:
        yield store


def lock_wait_s() -> float:
    """Return how long to wait for another program that holds the store. [s]"""
    text = os.environ.get("BRAKELOG_LOCK_WAIT", "30")
    try:
        wait_s = float(text)
    except ValueError:
        wait_s = math.nan
    if not 0 <= wait_s <= LONGEST_WAIT_S:
        raise InvalidInput(
            f"BRAKELOG_LOCK_WAIT is {clip(text)!r}", hint="a number of seconds, such as 30"
        )
    return wait_s


def today() -> date:
    """Return today's date where the program runs."""
    return datetime.now().astimezone().date()


def say(text: str = "", *, end: str = "\n") -> None:
    """Print one line of text, or some; what would steer the terminal is shown as a sign."""
    typer.echo("\n".join(map(shown, text.split("\n"))) + end, nl=False)


def beep() -> None:
    """Ring, for somebody who looks at the gauge and not at the screen."""
    typer.echo("\a", nl=False)


def say_json(document: dict[str, Any], *, on_a_line: bool = False) -> None:
    """Print a document for machines; on one line where others of its form follow."""
    indent = None if on_a_line else 2
    typer.echo(escaped(json.dumps(document, ensure_ascii=False, indent=indent)))


def say_text(text: str, *, ends: bool = False) -> None:
    """Print text as it is kept; ``ends`` where it brings its last line break along."""
    typer.echo(escaped(text), nl=not ends)


def say_lines(lines: Sequence[Line]) -> None:
    """Print lines, with colour where a terminal is there to show it."""
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR") or is_plain():
        typer.echo(as_text(list(lines)), nl=False)
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    for line in lines:
        console.print(Text(line.text, style=_STYLES.get(line.role, "")))


def is_plain() -> bool:
    """Return whether what is printed is read aloud: no colour, nothing drawn, no moving bar."""
    return bool(os.environ.get("BRAKELOG_PLAIN")) or os.environ.get("TERM") == "dumb"


def columns(most: int = WIDEST) -> int:
    """Return the width to wrap to."""
    if not sys.stdout.isatty():
        return 80
    return max(40, min(shutil.get_terminal_size().columns, most))


def say_error(error: BrakelogError) -> None:
    """Say what is wrong, where, and what to do, on standard error."""
    typer.echo(f"error: {shown(str(error))}", err=True)
    if isinstance(error, (BadSheet, RulePackError)):
        lines = lines_of(error.problems)
        for line in lines[:MOST_PROBLEMS]:
            typer.echo(f"  {shown(line)}", err=True)
        rest = len(lines) - MOST_PROBLEMS
        if rest > 0:
            typer.echo(f"  and {rest} more", err=True)
    if error.hint:
        typer.echo(f"hint: {shown(error.hint)}", err=True)


def read_unit(text: str | None) -> LengthUnit | None:
    """Return the unit typed; None where none was."""
    if not text:
        return None
    from brakelog.intake.words import parse_unit

    return parse_unit(text)


def write_new(
    target: Path,
    content: str | bytes,
    *,
    replace: bool = False,
    hint: str = "--out names another file",
    option: str = "--out",
) -> None:
    """Write a file that only its owner may read, never over another unless that is said.

    ``hint`` is for a file that is there, ``option`` the one that names another.

    Raises
    ------
    Conflict
        Where the file is there.
    StoreError
        Where it cannot be written.
    """
    try:
        data = content.encode("utf-8") if isinstance(content, str) else content
        with _private(target, replace=replace) as stream:
            stream.write(data)
    except FileExistsError as error:
        raise Conflict(f"{target} exists", hint=hint) from error
    except OSError as error:
        raise StoreError(
            f"{target} cannot be written: {error.strerror}",
            hint=f"name another file with {option}",
        ) from error


def _private(target: Path, *, replace: bool) -> BinaryIO:
    """Open a file for writing; whoever could read what was there before cannot read this."""
    way = os.O_TRUNC if replace else os.O_EXCL
    handle = os.open(target, os.O_WRONLY | os.O_CREAT | way | getattr(os, "O_BINARY", 0), 0o600)
    if os.name == "posix" and stat.S_ISREG(os.fstat(handle).st_mode):
        os.fchmod(handle, 0o600)
    return os.fdopen(handle, "wb")
