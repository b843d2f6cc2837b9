"""``brakelog store``: where the record is kept."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from brakelog.cli.terminal import lock_wait_s, opened, say, say_json, say_lines, store_path
from brakelog.errors import InvalidInput, StoreError
from brakelog.store.address import ServerAddress

_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]
group = typer.Typer(
    no_args_is_help=True,
    help="The store: where, check, journal, backup, restore, merge, move, roles, upgrade.",
)


def hang_up(app: typer.Typer) -> None:
    """Add the group of commands."""
    app.add_typer(group, name="store")


@group.command("where")
def where(ctx: typer.Context, as_json: _Json = False) -> None:
    """Say where the store is and how much is in it."""
    from brakelog.store.opening import store_exists

    path = store_path(ctx)
    if not store_exists(path, wait_s=lock_wait_s()):
        if as_json:
            say_json({"format": "brakelog.store/1", "path": str(path), "exists": False})
        else:
            say(f"{path}\nnot there yet; it is made when something is put on file")
        return
    with opened(ctx) as store:
        counts = store.counts()
    if as_json:
        say_json({"format": "brakelog.store/1", "path": str(path), "exists": True, "rows": counts})
        return
    say(str(path))
    for table, count in counts.items():
        say(f"  {table.replace('_', ' ')}: {count}")
    if isinstance(path, ServerAddress):
        from brakelog.store.postgres_opening import open_sites

        say(f"sites open to this user: {', '.join(open_sites(path, wait_s=lock_wait_s()))}")


@group.command("check")
def check(ctx: typer.Context, as_json: _Json = False) -> None:
    """Read every page and every row of the store and say what is wrong with what."""
    from brakelog.reports.health import health_document, health_lines
    from brakelog.store.checking import check_store

    path = store_path(ctx)
    health = check_store(path)
    if as_json:
        say_json(health_document(str(path), health))
    else:
        say_lines(list(health_lines(str(path), health)))
    if health.faults and isinstance(path, ServerAddress):
        raise StoreError(f"{path} is not sound", hint="show this to who runs the server")
    if health.faults:
        raise StoreError(f"{path} is damaged", hint="take the newest backup, keep this file")


@group.command("journal")
def journal(
    ctx: typer.Context,
    vehicle: Annotated[
        str | None, typer.Option("--vehicle", help="Only what was entered for this vehicle.")
    ] = None,
    since: Annotated[
        str | None, typer.Option("--since", help="First day, as 2026-05-04 (UTC).")
    ] = None,
    last: Annotated[int, typer.Option("--last", min=1, help="How many changes at most.")] = 50,
    as_json: _Json = False,
) -> None:
    """List every change of the record: when, who, what and why, the newest last."""
    from brakelog.intake.words import parse_day
    from brakelog.reports.journal import journal_document, journal_lines
    from brakelog.workshop.journal import journal as read_journal

    with opened(ctx) as store:
        lines = read_journal(
            store, most=last, since=parse_day(since) if since else None, vehicle=vehicle
        )
    if as_json:
        say_json(journal_document(lines))
    else:
        say_lines(list(journal_lines(lines)))


@group.command("backup")
def backup(
    ctx: typer.Context,
    folder: Annotated[
        Path | None,
        typer.Option("--to", help="Folder for backups. Default: backups, beside the store."),
    ] = None,
    keep: Annotated[
        int, typer.Option("--keep", min=1, help="Backups of this store that stay in the folder.")
    ] = 7,
) -> None:
    """Leave a checked copy of the store in a folder; others may go on working meanwhile."""
    from brakelog.store.backup import back_up

    made = back_up(_file(ctx), folder, keep=keep, now=datetime.now(UTC))
    rows = f", {made.rows} rows with good seals" if made.rows else ""
    say(f"{made.path}{rows}")
    for old in made.removed:
        say(f"removed {old}")


@group.command("restore")
def restore(
    ctx: typer.Context,
    source: Annotated[Path, typer.Argument(metavar="BACKUP", help="The backup to go back to.")],
    why: Annotated[
        str, typer.Option("--why", help="The reason, without names; it stays on record.")
    ] = "",
    by: Annotated[
        str | None, typer.Option("--by", envvar="BRAKELOG_BY", help="Initials of who does it.")
    ] = None,
) -> None:
    """Put a backup in the place of the store, once it has proved sound; the old one is kept."""
    from brakelog.workshop.restoring import restore_store

    path = _file(ctx)
    done = restore_store(path, source, why, by=by, now=datetime.now(UTC))
    say(f"{path} is what {source} was")
    if done.kept is not None:
        say(f"what was there before is kept at {done.kept}")
    if done.is_older:
        say("an older brakelog wrote it: run brakelog store upgrade")


@group.command("roles")
def roles(ctx: typer.Context) -> None:
    """Print the SQL that lets people of one site add to it, and others only look; runs nothing."""
    from brakelog.store.postgres_roles import roles_script

    path = store_path(ctx)
    if not isinstance(path, ServerAddress):
        raise InvalidInput(
            "a file has no roles: whoever may write the file may use it",
            hint="name a site on a server with --store",
        )
    say(roles_script(path), end="")


@group.command("merge")
def merge(
    ctx: typer.Context,
    other: Annotated[
        str, typer.Argument(metavar="STORE", help="The other store: a file, or a server's address.")
    ],
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only say what would be added.")
    ] = False,
    ours: Annotated[
        bool, typer.Option("--ours", help="Where both changed the same thing, keep what is here.")
    ] = False,
    take_doubled: Annotated[
        bool,
        typer.Option("--take-doubled", help="Take rows of a sheet that both sides imported."),
    ] = False,
    wrong_clock: Annotated[
        bool, typer.Option("--wrong-clock", help="Take rows whose time is yet to come.")
    ] = False,
) -> None:
    """Add what another store has and this one has not, such as the visits of a laptop."""
    from brakelog.cli.merging import merge as merge_in
    from brakelog.store.merge_plan import Settled

    settled = Settled(keeps_ours=ours, takes_doubled=take_doubled, takes_future=wrong_clock)
    merge_in(ctx, other, settled, is_dry=dry_run)


@group.command("move")
def move(
    ctx: typer.Context,
    target: Annotated[
        str, typer.Argument(metavar="TARGET", help="An empty store: a file, or a server's address.")
    ],
) -> None:
    """Put the whole store down in an empty one, and read it again; this one stays as it is."""
    from brakelog.cli.merging import move as move_to

    move_to(ctx, target)


@group.command("upgrade")
def upgrade(ctx: typer.Context) -> None:
    """Bring an older store to this program's schema; of a file a copy is kept beside it."""
    from brakelog.store.opening import upgrade_store

    path = store_path(ctx)
    if isinstance(path, ServerAddress):
        from brakelog.store.postgres_opening import upgrade_server

        if upgrade_server(path, wait_s=lock_wait_s()):
            say("upgraded; give the roles their rights again: brakelog store roles")
        else:
            say(f"{path} is up to date")
        return
    copy = upgrade_store(path, wait_s=lock_wait_s())
    say(f"{path} is up to date" if copy is None else f"upgraded; the old store is kept at {copy}")


def _file(ctx: typer.Context) -> Path:
    """Return the file of the store; what a server keeps, the server backs up."""
    path = store_path(ctx)
    if isinstance(path, ServerAddress):
        raise InvalidInput(
            "a store on a server is backed up and restored there",
            hint=f"pg_dump --schema={path.schema}, and the server's own backups",
        )
    return path
