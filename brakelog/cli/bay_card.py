"""The card that is printed for the bay: ``measure --sheet``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from brakelog.cli.customer_files import file_words
from brakelog.cli.terminal import opened, say, today, write_new
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner
from brakelog.record.reading import Stage

if TYPE_CHECKING:
    from brakelog.reports.bay_card_model import BayCard


def print_card(
    ctx: typer.Context,
    vehicle: str,
    *,
    unit: LengthUnit | None,
    stage: Stage,
    corners: tuple[Corner, ...],
    text: bool,
    out: Path | None,
    replace: bool,
) -> None:
    """Write the card to a file, or print it as text."""
    from brakelog.reports.bay_card import bay_card
    from brakelog.workshop.bay_card import bay_card_of

    day = today()
    with opened(ctx) as store:
        walk, file = bay_card_of(store, vehicle, unit=unit, stage=stage, corners=corners)
    card = bay_card(walk, file, stage=stage, today=day, unit=unit, corners=corners)
    content = _rendered(card, text=text)
    if (text and out is None) or str(out) == "-":
        sys.stdout.write(content)
        return
    state = stage.value.replace(" ", "-")
    name = f"bay-card-{file_words(file.vehicle.tag)}-{day.isoformat()}-{state}.html"
    target = out or Path(name)
    write_new(
        target, content, replace=replace, hint="--replace writes over it, --out names another"
    )
    say(f"written to {target}")


def _rendered(card: BayCard, *, text: bool) -> str:
    if text:
        from brakelog.reports.bay_card_text import bay_card_text

        return bay_card_text(card)
    from brakelog.reports.bay_card_page import bay_card_page

    return bay_card_page(card)
