"""Tyre sizes as they stand on side walls, and what is refused."""

from __future__ import annotations

import pytest

from brakelog.errors import InvalidInput
from brakelog.metrology.judder import parse_tyre
from brakelog.record.trait import check_trait


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("205/55R16", "205/55R16"),
        (" 205/55 r 16 91V ", "205/55R16"),
        ("P225/45ZR18", "225/45R18"),
        ("LT265/70R17 121/118S", "265/70R17"),
        ("225/75R16C", "225/75R16"),
        ("225/70R19.5", "225/70R19.5"),
        ("185/80-13", "185/80R13"),
    ],
)
def test_a_size_is_read_in_every_form_that_side_walls_have(text: str, size: str) -> None:
    assert parse_tyre(text).size == size


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "not a tyre size"),
        ("205 55 16", "not a tyre size"),
        ("205/55R16R17", "not a tyre size"),
        ("205/55R100", "not a tyre size"),
        ("20/55R16", "not a tyre size"),
        ("905/55R16", "no tyre is 905 mm wide"),
        ("205/15R16", "no tyre is 15 % high"),
        ("205/55R61", "no tyre is 61 in rim"),
        ("２０５/55R16", "not a tyre size"),
    ],
)
def test_what_is_no_tyre_is_refused(text: str, why: str) -> None:
    with pytest.raises(InvalidInput, match=why) as refused:
        parse_tyre(text)

    assert "205/55R16" in refused.value.hint


@pytest.mark.parametrize(
    ("text", "hint"),
    [("195R14C", "the height is missing"), ("31x10.50R15", "in inches"), ("7.50R16", "in inches")],
)
def test_a_refusal_says_what_is_missing(text: str, hint: str) -> None:
    """A tyre without its height is 80 or 82 % high; which, nobody can tell."""
    with pytest.raises(InvalidInput) as refused:
        parse_tyre(text)

    assert hint in refused.value.hint


@pytest.mark.parametrize("text", ["205/55R16", "225/70R19.5", "225/45ZR18"])
def test_every_tyre_that_a_limit_sheet_may_name_can_be_read(text: str) -> None:
    _, kept = check_trait("tyre", text, 0)

    assert parse_tyre(kept).circumference_mm > 0
