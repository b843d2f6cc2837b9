from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from itertools import pairwise
from pathlib import Path
from uuid import RFC_4122, UUID

import pytest

from brakelog.errors import StoreError, StoreOutdated, StoreTooNew
from brakelog.store.location import default_store_path
from brakelog.store.opening import _Ids, open_store, upgrade_store
from brakelog.store.tables import APPLICATION_ID, SCHEMA_NUMBER
from tests.unit.store_examples import a_visit, fill

ROOT = Path(__file__).resolve().parents[2]

pytestmark = pytest.mark.file


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("filled") / "store.sqlite"
    with open_store(path) as store:
        fill(store)
    return path


@pytest.fixture
def path(filled: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(filled, tmp_path / "store.sqlite"))


def run_sql(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        for statement in statements:
            raw.execute(statement)


def refused(path: Path) -> StoreError:
    with pytest.raises(StoreError) as caught:
        open_store(path)
    return caught.value


def test_missing_file_and_folder_become_a_store(tmp_path: Path) -> None:
    path = tmp_path / "some" / "folder" / "store.sqlite"

    with open_store(path) as store:
        assert store.vehicles() == []
        assert store.path == path


@pytest.mark.skipif(os.name != "posix", reason="file modes are those of POSIX")
def test_new_store_is_for_its_owner_only(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    open_store(path).close()

    assert path.stat().st_mode & 0o777 == 0o600


def test_empty_file_becomes_a_store(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    path.touch()

    with open_store(path) as store:
        assert store.sheets() == []


def test_database_without_tables_becomes_a_store(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    run_sql(path, "VACUUM")
    run_sql(path, "CREATE TABLE x (y)", "DROP TABLE x")

    assert path.stat().st_size > 0
    with open_store(path) as store:
        assert store.sheets() == []


def test_missing_file_is_refused_where_none_is_to_be_made(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="there is no store at"):
        open_store(tmp_path / "store.sqlite", create=False)

    assert list(tmp_path.iterdir()) == []


def test_odd_characters_in_the_path(tmp_path: Path) -> None:
    path = tmp_path / "50% off?#; mode=ro µ" / "sto:re%3F.sqlite"
    open_store(path).close()

    assert path.is_file()
    assert upgrade_store(path) is None


@pytest.mark.parametrize("content", [b"x", b"vehicle,day\n" * 400, b"\0" * 8192])
def test_other_file_is_not_a_store(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "readings.csv"
    path.write_bytes(content)

    error = refused(path)

    assert str(error) == f"{path} is not a brakelog store"
    assert error.exit_code == 7
    assert path.read_bytes() == content


def test_database_of_another_program_is_not_a_store(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    run_sql(path, "CREATE TABLE song (name)")

    assert "is not a brakelog store" in str(refused(path))
    run_sql(path, "PRAGMA application_id = 99")
    assert "is not a brakelog store" in str(refused(path))
    with pytest.raises(StoreError, match="is not a brakelog store"):
        upgrade_store(path)


def test_folder_is_not_a_store(tmp_path: Path) -> None:
    assert "is a folder" in str(refused(tmp_path))


def test_parent_that_is_a_file_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")

    assert "no store can be made at" in str(refused(tmp_path / "file" / "store.sqlite"))


def test_newer_store_is_refused(path: Path) -> None:
    run_sql(path, f"PRAGMA user_version = {SCHEMA_NUMBER + 1}")

    with pytest.raises(StoreTooNew, match="newer") as caught:
        open_store(path)

    assert caught.value.exit_code == 9
    with pytest.raises(StoreTooNew):
        upgrade_store(path)


def test_older_store_is_refused_with_the_command_that_helps(path: Path) -> None:
    run_sql(path, "PRAGMA user_version = 0")

    with pytest.raises(StoreOutdated) as caught:
        open_store(path)

    assert caught.value.hint == "brakelog store upgrade"
    assert caught.value.exit_code == 8


def test_store_at_head_needs_no_upgrade(path: Path) -> None:
    assert upgrade_store(path) is None
    assert [file.name for file in path.parent.glob("*.bak")] == []


def test_upgrade_of_nothing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="there is no store at"):
        upgrade_store(tmp_path / "store.sqlite")


def test_missing_trigger_is_damage(path: Path) -> None:
    run_sql(path, "DROP TRIGGER visits_no_update")

    assert str(refused(path)) == "the store is damaged: missing trigger visits_no_update"


def test_missing_table_is_damage(path: Path) -> None:
    run_sql(path, "DROP TABLE draft_entries")

    assert str(refused(path)) == "the store is damaged: missing table draft_entries"


@pytest.mark.parametrize("part", [0.999, 0.9, 0.5, 0.1])
def test_truncated_store_is_damage(path: Path, part: float) -> None:
    os.truncate(path, int(path.stat().st_size * part))

    assert "is damaged" in str(refused(path))


def test_zeroed_header_is_said(path: Path) -> None:
    content = path.read_bytes()
    path.write_bytes(b"\0" * 100 + content[100:])

    assert "is not a brakelog store" in str(refused(path))


def test_damage_inside_is_said(path: Path) -> None:
    content = path.read_bytes()
    with closing(sqlite3.connect(path)) as raw:
        root = raw.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'visits'").fetchone()[0]
    size = 4096
    start = (root - 1) * size
    path.write_bytes(content[:start] + b"\xff" * size + content[start + size :])

    with open_store(path) as store, pytest.raises(StoreError, match="damaged"):
        store.visits_of("v1")


def test_locked_store_says_so_and_is_usable_afterwards(path: Path) -> None:
    with (
        open_store(path, wait_s=0.01) as store,
        closing(sqlite3.connect(path, isolation_level=None)) as raw,
    ):
        raw.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="locked by another program") as caught:
            store.add_visit(a_visit("b"))
        assert caught.value.exit_code == 7
        assert caught.value.hint
        raw.execute("ROLLBACK")

        store.add_visit(a_visit("b"))

        assert store.visit("b").id == "b"


def test_wholly_locked_store_says_so_at_opening(path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("BEGIN EXCLUSIVE")
        with pytest.raises(StoreError, match="locked by another program"):
            open_store(path, wait_s=0.01)
        raw.execute("ROLLBACK")


def test_opening_and_reading_write_nothing(path: Path) -> None:
    run_sql(path, "PRAGMA journal_mode = DELETE")
    before = (path.read_bytes(), path.stat().st_mtime_ns, sorted(path.parent.iterdir()))

    with open_store(path) as store:
        assert store.vehicle("v1").id == "v1"

    assert before == (path.read_bytes(), path.stat().st_mtime_ns, sorted(path.parent.iterdir()))


def test_settings_of_the_connection(path: Path) -> None:
    with open_store(path, wait_s=12.5) as store:
        driver = store._connection.connection.cursor()
        found = {
            name: driver.execute(f"PRAGMA {name}").fetchone()[0]
            for name in (
                "journal_mode", "synchronous", "foreign_keys", "busy_timeout", "trusted_schema",
                "cell_size_check", "recursive_triggers", "application_id", "user_version",
            )
        }  # fmt: skip
        driver.close()

    assert found == {
        "journal_mode": "truncate",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 12500,
        "trusted_schema": 0,
        "cell_size_check": 1,
        "recursive_triggers": 1,
        "application_id": APPLICATION_ID,
        "user_version": SCHEMA_NUMBER,
    }


def test_opening_an_existing_store_imports_little(path: Path) -> None:
    program = (
        "import sys\nfrom pathlib import Path\n"
        "from brakelog.store.opening import open_store\n"
        "with open_store(Path(sys.argv[1])) as store: store.vehicles()\n"
        "print(sorted({'alembic', 'platformdirs', 'numpy', 'sqlalchemy.orm', 'typer'}"
        " & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(path)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )

    assert done.stdout.strip() == "[]"


def test_default_place_is_in_the_data_folder_of_the_user() -> None:
    path = default_store_path()

    assert path.is_absolute()
    assert path.parts[-2:] == ("brakelog", "store.sqlite")


def test_closed_store_says_so(path: Path) -> None:
    store = open_store(path)
    store.close()
    store.close()

    with pytest.raises(StoreError, match="closed"):
        store.vehicles()


def test_what_the_driver_of_a_server_notes_beside_its_errors_is_not_said_at_a_terminal() -> None:
    program = """
import logging
from brakelog.store.address import parse_address
from brakelog.store.postgres import make_engine
make_engine(parse_address("postgresql+psycopg://nobody@localhost/none?site=main"))
logging.getLogger("psycopg").warning("error ignored terminating a pipeline")
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)

    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_an_id_is_a_random_uuid_that_stands_behind_the_one_before_it() -> None:
    """Whoever types its first digits means one row: these differ whenever they are made."""
    makers = [_Ids(), _Ids()]
    made = [[new_id() for _ in range(1_000)] for new_id in makers]
    every = [each for ids in made for each in ids]

    assert len({each[-28:] for each in every}) == len({each[:12] for each in every}) == 2_000
    assert {(len(each), UUID(each).version, UUID(each).variant) for each in every} == {
        (32, 4, RFC_4122)
    }
    for ids in made:
        places = [int(each, 16) >> 110 for each in ids]
        assert all((after - before) % 2**18 == 1 for before, after in pairwise(places))
