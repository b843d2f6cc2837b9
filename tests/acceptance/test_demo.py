"""The sample workshop: it loads as a user's own sheets do, and tells the stories that it is for."""

from __future__ import annotations

import csv
import json
import re
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from brakelog.cli.main import build
from brakelog.workshop.demo import ALSO, SHOWN, demo_sheets

KINDS = ("gauges", "limits", "vehicles", "fittings", "readings", "findings")

REUSE = ("reuse", None)
NO_VERDICT = ("no verdict", None)
MEASURE_AGAIN = ("measure again", None)
REQUIRED = ("replace", "required")
SUGGESTED = ("replace", "suggested")

STORIES: dict[str, dict[str, tuple[str, str | None]]] = {
    "HERON-4": {
        "front pads": SUGGESTED,
        "front rotor": REUSE,
        "rear pads": REUSE,
        "rear rotor": REUSE,
    },
    "WREN-1": {
        "front pads": REUSE,
        "front rotor": REUSE,
        "rear pads": REUSE,
        "rear rotor": REUSE,
    },
    "PLOVER-2": {"front rotor": NO_VERDICT, "front pads": REUSE, "rear drum": REUSE},
    "CURLEW-3": {"rear rotor": NO_VERDICT, "rear pads": REUSE, "front rotor": REUSE},
    "SNIPE-9": {"rear drum": REQUIRED, "rear shoes": SUGGESTED, "front rotor": REUSE},
    "SISKIN-6": {"front rotor": ("refinish", "required"), "front pads": REUSE},
    "LINNET-9": {"front rotor": ("correct", "required"), "rear rotor": REUSE},
    "RUFF-2": {"front pads": ("correct", "required"), "front rotor": REUSE},
    "TEAL-5": {"front rotor": REUSE, "rear drum": REUSE},
    "PIPIT-5": {"front rotor": REUSE, "front pads": REUSE},
    "DUNLIN-7": {"front rotor": REQUIRED, "front pads": SUGGESTED, "rear drum": REUSE},
    "REDSHANK-2": {"front rotor": REUSE, "rear drum": REUSE, "rear shoes": REUSE},
    "EGRET-2": {"front pads": REQUIRED, "front rotor": REUSE},
    "KNOT-8": {"rear pads": NO_VERDICT, "rear rotor": MEASURE_AGAIN, "front rotor": REUSE},
    "GODWIT-3": {"axle 3 shoes": ("correct", "required"), "rear shoes": REUSE},
    "LAPWING-4": {"front rotor": REQUIRED, "front pads": REUSE},
    "CRAKE-6": {"rear rotor": ("refinish", "required"), "front rotor": REUSE},
    "AVOCET-3": {"front pads": REUSE, "front rotor": REUSE, "rear pads": REUSE},
}
"""What a master technician would say of each vehicle's newest visit."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that one run of the command worked in."""
    folder = tmp_path_factory.mktemp("demo")
    result = CliRunner().invoke(build(), ["demo", "--folder", str(folder)], env={"COLUMNS": "80"})
    assert result.exit_code == 0, result.output
    (folder / "printed.txt").write_text(result.output, encoding="utf-8")
    return folder


@pytest.fixture
def store(folder: Path, tmp_path: Path) -> Path:
    """A copy of the store that the command made."""
    return Path(shutil.copy(folder / "demo.sqlite", tmp_path / "demo.sqlite"))


def test_says_what_it_loaded_and_where_everything_is(folder: Path) -> None:
    printed = printed_by(folder)
    counts = re.match(r"(\d+) invented vehicles, (\d+) reading sets", printed)
    assert counts is not None
    assert int(counts[1]) == len(sheet("vehicles")) >= 12
    assert 250 <= int(counts[2]) == len(sheet("readings")) <= 600
    for place in (demo_sheets(), folder / "demo.sqlite", folder / f"brakes-{SHOWN}.html"):
        assert str(place) in printed
    for tag in (SHOWN, *ALSO):
        assert f"verdict {tag}" in printed


def test_the_sheet_of_the_shown_vehicle_reads_well_in_80_columns(folder: Path) -> None:
    printed = printed_by(folder)
    start = printed.index(f"Brakes of {SHOWN}")
    counter_sheet = printed[start : printed.index("Store:")]
    assert all(len(line) <= 80 for line in counter_sheet.splitlines())
    for words in (
        "Required: nothing.",
        "Suggested: LF pads replace; RF pads replace.",
        "Not judged: nothing.",
        "Front pads: replace, suggested",
        "may not reach the next planned visit",
        "mostly this part's own readings",
        "Front rotors: reuse",
        "Rear pads: reuse",
        "Rear rotors: reuse",
    ):
        assert words in " ".join(counter_sheet.split())


def test_the_customers_page_stands_alone(folder: Path) -> None:
    page = (folder / f"brakes-{SHOWN}.html").read_text(encoding="utf-8")
    assert "front brake pads" in page
    for foreign in ("http", "<script", "src=", "@import"):
        assert foreign not in page
    # What a picture refers to stands in the page itself.
    for link, url in re.findall(r'href="([^"]*)"|url\(([^)]*)\)', page):
        assert (link or url).startswith("#")


