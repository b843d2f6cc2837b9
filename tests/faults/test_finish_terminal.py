"""Finishing a job at a real terminal: asked in the order of the hand, kept answer by answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.store.opening import open_store
from tests.faults.test_guided_kill import Terminal

_FOUND = "".join(
    f"{corner} rotor 27.40 27.41 27.40 27.41 lip=no\n{corner} pad-in 3.2 3.0\n"
    f"{corner} pad-out 3.5 3.4\n"
    for corner in ("LF", "RF")
)
_LEFT = "LF runout 0.03 nuts=5/5 bearing=ok\nRF runout 0.03 nuts=5/5 bearing=ok\n"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """New front pads, runout read as left; nothing closed."""
    path = tmp_path / "s.sqlite"
    day = ("--date", "2026-01-10")
    limit, source = ("limits", "add", "S", "front"), ("--source", "page 4")
    for words, typed in (
        (["people", "add", "AM", "A. Mirren"], ""),
        (["limits", "sheet", "S"], ""),
        ([*limit, "rotor-discard", "26.0 mm", *source, "--out-when", "at-or-below"], ""),
        ([*limit, "pad-minimum", "2.0 mm", *source, "--out-when", "below"], ""),
        (["vehicle", "add", "CAR-1", "--brakes", "disc", "--sheet", "S"], ""),
        (["measure", "CAR-1", "--odometer", "62400 km", "--unit", "mm", *day], _FOUND),
        (["fit", "CAR-1", "LF", "pads", "new", "--size", "11 mm", *day], ""),
        (["fit", "CAR-1", "RF", "pads", "new", "--size", "11 mm", *day], ""),
        (["finish", "CAR-1", "--unit", "mm"], _LEFT),
    ):
        result = CliRunner().invoke(build(), ["--store", str(path), *words], input=typed)
        assert result.exit_code == 0, result.output
    return path


@pytest.fixture
def terminal_with(store: Path) -> Iterator[Callable[[], Terminal]]:
    """Starts the command at a terminal; whatever is left running is killed."""
    started: list[Terminal] = []

    def start() -> Terminal:
        started.append(Terminal("--store", str(store), "finish", "CAR-1", "--by", "AM"))
        return started[-1]

    yield start
    for each in started:
        if each._program.poll() is None:
            each.kill()


def said_in(store: Path) -> list[tuple[str, str]]:
    with open_store(store) as opened:
        (visit,) = opened.visits_of(opened.vehicle("CAR-1").id)
        return [(a.check.value, a.said) for a in opened.closing_answers_of(visit.id)]


def torques_in(store: Path) -> list[tuple[str, str]]:
    with open_store(store) as opened:
        (visit,) = opened.visits_of(opened.vehicle("CAR-1").id)
        return [(each.fastener, each.figure) for each in opened.torques_left_of(visit.id)]


def test_only_what_is_open_is_asked_and_the_pedal_comes_last_before_the_drive(
    store: Path, terminal_with: Callable[[], Terminal]
) -> None:
    terminal = terminal_with()
    terminal.wait_for("Wear sensor connected")
    terminal.type("not fitted")
    terminal.wait_for("Caliper on a hook, never on its hose")
    terminal.wait_for("torque [N·m]: ")
    terminal.type("28")
    terminal.wait_for("in the order 1-3-5-2-4")
    terminal.wait_for("torque [N·m]: ")
    terminal.type("81 lb ft")
    for question, answer in (
        ("tightened crosswise in two steps", "y"),
        ("Fluid level?", "between"),
        ("Pedal pumped until firm?", "y"),
        ("Road test", "y"),
        ("Odometer out", "62404"),
        ("After the drive: no leak", "y"),
        ("Brake lamps and codes clear", "y"),
        ("Bedding-in", "shop"),
    ):
        terminal.wait_for(question)
        terminal.wait_for(": ")
        terminal.type(answer)
    terminal.wait_for("NOT FINISHED: 1 thing open")
    terminal.wait_for("No agreement on record")

    assert torques_in(store) == [("caliper", "28 N·m"), ("wheel", "81 lb ft")]
    assert ("pedal-firm", "yes") in said_in(store)


def test_nothing_is_asked_that_has_to_be_driven_for_while_the_pedal_is_open(
    store: Path, terminal_with: Callable[[], Terminal]
) -> None:
    terminal = terminal_with()
    for question, answer in (
        ("Wear sensor connected", "y"),
        ("caliper fasteners", "untouched"),
        ("wheel fasteners", "110"),
        ("tightened crosswise", "y"),
        ("Fluid level?", "between"),
        ("Pedal pumped until firm?", "n"),
    ):
        terminal.wait_for(question)
        terminal.wait_for(": ")
        terminal.type(answer)
    terminal.wait_for("do not move the vehicle")
    terminal.wait_for("Bedding-in")
    terminal.type("stop")
    terminal.wait_for("Pedal not confirmed: do not move the vehicle.")
    terminal.wait_for("NOT FINISHED")
    assert "Road test: no pull" not in terminal.shown.partition("Pedal not confirmed")[0]

    assert said_in(store)[-1] == ("pedal-firm", "no")


def test_an_answer_that_was_acknowledged_survives_a_kill_and_is_not_asked_again(
    store: Path, terminal_with: Callable[[], Terminal]
) -> None:
    terminal = terminal_with()
    terminal.wait_for("Wear sensor connected")
    terminal.type("perhaps")
    terminal.wait_for("does not answer wear-sensor")
    terminal.type("y")
    terminal.wait_for("kept")
    terminal.wait_for("caliper fasteners")
    terminal.kill()
    assert said_in(store) == [("wear-sensor", "yes")]

    again = terminal_with()
    again.wait_for("caliper fasteners")
    assert "Wear sensor connected" not in again.shown
    again.type("28")
    again.wait_for("wheel fasteners")
    again.type("-")
    again.wait_for("taken back")
    again.wait_for("caliper fasteners")
    again.type("35")
    again.wait_for("wheel fasteners")

    assert torques_in(store) == [
        ("caliper", "28 N·m"),
        ("caliper", "not said"),
        ("caliper", "35 N·m"),
    ]
