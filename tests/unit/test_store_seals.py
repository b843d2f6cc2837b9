"""Seals, chains and tallies: every row proves that it is what was written."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy.dialects import sqlite

from brakelog.errors import Conflict, InvalidInput, NotFound
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum
from brakelog.store.address import Address
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store, upgrade_store
from brakelog.store.owners import OWNERS
from brakelog.store.seals import Pattern, form_of
from brakelog.store.store import Store
from brakelog.store.tables import EVIDENCE, import_keys, reading_sets
from tests.places import place, rows_of
from tests.unit.store_examples import (
    a_gauge,
    a_set,
    a_vehicle,
    a_visit,
    counted_ids,
    fill,
    ticking_clock,
)

DUMPS = Path(__file__).resolve().parents[2] / "fixtures" / "schema"


@pytest.fixture
def path(tmp_path: Path) -> Address:
    return place(tmp_path / "s.sqlite")


@pytest.fixture
def store(path: Address) -> Iterator[Store]:
    with open_store(path, clock=ticking_clock(), new_id=counted_ids()) as store:
        yield store


def test_anybody_can_work_a_seal_out(path: Address, store: Store) -> None:
    fill(store)

    for table in EVIDENCE:
        for row in rows_of(path, table.name):
            listed = [table.name]
            for name in sorted(set(row) - {"row", "checksum", "chain_prev", "chain_link"}):
                if row[name] is not None:
                    listed += [name, row[name]]
            text = json.dumps(listed, ensure_ascii=False, separators=(",", ":"))
            assert row["checksum"] == hashlib.sha256(text.encode()).hexdigest()


def test_each_row_of_a_site_is_linked_to_the_one_before_it(path: Address, store: Store) -> None:
    fill(store)

    rows = [row for table in EVIDENCE for row in rows_of(path, table.name)]
    for head in rows_of(path, "chain_heads"):
        follows = {row["chain_prev"]: row for row in rows if row["site"] == head["site"]}
        link = hashlib.sha256(f"brakelog chain of {head['site']}".encode()).hexdigest()
        for _ in range(head["entries"]):
            row = follows.pop(link)
            link = hashlib.sha256((link + row["checksum"]).encode()).hexdigest()
            assert row["chain_link"] == link
        assert not follows
        assert head["link"] == link


def test_a_setting_of_the_site_begins_a_chain_of_its_own(path: Address, store: Store) -> None:
    store.change_shop({"site": "north"})
    store.add_vehicle(a_vehicle())

    assert {head["site"] for head in rows_of(path, "chain_heads")} == {"main", "north"}
    assert check_store(path).faults == ()


def test_every_table_of_evidence_has_owners_among_its_columns() -> None:
    assert set(OWNERS) == set(EVIDENCE)
    for table, columns in OWNERS.items():
        assert set(columns) <= set(table.columns.keys())


def test_what_a_gauge_read_twice_is_tallied_by_gauge_and_time(path: Address, store: Store) -> None:
    store.add_vehicle(a_vehicle())
    store.add_visit(a_visit())
    store.add_gauge(a_gauge("g1"))
    twice: dict[str, Any] = {"again_nm": 27_410_000, "again_typed": "27.41"}
    store.add_reading_sets([a_set("s1", gauge_id="g1", **twice), a_set("s2", **twice)])
    store.add_reading_sets([a_set("s3", gauge_id="g1", **twice), a_set("s4", gauge_id="g1")])

    sets = {row["id"]: row for row in rows_of(path, "reading_sets")}
    kept = [row for row in rows_of(path, "row_tallies") if row["kind"] == "repeats"]
    assert [(row["owner"], row["entries"], row["total"]) for row in kept] == [
        (f"g1 {sets[id]['recorded_at']}", 1, sets[id]["checksum"]) for id in ("s1", "s3")
    ]


def test_keys_of_imported_rows_have_no_seals_and_are_tallied_by_the_kind_of_their_sheet(
    path: Address, store: Store
) -> None:
    keys = {"k1": ("readings", "s1"), "k2": ("readings", "s2"), "k3": ("gauges", "g1")}
    store.remember_imports(keys)

    seals: dict[str, list[int]] = {"readings": [], "gauges": []}
    for key, (kind, target) in keys.items():
        listed = ["import_keys", "key", key, "kind", kind, "target_id", target]
        text = json.dumps(listed, separators=(",", ":"))
        seals[kind].append(int(hashlib.sha256(text.encode()).hexdigest(), 16))
    kept = {
        row["owner"]: (row["entries"], row["total"])
        for row in rows_of(path, "row_tallies")
        if row["kind"] == "import_keys"
    }
    assert kept == {
        kind: (len(some), f"{sum(some) % (1 << 256):064x}") for kind, some in seals.items()
    }


@settings(max_examples=200, deadline=None)
@given(
    same=st.fixed_dictionaries(
        {
            "quantity": st.sampled_from(Quantity),
            "datum": st.sampled_from([None, *Datum]),
            "again_nm": st.none() | st.integers(0, 10**9),
            "again_typed": st.text(alphabet='27.4 "\\ä', max_size=5),
            "bearing_checked": st.sampled_from([None, True, False]),
        }
    ),
    rows=st.lists(
        st.tuples(
            st.text(min_size=1, alphabet='ab"\\é\u2028'),
            st.text(min_size=1, alphabet="v0"),
            st.lists(st.none() | st.integers(-(10**9), 10**9), min_size=1, max_size=4).map(tuple),
            st.lists(st.text(alphabet='1,. "é', max_size=3), max_size=3).map(tuple),
        ),
        min_size=1,
        max_size=4,
    ),
)
def test_rows_that_say_the_same_but_for_some_columns_have_the_seals_of_whole_rows(
    same: dict[str, Any], rows: list[tuple[Any, ...]]
) -> None:
    varying = ("id", "visit_id", "values_nm", "typed")
    form = form_of(reading_sets, sqlite.dialect())
    pattern = Pattern(form, {"id": "not looked at", **same}, varying)

    for row in rows:
        whole = {**same, **dict(zip(varying, row, strict=True))}
        assert pattern.sealed_values(row) == form.sealed_values(whole)


def test_a_pattern_stores_what_its_columns_can_hold_and_nothing_else() -> None:
    class Word(str):
        """As a library may hand one over."""

    form = form_of(import_keys, sqlite.dialect())
    pattern = Pattern(form, {"kind": "readings"}, ("key", "target_id"))
    values, checksum = pattern.sealed_values((Word("k1"), "s1"))

    assert (values, checksum) == pattern.sealed_values(("k1", "s1"))
    assert {type(value) for value in values} == {str}
    for wrong in (7, b"k1", True, None):
        with pytest.raises((TypeError, InvalidInput)):
            pattern.sealed_values(("k1", wrong))


def test_import_that_fails_leaves_no_trace_in_the_tallies(path: Address, store: Store) -> None:
    store.remember_imports({"k1": ("readings", "s1")})
    with store.writing():
        with suppress(ZeroDivisionError), store.writing():
            store.remember_imports({"k2": ("readings", "s2")})
            raise ZeroDivisionError
        with pytest.raises(Conflict):
            store.remember_imports({"k1": ("readings", "s1"), "k3": ("readings", "s3")})
        store.remember_imports({"k4": ("readings", "s4")})

    assert {row["key"] for row in rows_of(path, "import_keys")} == {"k1", "k4"}
    assert check_store(path).faults == ()


def test_a_part_that_fails_leaves_no_trace_in_chain_and_tallies(
    path: Address, store: Store
) -> None:
    store.add_vehicle(a_vehicle())
    with store.writing():
        store.add_visit(a_visit())
        with pytest.raises(NotFound):
            _nested(store, "fails", 0, "s1")
        store.add_reading_sets([a_set("s3")])

    assert [row["id"] for row in rows_of(path, "reading_sets")] == ["s3"]
    assert check_store(path).faults == ()


@settings(max_examples=20, deadline=None)
@given(
    steps=st.lists(
        st.tuples(st.sampled_from(["visit", "set", "fails", "undone"]), st.integers(0, 2)),
        max_size=12,
    )
)
def test_whatever_fails_on_the_way_the_record_can_be_proved(
    tmp_path_factory: pytest.TempPathFactory, steps: list[tuple[str, int]]
) -> None:
    path = place(tmp_path_factory.mktemp("walk") / "s.sqlite")
    new_id = counted_ids()
    with open_store(path, clock=ticking_clock(), new_id=new_id) as store:
        store.add_vehicle(a_vehicle())
        store.add_visit(a_visit("first"))
        for step, depth in steps:
            try:
                _nested(store, step, depth, new_id())
            except (NotFound, Conflict, ZeroDivisionError):
                continue

    assert check_store(path).faults == ()


def _nested(store: Store, step: str, depth: int, id: str) -> None:
    with store.writing():
        if depth:
            _nested(store, step, depth - 1, id)
        if step == "visit":
            store.add_visit(a_visit(f"{id}-{depth}"))
        elif step == "set":
            store.add_reading_sets([a_set(f"{id}-{depth}", "first")])
        elif step == "fails":
            store.add_reading_sets([a_set(f"{id}-{depth}", "first"), a_set(f"{id}-x", "nowhere")])
        else:
            store.add_reading_sets([a_set(f"{id}-{depth}", "first")])
            raise ZeroDivisionError


@pytest.mark.file
@pytest.mark.parametrize("dump", ["0001", "0002", "0003"])
def test_rows_of_an_older_store_are_sealed_as_they_stood(tmp_path: Path, dump: str) -> None:
    path = tmp_path / "s.sqlite"
    text = (DUMPS / f"{dump}.sql").read_text(encoding="utf-8")
    with closing(sqlite3.connect(path)) as raw:
        raw.executescript(text)
    before = {
        table.name: rows_of(path, table.name)
        for table in EVIDENCE
        if f"CREATE TABLE {table.name} " in text
    }

    upgrade_store(path)

    assert check_store(path).faults == ()
    sealed = {"checksum", "chain_prev", "chain_link"}
    for name, rows in before.items():
        assert [
            {key: value for key, value in row.items() if key in rows[0] and key not in sealed}
            for row in rows_of(path, name)
        ] == [{key: row[key] for key in row if key not in sealed} for row in rows]
    (event,) = rows_of(path, "events")
    count = sum(map(len, before.values()))
    assert event["reason"] == f"{count} rows that were there before were sealed as they stood"


@pytest.mark.file
def test_store_without_the_newest_tallies_gets_those_of_what_is_there(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite"
    with open_store(path, clock=ticking_clock(), new_id=counted_ids()) as store:
        fill(store)
        store.add_reading_sets([a_set("again", gauge_id="g1", again_nm=1, again_typed="1 nm")])
        store.remember_imports({f"k{n}": ("readings", f"s{n}") for n in range(3)})
    before = rows_of(path, "row_tallies")
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("DELETE FROM row_tallies WHERE kind IN ('import_keys', 'repeats', 'schema')")
        raw.execute("UPDATE alembic_version SET version_num = '0004'")
        raw.execute("PRAGMA user_version = 4")
        raw.commit()

    upgrade_store(path)

    assert rows_of(path, "row_tallies") == before
    assert check_store(path).faults == ()
