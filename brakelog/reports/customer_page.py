"""The customer's summary as a page, as text, and for machines."""

from __future__ import annotations

import enum
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from functools import cache
from typing import TYPE_CHECKING, Any

from brakelog.lengths import DistanceUnit
from brakelog.reports.customer import Summary
from brakelog.reports.customer_drawing import corner_drawings
from brakelog.reports.plain import WIDTH, Line, as_text, wrapped
from brakelog.reports.plain_page import (
    CHECK_BAR_MM,
    HEADINGS,
    WORDS,
    drawing_words,
    measured_words,
    picture_units,
)

if TYPE_CHECKING:
    from jinja2 import Template

    from brakelog.reports.customer_pictures import Picture

FORMAT = "brakelog.summary/2"
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
    drawings = corner_drawings(summary.measured)
    return _template().render(
        summary=summary,
        drawings=drawings,
        words_of={each.corner: drawing_words(each) for each in drawings},
        has_before=any(each.has_before for each in drawings),
        is_wide=any(each.is_wide for each in drawings),
        wait_heading=waiting_heading(summary),
        pictures=pictures,
        units=picture_units(
            inch=summary.length_unit == "in", mile=summary.distance_unit == DistanceUnit.MILE.value
        ),
        headings=HEADINGS,
        words=WORDS,
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


def summary_text(summary: Summary) -> str:
    """Return the summary as plain text, for mail and messages."""
    lines = [Line(text=summary.title), Line(text=summary.subtitle)]
    if summary.customer:
        lines.append(Line(text=WORDS["for_whom"].format(summary.customer)))
    if summary.warning:
        lines += [Line(), *wrapped(summary.warning.upper(), width=WIDTH)]
    if summary.is_preliminary:
        lines += [Line(), *wrapped(f"{WORDS['preliminary']} {WORDS['still_open']}", width=WIDTH)]
        lines += _items(summary.open)
    lines += _section("know", summary.know)
    lines += _section("measured", [measured_words(each.place, each) for each in summary.measured])
    lines += [Line(), Line(text=HEADINGS["means"])]
    for axle in summary.axles:
        lines += _items(
            f"{each.name}: {each.kind.lower()}. {' '.join(each.sentences)}"
            for each in axle.meanings
        )
    waiting = summary.waiting
    if waiting.ahead or waiting.notes:
        lines += [Line(), Line(text=HEADINGS[waiting_heading(summary)])]
        lines += _items([*(each.sentence for each in waiting.ahead), *waiting.notes])
    if summary.done:
        lines += _section("done", summary.done)
    if summary.declined:
        lines += _section("declined", summary.declined)
        lines += [Line(), Line(text=f"{WORDS['sign']} ______________________________")]
    lines += _section("watch", summary.watch)
    lines += [Line(), Line(text=HEADINGS["back"]), *wrapped(summary.back, first="  ")]
    lines += [Line(), *wrapped(summary.footer)]
    if summary.shop:
        lines.append(Line(text=summary.shop))
    return as_text(lines)


def waiting_heading(summary: Summary) -> str:
    """Return which heading stands above how far the parts will go."""
    return "if_you_wait" if summary.waiting.may_wait else "to_expect"


def _section(name: str, sentences: Sequence[str]) -> list[Line]:
    return [Line(), Line(text=HEADINGS[name]), *_items(sentences)]


def _items(sentences: Iterable[str]) -> list[Line]:
    return [line for each in sentences for line in wrapped(each, first="  - ", rest="    ")]


def summary_document(summary: Summary) -> dict[str, Any]:
    """Return the facts of the page for machines."""
    return {"format": FORMAT, **asdict(summary, dict_factory=_plain)}


def _plain(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    return {key: value.value if isinstance(value, enum.Enum) else value for key, value in pairs}
