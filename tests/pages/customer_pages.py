"""Customer's pages to be opened: those of the sample workshop, and single ones made in memory."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path

from brakelog.record.reading import ReadingSet, Stage
from brakelog.reports.customer import Summary, customer_summary
from brakelog.reports.customer_page import summary_page
from brakelog.reports.customer_pictures import Picture, drawn
from brakelog.reports.language.language import Language
from brakelog.rules.vehicle import judge_vehicle
from brakelog.store.opening import open_store
from brakelog.workshop.customer import customer_case, every_customer_case
from brakelog.workshop.demo import SHOWN, run_demo
from tests.acceptance.workshop import Workshop
from tests.unit.verdict_examples import case

DAY = date(2026, 10, 12)
"""The day on which the pages are made, soon after the newest visit of the sample workshop."""
NAMES = {
    "page markup": "<script>alert('x')</script>",
    "terminal markup": "[bold red]Ann[/red]",
    "quotes": 'O\'Hara "Red" & <b>Sons</b>',
    "right to left": "שירה לוי",
    "long": "Quill " * 50,
    "one long word": "Q" * 300,
    "emoji": "🚗 Ann 👩‍🔧",
}


def sample_pages(folder: Path, lang: Language | None = None) -> dict[str, Path]:
    """Return the page of every vehicle of the sample workshop, by its tag."""
    demo = run_demo(folder / "demo", DAY)
    pages = {}
    with open_store(demo.store) as store:
        for vehicle, found in every_customer_case(
            store, render=lambda _: "", today=DAY, with_places=True
        ):
            assert found is not None
            facts = customer_summary(
                found.verdict, found.customer, today=DAY, closing=found.closing, lang=lang
            )
            pictures = drawn(found.places, found.verdict.file.shop, lang)
            pages[vehicle.tag] = written(facts, folder / f"{vehicle.tag}.html", pictures)
    return pages


def page_after_work(folder: Path, lang: Language | None = None) -> Path:
    """Return the page of a car of the sample workshop that got new pads and discs at the front."""
    demo = run_demo(folder / "worked on", DAY)
    shop = Workshop(demo.store)
    for corner in ("LF", "RF"):
        for part, size in (("pads", "11.0 mm"), ("rotor", "26.0 mm")):
            shop.fits(SHOWN, corner, part, "--size", size, day="2026-09-21")
    with open_store(demo.store) as store:
        found = customer_case(
            store, SHOWN, visit_name=None, stage=Stage.AS_LEFT, render=None, today=DAY
        )
    # Its job is taken for finished: here only the room on the sheet is looked at.
    facts = customer_summary(found.verdict, found.customer, today=DAY, lang=lang)
    return written(facts, folder / "after-work.html")


def written(facts: Summary, target: Path, pictures: Sequence[Picture] = ()) -> Path:
    """Write a page."""
    target.write_text(summary_page(facts, pictures), encoding="utf-8")
    return target


def facts_of(sets: Iterable[ReadingSet]) -> Summary:
    """Return the facts of a page of a small invented car."""
    return customer_summary(judge_vehicle(case(sets)), None)
