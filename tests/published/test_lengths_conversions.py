"""Exact conversions between the inch and the millimetre."""

from __future__ import annotations

from fractions import Fraction

import pytest

from brakelog.lengths import (
    DistanceUnit,
    LengthUnit,
    decimal_mm,
    parse_distance,
    parse_length,
    print_length,
)

INCH_TABLE = {
    '1/32"': "0.79375",
    '1/16"': "1.5875",
    '3/32"': "2.38125",
    '1/8"': "3.175",
    '3/16"': "4.7625",
    '1/4"': "6.35",
    "0.0005 in": "0.0127",
    "0.001 in": "0.0254",
    "0.002 in": "0.0508",
    "0.003 in": "0.0762",
    "0.005 in": "0.127",
    "0.015 in": "0.381",
    "0.030 in": "0.762",
    "0.060 in": "1.524",
    "0.090 in": "2.286",
    "0.0001 in": "0.00254",
    '1/64"': "0.396875",
}
"""1 in = 25.4 mm exactly: international yard and pound agreement of 1959, NIST SP 811 (2008)
appendix B; the products are exact arithmetic."""


@pytest.mark.parametrize(("typed", "mm"), INCH_TABLE.items())
def test_inch_figures_are_exact_in_millimetres(typed: str, mm: str) -> None:
    assert decimal_mm(parse_length(typed, declared=None).nm) == mm


def test_mile_is_exact_in_millimetres() -> None:
    """1 mi = 1609.344 m exactly (NIST SP 811, appendix B.8)."""
    assert parse_distance("1 mi", declared=None) == (1_609_344, DistanceUnit.MILE)


def test_dividing_by_the_four_digit_rounding_would_not_give_an_inch() -> None:
    """A technical bulletin prints 1 mm = 0.03937 in; 25.4 of them are no inch."""
    assert Fraction("25.4") * Fraction("0.03937") != 1

    assert parse_length("1 in", declared=None).nm == parse_length("25.4 mm", declared=None).nm


PRINTED_PAIRS = [
    # figure in mm, figure in inch, inch figure minus mm figure [nm]
    ("9.0 mm", "0.35 in", -110_000),
    ("10.6 mm", "0.42 in", 68_000),
    ("28.4 mm", "1.118 in", -2_800),
    ("27.0 mm", "1.063 in", 200),
    ("12.0 mm", "0.472 in", -11_200),
    ("11.8 mm", "0.465 in", 11_000),
    ("22.8 mm", "0.898 in", 9_200),
    ("0.03 mm", "0.0012 in", 480),
    ("0.03 mm", "0.001 in", -4_600),
    ("0.06 mm", "0.002 in", -9_200),
    ("0.08 mm", "0.003 in", -3_800),
    ("0.013 mm", "0.0005 in", -300),
]
"""Pairs as printed side by side in service manuals of several makers, 1999 to 2009; the
differences are exact arithmetic."""


@pytest.mark.parametrize(("mm", "inch", "difference_nm"), PRINTED_PAIRS)
def test_the_two_figures_of_a_printed_limit_are_two_limits(
    mm: str, inch: str, difference_nm: int
) -> None:
    first, second = (parse_length(text, declared=None).nm for text in (mm, inch))

    assert second - first == difference_nm


def test_a_minimum_never_prints_as_met_by_rounding() -> None:
    """Rounding must not violate the limit: ASME A112.18.1-2018/CSA B125.1-18, annex A.2(e)."""
    printed = print_length(21_996_000, LengthUnit.MM, decimals=1, against=[22_000_000])

    assert Fraction(printed) < 22
