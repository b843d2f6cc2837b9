"""What a command says is on file is on the disk: seen in the order of its system calls."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="a process is copied and traced on POSIX systems only")

from brakelog.store import connection
from tests.faults.forked import Forked, Traced, can_trace
from tests.faults.sample import lines_of, run, small_store
from tests.faults.syscalls import Step, split_thread, steps_in, unsynced_when_said, without_repeats

SCHEMAS = Path(__file__).resolve().parents[2] / "fixtures" / "schema"
DAY = ("--date", "2026-11-27")


@pytest.fixture(scope="module")
def is_traceable() -> None:
    """Skip where no process may be traced; in CI that is a fault, or nothing would be proved."""
    if can_trace():
        return
    if os.environ.get("CI") == "true":
        pytest.fail("system calls cannot be traced: strace is missing, or ptrace is forbidden")
    pytest.skip("system calls cannot be traced here: strace is missing, or ptrace is forbidden")


@pytest.fixture
def store(is_traceable: None, tmp_path: Path) -> Path:
    return small_store(tmp_path / "shop" / "s.sqlite")


def steps_of(store: Path, *words: str, typed: str = "", code: int = 0) -> list[Step]:
    """Run a command, and return what it did to files and said, in order."""
    with Forked("--store", str(store), *words, typed=typed.encode()) as program:
        traced = Traced(program)
        program.let_go()
        said = program.read_all()
        lines = traced.lines()
    assert program.end() == code, said
    return list(steps_in(lines))


ONE_COMMIT = [
    ("write", "s.sqlite-journal"),
    ("sync", "s.sqlite-journal"),
    ("write", "s.sqlite-journal"),
    ("sync", "s.sqlite-journal"),
    ("write", "s.sqlite"),
    ("sync", "s.sqlite"),
    ("truncate", "s.sqlite-journal"),
    ("sync", "s.sqlite-journal"),
    ("say", ""),
]
"""What was there before is on the disk, then the pages are, then the journal is empty on the disk;
only then anything is said."""


def without_folder(steps: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    return [step for step in steps if step != ("sync", "folder")]


@pytest.mark.parametrize(
    ("words", "typed"),
    [
        (["measure", "CURLEW-1", "--unit", "mm", *DAY], lines_of("RF")),
        (["vehicle", "add", "CURLEW-2", "--brakes", "disc"], ""),
        (["finish", "CURLEW-1", "--unit", "mm"], "LF runout 0.03 nuts=5/5 bearing=ok\n"),
        (["fit", "CURLEW-1", "RF", "pads", "new", "--size", "11 mm", *DAY], ""),
        (["people", "add", "JO", "Jora Ostin"], ""),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else "",
)
def test_nothing_is_said_before_pages_and_emptied_journal_are_on_the_disk(
    store: Path, words: list[str], typed: str
) -> None:
    steps = steps_of(store, *words, typed=typed)

    assert without_folder(without_repeats(steps, store.parent)) == ONE_COMMIT


def test_sheet_is_on_the_disk_when_its_line_is_said(store: Path) -> None:
    sheets = SCHEMAS.parent / "demo"
    words = [str(sheets / f"{kind}.csv") for kind in ("limits", "vehicles")]

    steps = steps_of(store, "import", *words)

    assert sum(step.what == "say" for step in steps) == 2
    assert unsynced_when_said(steps, store.parent) == []
    kinds = without_folder(without_repeats(steps, store.parent))
    assert kinds == 2 * ONE_COMMIT


def test_pages_that_a_thread_writes_before_the_end_are_on_the_disk_when_the_sheet_is_said(
    store: Path,
) -> None:
    head = "vehicle,date,odometer,corner,quantity,values,unit\n"
    rows = [f"CURLEW-1,2026-11-20,62100,RF,pad-in,{n / 1000:.3f},mm\n" for n in range(1, 9_000)]
    sheet = store.parent / "readings.csv"
    sheet.write_text(head + "".join(rows), encoding="utf-8")

    def little_room() -> None:
        connection.PAGES_HELD_KIB = 100

    words = ("--store", str(store), "import", str(sheet))
    with Forked(*words, before=little_room) as program:
        traced = Traced(program)
        program.let_go()
        said = program.read_all()
        lines = traced.lines()
    assert program.end() == 0, said

    threads = {split_thread(line)[0] for line in lines if str(store) in line}
    assert len(threads) > 1, "no page was written beside the program"
    steps = list(steps_in(lines))
    assert unsynced_when_said(steps, store.parent) == []
    assert sum(step.what == "say" for step in steps) == 1
    # The journal is on the disk before the first page is written over.
    kinds = without_folder(without_repeats(steps, store.parent))
    page = kinds.index(("write", "s.sqlite"))
    assert ("sync", "s.sqlite-journal") in kinds[:page]
    assert kinds[-4:] == ONE_COMMIT[-4:] or kinds[-5:-1] == ONE_COMMIT[-5:-1]


def test_every_answer_at_a_terminal_is_on_the_disk_before_the_next_question(store: Path) -> None:
    words = ("measure", "CURLEW-1", "--odometer", "63000 km", "--date", "2026-11-28")
    with Forked("--store", str(store), *words, "--unit", "mm", at_terminal=True) as program:
        traced = Traced(program)
        program.let_go()
        for answer in ("3.2", "3.0", "3.5", "stop"):
            program.wait_for("end")
            program.wait_for(": ")
            program.type(answer)
        program.read_all()
    steps = list(steps_in(traced.lines()))

    assert unsynced_when_said(steps, store.parent) == []
    commits = sum(step.what == "truncate" for step in steps)
    # The visit, and each of the answers.
    assert commits == 4


def test_new_store_and_its_name_are_on_the_disk_when_a_command_says_so(store: Path) -> None:
    new = store.parent / "new" / "s.sqlite"

    steps = steps_of(new, "vehicle", "add", "CURLEW-1", "--brakes", "disc")

    assert unsynced_when_said(steps, store.parent) == []
    synced = [step.path for step in steps if step.what == "sync"]
    assert str(new.parent) in synced
    assert str(new.parent.parent) in synced


def test_backup_is_on_the_disk_before_it_has_its_name_and_the_name_before_it_is_told(
    store: Path,
) -> None:
    steps = steps_of(store, "store", "backup")

    (named,) = (n for n, step in enumerate(steps) if step.what == "name")
    scratch, backup = steps[named].path, steps[named].new
    assert backup.endswith(".backup")
    assert Step("write", backup) not in steps
    last = max(n for n, step in enumerate(steps) if step.what == "write" and step.path == scratch)
    assert Step("sync", scratch) in steps[last:named]
    assert Step("sync", str(Path(backup).parent)) in steps[named:]
    assert unsynced_when_said(steps, store.parent) == []
    assert steps[-1].what == "say" or steps[-2].what == "say"


@pytest.mark.parametrize("before", ["sound", "no database", "nothing"])
def test_restored_store_is_on_the_disk_when_a_command_says_so(store: Path, before: str) -> None:
    run(store, "store", "backup")
    (backup,) = (store.parent / "backups").iterdir()
    if before == "no database":
        store.write_bytes(b"no database at all" * 1000)
    elif before == "nothing":
        store.unlink()

    steps = steps_of(store, "store", "restore", str(backup))

    assert any(step.what == "write" and step.path.startswith(str(store.parent)) for step in steps)
    assert any(step.what == "say" for step in steps)
    assert unsynced_when_said(steps, store.parent) == []


def test_copy_is_on_the_disk_before_an_upgrade_changes_anything(
    is_traceable: None, tmp_path: Path
) -> None:
    store = tmp_path / "s.sqlite"
    with closing(sqlite3.connect(store)) as raw:
        raw.executescript((SCHEMAS / "0003.sql").read_text(encoding="utf-8"))
    run(tmp_path / "other.sqlite", "store", "where")

    steps = steps_of(store, "store", "upgrade")

    kinds = [(step.what, step.new or step.path) for step in steps]
    named = kinds.index(("name", f"{store}.0003.bak"))
    assert ("sync", str(tmp_path)) in kinds[named:]
    assert kinds.index(("write", str(store))) > kinds.index(("sync", str(tmp_path)), named)
    assert unsynced_when_said(steps, tmp_path) == []
