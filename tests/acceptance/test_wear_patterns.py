"""What the wear says, from typed readings to the counter sheet and the customer's page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.test_case_drum import LINES as DRUM_LINES
from tests.acceptance.test_case_slide_pin import LINES as PIN_LINES
from tests.acceptance.workshop import Facts, Workshop, eight_points

PIN, DRUM, TRUE = "SALLOW", "WEND", "DROVER"
TRUE_LINES = f"""\
RF rotor {eight_points("28.070", "0.008")}
RF runout 0.08 nuts=5/5 bearing=ok
"""


@pytest.fixture(scope="module")
def garage(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Three invented cars: a stuck pin, a bell-mouthed drum, a rotor that does not run true."""
    shop = equipped_shop()
    shop.has_limits(
        *("discs", "front", "rotor-new: 28.0 mm", "rotor-discard: 26.0 mm, at or below"),
        *("variation: 0.015 mm, above", "runout: 0.05 mm, above", "scoring: 1.5 mm, above"),
        *("pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below"),
    )
    shop.has_limits(
        *("drums", "rear", "drum-new: 203.2 mm", "drum-machine-to: 204.7 mm"),
        *("drum-discard: 205.2 mm", "out-of-round: 0.15 mm", "bell-mouth: 0.10 mm"),
        *("shoe-new: 4.5 mm", "shoe-minimum: 1.0 mm"),
    )
    shop.has_vehicle(PIN, "--description", "Orrin Sallow 2.0", "--sheet", "discs")
    shop.measures(PIN, "48000 km", PIN_LINES, "--complaint", "scraping at the right front")
    shop.has_vehicle(
        *(DRUM, "--description", "Orrin Wend 1.4", "--brakes", "disc/drum", "--sheet", "drums")
    )
    shop.measures(DRUM, "96000 km", DRUM_LINES, "--complaint", "handbrake comes up high")
    shop.has_vehicle(TRUE, "--description", "Brackwell Drover", "--sheet", "discs")
    shop.measures(TRUE, "71300 km", TRUE_LINES)
    return shop


def hint(garage: Workshop, tag: str, code: str) -> Facts:
    found: list[Facts] = garage.verdict(tag).document["hints"]
    (one,) = [each for each in found if each["code"] == code]
    return one


def test_the_stuck_pin_shows_in_the_pads_with_the_likeliest_cause_first(garage: Workshop) -> None:
    flags = garage.verdict(PIN).document["flags"]
    said = {each["kind"]: (each["difference_mm"], each["threshold_mm"]) for each in flags}
    assert said["inner and outer pad"] == ("4.7", "2")
    assert said["left and right lining"] == ("4", "2")
    assert "taper" not in said
    rotors = next(each for each in flags if each["part"] == "rotor")
    assert (rotors["difference_mm"], rotors["for_information"]) == ("0.26", True)

    pattern = hint(garage, PIN, "H301")
    assert pattern["corners"] == ["RF"]
    assert [cause.split()[0] for cause in pattern["probable_causes"]] == [
        "caliper",
        "piston",
        "hose",
    ]
    assert pattern["borne_out_by_finding"]
    assert pattern["cause_open"]


def test_the_counter_sheet_says_pattern_cause_and_check_in_three_lines(garage: Workshop) -> None:
    sheet = garage.counter_sheet(PIN)

    assert "RF: inner pad far thinner than outer (H301)." in sheet
    assert "Probable: caliper not sliding; piston not retracting; hose" in sheet
    assert "look for the cause from 2.0 mm on" in " ".join(sheet.split())


def test_the_customer_reads_one_plain_sentence(garage: Workshop) -> None:
    letter = " ".join(garage.customer_text(PIN).split())

    assert letter.count("the cause should be found before new ones go on") == 1
    assert "H301" not in letter
    assert "4.7 mm" not in letter


def test_shoes_worn_to_a_bell_mouthed_drum_point_to_that_wheel(garage: Workshop) -> None:
    pattern = hint(garage, DRUM, "H313")

    assert pattern["corners"] == ["LR"]
    assert pattern["evidence"][0] == "open edge 0.37 mm wider"
    assert any("wheel cylinder" in check for check in pattern["next_checks"])
    drums = [each for each in garage.verdict(DRUM).document["flags"] if each["part"] == "drum"]
    assert [each["difference_mm"] for each in drums] == ["0.72"]


def test_runout_without_variation_yet_is_put_right_now(garage: Workshop) -> None:
    assert hint(garage, TRUE, "H319")["corners"] == ["RF"]
    assert garage.verdict(TRUE).part("RF", "rotor").words == ("correct", "required")


def test_what_the_sheet_calls_normal_raises_no_alarm(garage: Workshop, tmp_path: Path) -> None:
    shop = garage.copy(tmp_path)
    shop.does("limits", "trait", "discs", "front", "faster-pad", "inner")
    document = shop.verdict(PIN).document

    assert "H301" not in {each["code"] for each in document["hints"]}
    assert "inner and outer pad" not in {each["kind"] for each in document["flags"]}
