"""A whole store goes from a file to a server and back without losing a character."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from brakelog.store.address import Address, ServerAddress
from brakelog.store.checking import check_store
from brakelog.store.merge_plan import Settled
from brakelog.store.opening import open_store
from brakelog.store.raw_rows import WHOLE_STORE, RawRows
from brakelog.workshop.forgetting import forget_customer
from brakelog.workshop.moving import merge_store, move_store
from tests.unit.store_examples import a_set, a_vehicle, a_visit, fill

HOSTILE = "=1+1\r\n\"'\t″½µ \U0001f697 שלום \u202e \ufeff" + "x" * 100_000


def rows(address: Address) -> dict[str, list[dict[str, Any]]]:
    """Every row but the events of a move, which each place adds to."""
    with open_store(address) as store, store.reading():
        raw = RawRows(store)
        return {
            table.name: [row for row in raw.raw_rows(table) if row.get("kind") != "moved"]
            for table in WHOLE_STORE
        }


def move(source: Address, target: Address) -> None:
    with open_store(source) as store:
        move_store(store, target, wait_s=5)


def test_to_a_server_and_back(owned: ServerAddress, tmp_path: Path) -> None:
    first, last = tmp_path / "first.sqlite", tmp_path / "last.sqlite"
    with open_store(first) as store:
        fill(store)
        store.add_visit(a_visit("b", complaint=HOSTILE, odometer_text=HOSTILE))
        store.add_reading_sets([a_set("big", "b", zero_error_nm=-(2**63), again_nm=2**63 - 1)])

    move(first, owned)
    move(owned, last)

    assert rows(first) == rows(owned) == rows(last)
    for address in (owned, last):
        assert check_store(address).faults == ()


def test_the_next_row_is_numbered_after_those_that_were_moved(
    owned: ServerAddress, tmp_path: Path
) -> None:
    first = tmp_path / "first.sqlite"
    with open_store(first) as store:
        fill(store)
    move(first, owned)
    with open_store(owned) as store:
        fill_more(store)
        highest = store.evidence_marks()["visits"]

    assert highest == 2
    assert check_store(owned).faults == ()


def fill_more(store: Any) -> None:
    store.add_visit(a_visit("later", complaint="later"))
    store.add_vehicle(a_vehicle("v9"))


def test_a_laptop_comes_home_to_a_server(owned: ServerAddress, tmp_path: Path) -> None:
    laptop = tmp_path / "laptop.sqlite"
    with open_store(laptop) as store:
        fill(store)
    move(laptop, owned)
    with open_store(laptop) as store:
        fill_more(store)
    with open_store(owned) as store:
        for added in (True, False):
            merged = merge_store(store, laptop, wait_s=5, is_dry=False, settled=Settled())
            assert bool(merged.rows) is added
        assert store.visit("later").complaint == "later"

    assert check_store(owned).faults == ()


def test_a_customer_is_forgotten_on_a_server(filled: ServerAddress) -> None:
    with open_store(filled) as store:
        done = forget_customer(store, "mill", "asked for it")
        assert not done.is_file
        assert store.visit("a").complaint == ""

    assert check_store(filled).faults == ()
