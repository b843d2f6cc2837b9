"""The due list over a whole store, through the commands."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.store.tables import DERIVED
from tests.acceptance.workshop import Facts, Workshop
from tests.places import change_past

ON = ("--on", "2026-03-01")
SHEET = "corvid 1.4"


@pytest.fixture(scope="module")
def filled(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Four cars of one model: worn at different paces, one out, one with a question, one new."""
    shop = equipped_shop()
    for axle in ("front", "rear"):
        shop.has_limits(SHEET, axle, "pad-new: 11.0 mm", "pad-minimum: 2.0 mm, below")
    for tag in ("SLOW", "FAST", "OUT", "ASKS", "FRESH"):
        shop.has_vehicle(tag, "--brakes", "disc/disc", "--sheet", SHEET)
    for tag, sizes in (
        ("SLOW", ("10.0", "9.2", "8.4")),
        ("FAST", ("8.6", "6.4", "4.2")),
        ("OUT", ("7.0", "4.5", "1.8")),
        ("ASKS", ("9.6", "8.2", "9.9")),
    ):
        for corner in ("LF", "RF"):
            shop.fits(tag, corner, "pads", "--odometer", "40000 km", day="2023-01-10")
        for n, size in enumerate(sizes):
            day = f"{2024 + n // 2}-{'01' if n % 2 == 0 else '07'}-15"
            shop.measures(tag, f"{52_000 + 12_000 * n} km", front(size), day=day)
    return shop


def front(size: str) -> str:
    more = f"{float(size) + 0.1:.1f}"
    return "".join(
        f"{corner} {pad} {size} {more}\n{corner} looked-over\n"
        for corner in ("LF", "RF")
        for pad in ("pad-in", "pad-out")
    )


@pytest.fixture
def shop(filled: Workshop, tmp_path: Path) -> Workshop:
    return filled.copy(tmp_path)


def due(shop: Workshop, *options: str) -> Facts:
    found: Facts = shop.reads("due", *ON, *options)
    return found


def line_of(shop: Workshop, tag: str, *options: str) -> Facts:
    (found,) = [each for each in due(shop, *options)["vehicles"] if each["vehicle"] == tag]
    return dict(found)


def tags(found: Facts) -> list[str]:
    return [each["vehicle"] for each in found["vehicles"]]


def test_the_vehicle_that_ends_first_stands_first_with_its_part_and_its_margin(
    shop: Workshop,
) -> None:
    found = due(shop)

    assert tags(found) == ["OUT", "FAST", "SLOW"]
    out, fast, _ = found["vehicles"]
    assert (out["state"], out["grounds"], out["margin_mm"]) == (
        "at or beyond the limit",
        "required",
        "-0.2",
    )
    assert (fast["corner"], fast["part"], fast["margin_mm"]) == ("LF", "pad-in", "2.2")
    assert fast["grounds"] == "suggested"


def test_every_vehicle_that_is_not_listed_is_counted_with_its_reason(shop: Workshop) -> None:
    found = due(shop)

    assert found["not_projected"] == {"unresolved": ["ASKS"], "no visit yet": ["FRESH"]}
    told = " ".join(shop.does("due", *ON).split())
    assert "3 of 5 vehicles listed" in told
    assert "1: something has to be cleared up first (ASKS)" in told
    assert "1: no visit yet (FRESH)" in told


def test_a_line_says_what_the_verdict_says_of_the_same_part(shop: Workshop) -> None:
    for tag in ("SLOW", "FAST"):
        line = line_of(shop, tag)
        lives = shop.verdict(tag).part("LF", "pads").facts["life"]
        life = min(lives, key=lambda each: float(each["at_least_km"]))

        assert line["at_least_km"] == life["at_least_km"]
        assert line["median_km"] == life["median_km"]
        assert line["not_before"] == life["not_before"]
        assert line["experience"] == life["experience"]


