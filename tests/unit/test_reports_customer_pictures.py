"""Small pictures of the wear, as they stand beside each other in one page."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from brakelog.record.corner import Corner
from brakelog.record.shop import Shop
from brakelog.reports.customer_pictures import Picture, drawn
from brakelog.rules.part_history import PlaceHistory
from tests.unit.history_examples import FIRST, SECOND, STEADY, history, pad
from tests.unit.verdict_examples import LF, RF

RIGHT = (pad("8.8", FIRST, "RF"), pad("6.6", SECOND, "RF"))


def place(corner: Corner = LF) -> PlaceHistory:
    found = history([*STEADY, *RIGHT], corners=(LF, RF))
    return next(each for each in found.places if each.corner == corner and each.running)


def ids_of(picture: Picture) -> set[str]:
    return set(re.findall(r' id="([^"]*)"', picture.drawing))


def test_it_is_markup_that_can_stand_in_a_page() -> None:
    (picture,) = drawn([place()], Shop())

    assert ElementTree.fromstring(f"<svg>{picture.drawing}</svg>") is not None
    assert re.fullmatch(r"0 0 [\d.]+ [\d.]+", picture.view_box)
    for foreign in ("http", "xmlns", "xlink", "<style", "<metadata", "<?xml", "<!--"):
        assert foreign not in picture.drawing


def test_figures_stay_text_that_can_be_searched() -> None:
    (picture,) = drawn([place()], Shop())

    texts = re.findall(r"<text[^>]*>(?:<tspan[^>]*>)?([^<]*)", picture.drawing)
    assert "limit" in " ".join(texts)
    assert any(re.fullmatch(r"[\d,]+", each) for each in texts)


def test_ids_of_several_pictures_do_not_collide_and_nothing_refers_into_the_void() -> None:
    left, right = drawn([place(LF), place(RF)], Shop())

    assert ids_of(left)
    assert not ids_of(left) & ids_of(right)
    for picture in (left, right):
        wanted = re.findall(r'href="#([^"]*)"|url\(#([^)]*)\)', picture.drawing)
        assert {link or url for link, url in wanted} == ids_of(picture)


def test_a_picture_is_the_same_whatever_was_drawn_before_it() -> None:
    (first,) = drawn([place(LF)], Shop())
    drawn([place(RF)], Shop())

    assert drawn([place(LF)], Shop()) == (first,)


def test_it_is_told_in_words() -> None:
    (picture,) = drawn([place()], Shop())

    assert picture.text == (
        "Left front inner pad: 9.0 mm at 20,000 km on 4 Mar 2024, 7.5 mm at 32,000 km on "
        "3 Mar 2025, 5.9 mm at 45,000 km on 2 Mar 2026; its limit is 2.0 mm."
    )
