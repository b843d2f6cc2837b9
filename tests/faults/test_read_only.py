"""Somebody who may not write there: a command says so in one line and leaves all as it was."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="a process is copied on POSIX systems only")

from brakelog.store.checking import check_store
from tests.faults.forked import run_forked
from tests.faults.kills import rows_of
from tests.faults.sample import CAR, run, small_store
from tests.faults.test_disk_full import COMMANDS, FULL, check_refused, files_in

NOBODY = 65534
"""The user id that stands for nobody in particular on Linux."""


def become_nobody() -> None:
    if os.geteuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)


@pytest.fixture
def closed_folder() -> Iterator[Path]:
    """A store in a folder where it can be read and not written."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        store = small_store(folder / "s.sqlite")
        for words, typed in (COMMANDS["backup"], COMMANDS["typed lines"]):
            run(store, *words, typed=typed)
        for each in (store, *folder.glob("backups/*")):
            each.chmod(0o444)
        (folder / "backups").chmod(0o555)
        (folder / "s.sqlite-journal").unlink(missing_ok=True)
        folder.chmod(0o555)
        yield folder
        folder.chmod(0o755)
        (folder / "backups").chmod(0o755)


@pytest.mark.parametrize("what", ["typed lines", "import", "backup", "restore"])
def test_command_that_may_not_write_says_so_and_does_nothing(
    closed_folder: Path, what: str
) -> None:
    store = closed_folder / "s.sqlite"
    words, typed = COMMANDS[what]
    backup = next((closed_folder / "backups").glob("*.backup"))
    words = tuple(word.format(backup=backup) for word in words)
    rows, files = rows_of(store), files_in(closed_folder)

    code, said = run_forked("--store", str(store), *words, typed=typed, before=become_nobody)

    assert code == FULL, said
    check_refused(said)
    assert rows_of(store) == rows
    assert files_in(closed_folder) == files
    assert check_store(store).faults == ()


@pytest.mark.parametrize("words", [("verdict", CAR, "--preview"), ("store", "check")])
def test_store_that_may_only_be_read_is_read(closed_folder: Path, words: tuple[str, ...]) -> None:
    store = closed_folder / "s.sqlite"
    before: Callable[[], object] = become_nobody

    code, said = run_forked("--store", str(store), *words, before=before)

    assert code == 0, said
