"""Seals, chains and tallies: every row proves that it is what was written."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.errors import Conflict, NotFound
from brakelog.store.address import Address
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store, upgrade_store
from brakelog.store.owners import OWNERS
from brakelog.store.store import Store
from brakelog.store.tables import EVIDENCE
from tests.places import place, rows_of
from tests.unit.store_examples import a_set, a_vehicle, a_visit, counted_ids, fill, ticking_clock

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
