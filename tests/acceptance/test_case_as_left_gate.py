"""Worked case with an invented vehicle: the gate at the end of a job."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import DAY, Facts, Workshop, eight_points

TAG = "SALLOW"
FOUND = f"""\
LF rotor {eight_points("25.900", "0.008")} lip=no
LF runout 0.030 nuts=5/5 bearing=ok
LF pad-in 8.2 8.0
LF pad-out 8.5 8.4
LF looked-over
RF rotor {eight_points("26.400", "0.008")} lip=no
RF runout 0.031 nuts=5/5 bearing=ok
RF pad-in 8.3 8.2
RF pad-out 8.6 8.5
RF looked-over
"""
EVERYTHING_ELSE = f"""\
LF rotor {eight_points("27.990", "0.006")} lip=no
RF rotor {eight_points("27.985", "0.006")} lip=no
LF runout 0.09 nuts=5/5 bearing=ok back=yes
RF runout 0.03 nuts=5/5 bearing=ok back=yes
torque front caliper 28 N·m
torque front bracket 100 N·m
check tightened yes
check fluid-level between
check road-test yes
odometer-out 62404 km
check no-leak yes
check lamps-off yes
check bedding-in shop
agreed front rotors who="Pia Quill" how=phone when="{DAY} 10:20"
"""
THE_REST = """\
check runout-cure LF indexed note="two studs on"
LF runout 0.03 nuts=5/5 bearing=ok back=yes index=2
torque front wheel 110 N·m
check pedal-firm yes
"""


@pytest.fixture(scope="module")
def gate(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 13: new rotors; runout LF 0.09 mm where 0.05 mm is the limit, torque blank, pedal not
    confirmed, and everything else entered and good."""
    shop = equipped_shop()
    shop.has_limits(
        *("sallow 2.0", "front", "rotor-new: 28.0 mm", "rotor-machine-to: 26.4 mm"),
        *("rotor-discard: 26.0 mm, at or below", "variation: 0.015 mm, above"),
        *("runout: 0.05 mm, above", "pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below"),
    )
    torque = ("limits", "torque", "sallow 2.0", "front", "wheel bolts", "110 N·m")
    shop.does(*torque, "--source", "service page 9")
    shop.has_vehicle(TAG, "--brakes", "disc", "--sheet", "sallow 2.0")
    shop.measures(TAG, "62400 km", FOUND)
    for side, size in (("LF", "27.99 mm"), ("RF", "27.98 mm")):
        shop.fits(TAG, side, "rotor", "--size", size)
    shop.does("finish", TAG, "--by", "AM", typed=EVERYTHING_ELSE)
    return shop


@pytest.fixture
def finished(gate: Workshop, tmp_path: Path) -> Workshop:
    """The same, after what was open has been closed."""
    shop = gate.copy(tmp_path)
    shop.does("finish", TAG, "--by", "AM", typed=THE_REST)
    return shop


def status(shop: Workshop) -> Facts:
    facts: Facts = shop.reads("finish", TAG, "--status")
    return facts


def test_the_job_is_not_finished_and_exactly_these_three_are_named(gate: Workshop) -> None:
    job = status(gate)

    assert job["status"] == "not finished"
    assert [(each["code"], each["kind"]) for each in job["open"]] == [
        ("F107", "failure"),
        ("F109", "blank"),
        ("F111", "blank"),
    ]
    runout, torque, pedal = job["open"]
    assert (runout["corner"], runout["part"], runout["reason"]) == ("LF", "rotor", "V111")
    assert "0.09" in runout["text"]
    assert "limit 0.05 mm" in runout["text"]
    assert torque["axle"] == "front"
    assert "wheel fasteners: torque not on record; the sheet has 110 N·m" in torque["text"]
    assert "1-3-5-2-4" in torque["do"]
    assert pedal["check"] == "pedal-firm"


