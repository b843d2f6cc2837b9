"""What follows from waiting, as a customer reads it."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pytest

from brakelog.record.quantity import Position, Quantity
from brakelog.reports.language.language import language_named
from brakelog.reports.plain_waiting import Waiting, waiting_of
from brakelog.rules.casefile import CaseFile
from brakelog.rules.vehicle import judge_vehicle
from brakelog.wear.usage import Usage
from tests.unit.history_examples import FIRST, SECOND, STEADY, THIRD, fitted, history, pad
from tests.unit.verdict_examples import LF, RF, readings

ENGLISH = language_named("en")
DRIVEN = Usage(log_km_per_day=math.log(35.0), log_sd=0.1, days_behind=728)
FAST = (pad("11.0", FIRST), pad("7.2", SECOND), pad("3.4", THIRD))
"""3 mm in 10,000 km; suggested, as the limit is 2.0 mm."""
RIGHT = (pad("9.2", FIRST, "RF"), pad("7.6", SECOND, "RF"), pad("6.0", THIRD, "RF"))


def file_of(*sets: object, usage: Usage = DRIVEN) -> CaseFile:
    return replace(history(sets, corners=(LF, RF)).file, usage=usage)  # type: ignore[arg-type]


def waiting(*sets: object, today: date | None = None, usage: Usage = DRIVEN) -> Waiting:
    return waiting_of(ENGLISH, judge_vehicle(file_of(*sets, usage=usage)), today)


def test_a_range_is_told_in_one_breath_with_its_days() -> None:
    (ahead,) = waiting(*STEADY).ahead
    first = ENGLISH.day(date.fromisoformat(ahead.not_before))
    last = ENGLISH.month(date.fromisoformat(f"{ahead.seldom_later}-01"))

    assert ahead.part == "left front inner pad"
    assert ahead.sentence == (
        f"Left front inner pad: 9 of 10 such vehicles get at least {ahead.at_least_mm // 10**6:,} "
        f"km more from this visit, few get more than {ahead.seldom_more_mm // 10**6:,} km. That is "  # type: ignore[operator]
        f"not before {first}, and seldom after {last}."
    )
    assert ahead.at_least.endswith(f" km, not before {first}")
    assert ahead.seldom_more.endswith(f" km, seldom after {last}")
    # 3.9 mm at 1.25 mm in 10,000 km are 31,000 km, which at 35 km a day are 890 days.
    assert ahead.at_least_mm < 31_000 * 10**6 < (ahead.seldom_more_mm or 0)
    middle = date.fromordinal(THIRD.day.toordinal() + 890)
    assert date.fromisoformat(ahead.not_before) < middle
    assert ahead.seldom_later > middle.isoformat()[:7]


def test_only_the_first_lining_of_an_axle_is_told_the_earliest_first() -> None:
    outer = [readings(side, Quantity.PAD_OUTER, "7.0 7.0", of=THIRD) for side in ("LF", "RF")]
    found = waiting(*FAST, *RIGHT, *outer)

    assert [each.part for each in found.ahead] == ["left front inner pad"]
    assert found.may_wait
    assert not waiting(*STEADY).may_wait


def test_a_day_that_has_gone_by_is_not_told_as_one_to_come() -> None:
    (ahead,) = waiting(*FAST, today=date(2027, 6, 1)).ahead

    assert ahead.at_least.endswith(", perhaps reached by now")
    assert ahead.sentence.endswith("That day may have come already: please have it measured.")


def test_whose_driving_the_days_rest_on_is_said() -> None:
    assert "The days hold if you go on driving as much as before." in waiting(*STEADY).notes
    others = waiting(*STEADY, usage=replace(DRIVEN, days_behind=0))
    assert "The days hold if you drive as much as others do here." in others.notes


def test_a_late_month_is_told_only_with_a_late_distance() -> None:
    thin = readings("LF", Quantity.ROTOR, "27.400 27.401 27.400 27.402", of=THIRD)
    for ahead in waiting(*STEADY, thin).ahead:
        assert bool(ahead.seldom_later) <= (ahead.seldom_more_mm is not None)


def test_nothing_is_promised_beside_required_work_on_the_same_axle() -> None:
    worn_out = pad("1.2", THIRD, "RF")
    found = waiting(*STEADY, worn_out)

    assert found == Waiting(may_wait=False, ahead=(), notes=())


def test_too_close_to_tell_is_said_instead_of_a_distance() -> None:
    near = (pad("5.0", FIRST), pad("3.6", SECOND), pad("2.2", THIRD))
    (ahead,) = waiting(*near).ahead

    assert ahead.at_least == ""
    assert ahead.at_least_mm == 0
    assert ahead.sentence == (
        "Left front inner pad: it is so close to its limit that no safe distance can be stated."
    )


@pytest.mark.parametrize("size", ["11.0", ""])
def test_a_part_read_once_is_said_to_be_read_too_rarely(size: str) -> None:
    begun = [fitted("LF", Position.PAD_INNER, size, of=THIRD)] if size else []
    file = history([pad("10.8", THIRD)], fittings=begun).file
    found = waiting_of(ENGLISH, judge_vehicle(file))

    assert found.ahead == ()
    assert "Front brake pads: measured too rarely yet to say how far they will go." in found.notes
