"""Worked case with an invented vehicle: seized slide pin, borderline reading."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import DAY, Workshop, eight_points

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


def test_a_lining_at_its_limit_goes_where_no_gauge_of_the_shop_could_settle_it(
    sallow: Workshop,
) -> None:
    verdict = sallow.verdict(TAG)

    pads = verdict.part("RF", "pads")
    assert pads.words == ("replace", "suggested")
    assert pads.codes[0] == "V117"
    goes = pads.reason("V117")
    assert goes["measure"] == "inner pad lining"
    assert (goes["to_settle"]["possible"], goes["to_settle"]["gauges"]) == (False, [])
    assert pads.read("inner pad lining") == ("not proven", "2.1", "2.0 mm", "0.1")
    inner = pads.measure("inner pad lining")
    assert inner["place"].endswith("trailing end")
    assert inner["doubts"] == ["too close to the limit for this gauge"]
    assert float(inner["probability"]) < 0.95
    assert pads.read("outer pad lining")[0] == "in"
    sheet = sallow.counter_sheet(TAG)
    assert "Not proven to be in limits. No gauge of this shop could settle it." in sheet
    assert "At the limit, not proven" in sheet


def test_the_other_side_goes_along_as_an_axle_set_and_is_not_called_worn(sallow: Workshop) -> None:
    verdict = sallow.verdict(TAG)

    left = verdict.part("LF", "pads")
    assert left.words == ("replace", "suggested")
    assert left.codes[0] == "V114"
    assert left.reason("V114")["axle_mate"] == "RF"
    assert verdict.axle("front", "pads") == ("replace", "suggested")
    assert ("RF", "pads") not in verdict.required


def test_a_gauge_of_the_shop_that_could_settle_it_is_named(
    sallow: Workshop, tmp_path: Path
) -> None:
    shop = sallow.copy(tmp_path)
    shop.has_gauge("bench", "calliper", "mm", "0.01 mm", "")
    goes = shop.verdict(TAG).part("RF", "pads").reason("V117")
    # It goes all the same: it would not last until the next planned visit.
    assert (goes["to_settle"]["possible"], goes["to_settle"]["gauges"]) == (True, ["bench"])

    shop.does("measure", TAG, "--date", DAY, "--next-visit", "500 km", typed="RF looked-over")
    again = shop.verdict(TAG).part("RF", "pads")
    assert again.words == ("measure again", None)
    assert again.codes[0] == "V110"
    assert "To settle it: the same reading with bench (calliper)." in again.reason("V110")["text"]


def test_the_stuck_pin_is_required_work_although_the_pads_are_suggested_only(
    sallow: Workshop,
) -> None:
    pads = sallow.verdict(TAG).part("RF", "pads")
    assert pads.codes.index("V117") < pads.codes.index("V111")
    stuck = pads.reason("V111")
    assert (stuck["verdict"], stuck["grounds"]) == ("correct", "required")
    assert stuck["finding"] == "stuck-slide"
    assert "slide or pin stuck (lower pin)" in stuck["text"]

    assert "the caliper does not slide freely" in sallow.customer_text(TAG)


def test_the_uneven_wear_is_flagged_and_the_cause_comes_before_new_pads(sallow: Workshop) -> None:
    document = sallow.verdict(TAG).document

    flags = {each["kind"]: each["difference_mm"] for each in document["flags"]}
    assert flags["inner and outer pad"] == "4.7"
    assert flags["left and right lining"] == "4"
    # 1.3 mm along the inner pad is below the 1.5 mm from which taper is flagged.
    assert "taper" not in flags
    (hint,) = document["hints"]
    assert hint["probable_causes"] == [
        "caliper not sliding",
        "piston not retracting",
        "hose holding pressure",
    ]
    assert hint["borne_out_by_finding"]


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


def test_nor_where_the_fitting_is_on_record_as_the_rate_belonged_to_the_fault(
    sallow: Workshop, tmp_path: Path
) -> None:
    shop = sallow.copy(tmp_path)
    for corner in ("LF", "RF"):
        size = ("--size", "11.0 mm", "--basis", "nominal", "--odometer", "0 km")
        shop.fits(TAG, corner, "pads", *size, day="2023-01-10")
    for life in shop.verdict(TAG).part("RF", "pads").facts["life"]:
        assert life["median_km"] is None
        assert not float(life["at_least_km"] or 0)


def test_the_rotors_stay_scoring_far_inside_its_limit(sallow: Workshop) -> None:
    verdict = sallow.verdict(TAG)

    right = verdict.part("RF", "rotor")
    assert right.words == ("reuse", None)
    assert right.read("rotor thickness") == ("in", "27.360", "26.0 mm", "1.36")
    assert right.read("scoring depth") == ("in", "0.20", "1.5 mm", "1.3")
    assert right.measure("thickness variation")["value_mm"] == "0.012"
    # (28.0 - 27.36) / (11.0 - 2.1) of the next 9.0 mm.
    assert float(right.facts["life_match"]["rotor_per_lining"]) == pytest.approx(0.072, abs=0.0005)
    assert float(right.facts["life_match"]["end_mm"]) == pytest.approx(26.71, abs=0.005)
    # Optional: 27.36 - 2 x (0.20 + 0.10), inside machine-to; then 0.072 x 9.0 mm with the pads.
    option = right.facts["if_refinished"]
    assert (option["possible"], option["after_mm"]) == (True, "26.76")
    assert float(option["end_mm"]) == pytest.approx(26.11, abs=0.005)
    assert verdict.part("LF", "rotor").words == ("reuse", None)
    assert verdict.axle("front", "rotor") == ("reuse", None)
    for corner, part in (("LR", "pads"), ("RR", "pads"), ("LR", "rotor"), ("RR", "rotor")):
        assert verdict.part(corner, part).words == ("reuse", None)
