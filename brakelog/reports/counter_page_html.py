"""Sheets for paper written as self-contained HTML."""

from __future__ import annotations

import re
from datetime import UTC
from functools import cache
from typing import TYPE_CHECKING

from brakelog.record.issued import IssuedVerdict
from brakelog.reports.counter_page_model import CounterPage
from brakelog.reports.plain import shown

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup


def rendered(page: CounterPage) -> str:
    """Return the sheet as one self-contained HTML page."""
    return _template("counter.html").render(page=page, margin=css_text(page.running))


def issued_page(issued: IssuedVerdict, sheet: str, who: str) -> str:
    """Return a verdict as it was issued: the sheet that was kept, word for word.

    Parameters
    ----------
    issued : IssuedVerdict
        The verdict as it is kept.
    sheet : str
        Its sheet for people.
    who : str
        Initials of the one who issued it; empty where nobody is named.
    """
    when = f"{issued.recorded_at.astimezone(UTC):%Y-%m-%d %H:%M} UTC"
    head, _, _ = sheet.partition("\n")
    return _template("counter_issued.html").render(
        title=shown(head),
        when=when,
        who=shown(who),
        # The signs are the kept ones, but for what could turn the order of a line.
        lines=[shown(each) for each in sheet.splitlines()],
        margin=css_text(f"as issued {when}"),
    )


def css_text(text: str) -> str:
    r"""Return a text as it may stand between quotes in a style sheet: every sign as an escape.

    >>> css_text('"}')
    '\\000022\\00007d'
    """
    return "".join(f"\\{ord(sign):06x}" for sign in text)


_UNBROKEN = re.compile(r"\d{4}-\d\d(?:-\d\d)?|\d[\d.,]* (?:mm|in|km|mi|miles)\b", re.ASCII)
"""Days, and figures with their units."""


def _unbroken(text: str) -> Markup:
    """Return a text, escaped, in which no line ends within a day or before a unit."""
    from markupsafe import Markup, escape

    return Markup(_UNBROKEN.sub(r'<span class="figure">\g<0></span>', str(escape(text))))


@cache
def _template(name: str) -> Template:
    from pathlib import Path

    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["unbroken"] = _unbroken
    return environment.get_template(name)
