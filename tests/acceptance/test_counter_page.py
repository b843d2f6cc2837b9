"""The counter sheet for paper: the verdict, what the vehicle leaves with, and a line to sign."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

from brakelog.reports.counter import counter_sheet
from brakelog.reports.plain import shown
from brakelog.rules.measure import Measure
from brakelog.store.opening import open_store
from brakelog.workshop.counter import give_verdict
from brakelog.workshop.demo import run_demo
from tests.acceptance import test_case_as_left_gate as gate
from tests.acceptance import test_case_everyday as everyday
from tests.acceptance.counter_pages import Sheet, sheet_of
from tests.acceptance.workshop import DAY, Workshop
from tests.pages.customer_pages import NAMES

REFUSED, NOT_FOUND, CONFLICT, REQUIRED_FOUND = 2, 4, 5, 10
GATE_LIMITS = (
    *("gate", "front", "rotor-new: 28.0 mm", "rotor-machine-to: 26.4 mm"),
    *("rotor-discard: 26.0 mm, at or below", "variation: 0.015 mm, above"),
    *("runout: 0.05 mm, above", "pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below"),
)


@pytest.fixture(scope="module")
def filled(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """The vehicles of cases 1, 2 and 13: the everyday job, rotors in spec but pointless, and a
    job that is open; beside it the same job finished, and the same car before any work."""
    shop = equipped_shop()
    shop.has_limits("sallow", "front", *everyday.FRONT)
    shop.has_limits("sallow", "rear", *everyday.REAR)
    shop.has_vehicle("SALLOW", "--description", "Orrin Sallow 2.0", "--sheet", "sallow")
    shop.measures("SALLOW", "21050 km", "LF pad-in 8.4 8.3", day="2024-01-15")
    shop.measures("SALLOW", "41800 km", "LF pad-in 5.9 5.7", day="2025-01-14")
    shop.measures("SALLOW", "62400 km", everyday.SALLOW, "--by", "AM")
    shop.has_limits(
        *("brisk", "front", "rotor-new: 24.0 mm", "rotor-machine-to: 22.4 mm"),
        *("rotor-discard: 22.0 mm, at or below", "variation: 0.015 mm, above"),
        *("runout: 0.05 mm, above", "pad-new: 11.0 mm", "pad-minimum: 2.0 mm"),
    )
    shop.has_vehicle("BRISK", "--description", "Halden Brisk 1.6", "--sheet", "brisk")
    for corner in ("LF", "RF"):
        for part, size in (("pads", "11.0 mm"), ("rotor", "24.0 mm")):
            options = ("--size", size, "--basis", "nominal", "--odometer", "0 km")
            shop.fits("BRISK", corner, part, *options, day="2022-03-01")
    shop.measures("BRISK", "58200 km", everyday.BRISK)
    shop.has_limits(*GATE_LIMITS)
    torque = ("limits", "torque", "gate", "front", "wheel bolts", "110 N·m")
    shop.does(*torque, "--source", "service page 9")
    for tag, lines in (
        ("OPEN", [gate.EVERYTHING_ELSE]),
        ("DONE", [gate.EVERYTHING_ELSE, gate.THE_REST]),
        ("WORN", []),
    ):
        shop.has_vehicle(tag, "--brakes", "disc", "--sheet", "gate")
        shop.measures(tag, "62400 km", gate.FOUND, "--by", "AM")
        if lines:
            for side, size in (("LF", "27.99 mm"), ("RF", "27.98 mm")):
                shop.fits(tag, side, "rotor", "--size", size, "--by", "AM")
        for typed in lines:
            shop.does("finish", tag, "--by", "AM", typed=typed)
    return shop


@pytest.fixture
def shop(filled: Workshop, tmp_path: Path) -> Workshop:
    return filled.copy(tmp_path)


# One truth


@pytest.mark.file
def test_whatever_the_terminal_says_stands_on_paper_in_the_same_words(tmp_path: Path) -> None:
    """On all vehicles of the sample workshop; only readings stand in rows instead."""
    demo = run_demo(tmp_path / "demo", date(2026, 10, 12))
    shop = Workshop(demo.store)
    with open_store(demo.store) as store:
        tags = [each.tag for each in store.vehicles()]
        told = {tag: counter_sheet(give_verdict(store, tag), width=100_000) for tag in tags}
    compared = 0
    for tag in tags:
        on_paper = sheet_of(shop, tag, "--preview").text
        for line in told[tag]:
            text = line.text.strip().removeprefix("- ").removeprefix("How far, ")
            if text and not is_otherwise_on_paper(text):
                compared += 1
                assert text in on_paper, tag
            # Wear patterns are told in short on either, as far as a line goes.
            assert all(code in on_paper for code in re.findall(r"\(H3\d\d\)", text)), tag
    assert compared > 500


def is_otherwise_on_paper(text: str) -> bool:
    """Whether a line of the terminal tells a reading, a blank, the word of one side, or a wear
    pattern; those stand in a row, in the baseline, beside the axle's word, and in short."""
    starts = [each.value.capitalize() for each in Measure]
    others = ("Also read:", "Not measured:", "Condition not recorded", "Probable:", "Next:")
    is_of_one_side = text[:1] in "LR" and text[2:4] == ": "
    return text.startswith((*starts, *others)) or is_of_one_side or "(H3" in text


