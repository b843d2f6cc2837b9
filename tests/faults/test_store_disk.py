"""Disks that are full, and folders where nobody may write."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_vehicle, fill

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.skipif(os.name != "posix", reason="limits and modes are those of POSIX")

FULL = """
import resource, signal, sys
from pathlib import Path
from brakelog.errors import StoreError
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_set, a_visit

path = Path(sys.argv[1])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
with open_store(path) as store:
    resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + 60_000, hard))
    try:
        while True:
            id = store.new_id()
            with store.writing():
                store.add_visit(a_visit(id, complaint="x" * 500))
                store.add_reading_sets([a_set("set " + id, id)])
            print(id)
    except StoreError as error:
        print("error", error.exit_code, error, file=sys.stderr)
    assert store.vehicle("v1").id == "v1"
    resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
    store.add_visit(a_visit("after"))
    print("after")
"""

SWALLOWED = """
import resource, signal, sys
from pathlib import Path
from brakelog.errors import StoreError
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_visit

path = Path(sys.argv[1])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
with open_store(path) as store:
    # A cache of one page, so that the fault comes before the commit.
    store._connection.connection.cursor().execute("PRAGMA cache_size = 1")
    resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + 60_000, hard))
    try:
        with store.writing():
            for _ in range(2000):
                try:
                    store.add_visit(a_visit(store.new_id(), complaint="x" * 500))
                except StoreError as error:
                    first = error
                    break
        print("acknowledged")
    except StoreError as error:
        print(error)
    assert first.exit_code == 7
"""

BEHIND = """
import resource, signal, sys
from pathlib import Path
from brakelog.errors import StoreError
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_set, a_visit

path = Path(sys.argv[1])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
with open_store(path) as store:
    # A cache of one page, so that the fault comes long before the commit.
    store._connection.connection.cursor().execute("PRAGMA cache_size = 1")
    resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + 600_000, hard))
    try:
        with store.writing(), store.undivided():
            store.add_visit(a_visit("b"))
            for page in range(5):
                store.add_reading_sets([a_set(f"s{page}-{n}", "b") for n in range(2_000)])
        print("acknowledged")
    except StoreError as error:
        print("error", error.exit_code)
    resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
    store.add_visit(a_visit("after"))
    print(*[visit.id for visit in store.visits_of("v1")])
"""

READ_ONLY = """
import os, sys
from pathlib import Path
from brakelog.errors import StoreError
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_visit

path = Path(sys.argv[1])
with open_store(path) as store:
    # All that is imported late is imported while the user may still read the program.
    store.visits_of("v1")
if os.geteuid() == 0:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
with open_store(path, wait_s=0.01) as store:
    print([visit.id for visit in store.visits_of("v1")])
    try:
        store.add_visit(a_visit("b"))
    except StoreError as error:
        print(error.exit_code, error)
try:
    open_store(path.with_name("new.sqlite"))
except StoreError as error:
    print(error.exit_code, str(error).replace(str(path.parent), "FOLDER"))
"""


def run(program: str, path: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", program, str(path)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "store.sqlite"
    with open_store(path) as store:
        store.add_vehicle(a_vehicle())
    return path


def test_full_disk_loses_nothing_that_was_acknowledged(path: Path) -> None:
    done = run(FULL, path)
    acknowledged = done.stdout.split()

    assert done.stderr.startswith("error 7 the disk ")
    assert len(acknowledged) > 2
    with open_store(path) as store:
        assert [visit.id for visit in store.visits_of("v1")] == acknowledged
        assert len(store.reading_sets_of_vehicle("v1")) == len(acknowledged) - 1


def test_disk_that_gets_full_beside_the_program_leaves_nothing_of_the_transaction(
    path: Path,
) -> None:
    done = run(BEHIND, path)

    assert done.stdout.splitlines() == ["error 7", "after"]
    assert check_store(path).faults == ()
    with open_store(path) as store:
        assert store.reading_sets_of_vehicle("v1") == []


def test_fault_that_was_ignored_is_not_acknowledged_at_the_end(path: Path) -> None:
    done = run(SWALLOWED, path)

    assert "given up" in done.stdout
    with open_store(path) as store:
        assert store.visits_of("v1") == []


@pytest.fixture
def shared_folder() -> Iterator[Path]:
    """A folder that another user can reach; pytest's own are closed to others."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with open_store(folder / "store.sqlite") as store:
            fill(store)
        yield folder
        folder.chmod(0o755)


@pytest.mark.parametrize(
    ("file_mode", "keep_journal"), [(0o444, False), (0o666, False), (0o666, True)]
)
def test_store_in_a_folder_that_is_closed_for_writing_can_be_read(
    shared_folder: Path, file_mode: int, keep_journal: bool
) -> None:
    path = shared_folder / "store.sqlite"
    path.chmod(file_mode)
    journal = Path(f"{path}-journal")
    if keep_journal:
        journal.chmod(0o444)
    else:
        journal.unlink()
    shared_folder.chmod(0o555)

    done = run(READ_ONLY, path)

    # A journal that was left there and may not be written is a fault of the disk to SQLite.
    refused = (
        "7 the disk refused to read or write; nothing of this was written"
        if keep_journal
        else "7 the store cannot be written: its file or its folder is read-only"
    )
    assert done.stdout.splitlines() == [
        "['a']",
        refused,
        "7 no store can be made at FOLDER/new.sqlite: Permission denied",
    ]
