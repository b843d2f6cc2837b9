"""A disk that is full in the middle of a command: nothing acknowledged is lost, nothing is left."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="a process is copied on POSIX systems only")

from brakelog.store.checking import check_store
from tests.faults.forked import Forked, run_forked
from tests.faults.kills import FROZEN, answered, frozen, kept_of, rows_of
from tests.faults.sample import CAR, lines_of, run, small_store

DEMO = FROZEN[0].parents[1] / "demo"
LINES = ("measure", CAR, "--odometer", "64000 km", "--unit", "mm", "--date", "2026-11-28")
COMMANDS = {
    "typed lines": (LINES, lines_of("LF", "RF")),
    "import": (("import", str(DEMO / "limits.csv")), ""),
    "backup": (("store", "backup"), ""),
    "upgrade": (("store", "upgrade"), ""),
    "restore": (("store", "restore", "{backup}"), ""),
}
FULL = 7
DISK = 6_000_000
"""Size of the disk that is made. [bytes]"""


def store_for(what: str, folder: Path) -> Path:
    """Return the store that a command is tried on; a backup of another one beside it."""
    store = folder / "s.sqlite"
    if what == "upgrade":
        return frozen(FROZEN[-2], store)
    small_store(store)
    if what == "restore":
        run(store, "import", str(DEMO / "limits.csv"))
        run(store, "store", "backup", "--to", str(folder / "other"))
        run(store, "vehicle", "add", "LATER-1")
    return store


def words_for(what: str, folder: Path) -> tuple[tuple[str, ...], str]:
    words, typed = COMMANDS[what]
    backup = next(iter((folder / "other").glob("*.backup")), Path())
    return tuple(word.format(backup=backup) for word in words), typed


def files_in(folder: Path) -> list[str]:
    """Return what is in a folder; an empty journal belongs to every store."""
    return sorted(
        str(each.relative_to(folder))
        for each in folder.rglob("*")
        if each.is_file() and not (each.name.endswith("-journal") and not each.stat().st_size)
    )


def check_refused(said: str) -> None:
    """It says one thing that is wrong, and nothing of what it had put on file before."""
    lines = said.splitlines()
    assert [line for line in lines if line.startswith("error: ")] == lines[:1], said
    assert all(line.startswith("hint: ") for line in lines[1:]), said


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A small disk of its own."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = ["mount", "-t", "tmpfs", "-o", f"size={DISK}", "none", str(place)]
    if shutil.which("mount") is None or subprocess.run(mounted, capture_output=True).returncode:
        pytest.skip("no disk can be mounted here: that takes an administrator")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def fill(disk: Path, room: int) -> Path:
    """Fill a disk but for so many bytes."""
    ballast = disk / "ballast"
    free = os.statvfs(disk)
    ballast.write_bytes(b"\1" * max(0, free.f_bavail * free.f_frsize - room))
    return ballast


@pytest.mark.parametrize("room", [0, 40_960, 250_000])
@pytest.mark.parametrize("what", COMMANDS)
def test_command_on_a_full_disk_says_so_and_does_nothing(disk: Path, what: str, room: int) -> None:
    store = store_for(what, disk)
    words, typed = words_for(what, disk)
    rows, files = rows_of(store), files_in(disk)
    ballast = fill(disk, room)

    code, said = run_forked("--store", str(store), *words, typed=typed)
    ballast.unlink()

    assert room or code == FULL
    if code:
        assert code == FULL, said
        check_refused(said)
        assert rows_of(store) == rows
        assert files_in(disk) == files
        run(store, *words, typed=typed)
    assert check_store(store).faults == ()


def limited(size: int) -> Callable[[], object]:
    """Return what keeps every file of a process below a size."""
    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))


@pytest.mark.parametrize("what", COMMANDS)
def test_command_that_may_write_no_large_file_says_so_and_does_nothing(
    tmp_path: Path, what: str
) -> None:
    store = store_for(what, tmp_path)
    words, typed = words_for(what, tmp_path)
    rows, files = rows_of(store), files_in(tmp_path)
    # Above the journal's first page, below the store.
    size = store.stat().st_size // 4

    code, said = run_forked("--store", str(store), *words, typed=typed, before=limited(size))

    assert code == FULL, said
    check_refused(said)
    assert rows_of(store) == rows
    assert files_in(tmp_path) == files
    assert check_store(store).faults == ()
    run(store, *words, typed=typed)


def test_answers_before_the_disk_was_full_are_kept(disk: Path) -> None:
    store = small_store(disk / "s.sqlite")
    words = ("measure", CAR, "--odometer", "64000 km", "--date", "2026-11-28", "--unit", "mm")
    with Forked("--store", str(store), *words, at_terminal=True) as program:
        program.let_go()
        for answer in ("3.2", "3.0", "3.5"):
            program.wait_for("end")
            program.wait_for(": ")
            program.type(answer)
        program.wait_for("end")
        program.wait_for(": ")
        fill(disk, 0)
        program.type("3.4")
        said = program.read_all()
    (disk / "ballast").unlink()

    assert program.end() == FULL, said
    assert "nothing of this was written" in said
    assert answered(said) == 3
    assert kept_of(store) == ["3.2", "3.0", "3.5"]
    assert check_store(store).faults == ()
