"""Worked case with an invented vehicle: no limit to be had."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.acceptance.workshop import Workshop

TAG = "NAMELESS"


@pytest.fixture(scope="module")
def nameless(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 11: the cast mark is rusted away and there is no service information."""
    shop = equipped_shop()
    shop.has_vehicle(TAG, "--brakes", "disc")
    shop.measures(
        TAG,
        "141000 km",
        "LF rotor 25.320 25.330 25.325 25.310 25.315 25.320 25.328 25.322\nLF looked-over\n",
    )
    return shop


def test_an_unknown_limit_gives_no_verdict_and_no_default(nameless: Workshop) -> None:
    rotor = nameless.verdict(TAG).part("LF", "rotor")

    assert rotor.words == ("no verdict", None)
    assert rotor.codes == ["V104"]
    assert rotor.read("rotor thickness") == ("no limit", "25.310", None, None)
    assert rotor.measure("rotor thickness")["limit_state"] == "no limit on file"
    assert rotor.measure("rotor thickness")["figures_judged"] == []
    assert rotor.read("thickness variation") == ("no limit", "25.330 - 25.310", None, None)
    assert rotor.measure("thickness variation")["value_mm"] == "0.02"
    life = rotor.life("rotor")
    assert (life["refusal"], life["at_least_km"]) == ("no limit", None)


def test_the_readings_are_reported_with_what_must_be_obtained(nameless: Workshop) -> None:
    sheet = nameless.counter_sheet(TAG)
    assert "Not judged: " in sheet
    assert "Rotor thickness 25.310 mm" in sheet
    assert "No discard limit on file: obtain it from service information or the part." in sheet
    assert "thickness variation 0.020 mm, no limit on file" in sheet
    assert "Required: nothing. Suggested: nothing." in sheet

    letter = nameless.customer_text(TAG)
    assert "left front brake disc: 25.310 mm (0.9965 in), limit not on file" in letter
    assert "We have no dependable limit for this part yet; we will not guess one." in letter
    assert "Everything that we measured on your brakes is in limits" not in letter
    assert nameless.tries("verdict", TAG, "--fail-on", "required").exit_code == 11
