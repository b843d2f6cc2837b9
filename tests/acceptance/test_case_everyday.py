"""Worked cases with invented vehicles: the everyday job, and rotors in spec but pointless."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.acceptance.workshop import Verdict, Workshop, eight_points, km

FRONT = (
    "rotor-new: 28.0 mm",
    "rotor-machine-to: 26.4 mm",
    "rotor-discard: 26.0 mm, at or below",
    "variation: 0.015 mm, above",
    "runout: 0.05 mm, above",
    "pad-new: 11.0 mm",
    "pad-minimum: 2.0 mm, below",
)
REAR = (
    "rotor-new: 12.0 mm",
    "rotor-discard: 10.0 mm, at or below",
    "variation: 0.015 mm, above",
    "runout: 0.05 mm, above",
    "pad-new: 10.0 mm",
    "pad-minimum: 2.0 mm, below",
)
SALLOW = """\
LF rotor 27.402 27.404 27.406 27.405 27.401 27.399 27.400 27.401
LF runout 0.026 nuts=5/5 bearing=ok
LF pad-in 3.2 3.0
LF pad-out 3.5 3.4
LF looked-over
RF rotor 27.421 27.424 27.425 27.423 27.420 27.418 27.419 27.420
RF runout 0.031 nuts=5/5 bearing=ok
RF pad-in 3.3 3.2
RF pad-out 3.6 3.5
RF looked-over
LR rotor 11.622 11.624 11.626 11.625 11.623 11.621 11.620 11.621
LR runout 0.030 nuts=5/5 bearing=ok
LR pad-in 6.5 6.4
LR pad-out 6.8 6.7
LR looked-over
RR rotor 11.633 11.635 11.637 11.636 11.634 11.631 11.630 11.631
RR runout 0.028 nuts=5/5 bearing=ok
RR pad-in 6.6 6.5
RR pad-out 6.8 6.8
RR looked-over
"""
CORNERS = ("LF", "RF", "LR", "RR")


@pytest.fixture(scope="module")
def sallow(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 1: a clean axle, its pads nearly done, two earlier visits."""
    shop = equipped_shop()
    shop.has_limits("sallow 2.0", "front", *FRONT)
    shop.has_limits("sallow 2.0", "rear", *REAR)
    shop.has_vehicle("SALLOW", "--description", "Orrin Sallow 2.0", "--sheet", "sallow 2.0")
    shop.measures("SALLOW", "21050 km", "LF pad-in 8.4 8.3", day="2024-01-15")
    shop.measures("SALLOW", "41800 km", "LF pad-in 5.9 5.7", day="2025-01-14")
    shop.measures("SALLOW", "62400 km", SALLOW)
    return shop


def test_pads_nearly_done_are_suggested_and_nothing_is_required(sallow: Workshop) -> None:
    verdict = sallow.verdict("SALLOW")

    left = verdict.part("LF", "pads")
    assert left.words == ("replace", "suggested")
    assert set(left.codes) == {"V112"}
    assert left.read("inner pad lining") == ("in", "3.0", "2.0 mm", "1")
    assert left.measure("inner pad lining")["place"].endswith("trailing end")
    assert left.read("outer pad lining") == ("in", "3.4", "2.0 mm", "1.4")
    right = verdict.part("RF", "pads")
    assert right.words == ("replace", "suggested")
    assert set(right.codes) & {"V112", "V114"}
    assert right.read("inner pad lining") == ("in", "3.2", "2.0 mm", "1.2")
    assert verdict.axle("front", "pads") == ("replace", "suggested")
    assert verdict.required == []


def test_the_thinnest_lining_limits_and_its_range_is_honest(sallow: Workshop) -> None:
    verdict = sallow.verdict("SALLOW")
    life = verdict.part("LF", "pads").shortest

    assert life["position"] == "pad-in"
    assert verdict.part("LF", "pads").reason("V112")["position"] == "pad-in"
    assert km(life, "at_least_km") < 7_800 < km(life, "latest_km")
    assert km(life, "at_least_km") < 15_000
    assert float(life["rate_mm_per_1000_km"]) == pytest.approx(0.128, rel=0.1)
    for text in (sallow.counter_sheet("SALLOW"), sallow.customer_text("SALLOW")):
        assert "9 of 10 such" in text
        assert "get at least" in text
    assert "1 in 10 gets past" in sallow.counter_sheet("SALLOW")
    assert "few get more than" in sallow.customer_text("SALLOW")


def test_rotors_in_limits_and_rear_axle_stay(sallow: Workshop) -> None:
    verdict = sallow.verdict("SALLOW")

    for corner in CORNERS:
        rotor = verdict.part(corner, "rotor")
        assert rotor.words == ("reuse", None)
        assert rotor.codes == ["V115"]
        assert rotor.measure("thickness variation")["outcome"] == "in"
        assert rotor.measure("runout")["outcome"] == "in"
        assert rotor.facts["condition_recorded"]
    assert verdict.part("LF", "rotor").read("rotor thickness") == (
        *("in", "27.399", "26.0 mm", "1.399"),
    )
    assert verdict.part("LF", "rotor").measure("thickness variation")["value_mm"] == "0.007"
    for corner in ("LR", "RR"):
        assert verdict.part(corner, "pads").words == ("reuse", None)
    assert verdict.part("LF", "rotor").facts["not_measured"] == ["scoring depth"]


