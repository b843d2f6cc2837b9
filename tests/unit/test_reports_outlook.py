"""When to come back, in plain words."""

from __future__ import annotations

from dataclasses import replace

from brakelog.lengths import DistanceUnit
from brakelog.record.quantity import Quantity
from brakelog.reports.language.language import language_named
from brakelog.reports.outlook import when_to_come_back
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import VehicleVerdict
from tests.unit.verdict_examples import case, healthy, readings

ENGLISH = language_named("en")
KM = DistanceUnit.KM.mm


def too_close() -> VehicleVerdict:
    """A pad so close to its limit that no distance can be stated."""
    rest = [each for each in healthy("LF") if each.quantity is not Quantity.PAD_INNER]
    return judge_vehicle(case([*rest, readings("LF", Quantity.PAD_INNER, "2.1 2.1")]))


def test_nobody_is_told_to_ask_for_a_day_that_stands_beside_it() -> None:
    assert when_to_come_back(ENGLISH, too_close()).startswith("Ask us when to come back")
    assert when_to_come_back(ENGLISH, too_close(), is_dated=True) == ""


def planned(typed_mm: int, unit: DistanceUnit) -> str:
    file = case([*healthy("LF"), *healthy("RF")])
    shop = replace(file.shop, next_distance_mm=typed_mm, distance_unit=unit)
    return when_to_come_back(ENGLISH, judge_vehicle(replace(file, shop=shop)))


def test_a_plan_typed_in_the_other_unit_is_rounded_down_like_other_distances() -> None:
    assert "20,000 km" in planned(20_000 * KM, DistanceUnit.KM)
    assert "after 12,000 mi" in planned(20_000 * KM, DistanceUnit.MILE)
    assert "after 186 mi" in planned(300 * KM, DistanceUnit.MILE)
