"""The customer's summary as a page, as text, and for machines."""

from __future__ import annotations

import enum
from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from brakelog.lengths import MM_PER_KM, DistanceUnit
from brakelog.reports.customer import Summary
from brakelog.reports.customer_drawing import corner_drawings
from brakelog.reports.customer_meaning import KINDS, Meaning
from brakelog.reports.language.language import Language
from brakelog.reports.plain import WIDTH, Line, as_text, wrapped
from brakelog.reports.plain_measured import drawing_words, named_row
from brakelog.reports.plain_page import (
    CHECK_BAR_MM,
    fixed_words,
    for_whom,
    headings,
    picture_units,
)
from brakelog.reports.plain_waiting import Ahead

if TYPE_CHECKING:
    from jinja2 import Template

    from brakelog.reports.customer_pictures import Picture

FORMAT = "brakelog.summary/3"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""


def summary_page(summary: Summary, pictures: Sequence[Picture] = ()) -> str:
    """Return the summary as one self-contained HTML page.

    Parameters
    ----------
    summary : Summary
        The facts of the page.
    pictures : sequence of Picture, optional
        How the part of each axle wore that ends first.
    """
    lang = summary.lang
    drawings = corner_drawings(summary.measured)
    return _template().render(
        summary=summary,
        drawings=drawings,
        words_of={each.corner: drawing_words(lang, each) for each in drawings},
        has_before=any(each.has_before for each in drawings),
        is_wide=any(each.is_wide for each in drawings),
        wait_heading=waiting_heading(summary),
        pictures=pictures,
        units=picture_units(
            lang,
            inch=summary.length_unit == "in",
            mile=summary.distance_unit == DistanceUnit.MILE.value,
        ),
        lang=lang.code,
        addressed=for_whom(lang, summary.customer) if summary.customer else "",
        heads={each: meaning_head(lang, each) for each in summary.meanings},
        headings=headings(lang),
        words=fixed_words(lang),
        bar_mm=CHECK_BAR_MM,
    )


@cache
def _template() -> Template:
    """Compile the page once, however many are written."""
    from pathlib import Path

    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("customer.html")


def meaning_head(lang: Language, meaning: Meaning) -> str:
    """Return what is said of some parts before the reasons: ``Front brake pads: required.``"""
    kind = lang.say(f"kind.{_KINDS[meaning.kind]}")
    return lang.say("meaning.head", part=meaning.name, kind=kind)


_KINDS = dict(
    zip(KINDS, ("required", "suggested", "not_judged", "fitted", "in_limits"), strict=True)
)
"""Names of the words for each kind."""


def summary_text(summary: Summary) -> str:
    """Return the summary as plain text, for mail and messages."""
    lang = summary.lang
    heading, words = headings(lang), fixed_words(lang)
    lines = [Line(text=summary.title), Line(text=summary.subtitle)]
    if summary.customer:
        lines.append(Line(text=for_whom(lang, summary.customer)))
    if summary.warning:
        lines += [Line(), *wrapped(summary.warning.upper(), width=WIDTH)]
    if summary.is_preliminary:
        lines += [Line(), *wrapped(f"{words['preliminary']} {words['still_open']}", width=WIDTH)]
        lines += _items(summary.open)
    lines += _section(heading["know"], summary.know)
    lines += _section(heading["measured"], [named_row(lang, each) for each in summary.measured])
    lines += [Line(), Line(text=heading["means"])]
    for axle in summary.axles:
        lines += _items(
            " ".join((meaning_head(lang, each), *each.sentences)) for each in axle.meanings
        )
    waiting = summary.waiting
    if waiting.ahead or waiting.notes:
        lines += [Line(), Line(text=heading[waiting_heading(summary)])]
        lines += _items([*(each.sentence for each in waiting.ahead), *waiting.notes])
    if summary.done:
        lines += _section(heading["done"], summary.done)
    if summary.declined:
        lines += _section(heading["declined"], summary.declined)
        lines += [Line(), Line(text=f"{words['sign']} ______________________________")]
    lines += _section(heading["watch"], summary.watch)
    lines += [Line(), Line(text=heading["back"]), *wrapped(summary.back, first="  ")]
    lines += [Line(), *wrapped(summary.footer)]
    if summary.shop:
        lines.append(Line(text=summary.shop))
    return as_text(lines)


def waiting_heading(summary: Summary) -> str:
    """Return which heading stands above how far the parts will go."""
    return "if_you_wait" if summary.waiting.may_wait else "to_expect"


def _section(heading: str, sentences: Sequence[str]) -> list[Line]:
    return [Line(), Line(text=heading), *_items(sentences)]


def _items(sentences: Iterable[str]) -> list[Line]:
    return [line for each in sentences for line in wrapped(each, first="  - ", rest="    ")]


def summary_document(summary: Summary) -> dict[str, Any]:
    """Return the facts of the page for machines."""
    facts: dict[str, Any] = _plain(summary)
    return {"format": FORMAT, **facts}


def _plain(value: object) -> Any:
    """Return facts as what JSON has; distances as decimal kilometres, and no language."""
    if is_dataclass(value) and not isinstance(value, type):
        plain = {
            each.name: _plain(getattr(value, each.name))
            for each in fields(value)
            if each.name != "lang"
        }
        if isinstance(value, Ahead):
            return {_AS_KM.get(name, name): _km(name, each) for name, each in plain.items()}
        return plain
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    return value.value if isinstance(value, enum.Enum) else value


_AS_KM = {"at_least_mm": "at_least_km", "seldom_more_mm": "seldom_more_km"}


def _km(name: str, value: Any) -> Any:
    return f"{value / MM_PER_KM:.1f}" if name in _AS_KM and value is not None else value
