"""Rows that are written while the program makes the next ones: the same as one after another."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from brakelog.errors import Conflict, InvalidInput, NotFound
from brakelog.store.address import Address
from brakelog.store.behind import MOST_WAITING, Behind
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from tests.places import place, rows_of
from tests.unit.store_examples import a_set, a_vehicle, a_visit, counted_ids

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
MANY = 2_500
"""Sets enough for two statements of a thousand rows, and a rest."""


@pytest.fixture
def path(tmp_path: Path) -> Address:
    return place(tmp_path / "store.sqlite")


@pytest.fixture
def store(path: Address) -> Iterator[Store]:
    with open_store(path, clock=lambda: NOW, new_id=counted_ids()) as store:
        store.add_vehicle(a_vehicle())
        yield store


class _Run:
    """Stands for the database: keeps what it was given, and refuses one statement."""

    def __init__(self) -> None:
        self.ran: list[str] = []
        self.interrupted = 0
        self.begun = threading.Event()
        self.go = threading.Event()
        self.go.set()

    def interrupt(self) -> None:
        self.interrupted += 1

    def __call__(self, statement: str, values: Sequence[Any]) -> None:
        self.begun.set()
        self.go.wait()
        if statement == "bad":
            raise ValueError(statement)
        self.ran.append(statement)


def test_statements_are_run_in_the_order_in_which_they_came() -> None:
    run = _Run()
    behind = Behind(run, run.interrupt)
    wanted = [str(number) for number in range(10 * MOST_WAITING)]
    for statement in wanted:
        behind.put(statement, ())
    behind.wait()
    behind.close()

    assert run.ran == wanted


def test_behind_one_that_failed_nothing_is_run_any_more_and_that_is_said_again() -> None:
    run = _Run()
    behind = Behind(run, run.interrupt)
    run.go.clear()
    for statement in ("good", "bad", "never"):
        behind.put(statement, ())
    run.go.set()

    for _ in range(2):
        with pytest.raises(ValueError, match="bad"):
            behind.wait()
    behind.put("nor this", ())
    with pytest.raises(ValueError, match="bad"):
        behind.wait()
    behind.close()
    assert run.ran == ["good"]


def test_what_waits_is_dropped_at_the_end_and_the_interpreter_is_as_before() -> None:
    before, others = sys.getswitchinterval(), set(threading.enumerate())
    run = _Run()
    behind = Behind(run, run.interrupt)
    run.go.clear()
    for statement in ("first", "second", "third"):
        behind.put(statement, ())
    assert sys.getswitchinterval() < before
    run.begun.wait()
    (worker,) = set(threading.enumerate()) - others
    last = behind._waiting[-1]
    closing = threading.Thread(target=behind.close)
    closing.start()
    with pytest.raises(CancelledError):
        last.result()
    run.go.set()
    closing.join()
    worker.join()

    assert run.ran == ["first"]
    assert run.interrupted == 1
    assert sys.getswitchinterval() == before


@pytest.mark.skipif(not hasattr(signal, "pthread_kill"), reason="signals are those of POSIX")
def test_whoever_interrupts_again_waits_for_the_statement_that_is_run_all_the_same() -> None:
    run = _Run()
    behind = Behind(run, run.interrupt)
    run.go.clear()
    for statement in ("first", "second"):
        behind.put(statement, ())
    run.begun.wait()
    last = behind._waiting[-1]

    def interrupt_then_let_go() -> None:
        with suppress(CancelledError):
            last.result()
        signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGINT)
        run.go.set()

    impatient = threading.Thread(target=interrupt_then_let_go)
    impatient.start()
    behind.close()

    assert run.ran == ["first"]
    impatient.join()


def test_rows_written_beside_the_program_are_those_written_one_by_one(
    tmp_path: Path, path: Address, store: Store
) -> None:
    sets = [a_set(f"s{number}") for number in range(MANY)]
    with store.writing(), store.undivided():
        store.add_visit(a_visit())
        store.add_reading_sets(sets)
        store.remember_imports({one.id: ("readings", one.id) for one in sets}, are_new=True)
    other = place(tmp_path / "other.sqlite")
    with open_store(other, clock=lambda: NOW, new_id=counted_ids()) as one_by_one:
        one_by_one.add_vehicle(a_vehicle())
        with one_by_one.writing():
            one_by_one.add_visit(a_visit())
            for each in sets:
                one_by_one.add_reading_sets([each])
            for each in sets:
                one_by_one.remember_imports({each.id: ("readings", each.id)})

    for table in ("visits", "reading_sets", "chain_heads", "import_keys", "row_tallies"):
        mine, theirs = rows_of(path, table), rows_of(other, table)
        assert len(mine) == len(theirs) > 0
        assert sorted(map(str, mine)) == sorted(map(str, theirs))
    assert check_store(path).faults == ()


def test_whoever_reads_meanwhile_sees_what_was_handed_over(store: Store) -> None:
    with store.writing(), store.undivided():
        store.add_visit(a_visit())
        store.add_reading_sets([a_set(f"s{number}") for number in range(MANY)])
        assert len(store.reading_sets_of_visit("a")) == MANY


def test_what_the_database_refuses_leaves_nothing_of_the_whole(store: Store, path: Address) -> None:
    store.remember_imports({"k7": ("readings", "s7")})

    def put_in() -> None:
        with store.writing():
            with store.undivided():
                store.add_visit(a_visit())
                store.remember_imports({"k7": ("readings", "s7")}, are_new=True)
            # What came before may say it.
            store.visits_of("v1")

    with pytest.raises(Conflict):
        put_in()
    store.add_visit(a_visit("b"))

    with open_store(path) as other:
        assert [visit.id for visit in other.visits_of("v1")] == ["b"]
    assert check_store(path).faults == ()


def test_whoever_catches_what_went_wrong_cannot_keep_the_rest(store: Store, path: Address) -> None:
    def put_in() -> None:
        with store.writing():
            with suppress(ZeroDivisionError), store.undivided():
                store.add_visit(a_visit())
                raise ZeroDivisionError
            store.add_visit(a_visit("b"))

    with pytest.raises(RuntimeError, match="nothing is kept"):
        put_in()

    with open_store(path) as other:
        assert other.visits_of("v1") == []
    store.add_visit(a_visit("c"))


def test_whoever_catches_it_within_cannot_keep_the_rest_either(store: Store, path: Address) -> None:
    def put_in() -> None:
        with store.writing(), store.undivided():
            store.add_visit(a_visit())
            with suppress(InvalidInput):
                store.add_reading_sets([a_set("s1"), a_set("s2", typed=("1", "2"))])

    with pytest.raises(RuntimeError, match="nothing is kept"):
        put_in()

    with open_store(path) as other:
        assert other.visits_of("v1") == []
    assert check_store(path).faults == ()


def test_interrupted_while_rows_are_written_leaves_nothing(store: Store, path: Address) -> None:
    def put_in() -> None:
        with store.writing(), store.undivided():
            store.add_visit(a_visit())
            store.add_reading_sets([a_set(f"s{number}") for number in range(MANY)])
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        put_in()

    with open_store(path) as other:
        assert other.visits_of("v1") == []
    assert check_store(path).faults == ()


def test_nothing_is_taken_back_before_the_last_statement_has_ended(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []
    close = Behind.close

    def closed(self: Behind) -> None:
        close(self)
        order.append("closed")

    monkeypatch.setattr(Behind, "close", closed)
    event.listen(store._open, "rollback", lambda _: order.append("taken back"))

    def put_in() -> None:
        with store.writing(), store.undivided():
            store.add_visit(a_visit())
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        put_in()

    assert order[:2] == ["closed", "taken back"]


def test_a_whole_within_a_whole_is_a_mistake_of_the_program(store: Store) -> None:
    def nested() -> None:
        with store.writing(), store.undivided(), store.undivided():
            pass

    with pytest.raises(RuntimeError, match="outermost"):
        nested()


def test_only_the_outermost_block_that_writes_can_be_undivided(store: Store) -> None:
    with pytest.raises(RuntimeError, match="outermost"), store.undivided():
        pass
    with store.reading(), pytest.raises(RuntimeError, match="outermost"), store.undivided():
        pass
    with (
        store.writing(),
        store.writing(),
        pytest.raises(RuntimeError, match="outermost"),
        store.undivided(),
    ):
        pass


def test_a_visit_that_was_looked_at_is_refused_once_it_is_void(store: Store) -> None:
    with store.writing():
        store.add_visit(a_visit())
        store.add_reading_sets([a_set("s1")])
        store.void_visit("a", "wrong car")
        with pytest.raises(Conflict, match="void"):
            store.add_reading_sets([a_set("s2")])


def test_a_visit_that_was_taken_back_is_not_taken_for_one_on_file(store: Store) -> None:
    with store.writing():
        with suppress(ZeroDivisionError), store.writing():
            store.add_visit(a_visit())
            raise ZeroDivisionError
        with pytest.raises(NotFound):
            store.add_reading_sets([a_set("s1")])

    with suppress(ZeroDivisionError), store.writing():
        store.add_visit(a_visit())
        raise ZeroDivisionError
    with pytest.raises(NotFound):
        store.add_reading_sets([a_set("s1")])
