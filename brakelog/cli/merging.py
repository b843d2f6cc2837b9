"""What brings two stores together, or one to another place."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from brakelog.cli.terminal import lock_wait_s, opened, say, say_lines
from brakelog.errors import InvalidInput
from brakelog.reports.merging import merged_lines
from brakelog.rules.figure import counted
from brakelog.store.address import parse_address

if TYPE_CHECKING:
    from brakelog.store.merge_plan import Settled


def merge(ctx: typer.Context, other: str, settled: Settled, *, is_dry: bool) -> None:
    """Merge another store into this one."""
    from brakelog.workshop.moving import merge_store

    with opened(ctx) as store:
        merged = merge_store(
            store, parse_address(other), wait_s=lock_wait_s(), is_dry=is_dry, settled=settled
        )
    say_lines(list(merged_lines(merged, is_dry=is_dry)))


def move(ctx: typer.Context, target: str) -> None:
    """Put the whole store down in an empty one."""
    from brakelog.workshop.moving import move_store

    address = parse_address(target)
    with opened(ctx) as store:
        rows = move_store(store, address, wait_s=lock_wait_s())
        here = store.path
    say(f"{counted(rows, 'row')} put down in {address}, read again and found the same")
    say(f"{here} stays as it is; work with one of the two only")


def import_export(
    ctx: typer.Context,
    paths: Sequence[Path],
    settled: Settled,
    *,
    is_dry: bool,
) -> None:
    """Put an export on file."""
    from brakelog.workshop.moving import take_in

    if len(paths) > 1:
        raise InvalidInput("an export is imported by itself", hint="name one folder")
    with opened(ctx, create=not is_dry) as store:
        taken = take_in(store, paths[0], is_dry=is_dry, settled=settled)
    if taken.merged is not None:
        say_lines(list(merged_lines(taken.merged, is_dry=is_dry)))
    else:
        would = "would be put on file" if is_dry else "put on file as they were exported"
        say(f"{counted(taken.rows, 'row')} {would}")
