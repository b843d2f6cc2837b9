"""The note that goes out before a part runs out, as text and for machines."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from brakelog.record.people import Customer
from brakelog.record.shop import Shop
from brakelog.record.vehicle import Vehicle
from brakelog.reports.language.language import Language, language_named
from brakelog.reports.plain import Line, as_text, shown, wrapped
from brakelog.reports.plain_page import for_whom
from brakelog.reports.plain_reminder import (
    Due,
    about_estimate,
    about_odometer,
    due_of,
    lead_of,
    part_sentence,
    what_to_do,
)
from brakelog.rules.due import DueEntry
from brakelog.rules.outlook import PartOutlook

FORMAT = "brakelog.reminder/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What one customer is told."""

    lang: Language
    """What it is written in; machines are not told, see ``reminder_document``."""
    vehicle: str
    customer: str
    contact: str
    """How the customer is reached; it does not stand in the text."""
    lead: str
    parts: tuple[str, ...]
    """One sentence for each, the earliest first."""
    do: str
    rest: tuple[str, ...]
    shop: str


def reminder_note(
    vehicle: Vehicle,
    customer: Customer | None,
    entry: DueEntry,
    parts: tuple[PartOutlook, ...],
    shop: Shop,
    today: date,
    lang: Language | None = None,
) -> Note:
    """Return what a customer is told before parts run out.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle; distances are told in the unit of its odometer.
    customer : Customer, optional
        Whose it is.
    entry : DueEntry
        Its line of the due list.
    parts : tuple of PartOutlook
        What runs out, the earliest first.
    shop : Shop
        Who writes.
    today : date
        The day of the note.
    lang : Language, optional
        The customer's language; the shop's if none is given.
    """
    lang = lang or language_named(shop.language)
    unit = vehicle.odometer_unit
    due = due_of(parts[0], entry, today)
    day = entry.day if due is Due.BY_AGE else parts[0].not_before
    return Note(
        lang=lang,
        vehicle=shown(vehicle.description or vehicle.tag),
        customer=shown(customer.name) if customer else "",
        contact=shown(customer.contact) if customer else "",
        lead=lead_of(lang, due),
        parts=tuple(part_sentence(lang, part, unit, today) for part in parts),
        # A day that is past is no day to come before.
        do=what_to_do(lang, Due.PAST if due is Due.BY_AGE and entry.is_past else due, day),
        rest=(
            about_estimate(lang, entry.vehicle.last_day),
            *((about_odometer(lang, entry.vehicle.last_day),) if entry.is_odometer_old else ()),
            lang.say("note.stop"),
        ),
        shop=shown(", ".join(text for text in (shop.name, shop.phone) if text)),
    )


def reminder_text(note: Note) -> str:
    """Return the note as plain text, for mail and messages."""
    lines = [Line(text=note.lang.say("note.title")), *wrapped(note.vehicle)]
    if note.customer:
        lines += wrapped(for_whom(note.lang, note.customer))
    lines += [Line(), *wrapped(note.lead)]
    for sentence in note.parts:
        lines += wrapped(sentence, first="  - ", rest="    ")
    lines += [Line(), *wrapped(note.do)]
    for sentence in note.rest:
        lines += [Line(), *wrapped(sentence)]
    if note.shop:
        lines += [Line(), *wrapped(note.shop)]
    return as_text(lines)


def reminder_document(tag: str, note: Note | None) -> dict[str, Any]:
    """Return the note for machines; where nothing runs out, it is not due."""
    document: dict[str, Any] = {"format": FORMAT, "vehicle": tag, "is_due": note is not None}
    if note is None:
        return document
    return document | {
        "description": note.vehicle,
        "customer": note.customer,
        "contact": note.contact,
        "lead": note.lead,
        "parts": list(note.parts),
        "do": note.do,
        "rest": list(note.rest),
        "shop": note.shop,
    }
