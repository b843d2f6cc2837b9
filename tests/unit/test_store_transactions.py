from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from brakelog.errors import Conflict, StoreError
from brakelog.store.address import Address
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from tests.places import place
from tests.unit.store_examples import a_set, a_vehicle, a_visit


@pytest.fixture
def path(tmp_path: Path) -> Address:
    return place(tmp_path / "store.sqlite")


@pytest.fixture
def store(path: Address) -> Iterator[Store]:
    with open_store(path, wait_s=0.01) as store:
        store.add_vehicle(a_vehicle())
        yield store


def visits_of(path: Address) -> list[str]:
    with open_store(path, wait_s=0.01) as other:
        return [visit.id for visit in other.visits_of("v1")]


def test_method_outside_is_one_transaction(store: Store, path: Address) -> None:
    store.add_visit(a_visit())

    assert visits_of(path) == ["a"]


def test_block_is_kept_at_its_end_and_not_before(store: Store, path: Address) -> None:
    with store.writing():
        store.add_visit(a_visit())
        with store.writing():
            store.add_visit(a_visit("b"))
        assert visits_of(path) == []

    assert visits_of(path) == ["a", "b"]


def test_block_that_fails_leaves_nothing(store: Store, path: Address) -> None:
    def visit_twice() -> None:
        with store.writing():
            store.add_visit(a_visit())
            store.add_visit(a_visit())

    with pytest.raises(Conflict):
        visit_twice()

    assert visits_of(path) == []
    store.add_visit(a_visit())
    assert visits_of(path) == ["a"]


def test_part_that_fails_takes_back_only_itself(store: Store, path: Address) -> None:
    def visit_with_a_set_twice() -> None:
        with store.writing():
            store.add_visit(a_visit("b"))
            store.add_reading_sets([a_set("s"), a_set("s")])

    with store.writing():
        store.add_visit(a_visit())
        with pytest.raises(Conflict):
            visit_with_a_set_twice()

    assert visits_of(path) == ["a"]


@pytest.mark.file
def test_reader_sees_one_state(store: Store, path: Address) -> None:
    with store.reading():
        before = store.visits_of("v1")
        with open_store(path, wait_s=0.01) as other, pytest.raises(StoreError, match="locked"):
            other.add_visit(a_visit())
        assert store.visits_of("v1") == before

    assert visits_of(path) == []


@pytest.mark.file
def test_writer_whose_commit_met_a_reader_can_go_on(store: Store, path: Address) -> None:
    with open_store(path, wait_s=0.01) as other:
        with other.reading():
            other.visits_of("v1")
            with pytest.raises(StoreError, match="locked"):
                store.add_visit(a_visit())
        store.add_visit(a_visit("b"))
        assert [visit.id for visit in other.visits_of("v1")] == ["b"]

    assert visits_of(path) == ["b"]


def test_reading_inside_writing_sees_what_was_written(store: Store) -> None:
    with store.writing():
        store.add_visit(a_visit())
        with store.reading():
            assert [visit.id for visit in store.visits_of("v1")] == ["a"]


def test_writing_inside_reading_is_a_mistake_of_the_program(store: Store) -> None:
    with store.reading(), pytest.raises(RuntimeError, match="cannot write"):
        store.add_visit(a_visit())


def test_interrupted_block_leaves_nothing(store: Store, path: Address) -> None:
    def visit_interrupted() -> None:
        with store.writing():
            store.add_visit(a_visit())
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        visit_interrupted()

    assert visits_of(path) == []


def test_transaction_that_the_database_gave_up_is_never_acknowledged(
    store: Store, path: Address
) -> None:
    def visit_lost() -> None:
        with store.writing():
            store.add_visit(a_visit())
            store._connection.exec_driver_sql("ROLLBACK")

    with pytest.raises(StoreError, match="given up"):
        visit_lost()

    assert visits_of(path) == []
    store.add_visit(a_visit())
    assert visits_of(path) == ["a"]


def test_new_ids_differ_and_now_is_utc(store: Store) -> None:
    assert len({store.new_id() for _ in range(100)}) == 100
    assert len(store.new_id()) == 32
    assert str(store.now().tzinfo) == "UTC"