def test_the_tech_reads_what_is_open_in_the_order_of_the_hand(gate: Workshop) -> None:
    said = " ".join(gate.does("finish", TAG, "--status").split())

    assert "NOT FINISHED: 3 things open" in said
    runout, wheels, pedal = (said.index(f" {number}. ") for number in (1, 2, 3))
    assert runout < said.index("LF rotor, to be put right") < wheels
    assert wheels < said.index("Front wheel fasteners") < pedal
    assert pedal < said.index("Pedal pumped until firm?")


def test_an_open_job_has_an_exit_code_of_its_own(gate: Workshop, finished: Workshop) -> None:
    assert gate.tries("finish", TAG, "--status", "--fail-on", "open").exit_code == 12
    assert gate.tries("finish", TAG, "--status").exit_code == 0
    assert finished.tries("finish", TAG, "--status", "--fail-on", "open").exit_code == 0


@pytest.mark.parametrize("stage", ["as-found", "as-left"])
def test_no_page_of_an_open_job_can_be_taken_for_the_final_one(gate: Workshop, stage: str) -> None:
    letter = gate.customer_text(TAG, "--stage", stage)
    assert letter.startswith("Preliminary: your brakes")
    assert "PLEASE DO NOT DRIVE THIS VEHICLE BEFORE WE HAVE FINISHED IT." in letter
    assert "the work on this vehicle is not finished. Still open:" in letter
    for sentence in (
        "Left front brake disc: it is not in limits yet after our work.",
        "Front wheels: how tight the fasteners are has not been recorded yet.",
        "The brake pedal is not confirmed to be firm.",
    ):
        assert sentence in letter


def test_every_printed_sheet_of_the_page_is_marked_while_the_job_is_open(
    gate: Workshop, finished: Workshop
) -> None:
    open_page, final_page = gate.customer_page(TAG), finished.customer_page(TAG)

    assert "<h1>Preliminary: your brakes</h1>" in open_page
    assert ">PRELIMINARY</p>" in open_page
    assert "<h1>Your brakes</h1>" in final_page
    assert "PRELIMINARY" not in final_page
    assert "Still open" not in final_page


def test_the_page_of_an_open_job_has_another_file_name(
    gate: Workshop, finished: Workshop, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)

    assert f"written to brakes-{TAG}-{DAY}-after-work-preliminary.html" in gate.does("summary", TAG)
    assert f"written to brakes-{TAG}-{DAY}-after-work.html" in finished.does("summary", TAG)


def test_the_counter_sheet_says_that_the_job_is_open_and_the_verdict_does_not_change(
    gate: Workshop, finished: Workshop
) -> None:
    assert "Job: NOT FINISHED, 3 things open" in gate.counter_sheet(TAG)
    assert "Job: finished." in finished.counter_sheet(TAG)
    assert "not finished" not in json.dumps(gate.verdict(TAG).document).lower()


def test_a_job_with_everything_entered_is_finished(finished: Workshop) -> None:
    job = status(finished)

    assert (job["status"], job["open"]) == ("finished", [])
    assert "FINISHED" in finished.does("finish", TAG, "--status")
    assert finished.verdict(TAG).part("LF", "rotor").words == ("reuse", None)
    assert finished.customer_text(TAG).startswith("Your brakes")


def test_a_runout_that_was_put_right_stays_on_file_and_the_new_reading_counts(
    finished: Workshop,
) -> None:
    entries = finished.reads("amend", "list", TAG)["entries"]
    left = [
        each["typed"]
        for each in entries
        if each.get("quantity") == "runout" and each["corner"] == "LF"
    ]

    assert left == [["0.030"], ["0.09"], ["0.03"]]
    assert finished.verdict(TAG).part("LF", "rotor").read("runout")[1] == "0.03"


def test_reading_a_runout_again_without_putting_it_right_does_not_close_it(
    gate: Workshop, tmp_path: Path
) -> None:
    shop = gate.copy(tmp_path)
    shop.does("finish", TAG, typed="LF runout 0.04 nuts=5/5 bearing=ok back=yes\n")

    assert "F107" in [each["code"] for each in status(shop)["open"]]
