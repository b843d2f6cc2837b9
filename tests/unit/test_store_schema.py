from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine

from brakelog.errors import StoreError
from brakelog.store import migrating, opening, same_schema
from brakelog.store.checking import check_store
from brakelog.store.connection import make_engine
from brakelog.store.migrating import config_for, migrations_dir
from brakelog.store.opening import open_store, upgrade_store
from brakelog.store.tables import EVIDENCE, SCHEMA_HEAD, SCHEMA_NUMBER, metadata
from brakelog.store.triggers import TRIGGERS
from tests.unit.store_examples import a_set, a_visit, counted_ids, fill, ticking_clock

DUMPS = Path(__file__).resolve().parents[2] / "fixtures" / "schema"

pytestmark = pytest.mark.file


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("filled") / "store.sqlite"
    with open_store(path, clock=ticking_clock(), new_id=counted_ids()) as store:
        fill(store)
    return path


def schema_of(path: Path) -> dict[str, Any]:
    """Every table, index and trigger: columns in order, then checks and keys, sorted.

    A column that a later migration added stands with its check on one line, so texts are not
    compared.
    """
    found: dict[str, Any] = {}
    with closing(sqlite3.connect(path)) as raw:
        for kind, name, sql in raw.execute("SELECT type, name, sql FROM sqlite_schema"):
            if name.startswith("sqlite_") or name == "alembic_version":
                continue
            columns = raw.execute(f"PRAGMA table_xinfo({name})").fetchall()
            checks = sorted(re.findall(r"CONSTRAINT (\w+ CHECK .*?\)+)(?=,|$| *\n)", sql, re.M))
            keys = sorted(row[2:] for row in raw.execute(f"PRAGMA foreign_key_list({name})"))
            unique = sorted(re.findall(r"UNIQUE \(.*?\)|PRIMARY KEY \(.*?\)|STRICT|ROWID", sql))
            parts = (columns, checks, keys, unique)
            found[f"{kind} {name}"] = parts if kind == "table" else sql
    return found


def test_migrations_make_what_the_metadata_say(filled: Path, tmp_path: Path) -> None:
    path = tmp_path / "metadata.sqlite"
    engine = create_engine(f"sqlite:///{path}")
    with engine.begin() as connection:
        metadata.create_all(connection)
        for statement in TRIGGERS.values():
            connection.exec_driver_sql(statement)
    engine.dispose()

    assert schema_of(filled) == schema_of(path)


def test_alembic_finds_no_difference(filled: Path) -> None:
    from alembic import command

    engine = make_engine(filled)
    with engine.begin() as connection:
        command.check(config_for(connection))
    engine.dispose()


def test_one_head_and_the_constants_name_it(filled: Path) -> None:
    from alembic.script import ScriptDirectory

    heads = ScriptDirectory(str(migrations_dir())).get_heads()

    assert heads == [SCHEMA_HEAD]
    assert int(SCHEMA_HEAD) == SCHEMA_NUMBER