def test_the_rotors_that_stay_are_shown_to_outlast_the_pads_that_go_on(sallow: Workshop) -> None:
    verdict = sallow.verdict("SALLOW")
    match = verdict.part("LF", "rotor").facts["life_match"]

    # (28.0 - 27.399) / (11.0 - 3.0), and 27.399 less that much of the next 11.0 - 2.0.
    assert float(match["rotor_per_lining"]) == pytest.approx(0.075, abs=0.0005)
    assert match["next_lining_mm"] == "9"
    assert float(match["end_mm"]) == pytest.approx(26.72, abs=0.005)
    assert (match["discard"], match["outlasts"], match["marginal"]) == ("26.0 mm", True, False)
    assert not match["by_rule_of_thumb"]
    assert (
        "after the next 9.0 mm of lining it would be 26.72 mm, inside discard 26.0 mm"
        in sallow.counter_sheet("SALLOW")
    )
    # No new pads go on at the rear, so that nothing has to be outlasted there.
    assert verdict.part("LR", "rotor").facts["life_match"] is None


def test_leaving_the_pads_on_is_given_a_distance_and_not_a_promise(sallow: Workshop) -> None:
    (left,) = sallow.verdict("SALLOW").document["if_left"]

    assert (left["axle"], left["corner"], left["position"]) == ("front", "LF", "pad-in")
    assert not left["rotor_beyond_discard"]
    bound = float(sallow.verdict("SALLOW").part("LF", "pads").shortest["at_least_km"])
    assert f"within {bound // 500 * 500:,.0f} km" in left["text"]
    assert left["text"] in sallow.counter_sheet("SALLOW")


def test_with_new_pads_the_sound_rotors_are_told_kept_cut_and_new(sallow: Workshop) -> None:
    verdict = sallow.verdict("SALLOW")
    left, kept, cut, new = (
        verdict.world("front", plan) for plan in ("left", "kept", "refinished", "new")
    )

    assert left["open"]
    assert left["text"] == verdict.document["if_left"][0]["text"]
    assert (left["ends"][0]["corner"], left["ends"][0]["position"]) == ("LF", "pad-in")
    for world in (kept, cut, new):
        assert world["open"]
        assert world["text"] in sallow.counter_sheet("SALLOW")
        # What the worn inner pad taught; of the other linings only one reading is on file.
        taught = [each for each in world["ends"] if each["after_earlier_part"]]
        assert ("LF", "pad-in") in [(each["corner"], each["position"]) for each in taught]
    assert cut["cuts"][0]["after_mm"] == "27.199"
    assert "which is not asked for" in cut["text"]
    # The rear axle is in order, and nobody asks for a cut there: the sheet leaves it out.
    assert verdict.world("rear", "refinished")["text"] not in sallow.counter_sheet("SALLOW")
    assert verdict.world("rear", "kept")["text"] in sallow.counter_sheet("SALLOW")


def test_neither_page_sells_rotors_or_calls_pads_required(sallow: Workshop) -> None:
    sheet = sallow.counter_sheet("SALLOW")
    assert "Required: nothing." in sheet
    assert "Suggested: LF pads replace; RF pads replace." in sheet
    assert "Not judged: nothing." in sheet
    assert "Front rotors: reuse" in sheet
    assert "Rear rotors: reuse" in sheet

    letter = sallow.customer_text("SALLOW")
    assert "In limits today, but we suggest: replace the front brake pads." in letter
    assert "Nothing has to be done today." in letter
    assert "Front brake discs: in limits." in letter
    assert "Needed now" not in letter


BRISK = f"""\
LF rotor 22.318 22.316 22.315 22.313 22.311 22.310 22.313 22.316
LF runout 0.034 nuts=4/4 bearing=ok
LF pad-in 2.7 2.6
LF pad-out 3.0 2.9
LF looked-over
RF rotor {eight_points("22.390", "0.007")}
RF runout 0.029 nuts=4/4 bearing=ok
RF pad-in 2.8 2.7
RF pad-out 3.1 3.0
RF looked-over
"""


