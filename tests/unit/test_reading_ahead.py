"""A long sheet is read by a process beside the import, and says the same as read here."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import asdict
from datetime import date
from multiprocessing import active_children, popen_spawn_posix
from pathlib import Path
from typing import Any

import pytest

from brakelog.errors import BrakelogError, StoreError
from brakelog.intake.reading_row import ReadingRow
from brakelog.intake.sheet import RowRead
from brakelog.store.opening import open_store
from brakelog.workshop import reading_ahead
from brakelog.workshop.importing import import_sheet
from brakelog.workshop.reading_ahead import ROWS_AT_ONCE, pages_of
from tests.unit.store_examples import a_vehicle

HEAD = "vehicle,date,odometer,complaint,corner,quantity,values,unit,gauge,looked_over\n"
ODD = (
    "Reed,2026-03-02,62400,,LF,rotor,27.41 x 27.402,mm,,\n",
    'REED,2026-03-02,62400,"squeals, ""ä""",RF,pad-in,"9,1 8,9",mm,,\n',
    "Reed,2026-03-02,62400,,LF,,,,,yes\n",
    "Reed,2026-03-02,62400,,LF,rotor,27.41 x 27.402,mm,,\n",
    "Reed,yesterday,62400,,LF,rotor,27.41,mm,,\n",
    "Reed,2026-03-02,62400,,XX,rotor,,mm,,\n",
    "\n",
    "Reed,2026-03-02,62400,,LF,rotor,27.41,mm,,,,,too many\n",
)
VEHICLES = "tag,odometer_unit,brakes\nReed,km,disc/disc\n"
POSIX = pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")