def test_every_table_is_strict_and_every_check_has_a_name(filled: Path) -> None:
    with closing(sqlite3.connect(filled)) as raw:
        tables = raw.execute("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
        loose = [name for name, strict in tables if not strict]
        texts = raw.execute("SELECT sql FROM sqlite_schema WHERE type = 'table'").fetchall()

    assert sorted(loose) == ["alembic_version", "sqlite_schema"]
    for (sql,) in texts:
        assert len(re.findall(r"\bCHECK\b", sql)) == len(
            re.findall(r"CONSTRAINT ck_\w+ CHECK", sql)
        )


def test_reading_one_vehicle_never_scans_a_table(filled: Path) -> None:
    with open_store(filled) as store:
        said: list[str] = []
        driver = store._connection.connection.driver_connection
        assert isinstance(driver, sqlite3.Connection)
        driver.set_trace_callback(said.append)
        store.vehicle("v1")
        store.visits_of("v1")
        store.reading_sets_of_vehicle("v1")
        store.findings_of_vehicle("v1")
        store.fittings_of_vehicle("v1")
        store.limits_for(store.vehicle_by_id("v1"))
        store.last_verdict("a", a_set().stage)
        store.draft_entries("a")
        driver.set_trace_callback(None)
        # One row says which schema it is; every transaction reads it.
        said = [text for text in said if "alembic_version" not in text]
        questions = [text for text in said if text.startswith("SELECT")]
        plans = [
            (row[3], text)
            for text in questions
            for row in driver.execute(f"EXPLAIN QUERY PLAN {text}")
        ]

    assert len(questions) > 10
    assert [plan for plan in plans if plan[0].startswith("SCAN") and "LIST" not in plan[0]] == []


def load(dump: Path, path: Path) -> None:
    with closing(sqlite3.connect(path)) as raw:
        raw.executescript(dump.read_text(encoding="utf-8"))


@pytest.mark.parametrize("dump", sorted(DUMPS.glob("*.sql")), ids=lambda dump: dump.stem)
def test_store_of_every_released_schema_is_upgraded_and_used(dump: Path, tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    load(dump, path)

    backup = upgrade_store(path)

    assert (backup is None) == (dump.stem == SCHEMA_HEAD)
    assert check_store(path).faults == ()
    with open_store(path) as store:
        before = store.counts()
        vehicle = store.vehicle("b xy123")
        assert [visit.complaint for visit in store.visits_of(vehicle.id)] == ["squeals"]
        assert [one.id for one in store.reading_sets_of_vehicle(vehicle.id)] == ["s1", "s3"]
        assert [limit.as_printed for limit in store.limits_for(vehicle)][:1] == [
            "22.8 mm (0.87 in)"
        ]
        assert store.shop().site == "north"
        marks = store.evidence_marks()
        store.add_visit(a_visit("later"))
        store.add_reading_sets([a_set("later", "later")])
        assert store.vehicles_touched(marks) == {vehicle.id}
        store.keep_lives({vehicle.id: "computed anew"})
        assert dict(store.lives_documents([vehicle.id])) == {vehicle.id: "computed anew"}
        after = store.counts()

    known = dump.read_text(encoding="utf-8")
    assert all(count >= 1 for table, count in before.items() if f"CREATE TABLE {table} " in known)
    assert after == before | {
        "visits": before["visits"] + 1,
        "reading_sets": before["reading_sets"] + 1,
    }


def test_newest_dump_has_the_schema_that_the_migrations_make(filled: Path, tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    load(DUMPS / f"{SCHEMA_HEAD}.sql", path)

    assert schema_of(path) == schema_of(filled)


@pytest.mark.parametrize(
    "table", [*(table.name for table in EVIDENCE), "agreement_names", "complaints", "import_keys"]
)
def test_no_program_changes_evidence(filled: Path, tmp_path: Path, table: str) -> None:
    path = shutil.copy(filled, tmp_path / "store.sqlite")
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        before = raw.execute(f"SELECT * FROM {table}").fetchall()
        columns = [row[1] for row in raw.execute(f"PRAGMA table_info({table})")]
        listed = ", ".join(f'"{column}"' for column in columns)
        key = columns[0]
        attempts = [
            f'UPDATE {table} SET "{columns[-1]}" = "{columns[-1]}"',
            f'UPDATE OR REPLACE {table} SET "{key}" = "{key}"',
            f"DELETE FROM {table}",
            f"INSERT OR REPLACE INTO {table} ({listed}) SELECT {listed} FROM {table}",
            f"INSERT INTO {table} ({listed}) SELECT {listed} FROM {table} WHERE true"
            f' ON CONFLICT ("{key}") DO UPDATE SET "{columns[-1]}" = excluded."{columns[-1]}"',
        ]
        if "id" in columns:
            others = ", ".join(f'"{name}"' for name in columns if name != "row")
            attempts.append(
                f"INSERT OR REPLACE INTO {table} ({others}) SELECT {others} FROM {table}"
            )
        for attempt in attempts:
            with pytest.raises(sqlite3.IntegrityError, match=f"{table} is append-only"):
                raw.execute(attempt)

        assert before
        assert raw.execute(f"SELECT * FROM {table}").fetchall() == before


NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "{number:04}"
down_revision = "{head}"


def upgrade() -> None:
    with op.batch_alter_table("people") as people:
        people.alter_column("role", new_column_name="duty")
    op.create_table("tyres", sa.Column("row", sa.Integer(), primary_key=True))
    op.execute("PRAGMA user_version = {number}")
    {end}
"""


def write_next(version: Path, end: str = "pass") -> None:
    text = NEXT.format(number=SCHEMA_NUMBER + 1, head=SCHEMA_HEAD, end=end)
    version.write_text(text, encoding="utf-8")


@pytest.fixture
def next_revision(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A later program, whose schema has one more revision."""
    folder = tmp_path / "migrations"
    shutil.copytree(migrations_dir(), folder, ignore=shutil.ignore_patterns("__pycache__"))
    version = folder / "versions" / "next.py"
    write_next(version)
    monkeypatch.setattr(migrating, "migrations_dir", lambda: folder)
    monkeypatch.setattr(opening, "SCHEMA_NUMBER", SCHEMA_NUMBER + 1)
    monkeypatch.setattr(same_schema, "SCHEMA_HEAD", f"{SCHEMA_NUMBER + 1:04}")
    return version


def test_upgrade_keeps_every_row_and_leaves_a_backup(
    filled: Path, tmp_path: Path, next_revision: Path
) -> None:
    path = Path(shutil.copy(filled, tmp_path / "store.sqlite"))
    with closing(sqlite3.connect(path)) as raw:
        before = list(raw.iterdump())

    backup = upgrade_store(path)

    assert backup == tmp_path / f"store.sqlite.{SCHEMA_HEAD}.bak"
    with closing(sqlite3.connect(backup)) as raw:
        assert list(raw.iterdump()) == before
        assert raw.execute("PRAGMA user_version").fetchone() == (SCHEMA_NUMBER,)
    with closing(sqlite3.connect(path)) as raw:
        assert raw.execute("SELECT duty FROM people").fetchall() == [("tech",)]
        assert raw.execute("SELECT count(*) FROM visits WHERE person_id = 'p1'").fetchone() == (1,)
        assert raw.execute("PRAGMA user_version").fetchone() == (SCHEMA_NUMBER + 1,)
    with open_store(path) as store:
        assert store.counts()["reading_sets"] == 3
    assert upgrade_store(path) is None


def test_older_backup_is_not_overwritten(filled: Path, tmp_path: Path, next_revision: Path) -> None:
    path = Path(shutil.copy(filled, tmp_path / "store.sqlite"))
    (tmp_path / f"store.sqlite.{SCHEMA_HEAD}.bak").write_text("precious", encoding="utf-8")

    assert upgrade_store(path) == tmp_path / f"store.sqlite.{SCHEMA_HEAD}.2.bak"
    assert (tmp_path / f"store.sqlite.{SCHEMA_HEAD}.bak").read_text(encoding="utf-8") == "precious"


@pytest.mark.parametrize(
    ("end", "said"),
    [
        ('op.execute("INSERT INTO nowhere VALUES (1)")', "nowhere"),
        ('op.execute("DELETE FROM people")', "point at nothing"),
    ],
)
def test_failed_upgrade_leaves_the_store_as_it_was(
    filled: Path, tmp_path: Path, next_revision: Path, end: str, said: str
) -> None:
    path = Path(shutil.copy(filled, tmp_path / "store.sqlite"))
    write_next(next_revision, end)
    with closing(sqlite3.connect(path)) as raw:
        before = list(raw.iterdump())

    with pytest.raises(StoreError, match=said):
        upgrade_store(path)

    with closing(sqlite3.connect(path)) as raw:
        assert list(raw.iterdump()) == before
        assert raw.execute("PRAGMA user_version").fetchone() == (SCHEMA_NUMBER,)
