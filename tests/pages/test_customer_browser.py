"""The customer's page in a real browser: on a screen, on a phone, and on paper."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from brakelog.record.quantity import Quantity
from brakelog.reports.customer_drawing import LINE_MM
from brakelog.reports.customer_measured import Shape
from brakelog.reports.plain_page import CHECK_BAR_MM
from tests.pages.browser import PHONE, Rectangle, opened_page
from tests.pages.customer_pages import NAMES, facts_of, page_after_work, written
from tests.unit.verdict_examples import healthy, readings

PAPERS = ("A4", "Letter")
LEFT, STAYS = (0.0, 0.45, 0.7), (0.83, 0.83, 0.83)
"""How the colours of what may still wear, and of what has to stay, come out of the printer."""
THREE_AXLES = "GODWIT-3"


def test_every_page_opens_without_a_complaint_and_asks_for_nothing(
    browser: Browser, pages: dict[str, Path]
) -> None:
    for tag, file in pages.items():
        with opened_page(browser, file) as opened:
            assert opened.page.locator("h1").inner_text() == "Your brakes", tag
            assert opened.complaints == [], tag


def test_two_axles_print_on_one_sheet_of_either_paper_with_their_pictures(
    browser: Browser, pages: dict[str, Path], tmp_path: Path
) -> None:
    sheets = sheets_taken(browser, pages, tmp_path)

    assert sheets.pop(THREE_AXLES) == [2, 2]
    assert all(each == [1, 1] for each in sheets.values()), sheets


def sheets_taken(browser: Browser, pages: dict[str, Path], folder: Path) -> dict[str, list[int]]:
    """Print every page on every paper, and return how many sheets each takes."""
    sheets = {}
    for tag, file in pages.items():
        with opened_page(browser, file) as opened:
            printed = [opened.printed(folder / f"{tag}-{paper}.pdf", paper) for paper in PAPERS]
        sheets[tag] = [each.sheets() for each in printed]
    return sheets


def test_a_finished_job_with_new_pads_and_discs_prints_on_one_sheet(
    browser: Browser, tmp_path: Path
) -> None:
    with opened_page(browser, page_after_work(tmp_path)) as opened:
        for paper in PAPERS:
            printed = opened.printed(tmp_path / f"{paper}.pdf", paper)
            assert printed.sheets() == 1, paper
        assert opened.page.locator("text=What we did today").count() == 1


def test_ten_millimetres_of_lining_are_ten_millimetres_on_paper(
    browser: Browser, tmp_path: Path
) -> None:
    rest = [each for each in healthy("LF") if each.quantity is not Quantity.PAD_INNER]
    facts = facts_of([*rest, readings("LF", Quantity.PAD_INNER, "10.0 10.0")])
    file = written(facts, tmp_path / "page.html")

    for paper in PAPERS:
        with opened_page(browser, file) as opened:
            found = opened.printed(tmp_path / f"{paper}.pdf", paper).rectangles()
        # The limit is 2.0 mm, so that 8.0 mm may still wear.
        assert any(
            side_by_side(stays, left)
            and stays.width == pytest.approx(2.0, abs=0.1)
            and left.width == pytest.approx(8.0, abs=0.1)
            and stays.width + left.width == pytest.approx(10.0, abs=0.1)
            for stays in found
            for left in found
            if (stays.colour, left.colour) == (STAYS, LEFT)
        )
        bars = [each.width for each in found if each.height == pytest.approx(LINE_MM, abs=0.05)]
        assert any(width == pytest.approx(CHECK_BAR_MM, abs=0.1) for width in bars)


def side_by_side(one: Rectangle, other: Rectangle) -> bool:
    return one.y == pytest.approx(other.y, abs=0.05) and (
        one.x + one.width == pytest.approx(other.x, abs=0.05)
        or other.x + other.width == pytest.approx(one.x, abs=0.05)
    )


def test_what_everybody_needs_stands_on_paper_in_its_order(
    browser: Browser, pages: dict[str, Path], tmp_path: Path
) -> None:
    with opened_page(browser, pages["HERON-4"]) as opened:
        text = " ".join(opened.printed(tmp_path / "page.pdf", "A4").text().split())

    wanted = (
        *("Your brakes", "replace the front brake pads", "Left front", "Right rear"),
        *("suggested", "If you wait", "not before", "stop and call us", "come back within"),
        "This line is 50 mm",
    )
    for first, second in pairwise(wanted):
        assert text.index(first) < text.index(second)


def test_axe_finds_no_fault(browser: Browser, pages: dict[str, Path]) -> None:
    for tag, file in pages.items():
        with opened_page(browser, file) as opened:
            assert opened.faults() == [], tag


def test_a_phone_shows_it_without_scrolling_sideways(
    browser: Browser, pages: dict[str, Path]
) -> None:
    width, height = PHONE
    for tag, file in pages.items():
        with opened_page(browser, file, width=width, height=height) as opened:
            needed = opened.page.evaluate("document.documentElement.scrollWidth")
            assert needed <= width, tag
            sizes = opened.page.evaluate(
                "[...document.querySelectorAll('p, li, td, th')]"
                ".map(each => parseFloat(getComputedStyle(each).fontSize))"
            )
            assert min(sizes) >= 12, tag


def test_brakes_of_a_truck_are_drawn_at_their_size_too(browser: Browser, tmp_path: Path) -> None:
    facts = facts_of([*healthy("LF"), *healthy("RF")])
    sizes = {Shape.DISC: "45.0", Shape.LINING: "19.0"}
    rows = [
        replace(row, bar=replace(row.bar, size_mm=sizes[row.bar.shape])) for row in facts.measured
    ]
    file = written(replace(facts, measured=tuple(rows)), tmp_path / "page.html")

    width, height = PHONE
    with opened_page(browser, file, width=width, height=height) as opened:
        assert opened.page.evaluate("document.documentElement.scrollWidth") <= width
        assert opened.faults() == []
        paper = opened.printed(tmp_path / "page.pdf", "A4")
    assert paper.sheets() == 1
    # The limit of the disc is 26.0 mm, and as much as it has worn less stands on either side.
    discs = [each for each in paper.rectangles() if each.colour == LEFT and each.width > 5]
    assert any(each.width == pytest.approx((45.0 - 26.0) / 2, abs=0.1) for each in discs)


@pytest.mark.parametrize("name", NAMES.values(), ids=list(NAMES))
def test_whatever_a_name_holds_is_shown_as_text(
    browser: Browser, name: str, tmp_path: Path
) -> None:
    facts = replace(facts_of(healthy("LF")), customer=name, vehicle=name, shop=name)
    file = written(facts, tmp_path / "page.html")

    width, height = PHONE
    with opened_page(browser, file, width=width, height=height) as opened:
        assert opened.complaints == []
        shown = opened.page.locator("header").inner_text()
        assert " ".join(shown.split()).count(" ".join(name.split())) == 2
        assert opened.page.locator("script, header b").count() == 0
        assert opened.page.evaluate("document.documentElement.scrollWidth") <= width
        assert opened.printed(tmp_path / "page.pdf", "A4").sheets() == 1


def test_a_name_written_from_the_right_does_not_turn_the_day_round(
    browser: Browser, tmp_path: Path
) -> None:
    name = NAMES["right to left"]
    facts = replace(facts_of(healthy("LF")), vehicle=name)
    with opened_page(browser, written(facts, tmp_path / "page.html")) as opened:
        lefts = opened.page.evaluate(
            """() => {
                const line = document.querySelector('header p');
                const place = (node, from, to) => {
                    const range = document.createRange();
                    range.setStart(node, from);
                    range.setEnd(node, to);
                    return range.getBoundingClientRect().left;
                };
                const [name, rest] = [line.querySelector('bdi').firstChild, line.lastChild];
                return [place(name, 0, 1), place(rest, 2, 3), place(rest, 4, 7)];
            }"""
        )

    # The name stands first, and within the day its number stands before the month.
    assert lefts[0] < lefts[1] < lefts[2]