@pytest.fixture(params=["here", "beside"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Where the sheet is read."""
    if request.param == "beside":
        beside(monkeypatch)
    return str(request.param)


def beside(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have every file read by another process, on a machine of one core too."""
    monkeypatch.setattr(reading_ahead, "LONG", 0)
    monkeypatch.setattr("os.cpu_count", lambda: 2)


def rows(count: int) -> Iterator[str]:
    """Yield rows of usual visits, the odd ones among them."""
    draw = random.Random(count)
    for number in range(count):
        if draw.random() < 0.01:
            yield draw.choice(ODD)
        corner, what = draw.choice(("LF", "RF")), draw.choice(("pad-in", "rotor"))
        day = date.fromordinal(738_000 + number // 40).isoformat()
        yield f"Reed,{day},{number // 40 + 1},,{corner},{what},8.{number},mm,,\n"


def written(path: Path, content: str | bytes) -> Path:
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def said(path: Path, kind: str | None = None) -> list[tuple[Any, ...]]:
    """Return what every row of a sheet says."""
    with path.open("rb") as stream, pages_of(stream, path.name, kind) as (found, pages):
        return [(found, *plain(each)) for page in pages for each in page]


def plain(each: RowRead[Any]) -> tuple[Any, ...]:
    return each.row and (type(each.row), asdict(each.row)), each.key, each.problems


def test_both_ways_say_the_same_row_by_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = written(tmp_path / "sheet.csv", HEAD + "".join(rows(2 * ROWS_AT_ONCE + 100)))
    here = said(sheet)
    beside(monkeypatch)

    assert said(sheet) == here
    assert len(here) > 2 * ROWS_AT_ONCE
    assert any(problems for *_, problems in here)


def test_sheets_of_other_kinds_are_read_too(way: str, tmp_path: Path) -> None:
    sheet = written(tmp_path / "sheet.csv", VEHICLES + "Wren,km,disc/drum\n")

    assert [row[0] for row in said(sheet)] == ["vehicles", "vehicles"]


@pytest.mark.parametrize(
    ("content", "refused"),
    [
        ("", "is empty"),
        ("vehicle,wheel\nReed,LF\n", "sheet.csv"),
        (HEAD, "no rows"),
        (
            HEAD + "Reed,2026-03-02,1,,LF,rotor,27.4,mm,,\n" * 9 + '"Reed',
            "cannot be read as a sheet",
        ),
        (HEAD.encode() + b"Reed,2026-03-02,1,\xff,LF,rotor,27.4,mm,,\n", "is not UTF-8 text"),
        (HEAD + "Reed,2026-03-02,1,\x00,LF,rotor,27.4,mm,,\n", "is not UTF-8 text"),
    ],
    ids=["nothing", "no columns", "no rows", "no quote", "no text", "zero byte"],
)
def test_what_is_no_sheet_is_refused_in_the_same_words(
    content: str | bytes, refused: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = written(tmp_path / "sheet.csv", content)

    def refusal() -> tuple[Any, ...]:
        with pytest.raises(BrakelogError, match=refused) as caught:
            said(sheet)
        return type(caught.value), str(caught.value), vars(caught.value)

    here = refusal()
    beside(monkeypatch)
    assert refusal() == here


def test_rows_that_say_the_same_beside_their_values_share_it_from_page_to_page(
    way: str, tmp_path: Path
) -> None:
    """What was checked of it once is known by it."""
    lines = (f"Reed,2026-03-02,1,,LF,rotor,27.{number},mm,,\n" for number in range(9_000))
    sheet = written(tmp_path / "sheet.csv", HEAD + "".join(lines))
    with sheet.open("rb") as stream, pages_of(stream, "sheet.csv", None) as (_, pages):
        shared = {each.row.beside for page in pages for each in page
                  if isinstance(each.row, ReadingRow)}  # fmt: skip

    assert len(shared) == 1


def test_what_was_shared_long_ago_is_forgotten_on_both_sides(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """More is said beside the values than is kept in mind, and some of it comes again."""
    lines = (
        f"Reed,2026-03-02,1,,L{number % 5_000 + 2},rotor,27.{number},mm,,\n"
        for number in range(14_000)
    )
    sheet = written(tmp_path / "sheet.csv", HEAD + "".join(lines))
    here = said(sheet)
    beside(monkeypatch)

    assert said(sheet) == here


def test_the_file_that_was_opened_is_read_and_not_another_one_of_its_name(
    way: str, tmp_path: Path
) -> None:
    sheet = written(tmp_path / "sheet.csv", VEHICLES)
    other = written(tmp_path / "other.csv", VEHICLES.replace("Reed", "Wren"))
    with sheet.open("rb") as stream:
        other.replace(sheet)
        with pages_of(stream, "sheet.csv", None) as (_, pages):
            (page,) = pages

    assert [each.row.tag for each in page] == ["Reed"]  # type: ignore[union-attr]


def test_no_process_is_left_where_nobody_wants_the_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    beside(monkeypatch)
    sheet = written(tmp_path / "sheet.csv", HEAD + "".join(rows(5 * ROWS_AT_ONCE)))
    with sheet.open("rb") as stream, pages_of(stream, "sheet.csv", None) as (_, pages):
        next(pages)
        assert len(active_children()) == 1

    assert active_children() == []


def test_where_the_process_beside_it_is_killed_nothing_is_put_on_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    beside(monkeypatch)
    lines = (f"Reed,2026-03-02,1,,LF,rotor,27.{number},mm,,\n" for number in range(30_000))
    sheet = written(tmp_path / "sheet.csv", HEAD + "".join(lines))
    unpacked = reading_ahead._unpacked

    def killed(*words: Any) -> Iterator[Any]:
        pages = unpacked(*words)
        yield next(pages)
        for process in active_children():
            process.kill()
        yield from pages

    monkeypatch.setattr(reading_ahead, "_unpacked", killed)
    with open_store(tmp_path / "store.sqlite") as store:
        store.add_vehicle(a_vehicle("v1", tag="Reed"))
        with (
            sheet.open("rb") as stream,
            pytest.raises(StoreError, match="was not read to its end"),
        ):
            import_sheet(store, stream, "sheet.csv", today=date(2026, 11, 20))
        assert store.visits_of("v1") == []


@pytest.mark.parametrize("why", ["no process", "no pipe", "not its name"])
def test_what_no_process_can_read_is_read_here(
    why: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Short of memory or of processes, or a descriptor that only this process has."""
    beside(monkeypatch)

    def refused(*words: Any) -> Any:
        raise BlockingIOError

    if why == "no process":
        monkeypatch.setattr(popen_spawn_posix.Popen, "__init__", refused)
    elif why == "no pipe":
        monkeypatch.setattr("multiprocessing.connection.Pipe", refused)
    sheet = written(tmp_path / "sheet.csv", VEHICLES)
    with sheet.open("rb") as stream:
        if why == "not its name":
            sheet.unlink()
        with pages_of(stream, "sheet.csv", None) as (_, pages):
            (page,) = pages

    assert [each.row.tag for each in page] == ["Reed"]  # type: ignore[union-attr]
    assert active_children() == []


def import_of(folder: Path, *, day: str, rows: int) -> list[str]:
    """Return the command that imports a sheet of one visit, as a process that tells of itself."""
    store, script = folder / "store.sqlite", written(folder / "script.py", IMPORT)
    with open_store(store) as opened:
        opened.add_vehicle(a_vehicle("v1", tag="Reed"))
    lines = (f"Reed,{day},1,,LF,rotor,27.{number},mm,,\n" for number in range(rows))
    sheet = written(folder / "sheet.csv", HEAD + "".join(lines))
    return [sys.executable, str(script), "--store", str(store), "import", str(sheet)]


@POSIX
def test_an_import_ends_where_programs_are_told_not_to_heed_a_stop(tmp_path: Path) -> None:
    done = subprocess.run(
        import_of(tmp_path, day="never", rows=30_000),
        preexec_fn=lambda: signal.signal(signal.SIGTERM, signal.SIG_IGN),
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip

    assert done.returncode == 3
    assert "1000 problems" in done.stderr
    # The helper of the interpreter comes first; what reads is started after it.
    assert [line for line in done.stderr.splitlines() if "interrupts" in line][-1] == (
        "started without interrupts"
    )


IMPORT = """
import signal
import sys
from multiprocessing import util
from pathlib import Path
from brakelog.workshop import reading_ahead
from brakelog.cli.main import main
if __name__ == "__main__":
    reading_ahead.LONG = 0
    reading_ahead.os.cpu_count = lambda: 2
    received = reading_ahead._received
    def told(*words):
        found = received(*words)
        print("a page", file=sys.stderr, flush=True)
        return found
    reading_ahead._received = told
    spawn = util.spawnv_passfds
    def spawned(*words):
        blocked = signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, [])
        print("started", "without" if blocked else "with", "interrupts", file=sys.stderr)
        return spawn(*words)
    util.spawnv_passfds = spawned
    main()
"""


@POSIX
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
def test_whatever_stops_the_import_stops_what_reads_for_it_and_neither_says_more_than_a_line(
    how: signal.Signals, tmp_path: Path
) -> None:
    """Ctrl-C reaches all programs of a terminal; a kill only the one that is meant."""
    started = subprocess.Popen(
        import_of(tmp_path, day="2026-03-02", rows=60_000),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, process_group=0,
        # What runs in the background of a shell is told to ignore it.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )  # fmt: skip
    assert started.stderr is not None
    said_so_far = iter(started.stderr.readline, "a page\n")
    assert all("interrupts" in line for line in said_so_far)
    if how is signal.SIGINT:
        os.killpg(started.pid, how)
    else:
        started.kill()
    # Both hold the pipes; they come to an end when neither is there any more.
    _, rest = started.communicate()

    told = [line for line in rest.splitlines() if line not in ("a page", "")]
    assert [line.partition(";")[0] for line in told[:1]] == ["interrupted"][: how == signal.SIGINT]
    assert len(told) == (2 if how is signal.SIGINT else 0)
    with open_store(tmp_path / "store.sqlite") as store:
        assert store.visits_of("v1") == []
