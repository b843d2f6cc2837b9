"""Commands for the customer."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from brakelog.cli.customer_files import note_name, page_name
from brakelog.cli.terminal import opened, say, say_json, today, write_new
from brakelog.record.shop import LANGUAGES
from brakelog.reports.plain import shown

FOR_MACHINES = "en"
"""The language of the sentences in JSON, whatever the shop writes to its customers in."""


def hang_up(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("summary")(summary)


def summary(
    ctx: typer.Context,
    vehicle: Annotated[
        str | None, typer.Argument(help="Tag, plate or VIN; not with --all.")
    ] = None,
    visit: Annotated[
        str | None, typer.Option(help="Date or id of the visit; the newest if not given.")
    ] = None,
    stage: Annotated[str | None, typer.Option(help="as-found or as-left.")] = None,
    every: Annotated[
        Path | None, typer.Option("--all", help="Folder to write the page of every vehicle to.")
    ] = None,
    due_in: Annotated[
        str | None,
        typer.Option(
            "--due-in",
            help='Instead, the note that goes out before a part ends: "2 months", "3000 km".',
        ),
    ] = None,
    pictures: Annotated[
        bool | None,
        typer.Option(
            "--pictures/--no-pictures",
            help="Whether the page shows how parts wore; where nothing was done, if not given.",
        ),
    ] = None,
    language: Annotated[
        str | None,
        typer.Option(help=f"Language: {', '.join(LANGUAGES)}; the shop's own, if not given."),
    ] = None,
    text: Annotated[bool, typer.Option("--text", help="Plain text for mail, printed.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="The same facts as JSON.")] = False,
    out: Annotated[Path | None, typer.Option(help="File to write; - for standard output.")] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Write over what is there.")] = False,
) -> None:
    """Write one self-contained page for the customer."""
    if every is None and vehicle is None:
        raise typer.BadParameter("which vehicle? brakelog vehicle list, or --all FOLDER")
    if every is not None and (vehicle or visit or stage or out or as_json):
        raise typer.BadParameter(
            "--all goes with --due-in, --text, --language, --no-pictures and --replace"
        )
    if as_json and language:
        raise typer.BadParameter("--json is for machines, and the same in every language")
    if due_in is not None and (visit or stage):
        raise typer.BadParameter("--due-in is about what is to come: leave out visit and stage")
    if every is not None and due_in is not None:
        from brakelog.cli.customer_many import write_notes

        write_notes(ctx, every, due_in, language=language, replace=replace)
    elif every is not None:
        from brakelog.cli.customer_many import write_pages

        write_pages(ctx, every, is_text=text, pictures=pictures, language=language, replace=replace)
    elif vehicle is not None and due_in is not None:
        _note(ctx, vehicle, due_in, out, as_json=as_json, language=language, replace=replace)
    elif vehicle is not None:
        shows = text or as_json
        _page(
            ctx,
            vehicle,
            (visit, stage),
            out,
            is_text=text,
            as_json=as_json,
            pictures=False if shows else pictures,
            language=language,
            replace=replace,
        )


def _page(
    ctx: typer.Context,
    vehicle: str,
    which: tuple[str | None, str | None],
    out: Path | None,
    *,
    is_text: bool,
    as_json: bool,
    pictures: bool | None,
    language: str | None,
    replace: bool,
) -> None:
    from brakelog.cli.customer_many import chosen, content_of, facts_of, named_language, sheet_maker
    from brakelog.workshop.counter import read_stage
    from brakelog.workshop.customer import customer_case

    visit, stage = which
    # Before anything is put on record.
    lang = chosen(FOR_MACHINES if as_json else language)
    with opened(ctx) as store:
        case = customer_case(
            store,
            vehicle,
            visit_name=visit,
            stage=read_stage(stage),
            render=sheet_maker(),
            today=today(),
            with_places=pictures is not False,
        )
    facts = facts_of(case, lang)
    if as_json:
        from brakelog.reports.customer_page import summary_document

        say_json(summary_document(facts))
        return
    file = case.verdict.file
    name = page_name(
        file.vehicle.tag,
        file.visit.day.isoformat(),
        file.stage,
        is_preliminary=facts.is_preliminary,
        language=named_language(language, file.shop),
    )
    content = content_of(case, facts, is_text=is_text, pictures=pictures)
    _put(content, name, out, is_shown=is_text, replace=replace)


def _note(
    ctx: typer.Context,
    vehicle: str,
    due_in: str,
    out: Path | None,
    *,
    as_json: bool,
    language: str | None,
    replace: bool,
) -> None:
    from brakelog.cli.customer_many import chosen, named_language, note_of, up_to_date
    from brakelog.reports.customer_reminder import reminder_document, reminder_text
    from brakelog.workshop.reminding import parts_unknown, reminder_of

    lang = chosen(FOR_MACHINES if as_json else language)
    with opened(ctx) as store:
        written_in = named_language(language, store.shop())
        tag = store.vehicle(vehicle).tag
        span = up_to_date(store, due_in)
        found = reminder_of(store, vehicle, span, today())
        note = None if found is None else note_of(store, found, lang)
        unknown = parts_unknown(store, vehicle, today())
    if as_json:
        say_json(reminder_document(tag, note))
    elif note is None:
        # On standard error: standard output is what is sent.
        typer.echo(shown(_nothing_runs_out(tag, due_in, unknown)), err=True)
    else:
        name = note_name(tag, today().isoformat(), language=written_in)
        _put(reminder_text(note), name, out, is_shown=True, replace=replace)


def _nothing_runs_out(tag: str, due_in: str, unknown: int | None) -> str:
    """Return what is said where there is nothing to remind of; what is not known is no comfort."""
    if unknown is None:
        return f"how far the brakes of {tag} will go cannot be said; brakelog verdict {tag}"
    if not unknown:
        return f"nothing of {tag} runs out within {due_in}"
    parts = "1 part" if unknown == 1 else f"{unknown} parts"
    return (
        f"nothing of {tag} is known to run out within {due_in}, but of {parts} "
        f"no distance can be stated; brakelog verdict {tag}"
    )


def _put(content: str, name: str, out: Path | None, *, is_shown: bool, replace: bool) -> None:
    """Write one page, or show it."""
    if (is_shown and out is None) or str(out) == "-":
        sys.stdout.write(content)
        return
    target = out or Path(name)
    write_new(
        target, content, replace=replace, hint="--replace writes over it, --out names another"
    )
    say(f"written to {target}")
