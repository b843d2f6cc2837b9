"""The counter sheet on paper: two sheets at most for a usual car, on A4 and on Letter."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.acceptance.workshop import DAY, Workshop
from tests.pages.browser import PHONE, opened_page
from tests.pages.chromium import need_chromium
from tests.pages.customer_pages import NAMES
from tests.pages.printing import Printed, print_page

FRONT = (
    *("rotor-new: 26.0 mm (1.024 in)", "rotor-machine-to: 24.2 mm (0.953 in), below"),
    *("rotor-discard: 23.8 mm (0.937 in), at or below", "variation: 0.015 mm (0.0006 in), above"),
    *("runout: 0.05 mm (0.0020 in), above", "scoring: 0.50 mm (0.020 in)"),
    *("pad-new: 11.0 mm (0.433 in)", "pad-minimum: 1.5 mm (0.059 in), below"),
)
REAR_DRUM = (
    *("drum-new: 200.0 mm (7.874 in)", "drum-machine-to: 200.8 mm (7.906 in), above"),
    *("drum-discard: 201.0 mm (7.913 in), above", "out-of-round: 0.10 mm (0.004 in), above"),
    *("bell-mouth: 0.10 mm (0.004 in)", "scoring: 0.50 mm (0.020 in), above"),
    *("shoe-new: 4.5 mm (0.177 in)", "shoe-minimum: 1.0 mm (0.039 in), below"),
)
DISC = """\
{c} pad-in {inner}
{c} pad-out {outer}
{c} runout 0.0{n} nuts=5/5 bearing=ok back=yes
{c} rotor {points} lip=no again={again}
{c} scoring 0.1{n}
{c} looked-over
"""
DRUM = """\
{c} drum-open 200.1{n} 200.1{m}
{c} drum-closed 200.1{m} 200.1{n}
{c} shoe-lead {outer}
{c} shoe-trail {inner}
{c} scoring 0.1{n}
{c} looked-over
"""
BEFORE = {"LF": "9.1 9.0", "RF": "9.3 9.2", "LR": "4.1 4.0", "RR": "4.2 4.1"}
NOW = {"LF": "3.4 3.2", "RF": "3.5 3.4", "LR": "3.1 2.9", "RR": "3.2 3.1"}
"""Linings two years ago and now: the front pads will not reach the next planned visit."""
CLOSED = """\
torque front caliper 28 N·m
torque front wheel 110 N·m
torque rear wheel 110 N·m
check wear-sensor front not-fitted
check tightened yes
check fluid-level between
check pedal-firm yes
check road-test yes
odometer-out 62404 km
check no-leak yes
check lamps-off yes
check bedding-in customer
agreed front pads who="Pia Quill" how=phone number="555 0100" cost="320 EUR"
declined rear brakes who="Pia Quill" how=signed
"""
LEFT = """\
LF runout 0.02 nuts=5/5 bearing=ok back=yes
RF runout 0.03 nuts=5/5 bearing=ok back=yes
LF pad-in 11.0 11.0
LF pad-out 11.0 10.9
RF pad-in 11.0 10.9
RF pad-out 11.0 11.0
"""
A4_PT, LETTER_PT = (595, 842), (612, 792)
"""Sizes of the sheets: 210 x 297 mm and 8.5 x 11 in, in points of 1/72 in. [pt]"""
PAPERS = (("A4", A4_PT), ("letter", LETTER_PT))


def measured(brakes: str, linings: dict[str, str], worn: int) -> str:
    """All that can be measured on a car; ``worn`` thousandths have gone from its rotors."""
    front, rear = brakes.split("/")
    lines = ""
    for n, (corner, lining) in enumerate(linings.items(), start=1):
        kind = front if corner.endswith("F") else rear
        low = 25_100 + 7 * n - worn
        points = [f"{(low + step) / 1000:.3f}" for step in (3, 5, 6, 4, 2, 0, 1, 2, 3)]
        lines += (DISC if kind == "disc" else DRUM).format(
            c=corner,
            n=n,
            m=n + 2,
            inner=lining,
            outer=lining,
            points=" ".join(points),
            again=points[0],
        )
    return lines


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """Cars with everything measured, twice; of each kind one that was only inspected, and one
    that got new front pads."""
    need_chromium()
    shop = Workshop(tmp_path_factory.mktemp("print") / "shop.sqlite")
    shop.has_people()
    shop.has_its_usual_gauges()
    shop.has_limits("disc/disc", "front", *FRONT)
    shop.has_limits("disc/disc", "rear", *FRONT)
    shop.has_limits("disc/drum", "front", *FRONT)
    shop.has_limits("disc/drum", "rear", *REAR_DRUM)
    for brakes in ("disc/disc", "disc/drum"):
        for state in ("found", "left"):
            tag = tag_of(brakes, state)
            shop.has_vehicle(
                *(tag, "--brakes", brakes, "--sheet", brakes, "--plate", "QX 118"),
                *("--description", "Marl Corbie 1.3 estate, ochre"),
            )
            by = ("--by", "AM")
            shop.measures(tag, "31000 km", measured(brakes, BEFORE, 0), *by, day="2024-01-12")
            shop.measures(tag, "62400 km", measured(brakes, NOW, 400), *by, "--complaint", "squeal")
            if state == "left":
                for corner in ("LF", "RF"):
                    shop.fits(tag, corner, "pads", "--size", "11.0 mm", *by)
                shop.does("finish", tag, *by, typed=LEFT + CLOSED)
    return shop


def tag_of(brakes: str, state: str) -> str:
    return f"WHIN-{brakes.replace('/', '-')}-{state}"


def page_of(shop: Workshop, tag: str, *options: str) -> str:
    return shop.does("verdict", tag, "--html", "--out", "-", *options)


def on_both(browser: Browser, page: str, folder: Path) -> Iterator[Printed]:
    for paper, size in PAPERS:
        printed = print_page(browser, page, folder, paper=paper)
        assert (printed.width_pt, printed.height_pt) == pytest.approx(size, abs=1)
        yield printed


@pytest.mark.parametrize("state", ["found", "left"])
@pytest.mark.parametrize("brakes", ["disc/disc", "disc/drum"])
def test_a_usual_car_with_everything_measured_takes_two_sheets_in_black_and_white(
    shop: Workshop, browser: Browser, brakes: str, state: str, tmp_path: Path
) -> None:
    page = page_of(shop, tag_of(brakes, state))
    for printed in on_both(browser, page, tmp_path):
        assert printed.sheets <= 2, f"look at {printed.picture()}"
        assert not printed.has_colour
        text = " ".join(printed.text.split())
        assert "What follows" in text
        assert "Baseline complete" in text
        assert "inspection law of the place applies" in text
        assert f"sheet {printed.sheets} of {printed.sheets}" in text
        # Every sheet says whose it is, should they part.
        assert text.count(f"{tag_of(brakes, state)}, {DAY}, as {state}") >= printed.sheets


def test_a_verdict_as_issued_is_put_on_paper_word_for_word(
    shop: Workshop, browser: Browser, tmp_path: Path
) -> None:
    tag = tag_of("disc/disc", "found")
    shop.does("verdict", tag)
    issued = shop.does("verdict", tag, "--as-of", DAY)
    for printed in on_both(browser, page_of(shop, tag, "--as-of", DAY), tmp_path):
        assert printed.sheets <= 3
        assert not printed.has_colour
        text = " ".join(printed.text.split())
        assert all(
            line in text for line in (" ".join(each.split()) for each in issued.splitlines())
        )


def test_axe_finds_no_fault_and_nothing_is_asked_of_the_network(
    shop: Workshop, browser: Browser, tmp_path: Path
) -> None:
    pages = {
        "found": page_of(shop, tag_of("disc/disc", "found")),
        "left": page_of(shop, tag_of("disc/drum", "left")),
        "issued": page_of(shop, tag_of("disc/disc", "found"), "--as-of", DAY),
    }
    for name, page in pages.items():
        file = tmp_path / f"{name}.html"
        file.write_text(page, encoding="utf-8")
        for width, height in (PHONE, (1100, 900)):
            with opened_page(browser, file, width=width, height=height) as opened:
                assert opened.faults() == [], name
                assert opened.complaints == [], name
                assert opened.page.evaluate("document.documentElement.scrollWidth") <= width, name


@pytest.mark.parametrize("name", NAMES.values(), ids=list(NAMES))
def test_whatever_a_name_holds_is_shown_as_text_and_printed(
    shop: Workshop, browser: Browser, name: str, tmp_path: Path
) -> None:
    copy = shop.copy(tmp_path)
    tag = tag_of("disc/disc", "found")
    copy.does("vehicle", "change", tag, "--description", name)
    copy.does("shop", "change", "--name", name)
    file = tmp_path / "page.html"
    file.write_text(page_of(copy, tag), encoding="utf-8")

    with opened_page(browser, file) as opened:
        assert opened.complaints == []
        shown = " ".join(opened.page.locator("header").inner_text().split())
        assert shown.count(" ".join(name.split())) == 2
        assert opened.page.locator("script, header b").count() == 0
    for printed in on_both(browser, file.read_text(encoding="utf-8"), tmp_path):
        assert printed.sheets <= 3