def test_what_the_paper_says_is_put_on_record_as_the_terminal_would(shop: Workshop) -> None:
    before = shop.counts()["verdicts"]
    sheet_of(shop, "SALLOW")
    assert shop.counts()["verdicts"] == before + 1
    issued = shop.does("verdict", "SALLOW", "--as-of", DAY)

    assert shop.does("verdict", "SALLOW") == issued
    assert shop.counts()["verdicts"] == before + 1


def test_a_preview_says_so_and_is_not_put_on_record(shop: Workshop) -> None:
    before = shop.counts()["verdicts"]
    preview = sheet_of(shop, "SALLOW", "--preview")

    assert "Preview: this verdict was not put on record as issued." in preview.text
    assert shop.counts()["verdicts"] == before
    assert "Preview" not in sheet_of(shop, "SALLOW").text


# Cases 1 and 2


def test_case_1_suggests_the_pads_and_sells_no_rotors(filled: Workshop) -> None:
    sheet = sheet_of(filled, "SALLOW")

    assert sheet.sections["At a glance"] == [
        *("Required: nothing.", "Suggested: LF pads replace; RF pads replace."),
        "Not judged: nothing.",
    ]
    assert sheet.row("LF inner pad lining") == (
        *("LF inner pad lining", "3.0 mm (0.118 in), trailing end", "2.0 mm", "below", "1"),
        *("1.0 mm inside", "depth, AM", "0.25 mm", "0.999"),
    )
    assert sheet.row("LF rotor thickness")[1:6] == (
        *("27.399 mm (1.0787 in), point 6", "26.0 mm", "at or below", "1", "1.399 mm inside"),
    )
    reasons = sheet.text[sheet.text.index("\nReasons\n") :]
    assert (
        "LF pads: In limits today, but inner pad may not reach the next planned visit." in reasons
    )
    assert "9 of 10 such parts get at least" in reasons
    assert "Front rotors: reuse (LF reuse; RF reuse)" in sheet.text
    assert "inside discard 26.0 mm" in sheet.text
    assert "rotor replace" not in sheet.text


def test_case_2_names_the_pads_and_the_pointless_rotors_and_the_honest_alternative(
    filled: Workshop,
) -> None:
    sheet = sheet_of(filled, "BRISK")

    assert sheet.sections["At a glance"][0] == "Required: nothing."
    assert "Front rotors: replace, suggested (LF replace, suggested; RF replace, sugg" in sheet.text
    assert sheet.row("LF rotor thickness")[5] == "0.310 mm inside"
    assert "LF rotor: It would not outlast the pads that go on now" in sheet.text
    assert "beyond machine-to 22.4 mm: it cannot be refinished" in sheet.text
    assert "If left: come back within" in sheet.text
    assert "about 22.19 mm, still inside discard 22.0 mm" in sheet.text
    assert sheet.row("LF inner pad lining")[3] == "at or below*"
    assert "* not stated by the source; the stricter condition is taken." in sheet.text


# What it leaves with


