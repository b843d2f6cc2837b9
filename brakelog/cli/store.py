"""``brakelog store``: where the record is kept."""

from __future__ import annotations

from typing import Annotated

import typer

from brakelog.cli.terminal import lock_wait_s, opened, say, say_json, store_path

group = typer.Typer(no_args_is_help=True, help="The store: where it is, upgrade.")


def hang_up(app: typer.Typer) -> None:
    """Add the group of commands."""
    app.add_typer(group, name="store")


@group.command("where")
def where(ctx: typer.Context, as_json: Annotated[bool, typer.Option("--json")] = False) -> None:
    """Say where the store is and how much is in it."""
    path = store_path(ctx)
    if not path.exists():
        if as_json:
            say_json({"format": "brakelog.store/1", "path": str(path), "exists": False})
        else:
            say(f"{path}\nnot there yet; it is made when something is put on file")
        return
    with opened(ctx, create=False) as store:
        counts = store.counts()
    if as_json:
        say_json({"format": "brakelog.store/1", "path": str(path), "exists": True, "rows": counts})
        return
    say(str(path))
    for table, count in counts.items():
        say(f"  {table.replace('_', ' ')}: {count}")


@group.command("upgrade")
def upgrade(ctx: typer.Context) -> None:
    """Bring an older store to this program's schema; a copy is kept beside it."""
    from brakelog.store.opening import upgrade_store

    path = store_path(ctx)
    copy = upgrade_store(path, wait_s=lock_wait_s())
    say(f"{path} is up to date" if copy is None else f"upgraded; the old store is kept at {copy}")
