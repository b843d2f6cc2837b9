"""Worked case with an invented vehicle: an inch thimble one turn off at one point of a rotor."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import Facts, PartVerdict, Workshop

TAG = "DROVER"
HIGH, LOW, TRUE = "1.1287", "1.0787", "1.1037"
LINES = """\
LF rotor 1.1042 1.1040 1.1038 1.1036 {point_5} 1.1039 1.1041 1.1043
LF runout 0.0015 nuts=6/6 bearing=ok
LF pad-in 0.260 0.250
LF pad-out 0.280 0.275
LF looked-over
RF rotor 1.1049 1.1050 1.1051 1.1052 1.1053 1.1052 1.1051 1.1050
RF runout {right_runout} nuts=6/6 bearing=ok
RF pad-in 0.250 0.240
RF pad-out 0.275 0.265
RF looked-over
"""
READ_AGAIN = "LF rotor 1.1043 1.1040 1.1039 1.1036 1.1037 1.1039 1.1041 1.1042\n"


@pytest.fixture(scope="module")
def inch_shop(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 4: a shop that measures in inches, with an analogue micrometer of 0.0001 in."""
    shop = equipped_shop()
    for tag in ("mic", "dial", "depth"):
        shop.does("gauge", "change", tag, "--for", "")
    shop.does("shop", "change", "--unit", "in")
    shop.has_gauge("inch-mic", "micrometer", "in", "0.0001 in", "rotor", "--tips", "pointed")
    shop.has_gauge("inch-dial", "dial", "in", "0.0005 in", "runout")
    shop.has_gauge("inch-depth", "depth", "in", "0.005 in", "pads")
    shop.has_limits(
        *("drover", "front", "rotor-new: 1.181 in", "rotor-machine-to: 1.098 in"),
        *("rotor-discard: 1.083 in, at or below", "variation: 0.0010 in, above"),
        *("runout: 0.002 in, above", "pad-minimum: 0.080 in, below"),
    )
    shop.has_vehicle(
        *(TAG, "--description", "Brackwell Drover", "--brakes", "disc"),
        *("--odometer-unit", "mi", "--sheet", "drover"),
    )
    return shop


@pytest.fixture
def drover(inch_shop: Workshop, tmp_path: Path) -> Workshop:
    return inch_shop.copy(tmp_path)


def typed(shop: Workshop, point_5: str, *, right_runout: str = "0.0030") -> str:
    return shop.measures(TAG, "71300", LINES.format(point_5=point_5, right_runout=right_runout))


def rotor(shop: Workshop, corner: str = "LF") -> PartVerdict:
    return shop.verdict(TAG).part(corner, "rotor")


def is_amended(shop: Workshop, wrong: str) -> None:
    entries = shop.reads("amend", "list", TAG)["entries"]
    (slip,) = [each for each in entries if each.get("typed") and wrong in each["typed"]]
    right = [TRUE if value == wrong else value for value in slip["typed"]]
    shop.does("amend", "set", slip["id"], *right, "--why", "one turn off", "--by", "AM")


def question_of(shop: Workshop) -> Facts:
    (question,) = shop.verdict(TAG).document["questions"]
    found: Facts = question
    return found


@pytest.mark.parametrize("point_5", [HIGH, LOW])
def test_the_slip_is_asked_about_as_soon_as_it_is_typed(drover: Workshop, point_5: str) -> None:
    said = " ".join(typed(drover, point_5).split())

    assert f"point 5 {point_5} in" in said
    assert "one turn" in said.lower()
    assert "0.0250 in" in said
    assert "Read point 5 of the LF rotor again" in said
    question = question_of(drover)
    assert (question["code"], question["confidence"]) == ("Q201", "high")
    assert (question["corners"], question["points"]) == (["LF"], [5])
    # 1.1037 in, to the nanometre; nothing is corrected by asking.
    ((*others, five, _, _, _),) = list(question["if_real_mm"].values())
    assert (len(others), five) == (4, "28.03398")


@pytest.mark.parametrize(("point_5", "gap"), [(HIGH, "0.0247 in"), (LOW, "0.0253 in")])
def test_the_gap_to_the_other_points_is_the_evidence(
    drover: Workshop, point_5: str, gap: str
) -> None:
    typed(drover, point_5)

    assert gap in question_of(drover)["evidence"]


@pytest.mark.parametrize("point_5", [HIGH, LOW])
def test_the_rotor_is_measured_again_at_point_5_neither_replaced_nor_refinished(
    drover: Workshop, point_5: str
) -> None:
    typed(drover, point_5)
    left = rotor(drover)

    assert left.words == ("measure again", None)
    assert set(left.codes) == {"V103"}
    assert left.measure("thickness variation")["outcome"] == "in question"
    assert "point 5" in left.reason("V103")["text"]
    assert ("LF", "rotor") not in drover.verdict(TAG).required


def test_a_point_read_too_high_hides_no_minimum_so_that_the_thickness_stands(
    drover: Workshop,
) -> None:
    typed(drover, HIGH)
    thickness = rotor(drover).measure("rotor thickness")

    assert (thickness["outcome"], thickness["typed"]) == ("in", "1.1036")
    assert thickness["place"] == "point 4"


