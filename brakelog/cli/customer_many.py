"""The pages and notes of every vehicle, and what one page has in common with them."""

from __future__ import annotations

import gc
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from brakelog.cli.customer_files import Folder, note_name, page_name
from brakelog.cli.terminal import opened, today

if TYPE_CHECKING:
    from brakelog.intake.span import Span
    from brakelog.record.shop import Shop
    from brakelog.reports.customer import Summary
    from brakelog.reports.customer_reminder import Note
    from brakelog.reports.language.language import Language
    from brakelog.rules.verdict import VehicleVerdict
    from brakelog.store.store import Store
    from brakelog.workshop.customer import CustomerCase
    from brakelog.workshop.reminding import Reminder

TIDY_AFTER = 50
"""Pages after which what went round in circles is thrown away: the program starts with a collector
that hardly ever looks (``start.py``), which a long run cannot afford; 1 ms a page, measured."""


def write_pages(
    ctx: typer.Context,
    folder: Path,
    *,
    is_text: bool,
    pictures: bool | None,
    language: str | None,
    replace: bool,
) -> None:
    """Write the page of every vehicle's newest visit into a folder."""
    from brakelog.workshop.customer import every_customer_case

    lang = chosen(language)
    pages = Folder(folder, "page", replace=replace)
    with opened(ctx) as store:
        with_places = pictures is not False and not is_text
        cases = every_customer_case(
            store, render=sheet_maker(), today=today(), with_places=with_places
        )
        for number, (vehicle, case) in enumerate(cases, start=1):
            if number % TIDY_AFTER == 0:
                gc.collect()
            if case is None:
                pages.leave_out(vehicle.tag)
                continue
            facts, file = facts_of(case, lang), case.verdict.file
            name = page_name(
                vehicle.tag,
                file.visit.day.isoformat(),
                file.stage,
                is_preliminary=facts.is_preliminary,
                language=named_language(language, file.shop),
                ending="txt" if is_text else "html",
            )
            target = pages.place_for(name)
            if target is not None:
                content = content_of(case, facts, is_text=is_text, pictures=pictures)
                pages.write(target, content)
    pages.finish()


def write_notes(
    ctx: typer.Context, folder: Path, due_in: str, *, language: str | None, replace: bool
) -> None:
    """Write a note for every vehicle of which a part runs out within a time or distance."""
    from brakelog.reports.customer_reminder import reminder_text
    from brakelog.workshop.reminding import every_reminder

    lang = chosen(language)
    notes = Folder(folder, "note", replace=replace)
    with opened(ctx) as store:
        written_in = named_language(language, store.shop())
        span = up_to_date(store, due_in)
        for found in every_reminder(store, span, today()):
            name = note_name(found.vehicle.tag, today().isoformat(), language=written_in)
            target = notes.place_for(name)
            if target is None:
                continue
            note = note_of(store, found, lang)
            whom = ", ".join(text for text in (note.customer, note.contact) if text)
            notes.write(target, reminder_text(note), f", for {whom}" if whom else "")
    notes.finish()


def sheet_maker() -> Callable[[VehicleVerdict], str]:
    """Return what makes the counter sheet that is kept beside an issued verdict."""
    from brakelog.reports.counter import counter_sheet
    from brakelog.reports.plain import as_text

    day = today()
    return lambda given: as_text(counter_sheet(given, today=day))


def chosen(language: str | None) -> Language | None:
    """Return the language that was asked for; None where the shop's own is meant.

    Raises
    ------
    InvalidInput
        Where there is no such language.
    """
    from brakelog.reports.language.language import language_named

    return None if language is None else language_named(language)


def named_language(language: str | None, shop: Shop) -> str:
    """Return what a file name says of the language: nothing where it is the shop's own."""
    return "" if language in (None, shop.language) else str(language)


def facts_of(case: CustomerCase, lang: Language | None) -> Summary:
    """Return the facts of a page."""
    from brakelog.reports.customer import customer_summary

    return customer_summary(
        case.verdict, case.customer, today=today(), closing=case.closing, lang=lang
    )


def content_of(case: CustomerCase, facts: Summary, *, is_text: bool, pictures: bool | None) -> str:
    """Return a page, or its text; where nothing is to be drawn, nothing is loaded for it.

    Unless somebody asks, nothing is drawn where work was done: what was done takes the room on
    the sheet, and the new parts have not worn yet.
    """
    from brakelog.reports.customer_page import summary_page, summary_text

    if is_text:
        return summary_text(facts)
    if not case.places or (pictures is None and facts.done):
        return summary_page(facts)
    from brakelog.reports.customer_pictures import drawn

    return summary_page(facts, drawn(case.places, case.verdict.file.shop, facts.lang))


def up_to_date(store: Store, due_in: str) -> Span:
    """Return how far ahead is asked for, and bring the kept outlook up to date."""
    from brakelog.cli.due import progress
    from brakelog.intake.span import parse_span
    from brakelog.workshop.fleet import refresh

    span = parse_span(due_in, today=today(), declared=store.shop().distance_unit)
    with progress() as told:
        refresh(store, told)
    return span


def note_of(store: Store, found: Reminder, lang: Language | None) -> Note:
    """Return the note of one vehicle."""
    from brakelog.reports.customer_reminder import reminder_note

    return reminder_note(
        found.vehicle,
        found.customer,
        found.entry,
        found.parts,
        store.shop(),
        found.today,
        lang,
    )
