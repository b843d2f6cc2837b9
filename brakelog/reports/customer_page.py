"""The customer's summary as a page, as text, and for machines."""

from __future__ import annotations

from dataclasses import asdict

from brakelog.reports.customer import Measured, Summary
from brakelog.reports.plain import WIDTH, Line, as_text, wrapped

PRELIMINARY = "This page is preliminary: the work on this vehicle is not finished."
STILL_OPEN = "Still open:"
DECLINED = "What was declined"
SIGN = "Date and signature:"


def summary_text(summary: Summary) -> str:
    """Return the summary as plain text, for mail and messages."""
    lines = [Line(text=summary.title), Line(text=summary.subtitle)]
    if summary.customer:
        lines.append(Line(text=f"For {summary.customer}"))
    if summary.warning:
        lines += [Line(), *wrapped(summary.warning.upper(), width=WIDTH)]
    if summary.is_preliminary:
        lines += [Line(), *wrapped(f"{PRELIMINARY} {STILL_OPEN}", width=WIDTH)]
        for sentence in summary.open:
            lines += wrapped(sentence, first="  - ", rest="    ")
    for title, sentences in (
        ("What you should know", summary.know),
        ("What we measured", tuple(_measured_text(each) for each in summary.measured)),
    ):
        lines += [Line(), Line(text=title)]
        for sentence in sentences:
            lines += wrapped(sentence, first="  - ", rest="    ")
    lines += [Line(), Line(text="What it means")]
    for meaning in summary.meanings:
        lines += wrapped(
            f"{meaning.name}: {meaning.kind.lower()}. {' '.join(meaning.sentences)}",
            first="  - ",
            rest="    ",
        )
    if summary.done:
        lines += [Line(), Line(text="What we did")]
        for sentence in summary.done:
            lines += wrapped(sentence, first="  - ", rest="    ")
    if summary.declined:
        lines += [Line(), Line(text=DECLINED)]
        for sentence in summary.declined:
            lines += wrapped(sentence, first="  - ", rest="    ")
        lines += [Line(), Line(text=f"{SIGN} ______________________________")]
    lines += [Line(), Line(text="What to watch for")]
    for sentence in summary.watch:
        lines += wrapped(sentence, first="  - ", rest="    ")
    lines += [Line(), Line(text="When to come back"), *wrapped(summary.back, first="  ")]
    lines += [Line(), *wrapped(summary.footer)]
    if summary.shop:
        lines.append(Line(text=summary.shop))
    return as_text(lines)


def _measured_text(row: Measured) -> str:
    before = f", last time {row.before}" if row.before else ""
    return f"{row.place} {row.name}: {row.today}, limit {row.limit}{before}"


def summary_page(summary: Summary) -> str:
    """Return the summary as one self-contained HTML page."""
    from pathlib import Path

    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("customer.html").render(
        summary=summary,
        preliminary=PRELIMINARY,
        still_open=STILL_OPEN,
        declined=DECLINED,
        sign=SIGN,
    )


def summary_document(summary: Summary) -> dict[str, object]:
    """Return the facts of the page for machines."""
    return {"format": "brakelog.summary/1", **asdict(summary)}
