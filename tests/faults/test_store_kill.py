"""Programs are killed in the middle: nothing acknowledged is lost, and nothing is half there."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from brakelog.store.migrating import migrations_dir
from brakelog.store.opening import open_store
from brakelog.store.tables import SCHEMA_HEAD, SCHEMA_NUMBER
from tests.unit.store_examples import a_vehicle, fill

ROOT = Path(__file__).resolve().parents[2]
KILL = getattr(signal, "SIGKILL", signal.SIGTERM)

WRITER = """
import sys
from pathlib import Path
from brakelog.store.opening import open_store
from brakelog.store.tables import SCHEMA_HEAD, SCHEMA_NUMBER
from tests.unit.store_examples import a_set, a_visit

with open_store(Path(sys.argv[1])) as store:
    while True:
        id = store.new_id()
        with store.writing():
            store.add_visit(a_visit(id))
            store.add_reading_sets([a_set("set " + id, id)])
        sys.stdout.write(id + "\\n")
        sys.stdout.flush()
"""

KILLED_MAKER = """
import os, signal, sys
from pathlib import Path
from sqlalchemy import Engine, event
from brakelog.store.opening import open_store

left = int(sys.argv[2])

@event.listens_for(Engine, "after_cursor_execute")
def count(connection, cursor, statement, *rest):
    global left
    left -= 1
    at_the_end = sys.argv[2] == "0" and statement.startswith("PRAGMA foreign_key_check")
    if left == 0 or at_the_end:
        os.kill(os.getpid(), signal.SIGKILL)

open_store(Path(sys.argv[1]))
"""

KILLED_UPGRADE = """
import os, signal, sys
from pathlib import Path
from sqlalchemy import Engine, event
from brakelog.store import migrating, opening

migrating.migrations_dir = lambda: Path(sys.argv[2])
opening.SCHEMA_NUMBER += 1

@event.listens_for(Engine, "after_cursor_execute")
def look(connection, cursor, statement, *rest):
    if statement.strip().startswith(sys.argv[3]):
        os.kill(os.getpid(), signal.SIGKILL)

opening.upgrade_store(Path(sys.argv[1]))
"""

NEXT = f"""
from alembic import op

revision = "{SCHEMA_NUMBER + 1:04}"
down_revision = "{SCHEMA_HEAD}"


def upgrade():
    with op.batch_alter_table("people") as people:
        people.alter_column("role", new_column_name="duty")
    op.execute("PRAGMA user_version = {SCHEMA_NUMBER + 1}")
"""


def start(program: str, *arguments: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", program, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        text=True,
        cwd=ROOT,
    )


@pytest.mark.parametrize("seed", range(4))
def test_kill_storm(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "store.sqlite"
    with open_store(path) as store:
        store.add_vehicle(a_vehicle())
    choice = random.Random(seed)
    acknowledged: list[str] = []
    with ExitStack() as stack:
        writers = [stack.enter_context(start(WRITER, path)) for _ in range(3)]
        for writer in writers:
            assert writer.stdout is not None
            # Killed while it is about its next transactions, at no particular point.
            for _ in range(choice.randrange(1, 25)):
                acknowledged.append(writer.stdout.readline().strip())
            os.kill(writer.pid, KILL)
            acknowledged += writer.stdout.read().split()
            writer.wait()

    with open_store(path) as store:
        kept = {visit.id for visit in store.visits_of("v1")}
        sets = {one.visit_id for one in store.reading_sets_of_vehicle("v1")}
        store.add_vehicle(a_vehicle("after the storm"))
    with closing(sqlite3.connect(path)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []

    assert acknowledged
    assert "" not in acknowledged
    assert set(acknowledged) <= kept
    assert kept == sets


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
@pytest.mark.parametrize("statements", [2, 9, 25, 60, 0])
def test_half_made_store_heals_at_the_next_opening(tmp_path: Path, statements: int) -> None:
    path = tmp_path / "store.sqlite"
    with start(KILLED_MAKER, path, statements) as maker:
        maker.communicate()

    assert maker.returncode == -KILL
    with open_store(path) as store:
        store.add_vehicle(a_vehicle())
        assert store.counts()["vehicles"] == 1
    with closing(sqlite3.connect(path)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
@pytest.mark.parametrize(
    "at", ["DROP TABLE people", f"PRAGMA user_version = {SCHEMA_NUMBER + 1}", "UPDATE alembic"]
)
def test_half_done_upgrade_leaves_the_store_as_it_was(tmp_path: Path, at: str) -> None:
    path = tmp_path / "store.sqlite"
    with open_store(path) as store:
        fill(store)
        before = store.counts()
    folder = tmp_path / "migrations"
    shutil.copytree(migrations_dir(), folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / "next.py").write_text(NEXT, encoding="utf-8")
    with start(KILLED_UPGRADE, path, folder, at) as upgrade:
        upgrade.communicate()

    assert upgrade.returncode == -KILL
    for file in (path, tmp_path / f"store.sqlite.{SCHEMA_HEAD}.bak"):
        with open_store(file) as store:
            assert store.counts() == before
            assert [person.role for person in store.people()] == ["tech"]
