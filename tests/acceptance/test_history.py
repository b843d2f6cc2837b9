"""The history of a car through the command: what was read and fitted comes back, and no more."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from brakelog.reports.history import history_sheet
from brakelog.reports.history_document import history_document
from brakelog.reports.plain import as_text
from brakelog.rules.vehicle import judge_vehicle
from brakelog.store.opening import open_store
from brakelog.workshop.demo import run_demo
from brakelog.workshop.history import history_of
from tests.acceptance.workshop import Workshop

FRONT = (
    "rotor-new: 28.0 mm",
    "rotor-discard: 26.0 mm, at or below",
    "pad-new: 11.0 mm",
    "pad-minimum: 2.0 mm, below",
)
LAST = date.today() - timedelta(days=3)
"""Readings of this week, so that none is ever too old for a projection."""
DAYS = [(LAST - timedelta(days=ago)).isoformat() for ago in (730, 365, 0)]
HOSTILE = "<script>[/red]\u202eTAC-1"


@pytest.fixture(scope="module")
def wren(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A car with new pads at the left front, an earlier set there, and three visits."""
    shop = equipped_shop()
    shop.has_limits("Sable 1.6", "front", *FRONT)
    shop.has_vehicle("WREN-7", "--description", "Tamsin Sable 1.6", "--sheet", "Sable 1.6")
    shop.measures("WREN-7", "20000 km", "LF pad-in 8.4\nRF pad-in 8.2\nLF pad-out 8.5", day=DAYS[0])
    shop.measures("WREN-7", "35000 km", "LF pad-in 5.2\nRF pad-in 5.6", day=DAYS[1])
    shop.fits("WREN-7", "LF", "pads", "--size", "11.0 mm", day=DAYS[1])
    shop.measures("WREN-7", "47000 km", "LF pad-in 8.6\nRF pad-in 3.4\nRF pad-out 3.9", day=DAYS[2])
    return shop


def place(document: Any, corner: str, position: str) -> Any:
    (found,) = [
        each
        for each in document["places"]
        if (each["corner"], each["position"]) == (corner, position)
    ]
    return found


def test_every_reading_and_fitting_comes_back_as_typed(wren: Workshop) -> None:
    document = wren.reads("history", "WREN-7")

    assert document["format"] == "brakelog.history/1"
    left = place(document, "LF", "pad-in")
    (before,) = left["finished"]
    assert [each["typed"] for each in before["readings"]] == ["8.4", "5.2"]
    assert (before["whole"], before["lasted_km"], before["worn_mm"]) == (False, "15000.0", "3.2")
    assert before["lasted_days"] == 365
    assert left["running"]["fitted"]["typed"].strip() == "11.0 mm"
    assert [each["typed"] for each in left["running"]["readings"]] == ["8.6"]


def test_a_projection_is_the_same_as_in_the_verdict(wren: Workshop) -> None:
    document = wren.reads("history", "WREN-7")
    verdict = wren.verdict("WREN-7")

    for corner, position in (("LF", "pad-in"), ("RF", "pad-in"), ("RF", "pad-out")):
        told = verdict.part(corner, "pads").life(position)
        assert place(document, corner, position)["running"]["life"] == told


def test_a_part_that_was_not_measured_last_keeps_its_life(wren: Workshop) -> None:
    left = place(wren.reads("history", "WREN-7"), "LF", "pad-out")

    assert [each["typed"] for each in left["finished"][0]["readings"]] == ["8.5"]
    assert left["running"]["readings"] == []
    assert left["running"]["fitted"]["event"] == "new"


def test_a_corner_and_a_part_narrow_it(wren: Workshop) -> None:
    document = wren.reads("history", "WREN-7", "--corner", "rf", "--part", "pads")

    assert [(each["corner"], each["position"]) for each in document["places"]] == [
        ("RF", "pad-in"),
        ("RF", "pad-out"),
    ]


