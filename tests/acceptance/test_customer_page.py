"""What a customer reads: calm where all is well, and not to be misread where it is not."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from tests.acceptance import test_case_as_left_gate as gate_case
from tests.acceptance.customer_cars import (
    everyday_car,
    gated_car,
    healthy_and_dangerous,
    pointless_car,
    stuck_car,
)
from tests.acceptance.workshop import DAY, Workshop

ORDER = (
    "What you should know",
    "What we measured",
    "What it means",
    "What we did today",
    "What to watch for",
    "When to come back",
)
ALARM = re.compile(r"needed|required|do not drive|danger|unsafe|unless|at once", re.IGNORECASE)


pytestmark = pytest.mark.usefixtures("in_the_week_of_the_visit")


@pytest.fixture(scope="module")
def sallow(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return everyday_car(equipped_shop())


@pytest.fixture(scope="module")
def brisk(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return pointless_car(equipped_shop())


@pytest.fixture(scope="module")
def stuck(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return stuck_car(equipped_shop())


def words_of(shop: Workshop, tag: str = "SALLOW") -> dict[str, str]:
    """Return what the text says under each heading; above the first it is under nothing."""
    letter = shop.does("summary", tag, "--text")
    found: dict[str, list[str]] = {"": []}
    heading = ""
    for line in letter.splitlines():
        if line in (*ORDER, "If you wait", "How far it should go"):
            heading = line
        found.setdefault(heading, []).append(line)
    return {name: " ".join(" ".join(lines).split()) for name, lines in found.items()}


# Case 1: the everyday job


def test_case_1_says_what_is_suggested_and_that_nothing_has_to_be_done(sallow: Workshop) -> None:
    said = words_of(sallow)

    assert said["What you should know"] == (
        "What you should know - In limits today, but we suggest: replace the front brake pads. "
        "Nothing has to be done today."
    )
    assert "Front brake pads: suggested." in said["What it means"]
    assert "Front brake discs: in limits." in said["What it means"]
    assert "Rear brake pads: in limits." in said["What it means"]
    assert not re.search("needed|required|do not drive", " ".join(said.values()), re.IGNORECASE)


def test_case_1_tells_a_range_of_distance_and_days_the_earliest_first(sallow: Workshop) -> None:
    said = words_of(sallow)["If you wait"]

    first = said.split(" - ")[1]
    range_of = re.fullmatch(
        r"Left front inner pad: 9 of 10 such vehicles get at least ([\d,]+) km more from this "
        r"visit, few get more than ([\d,]+) km\. That is not before (\d+ \w+ \d{4}), and seldom "
        r"after (\w+ \d{4})\.|.*That day may have come already.*",
        first,
    )
    assert range_of is not None, first
    distances = [
        int(each.replace(",", "")) for each in re.findall(r"at least ([\d,]+) km more", said)
    ]
    assert distances == sorted(distances)
    # About 7,800 km are left; nobody is told so much without a range.
    assert distances[0] < 7_800
    assert "7,800" not in said


def test_case_1_does_not_sell_discs(sallow: Workshop) -> None:
    everything = " ".join(words_of(sallow).values())

    assert "replace the front brake discs" not in everything
    assert "Front brake discs: suggested" not in everything


def test_the_sections_stand_in_their_order_on_the_page_and_in_the_text(sallow: Workshop) -> None:
    for words in (sallow.does("summary", "SALLOW", "--text"), sallow.customer_page("SALLOW")):
        # Nothing was done today, so that nothing is said of it.
        there = [heading for heading in ORDER if heading != "What we did today"]
        assert "What we did today" not in words
        assert all(words.index(one) < words.index(other) for one, other in pairwise(there))


# Case 2: in spec but pointless


def test_case_2_suggests_both_requires_neither_and_says_why(brisk: Workshop) -> None:
    said = words_of(brisk, "BRISK")

    know = said["What you should know"]
    assert "In limits today, but we suggest: replace the front brake pads" in know
    assert "replace the front brake discs" in know
    assert "Needed now" not in know
    means = said["What it means"]
    assert "Front brake discs: suggested." in means
    assert "it would reach its limit before the new pads are worn" in means
    assert "required" not in means


def test_case_2_tells_both_worlds_waiting_and_new_pads_beside_old_discs(brisk: Workshop) -> None:
    waiting = words_of(brisk, "BRISK")["If you wait"]

    assert "Left front inner pad: 9 of 10 such vehicles get at least" in waiting
    assert "Left front brake disc: 9 of 10 such vehicles get at least" in waiting
    assert "With new front brake pads the discs that stay would end first" in waiting
    assert "Where the size when new was not measured, it was taken from paper." in waiting


# Case 6: a stuck slide pin


def test_case_6_keeps_the_pin_that_is_required_apart_from_the_pads_that_are_suggested(
    stuck: Workshop,
) -> None:
    said = words_of(stuck)

    means = said["What it means"]
    required = means.index(
        "Front brakes: required. Right front: the caliper does not slide freely."
    )
    suggested = means.index("Front brake pads: suggested.")
    assert required < suggested
    between = means[suggested : means.index("Front brake discs")]
    assert "we cannot show it to be inside; we would not rely on it" in between
    assert "Left front: it goes along, because both sides of an axle go together." in between
    assert "the cause should be found before new ones go on" in between
    assert "caliper" not in between
    assert "Front brake pads: required" not in means


def test_case_6_cannot_be_taken_for_a_car_that_may_wait(stuck: Workshop) -> None:
    said = words_of(stuck)

    assert (
        "Needed now: put right at the right front: the caliper does not slide freely."
        in (said["What you should know"])
    )
    assert "If you wait" not in said
    everything = " ".join(said.values())
    assert "Right front inner pad: 9 of 10" not in everything
    assert "Nothing has to be done today" not in everything
    assert (
        "right front inner pad: 2.1 mm (0.083 in), too close to be sure"
        in (said["What we measured"])
    )
    assert said["When to come back"].startswith("When to come back Have what is needed now")


# Case 13: the gate at the end of a job


@pytest.fixture(scope="module")
def gate(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return gated_car(equipped_shop())


def test_case_13_is_preliminary_and_stops_the_vehicle_first_of_all(gate: Workshop) -> None:
    said = words_of(gate)

    top = said[""]
    assert top.startswith("Preliminary: your brakes")
    stop = top.index("PLEASE DO NOT DRIVE THIS VEHICLE BEFORE WE HAVE FINISHED IT.")
    assert stop < top.index("the work on this vehicle is not finished. Still open:")
    means = said["What it means"]
    assert "Front brakes: required. Left front brake disc: it does not run true" in means
    assert "Front brake discs: in limits" not in means
    assert "If you wait" not in said
    assert "How far it should go" not in said


def test_case_13_tells_what_was_done_once_it_is_finished(gate: Workshop, tmp_path: Path) -> None:
    shop = gate.copy(tmp_path)
    shop.does("finish", "SALLOW", "--by", "AM", typed=gate_case.THE_REST)
    said = words_of(shop)

    assert said[""].startswith("Your brakes")
    assert (
        "Left front brake disc: fitted new, 27.990 mm (1.1020 in) measured"
        in (said["What we did today"])
    )
    assert "PLEASE" not in " ".join(said.values())


# The healthy and the dangerous car


@pytest.fixture(scope="module")
def two_cars(equipped_shop: Callable[[], Workshop]) -> Workshop:
    return healthy_and_dangerous(equipped_shop())


def test_the_page_of_a_healthy_car_does_not_frighten(two_cars: Workshop) -> None:
    said = words_of(two_cars, "WELL")

    assert said["What you should know"] == (
        "What you should know - Everything that we measured on your brakes is in limits."
    )
    for heading in ("", "What you should know", "What we measured", "What it means"):
        assert not ALARM.search(said[heading]), said[heading]
    assert said["When to come back"].startswith(
        "When to come back Your next planned visit is after 15,000 km or 12 months, whichever is "
        "first."
    )
    page = two_cars.customer_page("WELL")
    assert 'class="warning"' not in page
    assert 'class="required"' not in page
    assert "%" not in re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL)


def test_the_page_of_a_dangerous_car_cannot_be_misread(two_cars: Workshop) -> None:
    said = words_of(two_cars, "WORN")

    assert "PLEASE DO NOT DRIVE THIS VEHICLE UNTIL ITS BRAKES HAVE BEEN PUT RIGHT" in said[""]
    assert said["What you should know"].startswith(
        "What you should know - Needed before it is driven: replace the left front brake pads"
    )
    assert "ask us before you drive" not in said["What you should know"]
    means = said["What it means"]
    assert "Front brake pads: required." in means
    assert "it is at or past the limit that its maker sets and must be replaced now" in means
    everything = " ".join(said.values())
    assert "left front inner pad: 0.0 mm (0.000 in), past its limit" in said["What we measured"]
    assert "If you wait" not in said
    assert "front inner pad: 9 of 10" not in everything
    page = two_cars.customer_page("WORN")
    assert page.index('role="alert"') < page.index("<h2>")


# Files


@pytest.fixture
def fleet(sallow: Workshop, tmp_path: Path) -> Workshop:
    """Three cars with a visit, two of whose tags make the same name of a file, and one without."""
    shop = sallow.copy(tmp_path)
    for tag in ("VAN 1", "VAN/1", "LOT"):
        shop.has_vehicle(tag, "--sheet", "sallow 2.0")
    for tag in ("VAN 1", "VAN/1"):
        shop.measures(tag, "50000 km", "LF pad-in 5.0 4.9")
    return shop


def names_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def test_all_pages_are_written_and_said_and_none_onto_another(
    fleet: Workshop, tmp_path: Path
) -> None:
    folder = tmp_path / "to send" / "january"
    said = fleet.does("summary", "--all", str(folder))

    pages = [
        f"brakes-SALLOW-{DAY}-as-found.html",
        f"brakes-VAN-1-{DAY}-as-found-2.html",
        f"brakes-VAN-1-{DAY}-as-found.html",
    ]
    assert names_in(folder) == pages
    for page in pages:
        assert f"written to {folder / page}" in said
    assert "3 pages written" in said
    assert "1 vehicle without a visit: LOT" in said


def test_a_page_in_a_folder_is_the_same_as_one_alone(fleet: Workshop, tmp_path: Path) -> None:
    folder = tmp_path / "pages"
    fleet.does("summary", "--all", str(folder))

    page = (folder / f"brakes-SALLOW-{DAY}-as-found.html").read_text(encoding="utf-8")
    assert page == fleet.customer_page("SALLOW")
    assert "How it wore" in page


def test_nothing_in_the_folder_is_written_over_unless_that_is_said(
    fleet: Workshop, tmp_path: Path
) -> None:
    folder = tmp_path / "pages"
    folder.mkdir()
    mine = folder / f"brakes-SALLOW-{DAY}-as-found.html"
    mine.write_text("mine", encoding="utf-8")

    refused = fleet.tries("summary", "--all", str(folder))
    assert refused.exit_code == 5
    assert f"{mine} exists; left alone" in refused.stderr
    assert "--replace writes over them" in refused.stderr
    assert "2 pages written" in refused.stdout
    assert mine.read_text(encoding="utf-8") == "mine"

    fleet.does("summary", "--all", str(folder), "--replace")
    assert mine.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_all_pages_may_be_plain_text_or_without_pictures(fleet: Workshop, tmp_path: Path) -> None:
    fleet.does("summary", "--all", str(tmp_path / "text"), "--text")
    fleet.does("summary", "--all", str(tmp_path / "bare"), "--no-pictures")

    letter = tmp_path / "text" / f"brakes-SALLOW-{DAY}-as-found.txt"
    assert letter.read_text(encoding="utf-8") == fleet.does("summary", "SALLOW", "--text")
    bare = tmp_path / "bare" / f"brakes-SALLOW-{DAY}-as-found.html"
    assert "How it wore" not in bare.read_text(encoding="utf-8")


def test_what_goes_out_by_the_folder_is_on_record_like_a_single_page(
    fleet: Workshop, tmp_path: Path
) -> None:
    assert fleet.tries("verdict", "VAN/1", "--as-of", DAY).exit_code == 4
    fleet.does("summary", "--all", str(tmp_path / "pages"))

    assert "Brakes of VAN/1" in fleet.does("verdict", "VAN/1", "--as-of", DAY)


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("SALLOW", "--all", "pages"),
        ("--all", "pages", "--json"),
        ("--all", "pages", "--visit", DAY),
        ("SALLOW", "--due-in", "2 months", "--stage", "as-found"),
    ],
)
def test_options_that_do_not_go_together_are_refused(
    words: tuple[str, ...], sallow: Workshop
) -> None:
    assert sallow.tries("summary", *words).exit_code == 2


# Pictures


def test_a_picture_is_drawn_of_what_was_read_twice(sallow: Workshop, brisk: Workshop) -> None:
    page = sallow.customer_page("SALLOW")
    assert "How it wore" in page
    assert (
        "Left front inner pad: 8.3 mm at 21,050 km on 15 Jan 2024, 5.7 mm at 41,800 km on "
        "14 Jan 2025, 3.0 mm at 62,400 km on 10 Jan 2026; its limit is 2.0 mm."
    ) in page
    assert "How it wore" not in sallow.does("summary", "SALLOW", "--no-pictures", "--out", "-")
    # One reading is no line.
    assert "How it wore" not in brisk.customer_page("BRISK")


# Before a part runs out


def test_a_note_tells_which_part_when_and_what_to_do(sallow: Workshop) -> None:
    note = " ".join(sallow.does("summary", "SALLOW", "--due-in", "20000 km").split())

    assert note.startswith("About your brakes Orrin Sallow 2.0")
    assert re.search(
        r"Left front inner pad: 9 of 10 such parts last (at least )?until \d+ \w+ \d{4}, or "
        r"until the odometer shows \d\d,[05]00 km",
        note,
    )
    assert "Please" in note
    assert "It is no verdict" in note
    assert "stop and call us, whatever this note says" in note
    # The other pads of the axle go with it.
    assert note.count("9 of 10") == 1


def test_a_car_that_is_not_due_gets_no_note(sallow: Workshop) -> None:
    result = sallow.tries("summary", "SALLOW", "--due-in", "500 km")

    assert (result.exit_code, result.stdout) == (0, "")
    assert "nothing of SALLOW is known to run out within 500 km" in result.stderr
    document = sallow.reads("summary", "SALLOW", "--due-in", "500 km")
    assert document == {"format": "brakelog.reminder/1", "vehicle": "SALLOW", "is_due": False}


def test_what_is_not_known_is_no_comfort_where_there_is_nothing_to_remind_of(
    equipped_shop: Callable[[], Workshop],
) -> None:
    shop = equipped_shop()
    shop.has_limits("one", "front", "pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below")
    shop.has_vehicle("ONE", "--brakes", "disc/disc", "--sheet", "one")
    shop.measures("ONE", "60000 km", "LF pad-in 9.0 9.1\n", day="2026-01-02")

    def said() -> str:
        return str(shop.tries("summary", "ONE", "--due-in", "100 km").stderr)

    assert said() == "how far the brakes of ONE will go cannot be said; brakelog verdict ONE\n"

    shop.fits("ONE", "RF", "pads", "--odometer", "30000 km", day="2025-01-02")
    shop.measures("ONE", "60100 km", "RF pad-in 8.0 8.1\n", day="2026-01-08")
    assert said().startswith("nothing of ONE is known to run out within 100 km, but of ")
    assert said().endswith("no distance can be stated; brakelog verdict ONE\n")


def test_notes_go_to_those_that_are_due_and_say_how_they_are_reached(
    two_cars: Workshop, tmp_path: Path
) -> None:
    shop = two_cars.copy(tmp_path)
    shop.does("people", "add", "pia", "Pia Quill", "--customer", "--contact", "555-0102")
    shop.does("vehicle", "change", "WORN", "--customer", "pia")
    folder = tmp_path / "notes"
    said = shop.does("summary", "--all", str(folder), "--due-in", "3000 km")

    (name,) = names_in(folder)
    assert re.fullmatch(r"brakes-WORN-reminder-\d{4}-\d\d-\d\d\.txt", name)
    assert f"written to {folder / name}, for Pia Quill, 555-0102" in said
    assert "1 note written" in said
    note = " ".join((folder / name).read_text(encoding="utf-8").split())
    assert "For Pia Quill" in note
    assert "555-0102" not in note
    assert "Left front inner pad: at or past its limit on 10 Jan 2026." in note
    assert "Please call us before you drive any further." in note


def test_a_time_or_distance_that_is_neither_is_refused(sallow: Workshop) -> None:
    refused = sallow.tries("summary", "SALLOW", "--due-in", "soon")

    assert refused.exit_code == 3
    assert "'soon' is neither a time nor a distance" in refused.stderr


# What is said of a doubtful reading


@pytest.mark.parametrize(("typed", "plate"), [("", False), (" datum=plate", True)])
def test_a_lining_is_named_by_how_it_was_measured_not_by_how_its_limit_is_stated(
    equipped_shop: Callable[[], Workshop], typed: str, plate: bool
) -> None:
    shop = equipped_shop()
    shop.does("limits", "sheet", "plated")
    shop.does(
        *("limits", "add", "plated", "front", "pad-minimum", "8.0 mm", "--source", "page 1"),
        *("--out-when", "below", "--datum", "with plate"),
    )
    shop.has_vehicle("PLATED", "--brakes", "disc/disc", "--sheet", "plated")
    shop.measures("PLATED", "60000 km", f"LF pad-in 9.0 9.1{typed}\n")

    said = shop.customer_text("PLATED")
    assert ("left front inner pad with its plate: 9.0 mm" in said) is plate
    assert ("left front inner pad: 9.0 mm" in said) is not plate


IN_LIMITS = "Not proven: the bearing is not free of play; put that right first."
WHATEVER = "The bearing was not free of play when the runout was read; put that right first."


@pytest.mark.parametrize(
    ("runout", "play"),
    [("LF runout 0.03", IN_LIMITS), ("LF runout 0.30", WHATEVER), ("LR runout 0.03", WHATEVER)],
    ids=["in", "out", "no limit"],
)
def test_a_bearing_with_play_is_named_whatever_became_of_the_runout(
    equipped_shop: Callable[[], Workshop], runout: str, play: str
) -> None:
    shop = equipped_shop()
    shop.has_limits("loose", "front", "runout: 0.08 mm, above")
    said = {}
    for bearing in ("ok", "no"):
        shop.has_vehicle(bearing, "--brakes", "disc/disc", "--sheet", "loose")
        shop.measures(bearing, "60000 km", f"{runout} nuts=5/5 bearing={bearing} back=yes\n")
        said[bearing] = " ".join(shop.counter_sheet(bearing).split())

    assert play not in said["ok"]
    assert said["no"].count(play) == 1
    assert "bearing play was not checked" not in said["no"]


@pytest.mark.parametrize(
    ("values", "is_said"),
    [("9.0 x", True), ("9.0", False), ("9.0 9.1", False), ("9.1 x|x 9.0", False)],
)
def test_an_end_of_a_lining_that_was_left_out_is_named_beside_the_verdict(
    equipped_shop: Callable[[], Workshop], values: str, is_said: bool
) -> None:
    """One value is taken for the thinnest place; one that was left out may be thinner still."""
    shop = equipped_shop()
    shop.has_limits("ends", "front", "pad-minimum: 2.0 mm, below")
    shop.has_vehicle("ENDS", "--brakes", "disc/disc", "--sheet", "ends")
    for each in values.split("|"):
        shop.measures("ENDS", "60000 km", f"LF pad-in {each}\n")

    said = " ".join(shop.counter_sheet("ENDS").split())
    assert ("Not read at the trailing end, where it may be thinner." in said) is is_said
    assert ("Not read at" in said) is is_said


def test_an_appointment_in_a_year_does_not_hide_what_could_not_be_judged(
    equipped_shop: Callable[[], Workshop], two_cars: Workshop
) -> None:
    first = "Before that, let us measure what could not be judged today."
    assert first not in two_cars.customer_text("WELL")

    shop = equipped_shop()
    shop.has_vehicle("BARE", "--brakes", "disc/disc")
    shop.measures("BARE", "60000 km", "LF looked-over\n")
    said = " ".join(shop.customer_text("BARE").split())
    assert f"12 months, whichever is first. {first}" in said