@pytest.mark.parametrize("kind", KINDS)
def test_a_second_import_adds_nothing(store: Path, kind: str) -> None:
    rows = len(sheet(kind))
    result = run(store, "import", str(demo_sheets() / f"{kind}.csv"))
    assert f"0 rows of {kind} put on file, {rows} on file already" in result.output


def test_the_sheets_cover_what_they_are_for() -> None:
    vehicles, readings, limits = sheet("vehicles"), sheet("readings"), sheet("limits")
    days = sorted(date.fromisoformat(row["date"]) for row in readings)
    assert (days[-1] - days[0]).days >= 3 * 365
    assert days[-1] <= date(2026, 11, 20)
    assert {"disc/disc", "disc/drum"} < {row["brakes"] for row in vehicles}
    assert any(row["brakes"].count("/") == 2 for row in vehicles)
    assert {row["odometer_unit"] for row in vehicles} == {"km", "mi"}
    assert {row["unit"] for row in sheet("gauges")} == {"mm", "in"}
    assert any("x" in row["values"].split() for row in readings)
    assert {row["stage"] for row in readings} == {"", "as-left"}
    assert {"", "below", "at or below", "above", "at or above"} == {r["out_when"] for r in limits}
    assert {"rotor-discard", "hub-runout", "torque"} < {row["limit"] for row in limits}
    assert {"new", "used", "refinished"} == {row["event"] for row in sheet("fittings")}
    assert {"measured", "nominal", "unknown"} == {row["basis"] for row in sheet("fittings")}


def test_every_vehicle_gets_a_verdict(store: Path) -> None:
    for row in sheet("vehicles"):
        document = verdict_of(store, row["tag"])
        assert len(document["axles"]) == 2 * len(row["brakes"].split("/"))


@pytest.mark.parametrize("tag", STORIES)
def test_each_story_ends_as_a_master_technician_would_end_it(store: Path, tag: str) -> None:
    said = dict(axle_words(verdict_of(store, tag)))
    assert {name: said[name] for name in STORIES[tag]} == STORIES[tag]


def test_lining_too_close_to_its_limit_is_not_passed(store: Path) -> None:
    """Whatever a finer gauge would show, it could not be relied on to the next planned visit."""
    said = dict(axle_words(verdict_of(store, "FINCH-3")))
    assert said["front pads"] == SUGGESTED


def test_only_the_story_with_swapped_digits_asks_at_its_newest_visit(store: Path) -> None:
    asked = {
        row["tag"]: [each["code"] for each in verdict_of(store, row["tag"])["questions"]]
        for row in sheet("vehicles")
    }
    assert {tag: codes for tag, codes in asked.items() if codes} == {"AVOCET-3": ["Q262"]}


def test_the_swapped_odometer_withholds_the_distance_until_it_is_corrected(store: Path) -> None:
    (question,) = verdict_of(store, "AVOCET-3")["questions"]
    assert question["ask"].startswith("76910 km?")
    assert set(stated(store, "AVOCET-3")) == {None}

    run(store, "amend", "odometer", "AVOCET-3", "2026-03-23", "76910 km", "--why", "digits")
    assert verdict_of(store, "AVOCET-3")["questions"] == []
    assert None not in stated(store, "AVOCET-3")


def test_the_turn_of_the_thimble_is_asked_about_and_judged_by_nobody(store: Path) -> None:
    then = verdict_of(store, "TEAL-5", "--visit", "2024-04-22")
    (question,) = then["questions"]
    assert (question["code"], question["corners"], question["points"]) == ("Q201", ["RF"], [6])
    assert dict(axle_words(then))["front rotor"] == MEASURE_AGAIN


def stated(store: Path, tag: str) -> list[str | None]:
    """Distances that are stated for the front linings."""
    return [
        life["at_least_km"]
        for part in verdict_of(store, tag)["parts"]
        if part["part"] == "pads" and part["corner"] in ("LF", "RF")
        for life in part["life"]
    ]


def test_the_comeback_left_with_its_cause_on_record(store: Path) -> None:
    left = verdict_of(store, "SISKIN-6", "--visit", "2025-09-15")
    assert left["visit"]["stage"] == "as left"
    assert dict(axle_words(left))["front rotor"] == ("correct", "required")


def printed_by(folder: Path) -> str:
    return (folder / "printed.txt").read_text(encoding="utf-8")


def sheet(kind: str) -> list[dict[str, str]]:
    with (demo_sheets() / f"{kind}.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def run(store: Path, *words: str) -> Result:
    result = CliRunner().invoke(build(), ["--store", str(store), *words])
    assert result.exit_code == 0, result.output
    return result


def verdict_of(store: Path, tag: str, *more: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(run(store, "verdict", tag, *more, "--json").stdout)
    return document


def axle_words(document: dict[str, Any]) -> Iterator[tuple[str, tuple[str, str | None]]]:
    """Yield ``front pads`` and the like with the words of the verdict."""
    for axle in document["axles"]:
        yield f"{axle['axle']} {axle['part']}", (axle["verdict"], axle["grounds"])
