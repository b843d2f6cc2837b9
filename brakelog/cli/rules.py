"""``brakelog rules``: packs of local rules, off until the shop turns one on."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from brakelog.cli.terminal import opened, opened_if_there, say, say_json
from brakelog.reports.plain import shown

if TYPE_CHECKING:
    from brakelog.rules.pack import Clause
    from brakelog.workshop.packs import ListedPack

_Json = Annotated[bool, typer.Option("--json", help="As JSON.")]
_Id = Annotated[str, typer.Argument(metavar="ID", help="Id of the pack.")]
group = typer.Typer(no_args_is_help=True, help="Local rules: list, show, on, off, check.")


def hang_up(app: typer.Typer) -> None:
    """Add the group of commands."""
    app.add_typer(group, name="rules")


@group.command("list")
def list_all(ctx: typer.Context, as_json: _Json = False) -> None:
    """List the packs of local rules, and which are on."""
    from brakelog.workshop.packs import all_packs

    with opened_if_there(ctx) as store:
        packs = all_packs(store)
    if as_json:
        entries = [_facts(each) for each in packs]
        say_json({"format": "brakelog.rules/1", "packs": entries})
        return
    from brakelog.rules.pack_words import CHECK

    for each in packs:
        pack = each.pack
        own = ", the shop's own" if each.is_own else ""
        say(shown(f"{'on ' if each.is_on else 'off'}  {pack.id}  {pack.document}"))
        say(shown(f"     {pack.jurisdiction}; {pack.standing.value}{own}"))
    say(f"Before you rely on one, {CHECK}.")


@group.command("show")
def show(ctx: typer.Context, pack_id: _Id, as_json: _Json = False) -> None:
    """Show a pack: every clause with its figures, and how the text is known."""
    from brakelog.workshop.packs import find_pack

    with opened_if_there(ctx) as store:
        found = find_pack(store, pack_id)
    if as_json:
        from brakelog.rules.pack_document import clause_facts

        clauses = [clause_facts(each) for each in found.pack.clauses]
        say_json({"format": "brakelog.rule-pack/1", **_facts(found), "clauses": clauses})
        return
    from brakelog.rules.pack_words import standing_sentence, valid_words

    pack = found.pack
    say(shown(f"{pack.id}, {'on' if found.is_on else 'off'}"))
    for text in (
        f"{pack.document}: {pack.title}",
        f"{pack.authority}; {pack.jurisdiction}",
        f"for {pack.scope}",
        valid_words(pack),
        standing_sentence(pack),
    ):
        say(shown(f"  {text}"))
    for clause in pack.clauses:
        for text in _clause_lines(clause):
            say(shown(text))


@group.command("on")
def turn_on(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="ID", help="Id of a pack, or a file of your own: ./mine.toml.")
    ],
) -> None:
    """Judge by a pack from now on; a file of your own is kept in the store."""
    from brakelog.rules.pack_words import CHECK
    from brakelog.workshop import packs

    with opened(ctx, create=_is_file(name) or name in packs.built_in_ids()) as store:
        pack = (
            packs.turn_on_file(store, Path(name)) if _is_file(name) else packs.turn_on(store, name)
        )
    say(shown(f"{pack.id} is on: {pack.document}"))
    say(f"{pack.standing.value}; {CHECK}")


@group.command("off")
def turn_off(ctx: typer.Context, pack_id: _Id) -> None:
    """Judge by a pack no longer."""
    from brakelog.workshop.packs import turn_off as switch_off

    with opened(ctx) as store:
        switch_off(store, pack_id)
    say(shown(f"{pack_id} is off"))


@group.command("check")
def check(file: Annotated[Path, typer.Argument(help="A file of your own.")]) -> None:
    """Say everything that is wrong with a file of local rules; nothing is kept."""
    from brakelog.rules.figure import counted
    from brakelog.workshop.packs import pack_file

    _, pack = pack_file(file)
    judged = sum(1 for each in pack.clauses if each.figures)
    rest = len(pack.clauses) - judged
    say(shown(f"{file.name}: {pack.id}, nothing is wrong with it"))
    say(f"{counted(judged, 'clause')} with figures, {counted(rest, 'text')} only shown")


def _is_file(name: str) -> bool:
    """Whether a file is meant: no id holds a dot or a slash."""
    return any(sign in name for sign in "./\\")


def _facts(listed: ListedPack) -> dict[str, Any]:
    from brakelog.rules.pack_document import pack_facts

    return {**pack_facts(listed.pack), "on": listed.is_on, "own": listed.is_own}


def _clause_lines(clause: Clause) -> list[str]:
    from brakelog.rules.pack_words import condition_words, figure_words, stated_conditions

    lines = [f"  {clause.number}  {clause.wording} ({clause.standing.value})"]
    if clause.figures:
        parts = " and ".join(part.value for part in clause.parts)
        conditions = condition_words(stated_conditions(clause))
        unless = f", unless {clause.unless}" if clause.unless else ""
        lines.append(f"    {parts}: {figure_words(clause)}{conditions}{unless}")
        lines.append(f"    measured at: {clause.measured_at.value}")
    if clause.note:
        lines.append(f"    note: {clause.note}")
    return lines