def test_every_reading_stands_there_as_typed_with_gauge_person_and_time(filled: Workshop) -> None:
    sheet = sheet_of(filled, "SALLOW")
    points = "27.402 27.404 27.406 27.405 27.401 27.399 27.400 27.401 mm"
    (row,) = [each for each in sheet.rows if each[0] == "LF rotor thickness" and points in each]

    assert row[2:5] == ("pointed tips", "mic", "AM")
    assert row[5][:2] == "20"
    (row,) = [each for each in sheet.rows if each[:2] == ("LF runout", "0.026 mm")]
    assert row[2] == "nuts 5/5; bearing checked"
    left = " ".join(sheet.sections["What it leaves with"])
    assert "No work is on record for this visit: it leaves as it was found." in left
    assert "mic: micrometer, step 0.001 mm, check not on record" in left
    assert "AM: A. Mirren" in left


def test_the_baseline_names_what_was_neither_measured_nor_looked_at(shop: Workshop) -> None:
    left = sheet_of(shop, "BRISK").sections["What it leaves with"]
    (blanks,) = [each for each in left if each.startswith("Baseline")]
    assert blanks == (
        "Baseline with blanks, of which this visit says nothing: scoring depth not measured: "
        "LF, RF; pads not inspected: LR, RR; condition not recorded: LR, RR; rotor not inspected: "
        "LR, RR; not on record who read it: LF rotor thickness, LF runout, LF inner pad lining, "
        "LF outer pad lining, RF rotor thickness, RF runout, RF inner pad lining, RF outer pad "
        "lining."
    )

    rest = "".join(f"{corner} scoring 0.1\n" for corner in everyday.CORNERS)
    shop.measures("SALLOW", "62400 km", rest, "--by", "AM")
    assert (
        "Baseline complete: every part was measured and every corner looked over."
        in sheet_of(shop, "SALLOW").sections["What it leaves with"]
    )


def test_a_finished_job_leaves_parts_sizes_runouts_torques_and_checks(filled: Workshop) -> None:
    sheet = sheet_of(filled, "DONE")
    left = sheet.sections["What it leaves with"]

    assert "The job is finished: this is what it left with." in left
    for start in (
        *("Parts: LF rotor new, 27.99 mm measured [AM, ", "Torque: front wheel fasteners: 110 N·m"),
        *("Pedal pumped until firm? Yes [AM, ", "LF: Runout is out: what was done? Indexed"),
    ):
        assert any(each.startswith(start) for each in left), start
    assert (DAY in sheet.text, "out at 62,404 km" in sheet.text) == (True, True)
    (runout,) = [each for each in sheet.rows if each[:2] == ("LF runout", "0.03 mm")]
    assert runout[2] == "nuts 5/5; bearing checked; back at start; rotor turned by 2"
    # Pads were not touched: what was found still holds, and is said to be of that stage.
    (pad,) = [each for each in sheet.rows if each[:2] == ("LF inner pad lining", "8.2 8.0 mm")]
    assert pad[2] == "as found"


def test_a_job_that_is_open_is_headed_so_and_its_blanks_are_named(filled: Workshop) -> None:
    sheet = sheet_of(filled, "OPEN")

    assert sheet.headings[0] == (1, "NOT FINISHED: brakes of OPEN")
    assert sheet.title == "NOT FINISHED: brakes of OPEN"
    assert sheet.sections["The job"][:4] == [
        "Job: NOT FINISHED, 3 things open; brakelog finish OPEN says what to do.",
        "LF rotor, to be put right.",
        "Front wheel fasteners: torque not on record; the sheet has 110 N·m",
        "Pedal pumped until firm? Not answered",
    ]
    left = " ".join(sheet.sections["What it leaves with"])
    assert "The job is not finished: this is what is on record so far." in left
    assert "Pedal pumped until firm? Not answered" in left
    assert "torque not on record" in left
    assert "Baseline complete" not in left
    assert "job not finished" in sheet.source
    assert "NOT FINISHED" not in sheet_of(filled, "DONE").source


def test_a_job_with_every_part_measured_and_the_pedal_open_has_no_complete_baseline(
    shop: Workshop,
) -> None:
    scored = "".join(f"{corner} scoring 0.1\n" for corner in ("LF", "RF"))
    shop.does("finish", "OPEN", "--by", "AM", typed=scored)
    left = " ".join(sheet_of(shop, "OPEN").sections["What it leaves with"])

    assert "not measured" not in left
    assert "Baseline with blanks" in left


