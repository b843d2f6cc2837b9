"""Runout through the commands, with an invented vehicle: from typed lines to the best stud."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.acceptance.workshop import Workshop

TAG = "HOLLIN"
GOOD = "nuts=5/5 bearing=ok back=yes"
FIRST = "0.074 0.093 0.085 0.054 0.019 0.000 0.008 0.039"
TWO_ON = "0.003 0.000 0.003 0.011 0.018 0.020 0.017 0.010"
"""Hub 0.040 mm at 30 degrees, rotor 0.060 mm at 70 degrees, five studs."""
LINES = f"""\
LF runout {TWO_ON} index=2 {GOOD}
LF runout {FIRST} index=0 {GOOD}
LF rotor 27.002 27.003 27.001 27.000 26.998 26.999 26.998 26.999 27.001
LF hub-runout 0.015 radius="60 mm" bearing=ok gauge=dial
RF runout 0.03 {GOOD}
"""


@pytest.fixture(scope="module")
def hollin(equipped_shop: Callable[[], Workshop]) -> Workshop:
    shop = equipped_shop()
    shop.has_limits("hollin 1.6", "front", "runout: 0.05 mm, above")
    shop.does("limits", "trait", "hollin 1.6", "vehicle", "tyre", "205/55R16")
    shop.has_vehicle(TAG, "--brakes", "disc/drum", "--sheet", "hollin 1.6")
    shop.measures(TAG, "48000 km", LINES)
    return shop


def sheet(shop: Workshop, *words: str) -> str:
    """Return what the command prints as one line without breaks."""
    return " ".join(shop.does("runout", *words).split())


def test_two_mountings_lead_to_the_best_stud(hollin: Workshop) -> None:
    document = hollin.reads("runout", TAG, "LF")

    assert document["format"] == "brakelog.runout/1"
    assert document["split"]["hub"]["high_deg"] == "30.0"
    assert document["split"]["rotor"]["high_deg"] == "70.2"
    assert [p["tir_mm"][:5] for p in document["positions"]] == [
        "0.094", "0.058", "0.020", "0.063", "0.096"
    ]  # fmt: skip
    assert document["best"]["index"] == 2
    assert document["best"]["present_index"] == 0
    assert document["is_out"] is True
    assert [p["expected"] for p in document["positions"]][2] == "inside the limit"


def test_the_sheet_says_what_to_do_in_order_and_to_measure_again(hollin: Workshop) -> None:
    text = sheet(hollin, TAG, "LF")

    assert "Turn the rotor 2 studs on: 0.074 mm less." in text
    assert "1. Clean hub face and rotor hat, torque all nuts, measure again." in text
    assert "2. Turn the rotor on its studs: mark to stud 3, predicted 0.020 mm" in text
    assert "Measure again after every change and record it as left" in text


def test_no_line_is_wider_than_a_terminal(hollin: Workshop) -> None:
    assert max(len(line) for line in hollin.does("runout", TAG, "LF").splitlines()) <= 80


def test_thickness_hub_face_and_pulsation_stand_on_the_same_sheet(hollin: Workshop) -> None:
    text = sheet(hollin, TAG, "LF")

    assert "by the lever 0.031 mm to 0.039 mm" in text
    assert "Variation 0.005 mm (0.0002 in), highest minus lowest of 9 points" in text
    assert "1 per turn: 0.004 mm peak to peak" in text
    assert "205/55R16 rolls 1.926 m in one turn" in text
    assert "215/60R17 rolls" in sheet(hollin, TAG, "LF", "--tyre", "215/60R17")


def test_plates_are_the_common_ones_those_typed_or_none(hollin: Workshop) -> None:
    typed = hollin.reads("runout", TAG, "LF", "--plates", "0.05mm 3 thou")
    scaled = hollin.reads(
        *("runout", TAG, "LF", "--plates", "3 thou"),
        *("--plate-radius", "70 mm", "--indicator-radius", "140 mm"),
    )

    sizes = {p["plate_mm"] for p in hollin.reads("runout", TAG, "LF")["plates"]}
    assert sizes >= {"0", "0.0762"}
    assert {p["plate_mm"] for p in typed["plates"]} == {"0", "0.05", "0.0762"}
    assert {p["plate_mm"] for p in scaled["plates"]} == {"0", "0.1524"}
    assert hollin.reads("runout", TAG, "LF", "--plates", "none")["plates"] == []


def test_one_total_reading_says_what_is_missing_for_a_split(hollin: Workshop) -> None:
    text = sheet(hollin, TAG, "RF")

    assert "Hub and rotor cannot be told apart: only total readings, without angles." in text
    assert "turn the rotor by 2 studs of 5" in text
    assert "Not beyond the limit as read last" in text


def test_the_reading_as_left_stands_beside_its_prediction(
    hollin: Workshop, tmp_path_factory: pytest.TempPathFactory
) -> None:
    shop = hollin.copy(tmp_path_factory.mktemp("left"))
    shop.measures(TAG, "48000 km", f"LF runout 0.024 index=2 as-left {GOOD}")

    text = sheet(shop, TAG, "LF")

    assert "as found" in text
    assert "As left: Total reading 0.024 mm (0.0009 in), without angles. Predicted: 0.020" in text
    assert "Total reading 0.024 mm" in sheet(shop, TAG, "LF", "--stage", "as-left")


def test_a_rotor_fitted_later_is_not_the_one_that_was_read(
    hollin: Workshop, tmp_path_factory: pytest.TempPathFactory
) -> None:
    shop = hollin.copy(tmp_path_factory.mktemp("later"))
    shop.measures(TAG, "60000 km", "LF pad-in 8.2 8.0", day="2026-02-10")
    shop.fits(TAG, "LF", "rotor", "--size", "28.0 mm", day="2026-02-10")

    text = sheet(shop, TAG, "LF")

    assert "As of 2026-01-10, 48,000 km, as found" in text
    assert "The rotor was changed after these readings" in text


def test_a_shop_in_inches_reads_thousandths(shop: Workshop) -> None:
    shop.does("shop", "change", "--unit", "in")
    shop.has_gauge("idial", "dial", "in", "0.0005 in", "hub-runout")
    shop.has_vehicle("SEDGE")
    lines = f"""\