@pytest.fixture(scope="module")
def brisk(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 2: first pads and rotors, nominal when new, rotors thin but in limits."""
    shop = equipped_shop()
    shop.has_limits(
        *("brisk 1.6", "front", "rotor-new: 24.0 mm", "rotor-machine-to: 22.4 mm"),
        *("rotor-discard: 22.0 mm, at or below", "variation: 0.015 mm, above"),
        *("runout: 0.05 mm, above", "pad-new: 11.0 mm", "pad-minimum: 2.0 mm"),
    )
    shop.has_vehicle("BRISK", "--description", "Halden Brisk 1.6", "--sheet", "brisk 1.6")
    for corner in ("LF", "RF"):
        for part, size in (("pads", "11.0 mm"), ("rotor", "24.0 mm")):
            options = ("--size", size, "--basis", "nominal", "--odometer", "0 km")
            shop.fits("BRISK", corner, part, *options, day="2022-03-01")
    shop.measures("BRISK", "58200 km", BRISK)
    return shop


def test_rotors_in_spec_but_pointless_are_suggested_never_required(brisk: Workshop) -> None:
    verdict = brisk.verdict("BRISK")

    rotor = verdict.part("LF", "rotor")
    assert rotor.words == ("replace", "suggested")
    assert set(rotor.codes) == {"V112", "V118"}
    assert rotor.read("rotor thickness") == ("in", "22.310", "22.0 mm", "0.31")
    assert rotor.measure("thickness variation")["outcome"] == "in"
    assert rotor.measure("thickness variation")["value_mm"] == "0.008"
    assert km(rotor.life("rotor"), "at_least_km") < 10_700
    assert verdict.axle("front", "rotor") == ("replace", "suggested")
    assert ("LF", "rotor") not in verdict.required
    assert "refinish" not in rotor.text
    assert not rotor.facts["if_refinished"]["possible"]
    assert "beyond machine-to 22.4 mm: it cannot be refinished" in " ".join(
        brisk.counter_sheet("BRISK").split()
    )


def test_the_rotors_would_be_done_long_before_the_pads_that_go_on_now(brisk: Workshop) -> None:
    rotor = brisk.verdict("BRISK").part("LF", "rotor")
    match = rotor.facts["life_match"]

    # (24.0 - 22.31) / (11.0 - 2.6); 0.31 mm are left, the next pads have 9.0 mm.
    assert float(match["rotor_per_lining"]) == pytest.approx(0.201, abs=0.0005)
    assert match["next_lining_mm"] == "9"
    assert float(match["lining_until_discard_mm"]) == pytest.approx(1.54, abs=0.005)
    assert not match["outlasts"]
    assert rotor.reason("V118")["grounds"] == "suggested"
    assert "after 1.54 mm of that lining" in brisk.counter_sheet("BRISK")


def test_leaving_both_on_for_now_is_the_honest_alternative(brisk: Workshop) -> None:
    (left,) = brisk.verdict("BRISK").document["if_left"]

    # When the old pads reach 2.0 mm: 22.31 - 0.201 x 0.6.
    assert float(left["rotor_mm"]) == pytest.approx(22.19, abs=0.005)
    assert (left["rotor_corner"], left["rotor_beyond_discard"]) == ("LF", False)
    sheet = brisk.counter_sheet("BRISK")
    assert "about 22.19 mm, still inside discard 22.0 mm" in sheet
    assert "If left: come back within " in sheet


def test_beside_new_pads_the_thin_rotor_ends_the_axle_and_new_ones_would_not(
    brisk: Workshop,
) -> None:
    verdict = brisk.verdict("BRISK")
    kept, cut, new = (verdict.world("front", plan) for plan in ("kept", "refinished", "new"))

    first = kept["ends"][0]
    assert kept["complete"]
    assert (first["corner"], first["position"]) == ("LF", "rotor")
    assert kept["at_least_km"] == verdict.part("LF", "rotor").life("rotor")["at_least_km"]
    assert "LF rotor first: 9 of 10 get at least " in kept["text"]
    assert not cut["open"]
    assert {each["reason"] for each in cut["obstacles"]} == {"cannot be refinished"}
    assert new["ends"][0]["position"].startswith("pad")
    assert km(new, "at_least_km") > km(kept, "at_least_km")
    assert new["not_before"] > kept["not_before"]


def test_the_sheet_stays_within_80_columns(brisk: Workshop) -> None:
    lines = brisk.does("verdict", "BRISK").splitlines()

    assert "  What follows" in lines
    assert max(len(line) for line in lines) <= 80


def test_thin_first_pads_are_suggested_and_their_nominal_start_is_said(brisk: Workshop) -> None:
    verdict: Verdict = brisk.verdict("BRISK")

    pads = verdict.part("LF", "pads")
    assert pads.words == ("replace", "suggested")
    assert set(pads.codes) == {"V112"}
    assert pads.read("inner pad lining") == ("in", "2.6", "2.0 mm", "0.6")
    assert pads.measure("inner pad lining")["place"].endswith("trailing end")
    assert pads.shortest["position"] == "pad-in"
    assert km(pads.shortest, "at_least_km") <= 4_200
    assert pads.shortest["median_km"] is None or km(pads.shortest, "latest_km") >= 4_200
    assert "the new size is nominal, not measured" in pads.shortest["notes"]
    assert verdict.axle("front", "pads") == ("replace", "suggested")
    sheet = brisk.counter_sheet("BRISK")
    assert "The size at fitting is nominal, not measured." in sheet
    assert "comparator not stated; taken as out when at or below" in sheet
    assert "Required: nothing." in sheet
    assert "the size when new was not measured" in brisk.customer_text("BRISK")