def test_a_new_part_without_a_reading_as_left_is_said_to_be_fitted(shop: Workshop) -> None:
    shop.fits("WORN", "LF", "rotor", "--size", "28.0 mm", "--basis", "nominal", "--by", "AM")
    sheet = sheet_of(shop, "WORN", "--stage", "as-left")
    assert sheet.row("LF rotor") == (
        *("LF rotor", "Rotor new, 28.0 mm nominal at fitting; not measured as left."),
    )
    assert "rotor fitted, not measured: LF" in sheet.text


# Declined


def test_declined_work_is_signed_for_with_its_figures_and_not_driven_on(shop: Workshop) -> None:
    assert "Declined" not in sheet_of(shop, "WORN").sections
    shop.does(
        *("decline", "WORN", "front", "rotor", "--who", "Pia Quill", "--how", "in-person"),
        *("--when", f"{DAY} 10:20", "--by", "AM"),
    )
    sheet = sheet_of(shop, "WORN")

    assert sheet.sections[""][-1] == "LF rotor: not to be driven on."
    assert sheet.sections["Declined"] == [
        "LF rotor, replace required, declined (Pia Quill, in person, 2026-01-10 10:20). Rotor "
        "thickness 25.900 mm (1.0197 in) at point 6: 0.100 mm beyond the discard limit 26.0 mm "
        "(out when at or below; service page 4). Uncertainty excuses nothing. Not to be driven on.",
        "Signature of the customerDate",
    ]
    # Only suggested work needs no signature.
    assert "RF rotor" not in " ".join(sheet.sections["Declined"])


# Questions, local rules


def test_open_questions_are_told_with_the_numbers_that_answer_them(shop: Workshop) -> None:
    shop.has_vehicle("ASKED", "--brakes", "disc", "--sheet", "gate")
    slip = gate.FOUND.replace("8.2 8.0", "8.2 80")
    shop.measures("ASKED", "62400 km", slip.replace(" 80", " 18.0"), "--by", "AM")
    listed = shop.does("answer", "ASKED")
    questions = sheet_of(shop, "ASKED", "--preview").sections["Questions open"]

    assert questions
    for each in questions:
        assert each in " ".join(listed.split())


def test_local_rules_stand_apart_in_the_words_of_the_terminal(shop: Workshop) -> None:
    pack = shop.reads("rules", "list")["packs"][0]["pack"]
    shop.does("rules", "on", pack)
    section = sheet_of(shop, "SALLOW", "--preview").sections["Local rules"]
    told = shop.counter_sheet("SALLOW", "--preview")

    assert section[0].startswith("These texts stand apart: they change no verdict above")
    for each in section:
        assert each in told, each


# Files and options