def test_the_text_is_without_drawing_where_no_terminal_is(wren: Workshop) -> None:
    plain, drawn = wren.does("history", "WREN-7"), wren.does("history", "WREN-7", "--draw")

    assert "┤" not in plain
    assert "limit 2.0┼" in drawn
    assert "RF inner pad" in plain
    assert "\x1b" not in drawn


def test_what_ends_first_is_said_first(wren: Workshop) -> None:
    text = wren.does("history", "WREN-7")

    rows = text.split("What ends first\n")[1].split("\n\n")[0].splitlines()
    assert rows[1].startswith("  RF inner pad")
    assert "Nothing on record: LF rotor, RF rotor, LR rotor" in " ".join(text.split())


@pytest.mark.parametrize(("name", "start"), [("wear.PNG", b"\x89PNG\r\n"), ("wear.svg", b"<?xml")])
def test_a_picture_is_written_once(name: str, start: bytes, wren: Workshop, tmp_path: Path) -> None:
    target = tmp_path / name

    said = wren.does("history", "WREN-7", "--corner", "RF", "--plot", str(target))

    assert said.strip() == f"written to {target}"
    assert target.read_bytes().startswith(start)
    target.write_bytes(b"mine")
    again = wren.tries("history", "WREN-7", "--plot", str(target))
    assert (again.exit_code, target.read_bytes()) == (5, b"mine")
    assert "--replace writes over it" in again.output
    wren.does("history", "WREN-7", "--corner", "RF", "--plot", str(target), "--replace")
    assert target.read_bytes().startswith(start)


def test_a_picture_of_the_whole_car_shows_every_place_on_record(
    wren: Workshop, tmp_path: Path
) -> None:
    target = tmp_path / "wear.svg"
    wren.does("history", "WREN-7", "--plot", str(target))

    text = "".join(ElementTree.parse(target).getroot().itertext())

    for name in ("LF inner pad", "LF outer pad", "RF inner pad", "RF outer pad"):
        assert name in text
    assert "RR" not in text


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("WREN-7", "--plot", "wear.jpg"), 3, "--plot wear.svg, or wear.png"),
        (("WREN-7", "--plot", "wear"), 3, "does not say which kind of picture"),
        (("WREN-7", "--plot", "no/such/folder/w.svg"), 7, "name another file with --plot"),
        (("WREN-7", "--corner", "RR", "--plot", "w.svg"), 4, "nothing is on record there"),
        (("WREN-7", "--corner", "L3"), 3, "WREN-7 has no corner L3"),
        (("WREN-7", "--corner", "front left"), 3, "is not a corner"),
        (("WREN-7", "--part", "drum"), 3, "WREN-7 has no drum"),
        (("WREN-7", "--corner", "LF", "--part", "shoes"), 3, "LF has no shoes"),
        (("WREN-7", "--part", "caliper"), 3, "parts: rotor, pads, drum, shoes"),
        (("WREN-8",), 4, "no vehicle goes by 'WREN-8'"),
        (("WREN-7", "--json", "--plot", "w.svg"), 2, "--plot"),
        (("WREN-7", "--json", "--draw"), 2, "--json"),
        (("WREN-7", "--replace"), 2, "--replace"),
    ],
)
def test_what_cannot_be_is_refused_with_a_hint_and_nothing_is_written(
    words: tuple[str, ...],
    code: int,
    said: str,
    wren: Workshop,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)

    result = wren.tries("history", *words)

    assert result.exit_code == code, result.output
    assert said in " ".join(result.output.split())
    assert list(tmp_path.iterdir()) == []


def test_a_car_without_a_visit_has_no_history(shop: Workshop) -> None:
    shop.has_vehicle("WREN-9")

    result = shop.tries("history", "WREN-9")

    assert result.exit_code == 4
    assert "WREN-9 has no visit on file" in result.output


def test_history_puts_nothing_on_file(wren: Workshop, tmp_path: Path) -> None:
    before = wren.everything_on_file()

    wren.does("history", "WREN-7")
    wren.reads("history", "WREN-7")

    assert wren.everything_on_file() == before


