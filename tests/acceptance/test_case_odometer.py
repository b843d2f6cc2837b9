"""Worked case with an invented vehicle: two digits of the odometer swapped, and still rising."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import Facts, Workshop, km

TAG, TODAY = "BRISK", "2025-10-30"


def linings(thinnest: float) -> str:
    """Both front corners, the left inner trailing end the thinnest."""
    return "".join(
        f"{corner} pad-in {thinnest + more + 0.2:.1f} {thinnest + more:.1f}\n"
        f"{corner} pad-out {thinnest + more + 0.4:.1f} {thinnest + more + 0.3:.1f}\n"
        f"{corner} looked-over\n"
        for corner, more in (("LF", 0.0), ("RF", 0.2))
    )


@pytest.fixture(scope="module")
def typed_brisk(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 9: 61,350 and 76,930 km, then 78,690 km typed where 87,690 was read."""
    shop = equipped_shop()
    shop.has_limits("brisk 1.6", "front", "pad-new: 10.0 mm", "pad-minimum: 2.0 mm, below")
    shop.has_vehicle(
        *(TAG, "--description", "Halden Brisk 1.6", "--brakes", "disc", "--sheet", "brisk 1.6")
    )
    for corner in ("LF", "RF"):
        size = ("--size", "10.0 mm", "--basis", "nominal", "--odometer", "44000 km")
        shop.fits(TAG, corner, "pads", *size, day="2023-03-13")
    shop.measures(TAG, "61350 km", linings(8.2), day="2024-03-12")
    shop.measures(TAG, "76930 km", linings(6.6), day="2025-02-10")
    shop.measures(TAG, "78690 km", linings(5.4), day=TODAY)
    return shop


@pytest.fixture
def brisk(typed_brisk: Workshop, tmp_path: Path) -> Workshop:
    return typed_brisk.copy(tmp_path)


def is_corrected(shop: Workshop) -> str:
    return shop.does(
        *("amend", "odometer", TAG, TODAY, "87690 km"),
        *("--why", "read again at the car", "--by", "AM"),
    )


def inner(shop: Workshop) -> Facts:
    return shop.verdict(TAG).part("LF", "pads").life("pad-in")


def test_the_question_names_the_odometer_that_was_meant_and_why(brisk: Workshop) -> None:
    (question,) = brisk.verdict(TAG).document["questions"]

    assert (question["code"], question["scope"]) == ("Q262", "odometer")
    assert question["ask"].startswith("87690 km?")
    for words in (
        *("7 km a day, where 47 km were usual", "0.68 mm in 1000 km", "where 0.10 were"),
        *("With 87690 km it is 41 km a day and 0.11 mm", "9000, is divisible by 9"),
    ):
        assert words in question["evidence"]


def test_the_limits_are_judged_all_the_same_and_no_distance_is_stated(brisk: Workshop) -> None:
    pads = brisk.verdict(TAG).part("LF", "pads")

    assert pads.words == ("reuse", None)
    assert pads.read("inner pad lining") == ("in", "5.4", "2.0 mm", "3.4")
    for life in pads.facts["life"]:
        assert life["refusal"] == "unresolved"
        assert (life["at_least_km"], life["median_km"]) == (None, None)
    assert "No projection until this is cleared up: 87690 km?" in brisk.counter_sheet(TAG)
    assert "Expected to go" not in brisk.customer_text(TAG)


def test_wear_that_only_the_wrong_distance_makes_fast_raises_no_suspicion(brisk: Workshop) -> None:
    document = brisk.verdict(TAG).document

    assert document["hints"] == []
    assert document["flags"] == []


def test_with_the_true_odometer_all_three_visits_say_how_far_it_goes(brisk: Workshop) -> None:
    said = is_corrected(brisk)
    assert "is 87690 km now; 78690 km is kept with the reason" in said
    life = inner(brisk)

    # 2.8 mm over 26,340 km, and 3.4 mm are left: about 32,000 km.
    assert life["readings"] == 3
    assert float(life["rate_mm_per_1000_km"]) == pytest.approx(2.8 / 26.34, rel=0.05)
    assert km(life, "at_least_km") < 32_000 < km(life, "latest_km")
    assert km(life, "median_km") == pytest.approx(32_000, rel=0.1)
    assert brisk.verdict(TAG).document["questions"] == []
    assert brisk.verdict(TAG).part("LF", "pads").words == ("reuse", None)


def test_what_was_typed_first_is_kept_with_the_reason_and_the_person(brisk: Workshop) -> None:
    is_corrected(brisk)
    on_file = "\n".join(brisk.everything_on_file())

    assert "78690" in on_file
    assert "read again at the car" in on_file
    shown = brisk.does("vehicle", "show", TAG)
    assert "87690 km" in shown


def test_an_odometer_that_is_right_as_typed_is_said_to_be_so_by_somebody(brisk: Workshop) -> None:
    """A car that really stood still, and wore its pads in another way: nothing is guessed."""
    assert brisk.tries("answer", TAG, "1", "right").exit_code == 3
    brisk.does("answer", TAG, "1", "right", "--by", "AM", "--note", "read twice")
    (question,) = brisk.verdict(TAG).document["questions"]

    assert (question["answer"], question["answered_by"]) == ("right", "AM")
    assert question["note"] == "read twice"
    assert inner(brisk)["refusal"] != "unresolved"


def test_a_correction_needs_a_reason_and_an_odometer_that_can_be(brisk: Workshop) -> None:
    before = brisk.everything_on_file()
    command = ("amend", "odometer", TAG, TODAY)

    assert brisk.tries(*command, "87690 km").exit_code == 2
    assert brisk.tries(*command, "87690 km", "--why", " ").exit_code == 3
    assert brisk.tries(*command, "87,690", "--why", "slip").exit_code == 3
    assert brisk.tries(*command, "60000 km", "--why", "slip").exit_code == 3
    assert brisk.everything_on_file() == before


def test_the_due_list_holds_it_back_until_the_odometer_is_corrected(brisk: Workshop) -> None:
    on = ("due", "--on", "2025-11-01")
    assert brisk.reads(*on)["not_projected"] == {"unresolved": [TAG]}
    assert f"something has to be cleared up first ({TAG})" in brisk.does(*on)

    is_corrected(brisk)
    (line,) = brisk.reads(*on)["vehicles"]
    life = inner(brisk)
    assert (line["corner"], line["part"], line["margin_mm"]) == ("LF", "pad-in", "3.4")
    assert line["at_least_km"] == life["at_least_km"]
    assert line["not_before"] == life["not_before"]
