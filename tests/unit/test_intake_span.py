"""How far ahead a note is wanted: a time or a distance, as people type it."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.errors import InvalidInput
from brakelog.intake.span import MOST_DAYS, parse_span
from brakelog.lengths import DistanceUnit

TODAY = date(2026, 1, 31)


@pytest.mark.parametrize(
    ("text", "until"),
    [
        ("10 days", date(2026, 2, 10)),
        ("1 day", date(2026, 2, 1)),
        ("6 weeks", date(2026, 3, 14)),
        ("1 month", date(2026, 2, 28)),
        (" 2  Months ", date(2026, 3, 31)),
        ("11 months", date(2026, 12, 31)),
        ("12 months", date(2027, 1, 31)),
        ("2 years", date(2028, 1, 31)),
    ],
)
def test_times_are_read_to_the_day_until_which_they_run(text: str, until: date) -> None:
    span = parse_span(text, today=TODAY, declared=None)

    assert (span.until, span.within_mm) == (until, None)


@pytest.mark.parametrize(
    ("text", "within_mm"),
    [("3000 km", 3_000_000_000), ("2000 mi", 3_218_688_000), ("500", 500_000_000)],
)
def test_distances_are_read_like_odometers(text: str, within_mm: int) -> None:
    span = parse_span(text, today=TODAY, declared=DistanceUnit.KM)

    assert (span.until, span.within_mm) == (None, within_mm)


@pytest.mark.parametrize(
    "text", ["", "soon", "2", "2 fortnights", "-2 months", "2,5 months", "3.000 km", "9999 years"]
)
def test_what_is_neither_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput):
        parse_span(text, today=TODAY, declared=None)


@given(
    number=st.integers(min_value=0, max_value=59),
    today=st.dates(min_value=date(1990, 1, 1), max_value=date(2090, 1, 1)),
)
def test_months_never_run_into_the_month_after(number: int, today: date) -> None:
    until = parse_span(f"{number} months", today=today, declared=None).until

    assert until is not None
    assert (until.year * 12 + until.month) - (today.year * 12 + today.month) == number
    assert until.day <= today.day
    assert (until - today).days <= MOST_DAYS
