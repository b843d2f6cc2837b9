"""The customer's page in German: as large, as readable and as complete as the English one."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest
from playwright.sync_api import Browser

from brakelog.reports.language.language import language_named
from tests.pages.browser import PHONE, opened_page
from tests.pages.customer_pages import page_after_work, sample_pages
from tests.pages.test_customer_browser import THREE_AXLES, sheets_taken

DECIMAL_POINT = re.compile(
    r"(?<![\d.])\d+\.\d{1,2}(?![\d.])|\d\.\d+ (?:mm|Zoll)|\d,\d{3} (?:km|mi)"
)
"""A number as English writes it; days such as 02.03.2026 and 62.400 km are none."""


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The page of every vehicle of the sample workshop in German, and one after work."""
    folder = tmp_path_factory.mktemp("german")
    lang = language_named("de")
    return sample_pages(folder, lang) | {"after work": page_after_work(folder, lang)}


def test_two_axles_print_on_one_sheet_of_either_paper_with_their_pictures(
    browser: Browser, german: dict[str, Path], tmp_path: Path
) -> None:
    sheets = sheets_taken(browser, german, tmp_path)

    assert sheets.pop(THREE_AXLES) == [2, 2]
    assert all(each == [1, 1] for each in sheets.values()), sheets


def test_axe_finds_no_fault_and_a_phone_needs_no_scrolling_sideways(
    browser: Browser, german: dict[str, Path]
) -> None:
    width, height = PHONE
    for tag, file in german.items():
        with opened_page(browser, file, width=width, height=height) as opened:
            assert opened.complaints == [], tag
            assert opened.faults() == [], tag
            needed = opened.page.evaluate("document.documentElement.scrollWidth")
            assert needed <= width, tag


def test_every_number_has_a_decimal_comma_in_drawings_and_descriptions_too(
    german: dict[str, Path],
) -> None:
    for tag, file in german.items():
        parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
        document: Element = parser.parse(file.read_text(encoding="utf-8"))
        assert document.get("lang") == "de"
        texts = [each for each in document.itertext() if "{" not in each]
        described = [each.text or "" for each in document.iter() if str(each.tag).endswith("desc")]
        # The name of a vehicle is typed: 1.8 estate.
        names = [text for each in document.iter("bdi") for text in each.itertext()]
        texts = [text for text in texts if not any(name in text for name in names)]
        assert described, tag
        assert [text for text in texts if DECIMAL_POINT.search(text)] == [], tag
        assert any(re.search(r"\d,\d+ (?:mm|Zoll)", text) for text in described), tag
        assert any(re.search(r"\d\.\d{3} (?:km|Meilen)", text) for text in texts), tag
