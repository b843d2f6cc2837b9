"""Finishing a job: what has to be on record before a vehicle leaves, and what was agreed."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import DAY, Facts, Workshop, eight_points

TAG = "SALLOW"
FOUND = f"""\
LF rotor {eight_points("27.620", "0.008")} lip=no
LF runout 0.030 nuts=5/5 bearing=ok
LF pad-in 6.3 6.1
LF pad-out 6.6 6.5
RF rotor {eight_points("27.360", "0.012")} lip=no
RF runout 0.040 nuts=5/5 bearing=ok
RF pad-in 3.4 2.1
RF pad-out 6.9 6.8
RF finding stuck-slide lower pin
"""
LEFT = """\
LF runout 0.030 nuts=5/5 bearing=ok back=yes
RF runout 0.040 nuts=5/5 bearing=ok back=yes
RF finding stuck-slide fixed=yes lower pin cleaned
"""
CLOSED = """\
torque front caliper 28 N·m
torque front wheel 110 N·m
check wear-sensor front not-fitted
check tightened yes
check fluid-level between
check pedal-firm yes
check road-test yes
odometer-out 48004 km
check no-leak yes
check lamps-off yes
check bedding-in customer
check cause-proven front no
"""
AGREED = 'agreed front pads who="Pia Quill" how=phone number="555 0100" cost="420 EUR"\n'
SIGNED = ("--who", "Pia Quill", "--how", "signed")


@pytest.fixture(autouse=True)
def initials(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever types is AM."""
    monkeypatch.setenv("BRAKELOG_BY", "AM")


