"""Worked case with an invented vehicle: seized slide pin, borderline reading."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.acceptance.workshop import Workshop, eight_points

TAG = "SALLOW"
LINES = f"""\
LF rotor {eight_points("27.620", "0.008")}
LF runout 0.030 nuts=5/5 bearing=ok
LF pad-in 6.3 6.1
LF pad-out 6.6 6.5
LF looked-over
RF rotor {eight_points("27.360", "0.012")}
RF runout 0.040 nuts=5/5 bearing=ok
RF pad-in 3.4 2.1
RF pad-out 6.9 6.8
RF scoring 0.20
RF finding stuck-slide lower pin
RF looked-over
LR rotor {eight_points("11.700", "0.006")}
LR runout 0.03 nuts=5/5 bearing=ok
LR pad-in 7.6 7.4
LR pad-out 7.8 7.6
LR looked-over
RR rotor {eight_points("11.710", "0.005")}
RR runout 0.03 nuts=5/5 bearing=ok
RR pad-in 7.5 7.4
RR pad-out 7.7 7.6
RR looked-over
"""


@pytest.fixture(scope="module")
def sallow(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 6: 2.1 mm where 2.0 mm is the limit, read with a depth gauge on the car."""
    shop = equipped_shop()
    shop.has_limits(
        *("sallow 2.0", "front", "rotor-new: 28.0 mm", "rotor-machine-to: 26.4 mm"),
        *("rotor-discard: 26.0 mm, at or below", "variation: 0.015 mm, above"),
        *("runout: 0.05 mm, above", "scoring: 1.5 mm, above", "pad-new: 11.0 mm"),
        "pad-minimum: 2.0 mm, below",
    )
    shop.has_limits(
        *("sallow 2.0", "rear", "rotor-new: 12.0 mm", "rotor-discard: 10.0 mm, at or below"),
        *("variation: 0.015 mm, above", "runout: 0.05 mm, above", "pad-new: 10.0 mm"),
        "pad-minimum: 2.0 mm, below",
    )
    shop.has_vehicle(TAG, "--description", "Orrin Sallow 2.0", "--sheet", "sallow 2.0")
    shop.measures(TAG, "48000 km", LINES, "--complaint", "scraping at the right front")
    return shop


def test_a_lining_at_its_limit_is_measured_again_neither_passed_nor_failed(
    sallow: Workshop,
) -> None:
    verdict = sallow.verdict(TAG)

    pads = verdict.part("RF", "pads")
    assert pads.words == ("measure again", None)
    assert pads.codes[0] == "V110"
    assert pads.reason("V110")["measure"] == "inner pad lining"
    assert pads.read("inner pad lining") == ("not proven", "2.1", "2.0 mm", "0.1")
    inner = pads.measure("inner pad lining")
    assert inner["place"].endswith("trailing end")
    assert inner["doubts"] == ["too close to the limit for this gauge"]
    assert float(inner["probability"]) < 0.95
    assert pads.read("outer pad lining")[0] == "in"
    assert "At the limit, not proven" in sallow.counter_sheet(TAG)
    assert "right front: a reading must be taken again" in sallow.customer_text(TAG).lower()


def test_the_stuck_pin_is_required_work_although_the_lining_must_be_read_again(
    sallow: Workshop,
) -> None:
    pads = sallow.verdict(TAG).part("RF", "pads")
    stuck = pads.reason("V111")
    assert (stuck["verdict"], stuck["grounds"]) == ("correct", "required")
    assert stuck["finding"] == "stuck-slide"
    assert "slide or pin stuck (lower pin)" in stuck["text"]

    assert "the caliper does not slide freely" in sallow.customer_text(TAG)


def test_no_page_says_that_nothing_is_required_while_the_pin_is_stuck(sallow: Workshop) -> None:
    assert "Required: nothing." not in sallow.counter_sheet(TAG)
    letter = sallow.customer_text(TAG)
    assert "Needed now" in letter
    assert "Your next planned visit is after 15,000 km" not in letter
    assert sallow.tries("verdict", TAG, "--fail-on", "required").exit_code == 10


def test_a_part_that_is_not_proven_is_never_called_in_limits_in_the_same_breath(
    sallow: Workshop,
) -> None:
    pads = sallow.verdict(TAG).part("RF", "pads")
    assert pads.measure("inner pad lining")["outcome"] == "not proven"
    assert "In limits today" not in pads.text
    front = sallow.customer_text(TAG).partition("Front brake pads: ")[2]
    assert "Right front: in limits today" not in front.partition("Front brake discs")[0]


def test_no_distance_is_promised_for_the_corner_with_the_fault(sallow: Workshop) -> None:
    for life in sallow.verdict(TAG).part("RF", "pads").facts["life"]:
        assert life["refusal"] is not None
        assert life["at_least_km"] is None


def test_the_rotors_stay_scoring_far_inside_its_limit(sallow: Workshop) -> None:
    verdict = sallow.verdict(TAG)

    right = verdict.part("RF", "rotor")
    assert right.words == ("reuse", None)
    assert right.read("rotor thickness") == ("in", "27.360", "26.0 mm", "1.36")
    assert right.read("scoring depth") == ("in", "0.20", "1.5 mm", "1.3")
    assert right.measure("thickness variation")["value_mm"] == "0.012"
    assert verdict.part("LF", "rotor").words == ("reuse", None)
    assert verdict.axle("front", "rotor") == ("reuse", None)
    for corner, part in (("LR", "pads"), ("RR", "pads"), ("LR", "rotor"), ("RR", "rotor")):
        assert verdict.part(corner, part).words == ("reuse", None)
