"""Confirming a figure sets aside what contradicts it, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from brakelog.errors import Conflict
from brakelog.intake.limit_row import LimitRow
from brakelog.record.limit import Limit
from brakelog.record.vehicle import parse_brakes
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.workshop.correcting import move_visit
from brakelog.workshop.limits import add_limit, add_sheet, confirm_limit, contradicting
from brakelog.workshop.office import add_person
from brakelog.workshop.rows import typed_row
from tests.unit.store_examples import a_vehicle, a_visit


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "s.sqlite") as opened:
        add_sheet(opened, "Sheet")
        add_person(opened, "AM", "A. Name")
        yield opened


def discard(store: Store, figure: str, other: str = "", *, source: str) -> Limit:
    row = typed_row(
        "limits",
        {
            "sheet": "Sheet", "axle": "front", "limit": "rotor-discard", "figure": figure,
            "other_figure": other, "source": source,
        },
    )  # fmt: skip
    assert isinstance(row, LimitRow)
    return add_limit(store, row)


def test_limit_that_agrees_with_the_confirmed_figure_goes_on_being_judged(store: Store) -> None:
    near = discard(store, "26.04 mm", source="page 1")
    misprint = discard(store, "26.0 mm", "1.063 in", source="page 12")
    assert contradicting(store, [near, misprint]) == {near.id, misprint.id}

    _, confirmation = confirm_limit(store, misprint.id, "26.0 mm", "measured a new one", by="AM")

    assert confirmation.over == ()
    assert contradicting(store, [near, misprint]) == set()


def test_limit_that_contradicts_the_confirmed_figure_is_set_aside(store: Store) -> None:
    far = discard(store, "25.0 mm", source="page 1")
    held = discard(store, "26.0 mm", source="page 12")
    _, confirmation = confirm_limit(store, held.id, "26.0 mm", "newer edition", by="AM")

    assert confirmation.over == (far.id,)


def test_visit_is_not_moved_onto_another_of_the_same_day(store: Store) -> None:
    for name in ("v1", "v2"):
        store.add_vehicle(a_vehicle(name, brakes=parse_brakes("disc/disc")))
        store.add_visit(a_visit(f"visit-of-{name}", name))

    with pytest.raises(Conflict, match="has a visit on"):
        move_visit(store, "v1", "visit-of-v1", "v2", "wrong car")
