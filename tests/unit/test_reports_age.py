"""Old readings are said to be old."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from brakelog.record.quantity import Quantity
from brakelog.reports.counter import counter_sheet
from brakelog.reports.customer import customer_summary
from brakelog.reports.language.language import language_named
from brakelog.reports.plain import as_text
from brakelog.reports.plain_closing import plain_recheck
from brakelog.rules.recheck import Basis, Recheck
from brakelog.rules.vehicle import judge_vehicle
from tests.unit.verdict_examples import NOW, case, healthy, readings, visit

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


@pytest.mark.parametrize(
    ("today", "told"),
    [
        (date(2026, 5, 10), "come back within 3,500 km or by 11 May 2026, whichever is first"),
        (date(2026, 5, 11), "come back as soon as you can"),
    ],
)
def test_a_day_that_has_come_is_not_put_ahead_of_a_customer(today: date, told: str) -> None:
    """Long before the planned visit itself is past."""
    before, pad = visit("before", date(2025, 3, 2), 45_000), Quantity.PAD_INNER
    rest = [each for each in healthy("LF") if each.quantity is not pad]
    earlier = replace(readings("LF", pad, "8.0 7.9"), id="earlier", visit_id=before.id)
    worn = (earlier, *rest, *healthy("RF"), readings("LF", pad, "4.0 3.9"))
    verdict = judge_vehicle(case(worn, visits=(before, NOW)))

    assert told in customer_summary(verdict, None, today=today).back


def test_an_early_re_check_that_should_have_been_is_not_put_ahead() -> None:
    recheck = Recheck(
        axle=1, why=(), distance_mm=0, odometer_mm=62_000_000_000, day=date(2026, 6, 1),
        basis=Basis.PLANNED, is_answered=False,
    )  # fmt: skip
    file, english = VERDICT.file, language_named("en")
    ahead = plain_recheck(english, file, recheck, date(2026, 6, 1))
    past = plain_recheck(english, file, recheck, date(2026, 6, 2))

    assert ahead.startswith("Come back early")
    assert past == (
        "You were to come back by 1 Jun 2026 to have the front linings looked at; if that has not "
        "been done, please make an appointment with us."
    )
