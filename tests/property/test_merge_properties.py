"""Stores that go their own ways and come together again: nothing twice, nothing lost."""

from __future__ import annotations

import itertools
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brakelog.store.checking import check_store
from brakelog.store.merge_plan import Settled
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.store.tables import EVIDENCE, complaints, events
from brakelog.workshop.moving import merge_store
from tests.unit.store_examples import a_finding, a_set, a_vehicle, a_visit, counted_ids

_numbers = itertools.count()
Step = Callable[[Store, str], None]


def visit(store: Store, id: str) -> None:
    store.add_visit(a_visit(id, complaint=f"said at {id}"))


def readings(store: Store, id: str) -> None:
    store.add_reading_sets([a_set(id, "a")])


def vehicle(store: Store, id: str) -> None:
    store.add_vehicle(a_vehicle(id))
    store.add_visit(a_visit(f"{id} visit", id))


def amended(store: Store, id: str) -> None:
    store.add_visit(a_visit(f"{id} visit"))
    store.add_reading_sets([a_set(id, f"{id} visit")])
    store.amend_set(id, a_set(f"{id} again", f"{id} visit"), "misread")


def finding(store: Store, id: str) -> None:
    store.add_findings([a_finding(id)])


steps = st.lists(st.sampled_from([visit, readings, vehicle, amended, finding]), max_size=5)


def go(path: Path, done: list[Step], site: str) -> None:
    with open_store(path) as store:
        for step in done:
            step(store, f"{site} {next(_numbers)}")


def content(path: Path) -> tuple[set[tuple[str, str, str]], list[tuple[str, str]]]:
    """All evidence but what merging says of itself, and what customers said."""
    with open_store(path) as store, store.reading():
        run = store._connection.exec_driver_sql
        rows = {
            (table.name, id, seal)
            for table in EVIDENCE
            for id, seal in run(
                f"SELECT id, checksum FROM {table.name}"
                + (" WHERE kind <> 'merged'" if table is events else "")
            )
        }
        said = [(at, text) for at, text in run(f"SELECT visit_id, text FROM {complaints.name}")]
    return rows, sorted(said)


def merge(here: Path, there: Path) -> int:
    with open_store(here) as store:
        return merge_store(store, there, wait_s=1, is_dry=False, settled=Settled()).rows


@settings(
    max_examples=6,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
@given(here=steps, one=steps, other=steps)
def test_laptops_come_home_in_any_order_and_any_number_of_times(
    here: list[Step], one: list[Step], other: list[Step]
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shop, laptop, van, again = (
            folder / f"{n}.sqlite" for n in ("shop", "laptop", "van", "again")
        )
        with open_store(shop, new_id=counted_ids()) as store:
            store.add_vehicle(a_vehicle())
            store.add_visit(a_visit())
        for copy in (laptop, van):
            shutil.copy(shop, copy)
        go(shop, here, "shop")
        go(laptop, one, "laptop")
        go(van, other, "van")
        shutil.copy(shop, again)

        merge(shop, laptop)
        once = content(shop)
        assert merge(shop, laptop) == 0
        assert content(shop) == once
        merge(shop, van)
        merge(again, van)
        merge(again, laptop)

        assert content(shop) == content(again)
        wanted = content(laptop)[0] | content(van)[0]
        assert wanted <= content(shop)[0]
        for path in (shop, again):
            assert check_store(path).faults == ()
