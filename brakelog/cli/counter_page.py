"""The counter sheet on paper: ``verdict --html``."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from brakelog.cli.customer_files import file_words
from brakelog.cli.terminal import say, write_new
from brakelog.record.reading import Stage

if TYPE_CHECKING:
    from brakelog.record.issued import IssuedVerdict
    from brakelog.reports.counter_page_model import CounterPage
    from brakelog.rules.casefile import CaseFile


def check_paper(out: Path | None, *, html: bool, every: bool, as_json: bool, replace: bool) -> None:
    """Refuse options that do not go together."""
    if html and (every or as_json):
        raise typer.BadParameter("--html is for one vehicle on paper: leave out --all and --json")
    if not html and (out is not None or replace):
        raise typer.BadParameter("--out and --replace go with --html")


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """Where a page goes."""

    out: Path | None
    """None for a file named after the vehicle; ``-`` for standard output."""
    replace: bool
    """Whether it may be written over what is there."""


def put_page(page: CounterPage, file: CaseFile, paper: Paper) -> None:
    """Write the sheet of a verdict to a file, or to standard output."""
    from brakelog.reports.counter_page_html import rendered

    name = sheet_name(
        file.vehicle.tag, file.visit.day.isoformat(), file.stage, is_open=page.is_open
    )
    _put(rendered(page), name, paper)


def put_issued(issued: IssuedVerdict, sheet: str, who: str, paper: Paper) -> None:
    """Write a verdict as it was issued to a file, or to standard output."""
    import json

    from brakelog.reports.counter_page_html import issued_page

    facts = json.loads(issued.document)
    name = sheet_name(facts["vehicle"]["tag"], facts["visit"]["date"], issued.stage, is_issued=True)
    _put(issued_page(issued, sheet, who), name, paper)


def sheet_name(
    tag: str, day: str, stage: Stage, *, is_open: bool = False, is_issued: bool = False
) -> str:
    """Return a file name that every system allows, another one for every state of the work.

    >>> sheet_name("../Ab 1", "2026-03-02", Stage.AS_LEFT, is_open=True)
    'counter-Ab-1-2026-03-02-as-left-not-finished.html'
    """
    end = "-not-finished" if is_open else "-as-issued" if is_issued else ""
    return f"counter-{file_words(tag)}-{day}-{stage.value.replace(' ', '-')}{end}.html"


def _put(content: str, name: str, paper: Paper) -> None:
    if str(paper.out) == "-":
        sys.stdout.write(content)
        return
    target = paper.out or Path(name)
    hint = "--replace writes over it, --out names another"
    write_new(target, content, replace=paper.replace, hint=hint)
    say(f"written to {target}")
