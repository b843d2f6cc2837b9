"""What is computed is kept whole or not at all, and a store that cannot be written says so."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from brakelog.store.opening import open_store
from tests.unit.store_examples import an_experience, fill

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and modes are those of POSIX")

KILLED = """
import os, signal, sys
from pathlib import Path
from sqlalchemy import Engine, event
from brakelog.store.opening import open_store

@event.listens_for(Engine, "after_cursor_execute")
def look(connection, cursor, statement, *rest):
    if statement.startswith("INSERT INTO derived_marks"):
        os.kill(os.getpid(), signal.SIGKILL)

with open_store(Path(sys.argv[1])) as store, store.writing():
    store.keep_lives({"v1": "new " * 100_000, "v2": "new"})
    store.keep_marks({"visits": "2"})
"""

READ_ONLY = """
import os, sys
from pathlib import Path
from brakelog.errors import StoreError
from brakelog.store.opening import open_store
from tests.unit.store_examples import an_experience

path = Path(sys.argv[1])
with open_store(path) as store:
    # All that is imported late is imported while the user may still read the program.
    store.vehicles_touched(store.evidence_marks())
path.parent.chmod(0o555)
if os.geteuid() == 0:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
with open_store(path, wait_s=0.01) as store:
    print(store.vehicles_touched(store.evidence_marks()), dict(store.due_documents()))
    for write in (
        lambda: store.keep_lives({"v1": ""}),
        lambda: store.keep_due({"v1": ""}),
        lambda: store.keep_marks({"visits": "9"}),
        lambda: store.keep_experience([an_experience()]),
    ):
        try:
            write()
        except StoreError as error:
            print(error.exit_code, error)
"""


def run(program: str, path: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", program, str(path)], capture_output=True, text=True, cwd=ROOT
    )


def test_documents_do_not_come_without_their_marks(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with open_store(path) as store:
        fill(store)
        before = sorted(store.lives_documents())
        marks = store.derived_marks()

    assert run(KILLED, path).returncode == -signal.SIGKILL
    with open_store(path) as store:
        assert sorted(store.lives_documents()) == before
        assert store.derived_marks() == marks


def test_store_that_cannot_be_written_is_read_and_says_so() -> None:
    # Not pytest's own folder, which is closed to others.
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        path = folder / "store.sqlite"
        with open_store(path) as store:
            fill(store)
        Path(f"{path}-journal").unlink()
        path.chmod(0o444)
        done = run(READ_ONLY, path)
        folder.chmod(0o755)
        with open_store(path) as store:
            assert store.experience_rows() == [an_experience(), an_experience(vehicle_class="van")]

    read, *refused = done.stdout.splitlines()
    assert read == "set() {'v1': '{\"due\": []}'}"
    assert refused == 4 * ["7 the store cannot be written: its file or its folder is read-only"], (
        done.stderr
    )
