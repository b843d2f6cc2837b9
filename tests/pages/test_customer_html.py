"""The customer's page as a document: valid, by itself, small, and readable by everybody."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
import pytest

from brakelog.reports.customer_page import summary_page
from tests.pages.customer_pages import facts_of
from tests.unit.verdict_examples import healthy

MOST_BYTES = 300_000
OKABE_ITO = {"#0072b2", "#d55e00"}
"""Blue and vermilion of Okabe and Ito (2008)."""
TEXT, GRAPHICS = 4.5, 3.0
"""WCAG 2.2, 1.4.3 and 1.4.11: contrast of text, and of what a drawing is understood by."""
_SVG = "{http://www.w3.org/2000/svg}"


def parsed(file: Path) -> Element:
    """Parse a page; anything that a validator calls an error ends it."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree: Element = parser.parse(file.read_text(encoding="utf-8"))
    return tree


@pytest.fixture(scope="module")
def documents(pages: dict[str, Path]) -> dict[str, Element]:
    return {tag: parsed(file) for tag, file in pages.items()}


def every(documents: dict[str, Element], *names: str) -> Iterator[Element]:
    for document in documents.values():
        for each in document.iter():
            if isinstance(each.tag, str) and each.tag.removeprefix(_SVG) in names:
                yield each


def test_it_is_valid_and_small(pages: dict[str, Path], documents: dict[str, Element]) -> None:
    assert set(documents) == set(pages)
    assert max(file.stat().st_size for file in pages.values()) < MOST_BYTES


def test_nothing_is_loaded_and_nothing_runs(
    pages: dict[str, Path], documents: dict[str, Element]
) -> None:
    for file in pages.values():
        text = file.read_text(encoding="utf-8")
        assert "http" not in text
        assert "@import" not in text
        assert all(each.startswith("#") for each in re.findall(r'(?:src|href)="([^"]*)"', text))
        assert all(each.startswith("#") for each in re.findall(r"url\(([^)]*)\)", text))
    assert not list(every(documents, "script", "link", "img", "iframe", "object"))


def test_no_id_stands_twice_and_every_reference_is_met(documents: dict[str, Element]) -> None:
    for tag, document in documents.items():
        ids = Counter(each.get("id") for each in document.iter() if each.get("id"))
        assert [name for name, count in ids.items() if count > 1] == [], tag
        wanted: set[str] = set()
        for each in document.iter():
            wanted.update((each.get("aria-labelledby") or "").split())
            for value in each.attrib.values():
                wanted.update(re.findall(r"url\(#([^)]*)\)", value))
            if isinstance(each.tag, str) and each.tag == f"{_SVG}use":
                wanted.update(name.lstrip("#") for key, name in each.items() if "href" in key)
        assert wanted
        assert wanted - set(ids) == set(), tag


def test_headings_go_down_one_step_at_a_time(documents: dict[str, Element]) -> None:
    for tag, document in documents.items():
        levels = [
            int(each.tag[1])
            for each in document.iter()
            if isinstance(each.tag, str) and re.fullmatch("h[1-6]", each.tag)
        ]
        assert levels[0] == 1, tag
        assert levels.count(1) == 1, tag
        assert all(after - before <= 1 for before, after in pairwise(levels)), tag


def test_every_table_says_what_its_rows_and_columns_are(documents: dict[str, Element]) -> None:
    headers = list(every(documents, "th"))

    assert {each.get("scope") for each in headers} == {"row", "col"}
    assert all("".join(each.itertext()).strip() for each in headers)


def test_every_drawing_is_told_in_words_or_is_only_a_key(documents: dict[str, Element]) -> None:
    drawings = list(every(documents, "svg"))
    assert drawings
    for each in drawings:
        if each.get("aria-hidden") == "true":
            continue
        assert each.get("role") == "img"
        desc = each.find(f"{_SVG}desc")
        assert desc is not None
        assert re.search(r"\d (mm|in)\b", desc.text or "")
        assert len((each.get("aria-labelledby") or "").split()) == 2


def test_the_last_visit_is_told_where_it_is_known(pages: dict[str, Path]) -> None:
    text = pages["HERON-4"].read_text(encoding="utf-8")

    assert 'class="ghost"' in text
    assert "Inner pad: 3.0 mm (0.118 in), limit 1.5 mm (0.059 in), last time 5.4 mm" in text
    first_visit = summary_page(facts_of(healthy("LF")))
    assert 'class="ghost"' not in first_visit
    assert "last time" not in first_visit


def test_drums_are_drawn_as_what_they_may_still_grow(pages: dict[str, Path]) -> None:
    text = pages["SNIPE-9"].read_text(encoding="utf-8")

    assert text.count("Drum: what it may still grow, drawn 10 times as large.") == 2
    assert 'class="new"' in text


# Colour


def style_of(file: Path) -> dict[str, dict[str, str]]:
    """Return the declarations of every selector outside of what holds for one medium only."""
    text = file.read_text(encoding="utf-8")
    style = text[text.index("<style>") + 7 : text.index("</style>")]
    style = style[: style.index("@media")]
    found: dict[str, dict[str, str]] = {}
    for selectors, body in re.findall(r"([^{}@]+)\{([^{}]*)\}", style):
        pairs = [part.split(":", 1) for part in body.split(";") if ":" in part]
        declared = {name.strip(): value.strip() for name, value in pairs}
        for selector in selectors.split(","):
            found.setdefault(selector.strip(), {}).update(declared)
    return found


def luminance(colour: str) -> float:
    """Relative luminance of WCAG 2.2."""
    digits = colour.lstrip("#")
    digits = "".join(2 * each for each in digits) if len(digits) == 3 else digits
    parts = [int(digits[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_measured_as_the_standard_measures_it() -> None:
    assert contrast("#000", "#fff") == pytest.approx(21.0)
    # The grey that is known for just meeting 4.5.
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


def test_text_and_drawings_stand_out_from_the_paper(pages: dict[str, Path]) -> None:
    style = style_of(pages["HERON-4"])
    paper = style["body"]["background"]
    texts = [each["color"] for each in style.values() if each.get("color")]

    assert len(texts) >= 3
    assert min(contrast(each, paper) for each in texts) >= TEXT
    graphics = [
        style[".left"]["fill"],
        style[".plate"]["fill"],
        style[".limit"]["fill"],
        style[".ghost"]["stroke"].split()[0],
        style[".stays"]["stroke"],
        style[".required .kind"]["border-bottom"].split()[-1],
        style[".suggested .kind"]["border-bottom"].split()[-1],
    ]
    assert min(contrast(each, paper) for each in graphics) >= GRAPHICS


def test_nothing_is_told_by_colour_alone(pages: dict[str, Path]) -> None:
    style = style_of(pages["HERON-4"])

    # Without colour what may wear is far darker than what has to stay.
    assert contrast(style[".left"]["fill"], style[".stays"]["fill"]) >= GRAPHICS
    assert style[".ghost"]["fill"] == "none"
    assert "stroke-dasharray" in style[".ghost"]
    required = style[".required .kind"]["border-bottom"].split()
    suggested = style[".suggested .kind"]["border-bottom"].split()
    assert (required[1], suggested[1]) == ("solid", "dashed")


def test_only_two_colours_that_the_colour_blind_tell_apart_are_used(
    pages: dict[str, Path],
) -> None:
    for file in pages.values():
        colours = set(re.findall(r"#[0-9a-fA-F]{6}\b", file.read_text(encoding="utf-8")))
        hues = {each.lower() for each in colours if len({each[n : n + 2] for n in (1, 3, 5)}) > 1}
        assert hues <= OKABE_ITO