@pytest.mark.parametrize(
    ("options", "listed"),
    [
        (("--axle", "rear"), []),
        (("--axle", "front"), ["OUT", "FAST", "SLOW"]),
        (("--grounds", "suggested"), ["FAST"]),
        (("--grounds", "none"), ["SLOW"]),
        (("--within", "1000 km"), ["OUT"]),
        (("--class", "heavy"), []),
        (("--from", "2025-04-01"), ["OUT", "FAST", "SLOW"]),
        (("--until", "2025-01-31"), ["OUT"]),
    ],
)
def test_narrows_the_list_and_counts_what_lies_outside(
    options: tuple[str, ...], listed: list[str], shop: Workshop
) -> None:
    found = due(shop, *options)

    assert tags(found) == listed
    assert found["outside"] == 3 - len(listed)


@pytest.mark.parametrize(
    "options",
    [
        ("--class", "boat"),
        ("--grounds", "perhaps"),
        ("--axle", "middle"),
        ("--from", "2026-02-30"),
        ("--from", "2026-03-01", "--until", "2026-02-01"),
        ("--within", "far"),
    ],
)
def test_refuses_what_it_does_not_know(options: tuple[str, ...], shop: Workshop) -> None:
    refused = shop.tries("due", *options)

    assert refused.exit_code == 3
    assert refused.stderr.startswith("error: ")
    assert "hint: " in refused.stderr


def test_a_day_that_has_gone_by_may_be_due_already(shop: Workshop) -> None:
    assert not line_of(shop, "FAST", "--on", "2025-01-20")["may_be_due_already"]
    late = line_of(shop, "FAST", "--on", "2026-12-01")

    assert late["may_be_due_already"]
    assert late["odometer_is_old"]


def test_nothing_is_projected_from_a_reading_of_two_years_ago(shop: Workshop) -> None:
    found = due(shop, "--on", "2027-03-01")

    assert found["not_projected"]["reading too old"] == ["SLOW"]
    # What was out then is not in now, and what was due then is not less so.
    assert tags(found) == ["OUT", "FAST"]
    assert found["vehicles"][1]["may_be_due_already"]


def test_whatever_is_typed_afterwards_moves_the_line(shop: Workshop) -> None:
    """After every step the list is the same as one that is worked out from nothing."""
    due(shop)
    for step in (
        ("measure", "FRESH", "--odometer", "10000 km", "--date", "2025-05-02"),
        ("amend", "odometer", "FAST", "2025-01-15", "77000 km", "--why", "read again"),
        ("shop", "change", "--daily-distance", "60 km"),
        ("limits", "sheet", "other"),
        ("vehicle", "change", "SLOW", "--sheet", "other"),
    ):
        shop.does(*step, typed=front("7.7") if step[0] == "measure" else "")
        kept = due(shop)
        rebuilt = shop.copy_beside("rebuilt.sqlite")
        assert kept == due(rebuilt, "--rebuild"), step
    assert due(shop)["not_projected"]["no limit"] == ["SLOW"]


def test_what_the_shop_has_learned_moves_the_verdict_and_is_named_there(shop: Workshop) -> None:
    before = shop.verdict("SLOW").part("LF", "pads").life("pad-in")
    assert before["experience"] == "general experience"
    due(shop)
    after = shop.verdict("SLOW").part("LF", "pads").life("pad-in")

    assert after["experience"].startswith("this shop's front linings")
    assert after["experience_lives"] > 0
    (group,) = [
        each
        for each in shop.reads("due", "--experience")["groups"]
        if each["model"] is None and each["class"] is None
    ]
    assert (group["kind"], group["axle"], group["lives"]) == ("front lining", 1, 12)
    assert "front lining" in shop.does("due", "--experience")


def test_the_evidence_is_not_touched(shop: Workshop) -> None:
    def evidence() -> list[str]:
        return [row for row in shop.everything_on_file() if "derived_" not in row]

    before = evidence()
    due(shop)
    assert evidence() == before
    assert shop.does("store", "check")


