"""Old readings are said to be old."""

from __future__ import annotations

from datetime import date

import pytest

from brakelog.reports.counter import counter_sheet
from brakelog.reports.customer import customer_summary
from brakelog.reports.plain import as_text
from brakelog.rules.vehicle import judge_vehicle
from tests.unit.verdict_examples import case, healthy

VERDICT = judge_vehicle(case((*healthy("LF"), *healthy("RF"))))
"""Of 2 March 2026; the next planned visit is 12 months later."""


@pytest.mark.parametrize(
    ("today", "months"), [(date(2027, 3, 1), None), (date(2027, 3, 2), 12), (date(2028, 5, 1), 25)]
)
def test_readings_older_than_the_next_planned_visit_are_said_to_be(
    today: date, months: int | None
) -> None:
    sheet = as_text(counter_sheet(VERDICT, today=today))
    page = customer_summary(VERDICT, None, today=today)

    assert (f"These readings are {months} months old" in sheet) is (months is not None)
    assert any(f"{months} months ago" in sentence for sentence in page.know) is (months is not None)
    assert ("should have been by now" in page.back) is (months is not None)
    assert ("Your next planned visit is after" in page.back) is (months is None)


def test_sheet_of_an_issued_verdict_does_not_change_with_the_day() -> None:
    assert counter_sheet(VERDICT) == counter_sheet(VERDICT, today=date(2026, 3, 3))