def test_the_file_is_named_after_vehicle_day_and_state_and_never_written_over(
    shop: Workshop, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    names = {
        ("OPEN",): f"counter-OPEN-{DAY}-as-left-not-finished.html",
        ("DONE",): f"counter-DONE-{DAY}-as-left.html",
        ("DONE", "--stage", "as-found"): f"counter-DONE-{DAY}-as-found.html",
        ("DONE", "--as-of", DAY): f"counter-DONE-{DAY}-as-found-as-issued.html",
    }
    for words, name in names.items():
        assert shop.does("verdict", *words, "--html") == f"written to {name}\n"
    kept = (tmp_path / names[("DONE",)]).read_bytes()
    shop.does("finish", "DONE", "--by", "AM", typed="odometer-out 62406 km")

    again = shop.tries("verdict", "DONE", "--html")
    assert again.exit_code == CONFLICT
    assert "hint: --replace writes over it, --out names another" in again.stderr
    assert (tmp_path / names[("DONE",)]).read_bytes() == kept
    shop.does("verdict", "DONE", "--html", "--replace")
    assert b"62,406 km" in (tmp_path / names[("DONE",)]).read_bytes()


@pytest.mark.parametrize(
    "words",
    [
        ("SALLOW", "--html", "--json"),
        ("--all", "--html"),
        ("--all", "--json", "--html"),
        ("SALLOW", "--out", "page.html"),
        ("SALLOW", "--replace"),
        ("SALLOW", "--as-of", DAY, "--json", "--html"),
    ],
)
def test_options_that_do_not_go_together_are_refused_and_nothing_is_written(
    filled: Workshop, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    assert filled.tries("verdict", *words).exit_code == REFUSED
    assert list(tmp_path.iterdir()) == []


def test_a_script_still_learns_that_something_is_required(filled: Workshop) -> None:
    words = ("verdict", "WORN", "--html", "--out", "-", "--fail-on", "required")
    assert filled.tries(*words).exit_code == REQUIRED_FOUND


def test_what_was_issued_is_put_on_paper_word_for_word(shop: Workshop) -> None:
    nothing = shop.tries("verdict", "SALLOW", "--as-of", "2024-01-15", "--html", "--out", "-")
    assert nothing.exit_code == NOT_FOUND

    shop.does("verdict", "SALLOW")
    issued = shop.does("verdict", "SALLOW", "--as-of", DAY)
    shop.measures("SALLOW", "62400 km", "LF pad-in 2.9 2.8", "--by", "AM")
    sheet = sheet_of(shop, "SALLOW", "--as-of", DAY)

    assert sheet.blocks[-1].strip() == issued.strip()
    assert sheet.headings == [(1, "As issued: Brakes of SALLOW, Orrin Sallow 2.0")]
    assert "2.8 mm" not in sheet.text


# The page itself


def test_headings_come_in_order_and_every_table_header_has_a_scope(shop: Workshop) -> None:
    for tag in ("SALLOW", "BRISK", "OPEN"):
        sheet = sheet_of(shop, tag, "--preview")
        levels = [level for level, _ in sheet.headings]
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(below - above <= 1 for above, below in pairwise(levels))
        assert None not in sheet.scopes
        assert sheet.columns[0][:6] == (
            *("Measure", "Reading", "Limit, as printed", "Out when", "Source", "Margin"),
        )


def test_the_page_holds_no_script_no_address_and_no_colour(filled: Workshop) -> None:
    source = sheet_of(filled, "OPEN").source
    for word in ("<script", "http:", "https:", "<link", "<img", "src=", "url(", "@import"):
        assert word not in source
    assert "%" not in source.replace("100%", "").replace("50%", "")


@pytest.mark.parametrize("name", NAMES.values(), ids=list(NAMES))
def test_what_came_in_as_text_goes_out_as_text(shop: Workshop, name: str) -> None:
    shop.does("vehicle", "change", "WORN", "--description", name)
    shop.does("vehicle", "change", "WORN", "--plate", name)
    shop.does("shop", "change", "--name", name)
    said = ("--who", name[:60], "--how", "signed", "--note", name[:60])
    shop.does("decline", "WORN", "front", "rotor", *said)
    shop.measures("WORN", "62400 km", f"LF finding other part=rotor {name}", "--by", "AM")
    for options in ((), ("--as-of", DAY)):
        sheet = sheet_of(shop, "WORN", *options)
        text = " ".join(sheet.text.split())
        assert " ".join(shown(name).split()) in text
        assert not {"script", "red", "img"} & set(sheet.tags)


def test_a_tag_of_hostile_signs_stays_inside_its_quotes_in_the_style_sheet(shop: Workshop) -> None:
    tag = 'A"}B</style>'
    made = shop.tries("vehicle", "add", tag, "--brakes", "disc", "--sheet", "gate")
    assert made.exit_code == 0
    shop.measures(tag, "62400 km", "LF pad-in 8.2 8.0", "--by", "AM")
    sheet = sheet_of(shop, tag, "--preview")

    assert sheet.source.count("</style>") == 1
    assert sheet.headings[0] == (1, f"Brakes of {tag}")
    assert "\\000022\\00007d\\000042" in sheet.source


def test_standard_output_is_the_page_and_nothing_else(filled: Workshop) -> None:
    page = Sheet(filled.does("verdict", "DONE", "--html", "--out", "-")).source
    assert page.startswith("<!DOCTYPE html>")
    assert page.rstrip().endswith("</html>")
