"""Guided entry at a real terminal, killed in the middle: what was acknowledged is on file."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from brakelog.store.opening import open_store

pty = pytest.importorskip("pty", reason="a pseudo-terminal needs a POSIX system")
_START = "from brakelog.cli.main import main; main()"
GIVE_UP_S = 60
"""So that a program that says nothing fails the test instead of holding it."""


class Terminal:
    """The program at a pseudo-terminal."""

    def __init__(self, *words: str) -> None:
        self._near, far = pty.openpty()
        self._program = subprocess.Popen(
            [sys.executable, "-c", _START, *words], stdin=far, stdout=far, stderr=far
        )
        os.close(far)
        self.shown = ""
        self._read_to = 0

    def wait_for(self, text: str) -> None:
        """Read until the text is shown, behind what was waited for before."""
        while (found := self.shown.find(text, self._read_to)) < 0:
            ready, _, _ = select.select([self._near], [], [], GIVE_UP_S)
            assert ready, f"no {text!r} in:\n{self.shown}"
            try:
                self.shown += os.read(self._near, 4096).decode()
            except OSError as ended:
                raise AssertionError(f"ended before {text!r}:\n{self.shown}") from ended
        self._read_to = found + len(text)

    def type(self, text: str) -> None:
        """Type a line."""
        os.write(self._near, f"{text}\n".encode())

    def kill(self) -> None:
        """Kill the program at once."""
        self._program.send_signal(signal.SIGKILL)
        self._program.wait()
        os.close(self._near)


@pytest.fixture
def store(tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite"
    for words in (
        ["vehicle", "add", "CAR-1"],
        ["gauge", "add", "M1", "--kind", "micrometer", "--unit", "mm", "--resolution", "0.001 mm",
         "--for", "rotor pads"],
    ):  # fmt: skip
        subprocess.run([sys.executable, "-c", _START, "--store", str(path), *words], check=True)
    return path


@pytest.mark.parametrize("numbers", [1, 4, 5, 13])
def test_every_number_that_was_echoed_survives_a_kill(store: Path, numbers: int) -> None:
    typed = ["3.2", "3.0", "3.5", "3.4", *(f"27.40{n}" for n in range(1, 10))][:numbers]
    terminal = Terminal("--store", str(store), "measure", "CAR-1", "--odometer", "62400 km")
    terminal.wait_for("inner pad leading end")
    for number in typed:
        terminal.type(number)
        # The next question is asked only after the answer before it is on disk.
        terminal.wait_for(" in\r\n")
        terminal.wait_for("]: ")
    terminal.kill()

    with open_store(store) as opened:
        (visit,) = opened.visits_of(opened.vehicle("CAR-1").id)
        assert [entry.typed for entry in opened.draft_entries(visit.id)] == typed


def test_interrupted_visit_is_taken_up_where_it_stopped(store: Path) -> None:
    terminal = Terminal("--store", str(store), "measure", "CAR-1", "--odometer", "62400 km")
    terminal.wait_for("inner pad leading end")
    terminal.type("3.2")
    terminal.wait_for("inner pad trailing end")
    terminal.kill()

    again = Terminal("--store", str(store), "measure", "CAR-1")
    again.wait_for("going on after 1 answer")
    again.wait_for("inner pad trailing end")
    again.type("-")
    again.wait_for("inner pad leading end")
    again.type("3.3")
    again.wait_for("inner pad trailing end")
    again.kill()

    with open_store(store) as opened:
        (visit,) = opened.visits_of(opened.vehicle("CAR-1").id)
        assert [entry.typed for entry in opened.draft_entries(visit.id)] == ["3.3"]


def test_draft_is_never_judged_and_is_said_to_be_open(store: Path) -> None:
    terminal = Terminal("--store", str(store), "measure", "CAR-1", "--odometer", "62400 km")
    terminal.wait_for("inner pad leading end")
    terminal.type("3.2")
    terminal.wait_for("inner pad trailing end")
    terminal.kill()

    done = subprocess.run(
        [sys.executable, "-c", _START, "--store", str(store), "verdict", "CAR-1"],
        capture_output=True, text=True, encoding="utf-8", check=True,
    )  # fmt: skip
    assert "Entry is not finished: 1 answer not filed yet" in done.stdout
    assert "3.2" not in done.stdout