@pytest.fixture(scope="module")
def inspected(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 6: a seized slide pin at 48,000 km; the pads are those that it left the works with."""
    shop = equipped_shop()
    shop.has_limits(
        *("sallow 2.0", "front", "rotor-new: 28.0 mm", "rotor-machine-to: 26.4 mm"),
        *("rotor-discard: 26.0 mm, at or below", "variation: 0.015 mm, above"),
        *("runout: 0.05 mm, above", "pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below"),
    )
    shop.has_vehicle(TAG, "--brakes", "disc", "--sheet", "sallow 2.0")
    for corner in ("LF", "RF"):
        new = ("fit", TAG, corner, "pads", "new", "--size", "11.0 mm", "--basis", "nominal")
        shop.does(*new, "--date", "2024-01-10", "--odometer", "0 km")
    shop.measures(TAG, "48000 km", FOUND)
    return shop


@pytest.fixture(scope="module")
def fitted(inspected: Workshop, tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """New pads on both sides, nothing else entered."""
    shop = inspected.copy(tmp_path_factory.mktemp("fitted"))
    for corner in ("LF", "RF"):
        shop.fits(TAG, corner, "pads", "--size", "11.0 mm")
    return shop


@pytest.fixture
def shop(fitted: Workshop, tmp_path: Path) -> Workshop:
    return fitted.copy(tmp_path)


def job(shop: Workshop) -> Facts:
    facts: Facts = shop.reads("finish", TAG, "--status")
    return facts


def codes(shop: Workshop) -> list[str]:
    return [each["code"] for each in job(shop)["open"]]


def texts(shop: Workshop) -> str:
    return " | ".join(each["text"] for each in job(shop)["open"])


# Work or none


def test_a_visit_that_only_inspected_has_nothing_to_finish(inspected: Workshop) -> None:
    assert (job(inspected)["status"], job(inspected)["open"]) == ("no work", [])
    assert "Nothing to finish" in inspected.does("finish", TAG, "--status")
    assert inspected.tries("finish", TAG, "--status", "--fail-on", "open").exit_code == 0
    assert inspected.customer_text(TAG).startswith("Your brakes")
    assert "Job:" not in inspected.counter_sheet(TAG)


def test_all_lines_of_a_job_close_it_in_one_go(shop: Workshop) -> None:
    said = shop.does("finish", TAG, "--by", "AM", typed=LEFT + CLOSED + AGREED)

    assert "on file: 16 lines" in said
    assert "FINISHED" in said
    assert job(shop)["status"] == "finished"
    torques = {each["fastener"]: each["figure"] for each in job(shop)["torques"]}
    assert torques == {"caliper": "28 N·m", "wheel": "110 N·m"}
    assert {each["person"] for each in job(shop)["checks"]} == {"AM"}


def test_a_line_that_is_wrong_keeps_all_of_them_out(shop: Workshop) -> None:
    wrong = shop.tries("finish", TAG, typed=CLOSED + "torque front wheel 110\ncheck pedal maybe\n")

    assert wrong.exit_code == 3
    assert "standard input:13: '110' is not one torque with its unit" in wrong.stderr
    assert "standard input:14: 'pedal' is not a check" in wrong.stderr
    assert job(shop)["torques"] == job(shop)["checks"] == []


# As left


def test_every_corner_that_was_worked_on_needs_its_runout_as_left(shop: Workshop) -> None:
    open_ones = [each for each in job(shop)["open"] if each["code"] == "F106"]

    assert [each["corner"] for each in open_ones] == ["LF", "RF"]
    assert "no baseline recorded" in open_ones[0]["text"]


def test_a_part_taken_off_with_nothing_in_its_place_keeps_the_job_open(shop: Workshop) -> None:
    shop.does("fit", TAG, "LF", "pad-in", "removed", "--date", DAY)
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)

    assert codes(shop) == ["F102"]
    assert "LF inner pad: taken away, and nothing fitted in its place" in texts(shop)


@pytest.mark.parametrize(
    ("size", "is_doubted"), [("11.9 mm", False), ("12.1 mm", True), ("9.9 mm", True)]
)
def test_a_new_lining_more_than_1_mm_off_its_size_may_be_the_wrong_part(
    inspected: Workshop, tmp_path: Path, size: str, is_doubted: bool
) -> None:
    shop = inspected.copy(tmp_path)
    shop.fits(TAG, "LF", "pads", "--size", size)
    shop.fits(TAG, "RF", "pads", "--size", "11.0 mm")
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)

    assert codes(shop) == (["F103", "F103"] if is_doubted else [])
    if is_doubted:
        assert "LF inner pad: wrong part? It is" in texts(shop)
        assert shop.tries("finish", TAG, typed="check right-part LF pads yes\n").exit_code == 3
        note = 'check right-part LF pads yes note="number compared with the catalogue"\n'
        shop.does("finish", TAG, typed=note)
        assert codes(shop) == []


def test_a_rotor_refinished_beyond_machine_to_does_not_leave(shop: Workshop) -> None:
    shop.does("fit", TAG, "LF", "rotor", "refinished", "--date", DAY, "--size", "26.3 mm")

    assert "LF rotor: refinished at 26.300 mm, beyond the machine-to limit 26.4 mm" in texts(shop)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("check pedal-firm no", "F112"),
        ("check fluid-level low", "F112"),
        ("check road-test no", "F112"),
        ("check bedding-in no", "F112"),
        ("check wear-sensor front no", "F112"),
        ("torque front wheel untouched", "F109"),
        ("torque LF wheel untouched", "F109"),
    ],
)
def test_an_answer_that_is_not_good_opens_the_job_again_and_a_later_one_closes_it(
    shop: Workshop, line: str, code: str
) -> None:
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)
    shop.does("finish", TAG, typed=line)
    assert codes(shop) == [code]

    shop.does("finish", TAG, typed=CLOSED)
    assert codes(shop) == []


def test_an_odometer_that_did_not_move_is_evidence_against_the_road_test(shop: Workshop) -> None:
    still = CLOSED.replace("odometer-out 48004 km", "odometer-out 48000 km")
    shop.does("finish", TAG, typed=LEFT + still + AGREED)
    assert codes(shop) == ["F114"]
    assert "the odometer out, 48,000 km, is no more than the odometer in" in texts(shop)

    shop.does("finish", TAG, typed="odometer-out 48005 km")
    assert codes(shop) == []


# What is on record


def test_what_is_on_record_is_said_in_words_and_an_agreement_once(shop: Workshop) -> None:
    agreed = AGREED.replace("how=phone", "how=in-person")
    shop.does("finish", TAG, typed=LEFT + CLOSED + agreed + agreed)
    sheet = " ".join(shop.does("finish", TAG, "--status").split())

    assert "Front: Wear sensor connected and routed clear of the wheel? Not fitted" in sheet
    assert "Brake lamps and codes clear, wear indicator reset? Yes" in sheet
    assert "lamps-off" not in sheet
    assert sheet.count("agreed: front pads; Pia Quill, in person") == 1
    assert shop.counter_sheet(TAG).count("Agreed: front pads") == 1


def test_the_counter_sheet_says_of_each_open_thing_only_what_it_is(shop: Workshop) -> None:
    sheet = shop.does("verdict", TAG)
    lines = sheet[sheet.index("Job: NOT FINISHED") : sheet.index("Front axle")].split("\n  - ")

    assert "RF pads, to be put right: neither done nor declined." in lines
    assert not any(". " in " ".join(line.split()) for line in lines[1:])


# Said to be wrong


def test_a_reading_that_is_said_to_be_wrong_keeps_the_job_open_until_it_is_corrected(
    shop: Workshop,
) -> None:
    tag = "PLOVER"
    shop.has_vehicle(tag, "--brakes", "disc", "--sheet", "sallow 2.0")
    even = FOUND.replace(eight_points("27.620", "0.008"), "27.620 " * 8)
    shop.measures(tag, "48000 km", even)
    shop.fits(tag, "LF", "pads", "--size", "11.0 mm")
    shop.does("answer", tag, "1", "wrong", "--by", "AM")

    def wrong() -> list[str]:
        items = shop.reads("finish", tag, "--status")["open"]
        return [each["text"] for each in items if each["code"] == "F118"]

    (text,) = wrong()
    assert text.startswith("LF rotor thickness: said to be wrong, not corrected.")
    assert "a reading is known to be wrong" in shop.customer_text(tag)

    again = f"LF rotor {eight_points('27.620', '0.008')} lip=no\n"
    shop.does("measure", tag, "--date", DAY, typed=again)
    assert wrong() == []


# Torques


def test_a_torque_more_than_4_percent_off_the_sheet_is_named(shop: Workshop) -> None:
    torque = ("limits", "torque", "sallow 2.0", "front", "Wheel bolts", "110 N·m (81 lb ft)")
    shop.does(*torque, "--source", "page 9")
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)
    assert codes(shop) == []

    shop.does("finish", TAG, typed="torque front wheel 90 N·m")
    assert codes(shop) == ["F110"]
    assert "Front wheel fasteners: 90 N·m, and the sheet has 110 N·m (81 lb ft)" in texts(shop)
    shop.does("finish", TAG, typed="torque front wheel 80 lb ft")
    assert codes(shop) == []


def test_the_order_of_the_fasteners_stands_where_the_torque_is_asked(shop: Workshop) -> None:
    (wheels,) = [each for each in job(shop)["open"] if each["fastener"] == "wheel"]
    assert wheels["do"].endswith("crosswise in two steps: about half the torque first, then all of "
                                 "it, in the order 1-3-5-2-4")  # fmt: skip

    shop.does("limits", "trait", "sallow 2.0", "front", "fasteners", "6")
    (wheels,) = [each for each in job(shop)["open"] if each["fastener"] == "wheel"]
    assert "1-4-2-5-3-6" in wheels["do"]
    assert job(shop)["orders"] == [{"axle": "front", "fasteners": 6, "order": "1-4-2-5-3-6"}]


# What the customer said


def test_parts_fitted_without_the_customers_word_keep_the_job_open(shop: Workshop) -> None:
    shop.does("finish", TAG, typed=LEFT + CLOSED)
    assert codes(shop) == ["F115"]
    assert "Your agreement to some of the work is not on our record yet." in (
        shop.customer_text(TAG)
    )

    said = shop.does("agree", TAG, "front", "pads", *SIGNED, "--when", f"{DAY} 10:20")
    assert f"on file for {DAY}: agreed: front pads" in said
    assert codes(shop) == []
    (agreement,) = job(shop)["agreements"]
    assert (agreement["who"], agreement["how"], agreement["time"]) == (
        *("Pia Quill", "signed"),
        "10:20",
    )


def test_work_found_after_the_customer_agreed_needs_a_new_agreement(shop: Workshop) -> None:
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)
    for corner in ("LF", "RF"):
        shop.fits(TAG, corner, "rotor", "--size", "28.0 mm")
    runouts = "".join(LEFT.splitlines(keepends=True)[:2])
    again = runouts + CLOSED + "torque front bracket 100 N·m\n"
    shop.does("finish", TAG, typed=again)
    assert codes(shop) == ["F116"]
    assert "Front rotor: fitted, and not among what the customer agreed to" in texts(shop)

    shop.does("agree", TAG, "front rotors", *SIGNED)
    assert codes(shop) == []


def test_required_work_is_done_or_declined_but_never_forgotten(shop: Workshop) -> None:
    not_fixed = LEFT.replace("RF finding stuck-slide fixed=yes lower pin cleaned\n", "")
    shop.does("finish", TAG, typed=not_fixed + CLOSED + AGREED)
    assert codes(shop) == ["F117"]
    assert "RF pads, to be put right: neither done nor declined" in texts(shop)

    shop.does("decline", TAG, "RF caliper", *SIGNED)
    assert codes(shop) == []
    letter = shop.customer_text(TAG)
    assert "What was declined" in letter
    assert "Right front brake pads: the caliper does not slide freely. You declined this" in letter
    assert "Date and signature:" in letter
    assert "Signature of the customer:" in shop.counter_sheet(TAG)


def test_who_declines_a_part_past_its_limit_is_told_not_to_drive(
    inspected: Workshop, tmp_path: Path
) -> None:
    shop = inspected.copy(tmp_path)
    thin = f"LF rotor {eight_points('25.900', '0.008')} lip=no\n"
    shop.does("measure", TAG, "--date", DAY, typed=thin)
    for corner in ("LF", "RF"):
        shop.fits(TAG, corner, "pads", "--size", "11.0 mm")
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)
    assert codes(shop) == ["F117"]

    shop.does("decline", TAG, "front rotors", *SIGNED, "--note", "wants to ask elsewhere")
    assert job(shop)["status"] == "finished"
    (declined,) = job(shop)["declined"]
    assert (declined["corner"], declined["part"], declined["unsafe"]) == ("LF", "rotor", True)
    letter = shop.customer_text(TAG)
    assert "PLEASE DO NOT DRIVE THIS VEHICLE: NEEDED WORK WAS DECLINED" in letter
    assert "Not to be driven on." in shop.counter_sheet(TAG)


def test_what_was_agreed_later_stands_against_an_earlier_no(shop: Workshop) -> None:
    shop.does("decline", TAG, "front pads", *SIGNED)
    shop.does("finish", TAG, typed=LEFT + CLOSED)
    assert codes(shop) == ["F115"]

    shop.does("agree", TAG, "front brakes", *SIGNED)
    assert codes(shop) == []


def test_names_of_customers_are_in_no_row_of_evidence(shop: Workshop) -> None:
    shop.does("finish", TAG, typed=AGREED)
    rows = [row for row in shop.everything_on_file() if "Pia Quill" in row or "555 0100" in row]

    assert len(rows) == 1
    assert rows[0].startswith('INSERT INTO "agreement_names"')


# The early re-check


def test_a_cause_that_is_not_proven_is_looked_at_again_after_half_the_distance(
    shop: Workshop,
) -> None:
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)
    (recheck,) = job(shop)["rechecks"]

    assert (recheck["distance_km"], recheck["odometer_km"]) == ("24000.0", "72000.0")
    assert recheck["date"] == "2027-01-10"
    assert recheck["basis"] == "the last set, from its fitting"
    assert "RF slide or pin stuck" in recheck["why"]
    for said, day in (
        (shop.does("finish", TAG, "--status"), "2027-01-10"),
        (shop.counter_sheet(TAG), "2027-01-10"),
        (shop.customer_text(TAG), "10 Jan 2027"),
    ):
        assert "72,000 km" in said
        assert day in said


def test_a_proven_cause_needs_no_early_re_check(shop: Workshop) -> None:
    proven = CLOSED.replace("cause-proven front no", "cause-proven front yes")
    shop.does("finish", TAG, typed=LEFT + proven + AGREED)

    assert job(shop)["rechecks"] == []
    assert "Come back early" not in shop.customer_text(TAG)


def test_a_cause_that_nobody_spoke_of_keeps_the_job_open_and_is_dated_all_the_same(
    shop: Workshop,
) -> None:
    silent = CLOSED.replace("check cause-proven front no\n", "")
    shop.does("finish", TAG, typed=LEFT + silent + AGREED)

    assert [each["check"] for each in job(shop)["open"]] == ["cause-proven"]
    assert [each["answered"] for each in job(shop)["rechecks"]] == [False]


# The final page


def test_the_final_page_tells_what_was_put_right_and_the_sizes_before_the_work(
    shop: Workshop,
) -> None:
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)
    letter = shop.customer_text(TAG)

    assert (
        "Right front inner pad: fitted new, 11.0 mm (0.433 in) measured; before 2.1 mm (0.083 in)."
    ) in letter
    assert (
        "Right front brake pads: put right: the caliper does not slide freely (lower pin cleaned)."
    ) in letter


def test_a_suggestion_that_was_declined_is_marked(inspected: Workshop, tmp_path: Path) -> None:
    shop = inspected.copy(tmp_path)
    assert "You declined this" not in shop.customer_text(TAG)
    shop.does("decline", TAG, "front pads", *SIGNED, "--when", DAY)

    assert "You declined this on 10 Jan 2026 (signed)." in shop.customer_text(TAG)


def test_pages_of_two_states_never_share_a_file_name(
    shop: Workshop, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    shop.does("finish", TAG, "--by", "AM", typed=LEFT)
    shop.does("summary", TAG, "--replace")
    shop.does("summary", TAG, "--stage", "as-found", "--replace")
    shop.does("finish", TAG, "--by", "AM", typed=CLOSED + AGREED)
    shop.does("summary", TAG, "--replace")
    shop.does("summary", TAG, "--stage", "as-found", "--replace")

    assert sorted(page.name for page in tmp_path.glob("*.html")) == [
        f"brakes-{TAG}-{DAY}-after-work-preliminary.html",
        f"brakes-{TAG}-{DAY}-after-work.html",
        f"brakes-{TAG}-{DAY}-as-found-preliminary.html",
        f"brakes-{TAG}-{DAY}-as-found.html",
    ]


@pytest.mark.parametrize("fastener", ["caliper", "wheel"])
@pytest.mark.parametrize("figure", ["", "80 N·m"], ids=["blank", "wrong"])
def test_no_car_is_driven_off_with_a_torque_that_is_blank_or_wrong(
    shop: Workshop, fastener: str, figure: str
) -> None:
    torque = ("limits", "torque", "sallow 2.0", "front", fastener, "30 N·m")
    shop.does(*torque, "--source", "page 9")
    known = [line for line in CLOSED.splitlines() if f"front {fastener}" not in line]
    known += [f"torque front {each} 30 N·m" for each in ("caliper", "wheel") if each != fastener]
    known += [f"torque front {fastener} {figure}"] if figure else []
    shop.does("finish", TAG, typed=LEFT + "\n".join(known) + "\n" + AGREED)

    assert codes(shop)[0] in ("F109", "F110")
    assert "PLEASE DO NOT DRIVE" in shop.customer_text(TAG)


def test_the_page_says_in_words_what_is_past_its_limit_and_speaks_inches_in_an_inch_shop(
    inspected: Workshop, tmp_path: Path
) -> None:
    shop = inspected.copy(tmp_path)
    shop.does("measure", TAG, "--date", DAY, typed="LF pad-in 1.9 1.9\n")
    assert "left front inner pad: 1.9 mm (0.075 in), past its limit" in shop.customer_text(TAG)

    shop.does("shop", "change", "--unit", "in")
    for corner in ("LF", "RF"):
        shop.fits(TAG, corner, "pads", "--size", "11.0 mm")
    page = shop.customer_page(TAG)
    assert "fitted new, 0.433 in (11.0 mm) measured" in page
    assert "Brake disc: 1.08740 in (27.620 mm), limit 26.0 mm (1.02362 in)." in page
    assert "last time" not in page
    assert "break-after: avoid" in page


# Bedding in


def test_the_customer_is_told_how_to_bed_in_only_where_it_is_left_to_them(shop: Workshop) -> None:
    shop.does("finish", TAG, typed=LEFT + CLOSED + AGREED)
    assert "Your new parts have to bed in" in shop.customer_text(TAG)

    shop.does("finish", TAG, typed="check bedding-in shop\n")
    assert "Your new parts have to bed in" not in shop.customer_text(TAG)


def test_the_document_of_a_job_has_a_versioned_form(shop: Workshop) -> None:
    document = json.loads(shop.does("finish", TAG, "--json", typed=LEFT))

    assert document["format"] == "brakelog.finish/1"
    assert document["visit"]["date"] == DAY
