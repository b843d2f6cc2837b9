"""``brakelog store check`` names what is wrong with a store."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from brakelog.errors import StoreError
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_set, fill


@pytest.fixture
def filled(tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite"
    with open_store(path) as store:
        fill(store)
        store.add_reading_sets([a_set("again", gauge_id="g1", again_nm=1, again_typed="1 nm")])
    return path


def test_sound_store_has_no_faults(filled: Path) -> None:
    assert check_store(filled).faults == ()


def test_settings_make_what_is_acknowledged_durable(filled: Path) -> None:
    assert check_store(filled).settings == {"journal_mode": "truncate", "synchronous": "full"}


def test_row_that_points_nowhere_is_named(filled: Path) -> None:
    with closing(sqlite3.connect(filled)) as raw:
        raw.execute("UPDATE customers SET id = 'gone'")
        raw.commit()

    assert any("vehicle_identities" in fault for fault in check_store(filled).faults)


@pytest.mark.parametrize("share", [0.9, 0.5, 0.1])
def test_truncated_store_is_never_called_sound(filled: Path, share: float) -> None:
    content = filled.read_bytes()
    filled.write_bytes(content[: int(len(content) * share)])
    try:
        faults = check_store(filled).faults
    except StoreError:
        return

    assert faults


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ("UPDATE reading_sets SET values_nm = '[28000000]' WHERE id = 's1'", "reading_sets: s1"),
        ("UPDATE limits SET nm_1 = nm_1 - 1000000", "limits: "),
        ("UPDATE gauges SET error_limit_nm = 1", "gauges: g1"),
        ("UPDATE customers SET name = 'another'", "customers: "),
        ("UPDATE derived_lives SET document = 'another'", "derived_lives: "),
        ("DELETE FROM findings WHERE id = 'f1'", "findings: 1 of"),
        ("UPDATE chain_heads SET link = 'abc'", "chain of north"),
        ("UPDATE row_tallies SET entries = 9 WHERE kind = 'limits'", "limits: "),
        ("UPDATE import_keys SET key = 'sheet.csv:3'", "import_keys: the rows of reading set"),
        ("UPDATE import_keys SET target_id = 's2'", "import_keys: the rows of reading set"),
        ("UPDATE import_keys SET kind = 'readings'", "import_keys: 1 of 1 rows of reading set"),
        ("DELETE FROM import_keys", "import_keys: 1 of 1 rows of reading set"),
        ("INSERT INTO import_keys VALUES ('k', 'reading set', 's2')", "import_keys: 1 rows of"),
        ("DELETE FROM row_tallies WHERE kind = 'repeats'", "reading_sets: no tally was kept"),
        ("UPDATE row_tallies SET total = 'f' WHERE kind = 'repeats'", "reading_sets: the rows of"),
        ("DELETE FROM row_tallies WHERE kind = 'schema'", "it is not kept what its tables"),
    ],
)
def test_what_was_changed_behind_the_programs_back_is_named(
    filled: Path, change: str, named: str
) -> None:
    without_triggers(filled, change)

    faults = check_store(filled).faults

    assert any(fault.startswith(named) for fault in faults), faults


def test_trigger_that_was_taken_away_is_named(filled: Path) -> None:
    with closing(sqlite3.connect(filled)) as raw:
        raw.execute("DROP TRIGGER limits_no_update")
        raw.execute("CREATE TRIGGER own AFTER INSERT ON visits BEGIN SELECT 1; END")
        raw.commit()

    faults = check_store(filled).faults

    assert "missing trigger limits_no_update" in faults
    assert "a trigger that is not the program's: own" in faults


@pytest.mark.parametrize(
    ("was", "now", "kind", "name"),
    [
        ("size_nm >= 0", "size_nm >= 1", "table", "fittings"),
        ("again_nm IS NOT", "unit IS NOT", "index", "ix_reading_sets_repeats"),
    ],
)
def test_statement_that_a_table_was_made_by_is_named_where_it_was_changed(
    filled: Path, was: str, now: str, kind: str, name: str
) -> None:
    with closing(sqlite3.connect(filled)) as raw:
        raw.execute("PRAGMA writable_schema = ON")
        asked = "UPDATE sqlite_schema SET sql = replace(sql, ?, ?) WHERE name = ? AND sql LIKE ?"
        assert raw.execute(asked, (was, now, name, f"%{was}%")).rowcount == 1
        raw.commit()

    assert f"{kind} {name} was changed" in check_store(filled).faults


def test_index_that_was_taken_away_is_named(filled: Path) -> None:
    with closing(sqlite3.connect(filled)) as raw:
        raw.execute("DROP INDEX ix_limits_replaces")
        raw.commit()

    assert check_store(filled).faults == ("missing index ix_limits_replaces",)


def test_store_stays_sound_when_the_room_that_holds_nothing_is_given_back(filled: Path) -> None:
    with closing(sqlite3.connect(filled)) as raw:
        raw.execute("VACUUM")

    assert check_store(filled).faults == ()


def without_triggers(path: Path, change: str) -> None:
    """Change a store as somebody would who knows SQL and covers his tracks."""
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        kept = raw.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for name, _ in kept:
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute(change)
        for _, sql in kept:
            raw.execute(sql)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE reading_sets SET values_nm = '[28000000]' WHERE id = 's1'",
        "DELETE FROM findings WHERE id = 'f1'",
        "UPDATE limits SET nm_1 = nm_1 - 1000000",
        "DELETE FROM corrections WHERE kind = 'amend'",
        "UPDATE gauges SET resolution_nm = 1",
        "UPDATE reading_sets SET visit_id = 'b' WHERE visit_id = 'a'",
        "UPDATE shop_settings SET value = '0.5'",
    ],
)
def test_nothing_is_judged_on_a_record_that_was_changed(filled: Path, change: str) -> None:
    with open_store(filled) as store:
        vehicle = store.vehicle("v1")
        store.need_intact([vehicle.id])
    without_triggers(filled, change)

    with (
        open_store(filled) as store,
        pytest.raises(StoreError, match="changed outside of the program"),
    ):
        store.need_intact([vehicle.id])


def test_vehicle_is_never_left_out_of_a_list_silently(filled: Path) -> None:
    with open_store(filled) as store:
        count = len(store.vehicles())
    with closing(sqlite3.connect(filled)) as raw:
        raw.execute("DELETE FROM vehicle_identities WHERE vehicle_id = 'v1'")
        raw.commit()

    with open_store(filled) as store:
        with pytest.raises(StoreError, match=f"{count} vehicles, and {count - 1} can be found"):
            store.vehicles()
        assert len(store.vehicle_tags()) == count


def test_list_never_names_a_vehicle_by_a_tag_that_was_changed(filled: Path) -> None:
    without_triggers(filled, "UPDATE vehicles SET tag = 'another' WHERE key = 'v1'")

    with (
        open_store(filled) as store,
        pytest.raises(StoreError, match="changed outside of the program"),
    ):
        store.vehicle_tags()
