"""Text to length and back, whatever is typed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.errors import InvalidInput
from brakelog.lengths import (
    NM_PER_INCH,
    NM_PER_MM,
    LengthUnit,
    decimal_mm,
    parse_distance,
    parse_length,
    print_length,
)

NM = st.integers(min_value=0, max_value=1_000 * NM_PER_MM)


@given(nm=NM)
def test_printed_exactly_and_read_again_is_the_same_length(nm: int) -> None:
    assert parse_length(f"{decimal_mm(nm)} mm", declared=None).nm == nm


@given(nm=NM, limit_nm=NM, decimals=st.integers(0, 4), unit=st.sampled_from(LengthUnit))
def test_printing_never_moves_a_value_across_a_limit(
    nm: int, limit_nm: int, decimals: int, unit: LengthUnit
) -> None:
    printed = Fraction(print_length(nm, unit, decimals=decimals, against=[limit_nm])) * unit.nm

    if nm != limit_nm:
        assert (printed > limit_nm) == (nm > limit_nm)
        assert (printed < limit_nm) == (nm < limit_nm)


@given(nm=NM, decimals=st.integers(0, 4), unit=st.sampled_from(LengthUnit))
def test_value_at_a_limit_prints_like_the_limit(nm: int, decimals: int, unit: LengthUnit) -> None:
    at_limit = print_length(nm, unit, decimals=decimals, against=[nm])

    assert at_limit == print_length(nm, unit, decimals=decimals)


@given(whole=st.integers(0, 3), top=st.integers(1, 63), blank=st.sampled_from([" ", "-"]))
def test_fractions_of_an_inch_are_exact(whole: int, top: int, blank: str) -> None:
    text = f'{whole}{blank}{top}/64"'

    assert parse_length(text, declared=None).nm == whole * NM_PER_INCH + top * NM_PER_INCH // 64


@given(text=st.text(max_size=80))
def test_anything_typed_is_a_length_or_a_reason(text: str) -> None:
    try:
        found = parse_length(text, declared=LengthUnit.MM, close_blanks=True)
    except InvalidInput:
        return

    assert found.nm >= 0
    assert found.text == text


@given(text=st.text(max_size=80))
def test_anything_typed_is_an_odometer_or_a_reason(text: str) -> None:
    try:
        distance_mm, _ = parse_distance(text, declared=None)
    except InvalidInput:
        return

    assert distance_mm >= 0


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("27.41", "27.41"),
        ("27,41", "27.41"),
        ("27.41mm", "27.41"),
        ('1.0791"', "27.40914"),
        ("1.0791 in", "27.40914"),
        ('7/32"', "5.55625"),
        ("1 1/16 in", "26.9875"),
        ("1-1/16 in", "26.9875"),
        ("0.002", "0.002"),
        ("2 thou", "0.0508"),
        ("+27.4", "27.4"),
        ("+ 2.1380, MM", "2.138"),
        ("2 7 . 4 1", "27.41"),
        ("27.41\u00a0mm", "27.41"),
    ],
)
def test_what_people_and_gauges_type(text: str, mm: str) -> None:
    found = parse_length(text, declared=LengthUnit.MM, close_blanks=True)

    assert decimal_mm(found.nm) == mm
    assert found.text == text


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("27.4.1", "two decimal points"),
        ("1,234.5", "two decimal points"),
        ("27a", "letters that are no unit"),
        ("1e3", "not a number"),
        ("nan", "letters that are no unit"),
        ("-3", "below zero"),
        ("27.4100001", "finer than a nanometre"),
        ("1/3 in", "finer than a nanometre"),
        ("7/32", "fraction without a unit"),
        ("7/32 mm", "only inches come in fractions"),
        ("", "no number"),
        ("99999", "longer than any brake part"),
        ("1" * 65, "too long"),
        ("\u0663", "not a number"),
    ],
)
def test_what_is_refused_and_why(text: str, reason: str) -> None:
    with pytest.raises(InvalidInput, match=reason):
        parse_length(text, declared=LengthUnit.MM)


def test_number_without_a_unit_is_asked_for_where_none_is_declared() -> None:
    with pytest.raises(InvalidInput, match="cannot be told"):
        parse_length("0.5", declared=None)


@pytest.mark.parametrize("text", ["62,400", "62.400", "62 400", "62400.5"])
def test_odometer_with_separators_is_asked_back(text: str) -> None:
    with pytest.raises(InvalidInput, match="62400"):
        parse_distance(f"{text} km", declared=None)
