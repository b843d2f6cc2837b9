"""Two versions of the program and one store: nothing is ever mixed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from brakelog.cli.main import build
from brakelog.errors import StoreTooNew
from brakelog.store.opening import open_store
from brakelog.store.tables import SCHEMA_NUMBER
from tests.unit.store_examples import a_visit, fill

SCHEMAS = Path(__file__).resolve().parents[2] / "fixtures" / "schema"
OLDER = sorted(SCHEMAS.glob("*.sql"))[:-1]
REFUSED = (
    ("measure", "v1", "--odometer", "9 km"),
    ("verdict", "v1"),
    ("verdict", "--all", "--json"),
    ("history", "v1"),
    ("due",),
    ("finish", "v1"),
    ("summary", "v1"),
    ("vehicle", "add", "v9"),
    ("vehicle", "list"),
    ("limits", "list"),
    ("gauge", "list"),
    ("people", "list"),
    ("shop", "show"),
    ("store", "where"),
    ("store", "journal"),
)
"""One command of every kind that opens a store."""
ALLOWED = ("check", "backup")


def tries(store: Path, *words: str) -> Result:
    return CliRunner().invoke(build(words[0]), ["--store", str(store), *words], input="")


@pytest.fixture(params=OLDER, ids=lambda dump: dump.stem)
def older(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite"
    with closing(sqlite3.connect(path)) as raw:
        raw.executescript(request.param.read_text(encoding="utf-8"))
    return path


@pytest.fixture
def newer(tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite"
    with open_store(path) as store:
        fill(store)
    raise_schema(path)
    return path


def raise_schema(path: Path) -> None:
    """Do what a later program's upgrade would do."""
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("ALTER TABLE visits ADD COLUMN weather TEXT")
        raw.execute(f"UPDATE alembic_version SET version_num = '{SCHEMA_NUMBER + 1:04}'")
        raw.execute(f"PRAGMA user_version = {SCHEMA_NUMBER + 1}")
        raw.commit()


def test_older_store_is_refused_untouched_by_every_command_that_opens_it(older: Path) -> None:
    content = older.read_bytes()

    codes = {words: tries(older, *words).exit_code for words in REFUSED}

    assert codes == dict.fromkeys(REFUSED, 8)
    assert older.read_bytes() == content


def test_newer_store_is_refused_untouched_by_every_command_that_opens_it(newer: Path) -> None:
    content = newer.read_bytes()

    codes = {words: tries(newer, *words).exit_code for words in (*REFUSED, ("store", "upgrade"))}

    assert codes == dict.fromkeys((*REFUSED, ("store", "upgrade")), 9)
    assert newer.read_bytes() == content


@pytest.mark.parametrize("word", ALLOWED)
def test_store_of_another_version_can_be_checked_and_backed_up(
    older: Path, word: str, tmp_path: Path
) -> None:
    for store in (older, _newer_beside(tmp_path)):
        content = store.read_bytes()

        done = tries(store, "store", word)

        assert done.exit_code == 0, done.output
        assert store.read_bytes() == content


def _newer_beside(tmp_path: Path) -> Path:
    path = tmp_path / "newer.sqlite"
    with open_store(path) as store:
        fill(store)
    raise_schema(path)
    return path


def test_backup_of_a_newer_store_is_not_put_in_the_place_of_one(newer: Path) -> None:
    assert tries(newer, "store", "backup").exit_code == 0
    (backup,) = (newer.parent / "backups").glob("*.backup")
    mine = newer.with_name("mine.sqlite")
    with open_store(mine) as store:
        fill(store)
    content = mine.read_bytes()

    assert tries(mine, "store", "restore", str(backup)).exit_code == 9
    assert mine.read_bytes() == content


def test_program_that_has_a_store_open_neither_writes_nor_reads_it_once_it_is_upgraded(
    tmp_path: Path,
) -> None:
    path = tmp_path / "s.sqlite"
    with open_store(path) as store:
        fill(store)
        raise_schema(path)
        with pytest.raises(StoreTooNew, match="meanwhile"):
            store.add_visit(a_visit("mixed"))
        with pytest.raises(StoreTooNew, match="meanwhile"):
            store.visits_of("v1")

    with closing(sqlite3.connect(path)) as raw:
        assert raw.execute("SELECT count(*) FROM visits WHERE id = 'mixed'").fetchone() == (0,)
