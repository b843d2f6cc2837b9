"""``brakelog store``: where the record is kept."""

from __future__ import annotations

from typing import Annotated

import typer

from brakelog.cli.terminal import lock_wait_s, opened, say, say_json, store_path
from brakelog.errors import StoreError
from brakelog.reports.plain import shown

_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]
group = typer.Typer(no_args_is_help=True, help="The store: where, check, upgrade.")


def hang_up(app: typer.Typer) -> None:
    """Add the group of commands."""
    app.add_typer(group, name="store")


@group.command("where")
def where(ctx: typer.Context, as_json: _Json = False) -> None:
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


@group.command("check")
def check(ctx: typer.Context, as_json: _Json = False) -> None:
    """Read every page of the store and say what is wrong with it."""
    from brakelog.store.checking import check_store

    path = store_path(ctx)
    health = check_store(path)
    settings: dict[str, str] = {}
    if not health.faults:
        # Opening looks at the version, the tables and the triggers.
        with opened(ctx, create=False) as store:
            settings = store.durability()
    if as_json:
        say_json(
            {
                "format": "brakelog.check/1",
                "path": str(path),
                "sqlite": health.sqlite,
                "settings": settings,
                "faults": list(health.faults),
            }
        )
    else:
        used = "".join(f", {name} {value}" for name, value in settings.items())
        say(f"{path}: SQLite {health.sqlite}{used}")
        for fault in health.faults:
            say(f"  {shown(fault)}")
        if not health.faults:
            say("nothing is wrong with it")
    if health.faults:
        raise StoreError(f"{path} is damaged", hint="take the newest backup, keep this file")


@group.command("upgrade")
def upgrade(ctx: typer.Context) -> None:
    """Bring an older store to this program's schema; a copy is kept beside it."""
    from brakelog.store.opening import upgrade_store

    path = store_path(ctx)
    copy = upgrade_store(path, wait_s=lock_wait_s())
    say(f"{path} is up to date" if copy is None else f"upgraded; the old store is kept at {copy}")
