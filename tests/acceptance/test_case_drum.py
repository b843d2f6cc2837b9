"""Worked case with an invented vehicle: bell-mouthed drum, one side."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.acceptance.workshop import Workshop

TAG = "WEND"
LINES = """\
LR drum-open 204.72 204.70
LR drum-closed 204.35 204.38
LR shoe-lead 1.9 1.4
LR shoe-trail 3.0
LR looked-over
RR drum-open 203.98 204.00
RR drum-closed 203.94 203.96
RR shoe-lead 2.7 2.6
RR shoe-trail 3.3
RR looked-over
"""


@pytest.fixture(scope="module")
def wend(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 7: the largest diameter is below discard, and the drum must go all the same."""
    shop = equipped_shop()
    shop.has_limits(
        *("wend 1.4", "rear", "drum-new: 203.2 mm", "drum-machine-to: 204.7 mm"),
        *("drum-discard: 205.2 mm", "out-of-round: 0.15 mm", "bell-mouth: 0.10 mm"),
        *("shoe-new: 4.5 mm", "shoe-minimum: 1.0 mm"),
    )
    shop.has_vehicle(
        *(TAG, "--description", "Orrin Wend 1.4"),
        *("--brakes", "disc/drum", "--sheet", "wend 1.4"),
    )
    for corner in ("LR", "RR"):
        cast = ("limits", "cast", TAG, corner, "drum-discard", "205.2 mm")
        shop.does(*cast, "--source", "cast on the drum: MAX DIA 205.2")
    shop.measures(TAG, "96000 km", LINES, "--complaint", "handbrake comes up high")
    return shop


def test_the_bell_mouthed_drum_is_required_although_its_diameter_is_in_limits(
    wend: Workshop,
) -> None:
    drum = wend.verdict(TAG).part("LR", "drum")

    assert drum.words == ("replace", "required")
    assert drum.codes[0] == "V108"
    assert drum.read("drum diameter") == ("in", "204.72", "205.2 mm", "0.48")
    assert drum.read("bell-mouth") == ("out", "204.72 - 204.35", "0.10 mm", "-0.27")
    assert drum.measure("bell-mouth")["value_mm"] == "0.37"
    assert drum.measure("out-of-round")["outcome"] == "in"
    assert drum.measure("out-of-round")["value_mm"] == "0.03"
    cut = drum.reason("V108")["cut"]
    assert cut == {"per_side_mm": "0.1", "after_mm": "204.92", "machine_to": "204.7 mm"}
    assert "beyond machine-to 204.7 mm: it cannot be refinished" in drum.text
    judged = drum.measure("drum diameter")["figures_judged"]
    assert {each["source"] for each in judged} == {
        "service page 4",
        "cast on the drum: MAX DIA 205.2",
    }


def test_the_sound_drum_and_all_shoes_are_suggested_only(wend: Workshop) -> None:
    verdict = wend.verdict(TAG)

    right = verdict.part("RR", "drum")
    assert right.words == ("replace", "suggested")
    assert right.codes == ["V114", "V115"]
    assert right.reason("V114")["axle_mate"] == "LR"
    assert right.measure("bell-mouth")["outcome"] == "in"
    shoes = verdict.part("LR", "shoes")
    assert shoes.words == ("replace", "suggested")
    assert "shoes worn to the old drum will not seat in a new one" in shoes.reason("V113")["text"]
    assert shoes.read("leading shoe lining") == ("in", "1.4", "1.0 mm", "0.4")
    assert shoes.measure("leading shoe lining")["place"].endswith("bottom end")
    assert verdict.part("RR", "shoes").words == ("replace", "suggested")
    assert "V114" in verdict.part("RR", "shoes").codes
    assert verdict.required == [("LR", "drum")]
    assert verdict.axle("rear", "drum") == ("replace", "required")
    assert verdict.axle("rear", "shoes") == ("replace", "suggested")


def test_both_pages_keep_required_and_suggested_apart(wend: Workshop) -> None:
    sheet = wend.counter_sheet(TAG)
    assert "Required: LR drum replace." in sheet
    assert "Suggested: LR shoes replace; RR shoes replace; RR drum replace." in sheet
    assert "comparator not stated; taken as out when at or above" in sheet
    assert "Complaint: handbrake comes up high" in sheet

    letter = wend.customer_text(TAG)
    assert "In limits today, but we suggest: " in letter
    assert "replace the rear brake shoes" in letter
    assert "The other side is suggested only" in letter
    assert "too little is left to machine it" in letter
    assert wend.tries("verdict", TAG, "--fail-on", "required").exit_code == 10


def test_the_axle_must_not_be_left_and_only_new_drums_go_with_new_shoes(wend: Workshop) -> None:
    verdict = wend.verdict(TAG)

    for plan, reason in (
        ("left", "required work is open"),
        ("kept", "must be replaced"),
        ("refinished", "must be replaced"),
    ):
        world = verdict.world("rear", plan)
        assert not world["open"]
        assert (world["obstacles"][0]["corner"], world["obstacles"][0]["reason"]) == ("LR", reason)
        assert world["ends"] == []
    new = verdict.world("rear", "new")
    assert new["open"]
    assert new["at_least_km"] is None
    assert "typical ones would last: shoes about 120,000 km" in new["text"]
    assert verdict.document["if_left"] == []
    sheet = wend.counter_sheet(TAG)
    assert "If left: it must not be left as it is (required: LR drum replace)." in sheet
    # Nobody looked at the front axle, so that nothing follows there.
    assert {world["axle"] for world in verdict.document["worlds"]} == {"rear"}
    assert "If you wait" not in wend.customer_text(TAG)


def test_the_customer_is_not_told_that_the_sound_drum_is_needed_now(wend: Workshop) -> None:
    letter = wend.customer_text(TAG)
    assert "Needed now: replace the " in letter
    needed = letter.partition("Needed now: ")[2].partition(".")[0]
    assert "left rear" in needed
    assert "drums" not in needed


def test_both_limits_of_the_drum_and_every_place_read_well(wend: Workshop) -> None:
    sheet = wend.counter_sheet(TAG)
    assert "cast on the drum: MAX DIA 205.2" in sheet
    assert "at 0 deg: " in sheet
    assert "at at " not in sheet


def test_the_untouched_front_axle_is_not_inspected_and_never_called_good(wend: Workshop) -> None:
    verdict = wend.verdict(TAG)
    for corner in ("LF", "RF"):
        for part in ("pads", "rotor"):
            assert verdict.part(corner, part).words == ("no verdict", None)
    letter = wend.customer_text(TAG)
    assert "We cannot say yet whether these are in limits: front brake" in letter
    assert "Left front: not inspected this time." in letter