LF runout 0.0030 0.0038 0.0034 0.0022 0.0008 0.0000 0.0003 0.0016 index=0 {GOOD} gauge=idial
LF runout -0.0003 0.0000 0.0001 0.0004 0.0007 0.0008 0.0007 0.0004 index=2 {GOOD} gauge=idial
"""
    shop.measures("SEDGE", "31000 mi", lines, "--unit", "in")

    text = sheet(shop, "SEDGE", "LF")

    assert "highest minus lowest of 8 points" in text
    assert "predicted 0.0010 in" in text


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("LR",), 3, "LR has a drum, no rotor"),
        (("L5",), 3, "HOLLIN has no corner L5"),
        (("XX",), 3, "'XX' is not a corner"),
        (("LF", "--tyre", "195R14"), 3, "'195R14' is not a tyre size"),
        (("LF", "--plates", "0.05"), 3, "the unit of '0.05' cannot be told"),
        (("LF", "--plates", "3 mm"), 3, "'3 mm' is no taper of a plate"),
        (("LF", "--plates", "0 mm"), 3, "'0 mm' is no taper of a plate"),
        (("LF", "--plates", " "), 3, "0 plates are typed"),
        (("LF", "--plate-radius", "70 mm"), 3, "says nothing without that of the indicator"),
        (("LF", "--indicator-radius", "2 m"), 3, "'2 m' has letters that are no unit"),
        (("LF", "--indicator-radius", "2000 mm"), 3, "no radius of a rotor"),
        (("LF", "--stage", "later"), 3, "'later' is not a stage"),
        (("LF", "--visit", "2020-01-01"), 4, "HOLLIN has no visit '2020-01-01'"),
        (("LF", "--mark", "wheel"), 2, ""),
    ],
)
def test_what_cannot_be_asked_is_refused_in_one_line(
    hollin: Workshop, words: tuple[str, ...], code: int, said: str
) -> None:
    result = hollin.tries("runout", TAG, *words)

    assert result.exit_code == code
    assert said in result.output


def test_a_vehicle_without_visits_is_told_so(shop: Workshop) -> None:
    shop.has_vehicle("BARE")

    result = shop.tries("runout", "BARE", "LF")

    assert result.exit_code == 4
    assert "BARE has no visit on file" in result.output


def test_a_corner_that_nobody_read_is_no_error(hollin: Workshop) -> None:
    shop_text = sheet(hollin, TAG, "LF", "--stage", "as-left")

    assert "no runout was read" in shop_text