@pytest.mark.parametrize("point_5", [HIGH, LOW])
def test_the_variation_with_the_slip_in_it_is_not_printed_as_a_failure(
    drover: Workshop, point_5: str
) -> None:
    typed(drover, point_5)

    for page in (drover.counter_sheet(TAG), drover.customer_text(TAG)):
        assert "beyond the thickness variation limit" not in page
        assert "beyond the discard limit" not in page


def test_a_point_read_too_low_withholds_the_replacement(drover: Workshop) -> None:
    """1.0787 in is below the discard of 1.083 in, if it is true."""
    typed(drover, LOW)
    thickness = rotor(drover).measure("rotor thickness")

    assert (thickness["outcome"], thickness["typed"]) == ("in question", "1.0787")


def test_the_other_side_is_not_sold_a_rotor_for_a_point_in_question(drover: Workshop) -> None:
    typed(drover, LOW, right_runout="0.0010")
    verdict = drover.verdict(TAG)

    assert verdict.part("RF", "rotor").words == ("reuse", None)
    assert verdict.axle("front", "rotor") == ("measure again", None)


def test_the_other_sides_runout_is_put_right_and_sells_no_rotor(drover: Workshop) -> None:
    typed(drover, HIGH)
    verdict = drover.verdict(TAG)

    right = verdict.part("RF", "rotor")
    assert right.words == ("correct", "required")
    assert right.codes == ["V111"]
    assert right.read("runout")[:3] == ("out", "0.0030", "0.002 in")
    assert right.measure("thickness variation")["outcome"] == "in"
    assert right.measure("thickness variation")["value_mm"] == "0.01016"
    assert verdict.axle("front", "rotor") == ("correct", "required")
    (hint,) = verdict.document["hints"]
    assert (hint["code"], hint["corners"]) == ("H319", ["RF"])
    assert verdict.part("RF", "pads").words == ("reuse", None)


@pytest.mark.parametrize("point_5", [HIGH, LOW])
def test_the_slip_amended_leaves_a_rotor_in_limits_and_the_old_value_on_file(
    drover: Workshop, point_5: str
) -> None:
    typed(drover, point_5)
    is_amended(drover, point_5)
    left = rotor(drover)

    assert left.words == ("reuse", None)
    assert left.read("rotor thickness")[:2] == ("in", "1.1036")
    variation = left.measure("thickness variation")
    assert (variation["outcome"], variation["value_mm"]) == ("in", "0.01778")  # 0.0007 in
    assert drover.verdict(TAG).document["questions"] == []
    assert point_5 in "\n".join(drover.everything_on_file())


@pytest.mark.parametrize("point_5", [HIGH, LOW])
def test_a_second_reading_set_that_shows_the_slip_settles_it(
    drover: Workshop, point_5: str
) -> None:
    """The slip that was asked about is no reading that the second set washes away."""
    typed(drover, point_5)
    drover.measures(TAG, "71300", READ_AGAIN)
    left = rotor(drover)

    assert left.words == ("reuse", None)
    variation = left.measure("thickness variation")
    assert (variation["outcome"], variation["value_mm"]) == ("in", "0.01778")
    assert drover.verdict(TAG).document["questions"] == []


@pytest.mark.parametrize("point_5", [HIGH, LOW])
def test_a_second_reading_set_that_shows_the_same_proves_that_it_was_no_slip(
    drover: Workshop, point_5: str
) -> None:
    """Then 1.1036 in less two cuts is beyond machine-to, and 1.0787 in is beyond discard."""
    typed(drover, point_5)
    drover.measures(TAG, "71300", READ_AGAIN.replace(TRUE, point_5[:-1] + "6"))

    assert drover.verdict(TAG).document["questions"] == []
    assert rotor(drover).words == ("replace", "required")


@pytest.mark.parametrize("point_5", [HIGH, LOW])
def test_whoever_says_that_it_is_right_as_typed_is_believed_where_that_only_condemns(
    drover: Workshop, point_5: str
) -> None:
    typed(drover, point_5)
    drover.does("answer", TAG, "1", "right", "--by", "AM")

    assert rotor(drover).words == ("replace", "required")


def test_a_turn_that_hides_a_point_below_discard_is_not_passed_on_anybodys_word(
    drover: Workshop,
) -> None:
    """Point 5 is 1.0830 in, at the discard, if it was read a turn too high."""
    lines = LINES.format(point_5="1.1080", right_runout="0.0010")
    for high, low in (("1.104", "1.084"), ("1.103", "1.083")):
        lines = lines.replace(f" {high}", f" {low}")
    drover.measures(TAG, "71300", lines)
    before = drover.everything_on_file()
    refused = drover.tries("answer", TAG, "1", "right", "--by", "AM")

    assert refused.exit_code == 3
    assert "only a second reading answers" in refused.stderr
    assert drover.everything_on_file() == before
    assert rotor(drover).measure("rotor thickness")["outcome"] == "in question"
    assert rotor(drover).words == ("measure again", None)


def test_the_sheet_says_what_is_not_judged(drover: Workshop) -> None:
    typed(drover, HIGH)
    sheet = drover.counter_sheet(TAG)

    assert "Required: RF rotor correct. Suggested: nothing." in sheet
    assert "Not judged: LF rotor measure again." in sheet
    assert drover.tries("verdict", TAG, "--fail-on", "required").exit_code == 10