def test_what_is_kept_can_be_emptied_by_hand_and_comes_back_the_same(shop: Workshop) -> None:
    before = due(shop)
    change_past(shop.store, *(f"DELETE FROM {table.name}" for table in DERIVED))

    assert due(shop) == before
    assert shop.does("store", "check")


def test_the_sheet_holds_every_vehicle_and_no_formula(shop: Workshop) -> None:
    shop.has_vehicle("=1+1", "--brakes", "disc/disc")
    rows = list(csv.DictReader(io.StringIO(shop.does("due", *ON, "--csv"))))

    assert [row["vehicle"] for row in rows] == ["OUT", "FAST", "SLOW", "ASKS", "'=1+1", "FRESH"]
    assert [row["state"] for row in rows[3:]] == ["unresolved", "no visit yet", "no visit yet"]
    assert rows[0]["margin_mm"] == "-0.2"


@pytest.mark.parametrize("columns", ["40", "80", "200"])
def test_no_line_is_wider_than_the_terminal(columns: str, shop: Workshop) -> None:
    shown = CliRunner().invoke(
        build(), ["--store", str(shop.store), "due", *ON], env={"COLUMNS": columns}
    )
    assert all(len(line) <= 80 for line in shown.output.splitlines())


def test_read_aloud_every_line_stands_by_itself(shop: Workshop) -> None:
    shown = CliRunner().invoke(
        build(), ["--store", str(shop.store), "due", *ON], env={"BRAKELOG_PLAIN": "1"}
    )
    lines = [line for line in shown.output.splitlines() if line.startswith(("OUT", "FAST"))]

    assert lines[0].startswith("OUT: LF inner pad, now: at its limit, 0.20 mm past its limit")
    assert "mm left to its limit" in lines[1]
    assert "km to go" in lines[1]
    assert "not before          " not in shown.output


def test_wear_by_a_stuck_slide_ends_the_trend_until_it_is_put_right(shop: Workshop) -> None:
    day: dict[str, Any] = {"day": "2025-06-01"}
    shop.measures("SLOW", "80000 km", "LF finding stuck-slide\n" + front("6.0"), **day)
    shop.measures("SLOW", "84000 km", front("5.6"), day="2025-08-01")
    life = shop.verdict("SLOW").part("LF", "pads").life("pad-in")
    assert life["refusal"] == "unresolved"
    assert "stuck on 2025-06-01, and nobody has said that it was put right" in life["text"]

    shop.measures(
        "SLOW",
        "86000 km",
        "LF finding stuck-slide fixed=yes stage=as-left\n" + front("5.4"),
        day="2025-09-01",
    )
    shop.measures("SLOW", "94000 km", front("4.6"), day="2026-01-01")
    life = shop.verdict("SLOW").part("LF", "pads").life("pad-in")
    assert life["counted_anew_from"] == "2025-09-01"
    assert life["readings"] == 2
    assert life["refusal"] is None


