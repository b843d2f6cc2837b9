"""What is computed from the evidence is kept, read back a few at a time, and thrown away."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from brakelog.errors import Conflict
from brakelog.store import derived
from brakelog.store.address import Address
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.store.tables import DERIVED, EVIDENCE, metadata
from tests.places import place
from tests.unit.store_examples import a_vehicle, an_experience, fill


@pytest.fixture
def path(tmp_path: Path) -> Address:
    return place(tmp_path / "store.sqlite")


@pytest.fixture
def store(path: Address) -> Iterator[Store]:
    with open_store(path) as store:
        yield store


def test_names_of_the_tables_say_that_they_are_derived() -> None:
    named = {name for name in metadata.tables if name.startswith("derived_")}

    assert named == {table.name for table in DERIVED}
    assert set(DERIVED).isdisjoint(EVIDENCE)


def test_documents_are_kept_over_what_was_kept_before(store: Store) -> None:
    fill(store)
    store.keep_lives({"v1": "first", "v2": "second µ"})
    store.keep_lives({"v1": "third"})
    store.keep_due({"v2": ""})

    assert dict(store.lives_documents()) == {"v1": "third", "v2": "second µ"}
    assert dict(store.due_documents())["v2"] == ""


def test_documents_of_some_vehicles(store: Store) -> None:
    fill(store)
    store.keep_lives({"v1": "one", "v2": "two"})

    assert list(store.lives_documents(["v2", "never seen"])) == [("v2", "two")]
    assert list(store.lives_documents([])) == []


def test_every_document_is_read_once_however_many_there_are(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(derived, "DOCUMENTS_AT_ONCE", 3)
    wanted = {f"v{number}": f"document {number}" for number in range(10)}
    with store.writing():
        for id in wanted:
            store.add_vehicle(a_vehicle(id))
    store.keep_lives(wanted)

    assert sorted(store.lives_documents()) == sorted(wanted.items())


def test_documents_are_never_all_in_memory(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(derived, "DOCUMENTS_AT_ONCE", 2)
    ids = [f"v{number}" for number in range(7)]
    with store.writing():
        for id in ids:
            store.add_vehicle(a_vehicle(id))
    store.keep_due(dict.fromkeys(ids, ""))
    fetched: list[int] = []
    read = store._all

    def counted(query: Any) -> Any:
        rows = read(query)
        fetched.append(len(rows))
        return rows

    monkeypatch.setattr(store, "_all", counted)

    assert len(list(store.due_documents())) == 7
    assert max(fetched) == 2


def test_loop_over_the_documents_may_write(store: Store) -> None:
    fill(store)
    store.keep_lives({"v1": "one", "v2": "two"})
    for id, text in store.lives_documents():
        store.keep_due({id: text.upper()})

    assert dict(store.due_documents()) == {"v1": "ONE", "v2": "TWO"}


def test_document_of_a_vehicle_that_is_not_on_file_is_refused(store: Store) -> None:
    with pytest.raises(Conflict, match="not on file"):
        store.keep_lives({"nobody's": "{}"})

    assert list(store.lives_documents()) == []


def test_what_was_learned_is_replaced_as_a_whole(store: Store) -> None:
    wide, narrow = an_experience(), an_experience(vehicle_class="van", model="Sheet")
    store.keep_experience([narrow, wide])
    assert store.experience_rows() == [wide, narrow]

    store.keep_experience([narrow])
    assert store.experience_rows() == [narrow]


def test_two_experiences_of_one_group_are_refused_and_the_old_ones_stay(store: Store) -> None:
    store.keep_experience([an_experience()])
    with pytest.raises(Conflict):
        store.keep_experience([an_experience(axle=2), an_experience(axle=2)])

    assert store.experience_rows() == [an_experience()]


def test_marks_are_set_one_by_one(store: Store) -> None:
    store.keep_marks({"program": "1", "visits": "12"})
    store.keep_marks({"visits": "13"})
    store.keep_marks({})

    assert store.derived_marks() == {"program": "1", "visits": "13"}


@pytest.mark.file
def test_marks_of_the_evidence_are_its_highest_rows_in_one_statement(store: Store) -> None:
    fill(store)
    said: list[str] = []
    driver = store._connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    driver.set_trace_callback(said.append)
    marks = store.evidence_marks()
    driver.set_trace_callback(None)

    assert marks == store.counts()
    # The other one asks for the version of the schema, as every transaction does.
    assert [text for text in said if text.startswith("SELECT")] == said[1:-1]
    assert len(said) == 4


def test_documents_and_marks_are_kept_together_or_not_at_all(store: Store) -> None:
    fill(store)
    store.keep_lives({"v1": "old"})
    store.keep_marks({"visits": "1"})

    def keep_more_than_there_is() -> None:
        with store.writing():
            store.keep_lives({"v1": "new"})
            store.keep_marks({"visits": "2"})
            store.keep_lives({"nobody's": "{}"})

    with pytest.raises(Conflict):
        keep_more_than_there_is()

    assert dict(store.lives_documents(["v1"])) == {"v1": "old"}
    assert store.derived_marks()["visits"] == "1"
