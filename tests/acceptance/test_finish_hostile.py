"""Ways in which a job could be called finished, or a page final, when it must not be."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import DAY, Facts, Workshop, eight_points

TAG = "SALLOW"
SHEET = "sallow 2.0"
FOUND = f"""\
LF rotor {eight_points("27.400", "0.007")} lip=no
RF rotor {eight_points("27.421", "0.006")} lip=no
LF pad-in 8.2 8.0
LF pad-out 8.5 8.4
RF pad-in 8.1 8.0
RF pad-out 8.5 8.3
"""
LEFT = """\
LF runout 0.03 nuts=5/5 bearing=ok back=yes
RF runout 0.04 nuts=5/5 bearing=ok back=yes
"""
CLOSED = """\
torque front caliper 28 N·m
torque front bracket 100 N·m
torque front wheel 110 N·m
check wear-sensor front not-fitted
check tightened yes
check fluid-level between
check pedal-firm yes
check road-test yes
odometer-out 60004 km
check no-leak yes
check lamps-off yes
check bedding-in customer
"""
AGREED = "agreed front brakes who=P how=signed\n"
LF_READ = f"LF rotor {eight_points('27.150', '0.006')} lip=no\n"


@pytest.fixture(autouse=True)
def initials(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever types is AM."""
    monkeypatch.setenv("BRAKELOG_BY", "AM")