def test_a_run_that_another_one_overtook_keeps_nothing_of_its_own(
    shop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from brakelog.store.opening import open_store
    from brakelog.workshop import fleet

    gather = fleet._gather
    overtaken: list[bool] = []

    def and_meanwhile(*words: Any) -> None:
        if not overtaken:
            overtaken.append(True)
            shop.measures("SLOW", "79000 km", front("8.0"), day="2025-02-01")
            with open_store(shop.store) as other:
                fleet.refresh(other, lambda what, done, total: None)
        gather(*words)

    monkeypatch.setattr(fleet, "_gather", and_meanwhile)
    slow = line_of(shop, "SLOW")

    assert overtaken
    assert slow["last_odometer_km"] == "79000.0"


def test_what_condemned_a_part_is_not_forgotten_by_the_next_visit(shop: Workshop) -> None:
    """A crack on a rotor that nobody measured, soaked pads, and then a visit to the rear only."""
    shop.measures("SLOW", "79000 km", "LF finding crack\nRF finding soaked\n", day="2025-02-01")
    shop.measures("SLOW", "80000 km", "LR pad-in 9.0 9.1\n", day="2025-03-01")
    line = line_of(shop, "SLOW")
    assert line["grounds"] == "required"
    assert "SLOW" in tags(due(shop, "--grounds", "required"))

    shop.fits("SLOW", "LF", "rotor", "--odometer", "80500 km", day="2025-03-05")
    shop.fits("SLOW", "RF", "pads", day="2025-03-05")
    assert line_of(shop, "SLOW")["grounds"] != "required"


def test_a_part_that_moved_is_told_where_it_is_now(shop: Workshop) -> None:
    moved = ("fit", "FAST", "RF", "pads", "moved", "--from", "LF", "--size", "4.2 mm")
    shop.does(*moved, "--date", "2025-01-15")
    found = line_of(shop, "FAST")

    assert found["corner"] == "RF"
    assert float(found["at_least_km"]) < 15_000
    history = shop.reads("history", "FAST", "--corner", "LF", "--part", "pads")
    assert history["places"][0]["finished"][-1]["readings"][-1]["size_mm"] == "4.2"


def test_days_of_a_part_count_from_its_fitting_until_it_is_measured(shop: Workshop) -> None:
    for corner in ("LF", "RF"):
        shop.fits("FAST", corner, "pads", day="2025-01-15")
    line = line_of(shop, "FAST")
    shop.measures("FAST", "79000 km", "LR looked-over\n", day="2025-03-01")

    later = line_of(shop, "FAST")
    assert (later["read_on"], later["readings"]) == (line["read_on"], 0) == ("2025-01-15", 0)
    assert later["at_least_km"] == line["at_least_km"]


def test_within_a_distance_any_part_counts(shop: Workshop) -> None:
    """The part whose day comes first need not be the one with the least distance left."""
    whole = {each["vehicle"]: float(each["left_km"]) for each in due(shop)["vehicles"][1:]}
    for tag, left in whole.items():
        assert tag in tags(due(shop, "--within", f"{left + 1:.0f} km"))


def test_new_pads_on_a_slide_that_is_still_stuck_are_not_projected(shop: Workshop) -> None:
    shop.measures("SLOW", "80000 km", "LF finding stuck-slide\n" + front("6.0"), day="2025-06-01")
    shop.fits("SLOW", "LF", "pads", day="2025-06-01")
    life = next(
        each for each in shop.reads("history", "SLOW", "--corner", "LF", "--part", "pads")["places"]
    )["running"]
    assert life["life"]["refusal"] == "unresolved"


def test_a_part_that_must_be_worked_on_is_due_now_whatever_its_lining_would_go(
    shop: Workshop,
) -> None:
    before = line_of(shop, "SLOW")
    assert before["grounds"] != "required"
    shop.measures("SLOW", "76000 km", "LF finding metal-contact\n", day="2025-01-15")

    found = line_of(shop, "SLOW")
    assert (found["grounds"], found["corner"]) == ("required", "LF")
    assert found["may_be_due_already"]
    assert found["state"] == "work required"
    told = ("median_day", "at_least_km", "median_km", "latest_km", "left_km")
    assert [found[key] for key in told] == [None] * len(told)
    assert "SLOW" in tags(due(shop, "--until", "2026-03-01"))
    assert "SLOW" in tags(due(shop, "--within", "10 km"))
    assert tags(due(shop)).index("SLOW") < tags(due(shop)).index("FAST")
    shown = shop.does("due", *ON)
    (line,) = [each for each in shown.splitlines() if " SLOW " in each]
    assert line.startswith("now: work required")
    assert " km " not in line
    note = shop.does("summary", "SLOW", "--due-in", "1 month", "--text")
    assert "SLOW" in note