def test_a_reading_from_years_ago_promises_nothing(shop: Workshop) -> None:
    shop.has_limits("Sable 1.6", "front", *FRONT)
    shop.has_vehicle("WREN-7", "--sheet", "Sable 1.6")
    old = [(LAST - timedelta(days=ago)).isoformat() for ago in (1500, 1100)]
    shop.measures("WREN-7", "20000 km", "LF pad-in 8.4", day=old[0])
    shop.measures("WREN-7", "35000 km", "LF pad-in 5.2", day=old[1])

    text = " ".join(shop.does("history", "WREN-7").split())

    assert "the reading is too old; measure again" in text
    assert "months old. What was measured since is not on file" in text
    assert "at least" not in text.split("last read")[1].split("Front pads")[0]


def test_a_hostile_name_is_text_everywhere(shop: Workshop, tmp_path: Path) -> None:
    shop.has_limits("Sable 1.6", "front", *FRONT)
    shop.has_vehicle("WREN-7", "--description", HOSTILE, "--sheet", "Sable 1.6")
    shop.measures("WREN-7", "20000 km", "LF pad-in 8.4", day=DAYS[0])
    shop.measures("WREN-7", "35000 km", "LF pad-in 5.2", day=DAYS[1])
    target = tmp_path / "wear.svg"

    shop.does("history", "WREN-7", "--plot", str(target))
    text = shop.does("history", "WREN-7", "--draw")

    assert "<script>[/red]\ufffdTAC-1" in text
    content = target.read_text(encoding="utf-8")
    assert "<script" not in content
    assert "\u202e" not in content
    assert "<script>[/red]\ufffdTAC-1" in "".join(ElementTree.fromstring(content).itertext())
    assert shop.reads("history", "WREN-7")["vehicle"]["description"] == HOSTILE


def test_every_vehicle_of_the_sample_workshop_has_a_history_that_agrees_with_its_verdict(
    tmp_path: Path,
) -> None:
    """What the newest visit measured and did not change is told alike, to the last digit."""
    run_demo(tmp_path, date(2026, 12, 1))
    compared = 0
    with open_store(tmp_path / "demo.sqlite") as store:
        for vehicle in store.vehicles():
            visit = store.visits_of(vehicle.id)[-1]
            found = history_of(store, vehicle.tag, today=visit.day)
            verdict = judge_vehicle(found.file)

            sheet = as_text(history_sheet(found, today=visit.day, draws=True))

            assert max(len(line) for line in sheet.splitlines()) <= 80
            assert history_document(found)["places"]
            told = {
                (life.corner, life.position): life for part in verdict.parts for life in part.lives
            }
            for each in found.places:
                if each.running is not None and (each.corner, each.position) in told:
                    assert each.running.told == told[each.corner, each.position]
                    compared += 1
    assert compared > 100


def test_what_was_found_stands_above_every_distance_until_it_was_put_right(shop: Workshop) -> None:
    """A lining soaked in fluid may be thick enough for years."""
    shop.has_limits("rook", "front", *FRONT)
    shop.has_vehicle("ROOK", "--sheet", "rook")
    for odometer, lining, day in [("20000 km", "9.0", DAYS[0]), ("35000 km", "8.0", DAYS[1])]:
        shop.measures("ROOK", odometer, f"LF pad-in {lining}\nRF pad-in {lining}\n", day=day)
    found = "LF finding leak at the hose\nRF finding other part=pads rattles\n"
    shop.measures("ROOK", "50000 km", f"LF pad-in 7.0\nRF pad-in 7.0\n{found}", day=DAYS[2])

    said = " ".join(shop.does("history", "ROOK").split())
    assert "not put right, whatever distance is told below: LF pads: leak (at the hose)." in said
    assert "rattles" not in said
    assert "leak" not in shop.does("history", "ROOK", "--corner", "RF")
    wanting = {"corner": "LF", "part": "pads", "finding": "leak", "note": "at the hose"}
    assert shop.reads("history", "ROOK")["findings"] == [wanting]

    shop.measures("ROOK", "50000 km", "LF finding leak as-left fixed=yes\n", day=DAYS[2])
    assert "leak" not in shop.does("history", "ROOK")