@pytest.fixture(scope="module")
def measured(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A healthy front axle, measured as found."""
    shop = equipped_shop()
    shop.has_limits(
        *(SHEET, "front", "rotor-new: 28.0 mm", "rotor-machine-to: 26.4 mm"),
        *("rotor-discard: 26.0 mm, at or below", "variation: 0.015 mm, above"),
        *("runout: 0.05 mm, above", "scoring: 0.4 mm, above"),
        *("pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below"),
    )
    shop.has_vehicle(TAG, "--brakes", "disc", "--sheet", SHEET)
    shop.measures(TAG, "60000 km", FOUND)
    return shop


@pytest.fixture
def found(measured: Workshop, tmp_path: Path) -> Workshop:
    return measured.copy(tmp_path)


@pytest.fixture
def fitted(found: Workshop) -> Workshop:
    """The same with new pads."""
    for corner in ("LF", "RF"):
        found.fits(TAG, corner, "pads", "--size", "11.0 mm")
    return found


def finish(shop: Workshop, lines: str) -> None:
    shop.does("finish", TAG, typed=lines)


def fit(shop: Workshop, corner: str, part: str, event: str, size: str) -> None:
    shop.does("fit", TAG, corner, part, event, "--size", size, "--date", DAY)


def job(shop: Workshop) -> Facts:
    facts: Facts = shop.reads("finish", TAG, "--status")
    return facts


def codes(shop: Workshop) -> list[str]:
    return [each["code"] for each in job(shop)["open"]]


def texts(shop: Workshop) -> str:
    return " | ".join(each["text"] for each in job(shop)["open"])


def test_the_job_as_it_should_be_is_finished(fitted: Workshop) -> None:
    finish(fitted, LEFT + CLOSED + AGREED)
    assert (job(fitted)["status"], codes(fitted)) == ("finished", [])


# What was fitted is proven


@pytest.mark.parametrize(
    ("event", "size"), [("used", "26.001 mm"), ("used", "27.3 mm"), ("refinished", "27.1 mm")]
)
def test_one_figure_says_nothing_of_a_used_or_refinished_rotor(
    fitted: Workshop, event: str, size: str
) -> None:
    fit(fitted, "LF", "rotor", event, size)
    finish(fitted, LEFT + CLOSED + AGREED)

    assert codes(fitted) == ["F105"]
    assert f"LF rotor: {event}, and not read as left since" in texts(fitted)
    letter = fitted.customer_text(TAG)
    assert "Everything that we measured" not in letter
    assert "Front brake discs: could not be judged" in letter


def test_used_pads_are_read_as_left(found: Workshop) -> None:
    for corner in ("LF", "RF"):
        fit(found, corner, "pads", "used", "5.0 mm")
    finish(found, LEFT + CLOSED + AGREED)
    assert codes(found) == ["F105"] * 4

    finish(
        found, "".join(f"{c} {p} 5.1 5.0\n" for c in ("LF", "RF") for p in ("pad-in", "pad-out"))
    )
    assert codes(found) == []


def test_a_used_rotor_with_a_full_circle_that_is_in_limits_leaves(fitted: Workshop) -> None:
    fit(fitted, "LF", "rotor", "used", "27.15 mm")
    finish(fitted, LF_READ + LEFT + CLOSED + AGREED)
    assert codes(fitted) == []


def test_four_points_do_not_show_that_a_used_rotor_is_even(fitted: Workshop) -> None:
    fit(fitted, "LF", "rotor", "used", "27.15 mm")
    finish(fitted, "LF rotor 27.150 27.153 27.152 27.151 lip=no\n" + LEFT + CLOSED + AGREED)
    assert codes(fitted) == ["F108"]


def test_a_new_rotor_close_to_its_limit_is_not_proven_by_its_size_at_fitting(
    found: Workshop,
) -> None:
    shop = found
    shop.does("limits", "withdraw", shop.limit_id(SHEET, "rotor-new"), "--why", "other edition")
    fit(shop, "LF", "rotor", "new", "26.03 mm")
    finish(shop, LEFT + CLOSED + AGREED)

    assert codes(shop) == ["F108"]
    assert "too close to the discard limit 26.0 mm" in texts(shop)


def test_pads_that_go_because_nothing_proves_them_keep_the_job_open_until_declined(
    found: Workshop,
) -> None:
    finish(found, LEFT + CLOSED + "RF pad-in 2.1 2.1\n")
    assert "F108" in codes(found)
    letter = found.customer_text(TAG)
    assert letter.startswith("Preliminary")
    assert "Nothing has to be done today" not in letter

    finish(found, "declined RF pads who=P how=signed\n")
    assert "F108" not in codes(found)
    assert "Nothing has to be done today" not in found.customer_text(TAG)


# Work that comes after the answers


def test_a_rotor_fitted_after_the_job_was_finished_opens_what_it_touches(
    fitted: Workshop,
) -> None:
    finish(fitted, LEFT + CLOSED + AGREED)
    fit(fitted, "RF", "rotor", "new", "28.0 mm")
    open_ones = job(fitted)["open"]

    assert [(o["code"], o["corner"]) for o in open_ones if o["corner"]] == [
        *[("F106", "RF"), ("F109", "RF"), ("F109", "RF"), ("F109", "RF")],
    ]
    assert [each["check"] for each in open_ones if each["check"]] == [
        *("tightened", "fluid-level", "pedal-firm", "road-test"),
        *("no-leak", "lamps-off", "bedding-in"),
    ]
    assert "Odometer out not on record since the last part was fitted" in texts(fitted)
    assert fitted.customer_text(TAG).startswith("Preliminary")

    finish(fitted, LEFT + CLOSED)
    assert codes(fitted) == []


def test_a_reading_as_left_of_the_rotor_that_came_off_is_not_the_one_that_went_on(
    fitted: Workshop,
) -> None:
    finish(fitted, LF_READ + LEFT)
    fit(fitted, "LF", "rotor", "used", "27.15 mm")
    finish(fitted, CLOSED + AGREED)

    assert codes(fitted) == ["F105", "F106"]


def test_the_right_part_is_the_one_that_was_compared(found: Workshop) -> None:
    for corner, size in (("LF", "12.5 mm"), ("RF", "11.0 mm")):
        found.fits(TAG, corner, "pads", "--size", size)
    finish(found, LEFT + CLOSED + AGREED + "check right-part LF pads yes note=compared\n")
    assert codes(found) == []

    found.fits(TAG, "LF", "pads", "--size", "12.6 mm")
    finish(found, LEFT + CLOSED)
    assert codes(found) == ["F103", "F103"]


def test_a_rotor_cut_on_the_car_after_it_was_measured_is_measured_again(fitted: Workshop) -> None:
    fit(fitted, "LF", "rotor", "refinished", "27.15 mm")
    finish(fitted, LF_READ + LEFT.replace("0.03", "0.09") + CLOSED + AGREED)
    assert codes(fitted) == ["F107"]

    finish(fitted, "check runout-cure LF cut\n" + LEFT + CLOSED)
    assert codes(fitted) == ["F105"]
    finish(fitted, LF_READ.replace("27.15", "27.05"))
    assert codes(fitted) == []


def test_a_wheel_that_came_off_to_put_a_runout_right_is_tightened_again(fitted: Workshop) -> None:
    finish(fitted, LEFT.replace("0.03", "0.09") + CLOSED + AGREED)
    finish(fitted, "check runout-cure LF indexed\n" + LEFT)

    assert codes(fitted) == ["F109"]
    assert "LF wheel fasteners: torque not on record since the last work there" in texts(fitted)


# Limits


def test_limits_that_contradict_each_other_keep_the_job_open(fitted: Workshop) -> None:
    discard = ("limits", "add", SHEET, "front", "rotor-discard", "22.8 mm", "0.87 in")
    fitted.does(*discard, "--source", "page 9", "--out-when", "at-or-below")
    finish(fitted, LEFT + CLOSED + AGREED)

    assert codes(fitted) == ["F120"]
    assert "contradicts itself" in texts(fitted)


def test_a_part_without_a_limit_on_file_keeps_the_job_open(fitted: Workshop) -> None:
    fitted.does("limits", "withdraw", fitted.limit_id(SHEET, "pad-minimum"), "--why", "misread")
    finish(fitted, LEFT + CLOSED + AGREED)

    assert codes(fitted) == ["F120"]
    assert fitted.customer_text(TAG).startswith("Preliminary")


# Machining


def test_a_rotor_that_must_not_be_machined_does_not_leave(fitted: Workshop) -> None:
    fitted.does("limits", "trait", SHEET, "front", "machining", "not-allowed")
    fit(fitted, "LF", "rotor", "refinished", "27.15 mm")
    finish(fitted, LF_READ + LEFT + CLOSED + AGREED)

    assert codes(fitted) == ["F119"]
    assert "its maker does not allow that" in fitted.customer_text(TAG)


def test_a_rotor_is_not_machined_to_no_limit(fitted: Workshop) -> None:
    fitted.does(
        "limits", "withdraw", fitted.limit_id(SHEET, "rotor-machine-to"), "--why", "misread"
    )
    fit(fitted, "LF", "rotor", "refinished", "27.15 mm")
    finish(fitted, LF_READ + LEFT + CLOSED + AGREED)

    assert codes(fitted) == ["F120"]
    assert "machined, and no machine-to limit on file" in texts(fitted)


def test_what_a_rotor_was_machined_for_is_read_again(fitted: Workshop) -> None:
    fitted.does("measure", TAG, "--date", DAY, typed="LF scoring 0.6\n")
    fit(fitted, "LF", "rotor", "refinished", "27.15 mm")
    finish(fitted, LF_READ + LEFT + CLOSED + AGREED)

    assert codes(fitted) == ["F105"]
    assert "LF rotor: machined for its scoring depth" in texts(fitted)
    finish(fitted, "LF scoring 0.0\n")
    assert codes(fitted) == []


def test_a_rotor_has_no_more_after_it_was_machined(fitted: Workshop) -> None:
    fit(fitted, "LF", "rotor", "refinished", "27.8 mm")
    finish(fitted, LF_READ.replace("27.15", "27.8") + LEFT + CLOSED + AGREED)

    assert "F103" in codes(fitted)
    assert "LF rotor: another part? Refinished it is 27.8" in texts(fitted)


# What the customer declined


def test_who_declined_a_suggestion_did_not_decline_what_was_found_later(fitted: Workshop) -> None:
    finish(fitted, LEFT + CLOSED + AGREED + "declined LF rotor who=P how=signed\n")
    fitted.does("measure", TAG, "--date", DAY, typed="LF finding crack at the edge\n")
    assert codes(fitted) == ["F117"]

    finish(fitted, "declined LF rotor who=P how=signed\n")
    assert codes(fitted) == []
    again = f"LF rotor {eight_points('27.401', '0.006')} lip=no\n"
    fitted.does("measure", TAG, "--date", DAY, typed=again)
    assert codes(fitted) == []


# People, torques, the drive


def test_checks_and_torques_need_initials(
    fitted: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("BRAKELOG_BY")
    finish(fitted, LEFT + CLOSED + AGREED)
    assert codes(fitted) == ["F121"]

    fitted.does("finish", TAG, "--by", "AM", typed=CLOSED)
    assert codes(fitted) == []


def test_a_torque_with_an_angle_is_not_the_one_without(fitted: Workshop) -> None:
    torque = ("limits", "torque", SHEET, "front", "wheel")
    fitted.does(*torque, "110 N·m", "--source", "page 9")
    finish(fitted, LEFT + CLOSED + AGREED + "torque front wheel 110 N·m + 90°\n")
    assert codes(fitted) == ["F110"]

    assert fitted.tries(*torque, "0 N·m", "--source", "page 9").exit_code == 3


def test_an_odometer_far_above_the_one_in_is_asked_about(fitted: Workshop) -> None:
    finish(fitted, LEFT + CLOSED.replace("60004", "64000") + AGREED)
    assert codes(fitted) == ["F122"]

    finish(fitted, 'odometer-out 64000 km note="driven to the other branch"\n')
    assert codes(fitted) == []
    assert job(fitted)["visit"]["odometer_out"] == "64000 km"


# An earlier visit


def test_a_job_that_was_never_finished_is_pointed_to_at_the_next_visit(fitted: Workshop) -> None:
    finish(fitted, LEFT + CLOSED.replace("check pedal-firm yes", "check pedal-firm no"))
    fitted.measures(TAG, "60100 km", "LF looked-over\n", day="2026-01-12")

    assert job(fitted)["earlier_not_finished"] == DAY
    said = " ".join(fitted.does("finish", TAG, "--status").split())
    assert f"The job of {DAY} is not finished: brakelog finish {TAG} --visit {DAY}." in said
    assert "Our work of 10 Jan 2026 is not finished on our record" in fitted.customer_text(TAG)

    fitted.does("finish", TAG, "--visit", DAY, typed=LEFT + CLOSED + AGREED)
    assert job(fitted)["earlier_not_finished"] is None
    assert "is not finished on our record" not in fitted.customer_text(TAG)
