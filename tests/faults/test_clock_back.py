"""A clock that was set back: what was entered later still counts as later."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from brakelog.record.journal import Change
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_set, a_visit, fill

BEFORE = datetime(2019, 1, 1, tzinfo=UTC)
"""Long before everything that is on file: a machine that has lost its clock."""


@pytest.fixture
def filled(tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite"
    with open_store(path) as store:
        fill(store)
    return path


def test_times_on_record_never_go_back(filled: Path) -> None:
    with open_store(filled, clock=lambda: BEFORE) as store:
        older = max(change.recorded_at for change in store.changes(most=1000))
        store.add_visit(a_visit("later"))
        store.add_reading_sets([a_set("first", "later")])
        store.add_reading_sets([a_set("second", "later")])
        newer = [change for change in store.changes(most=1000) if change.recorded_at > older]

    assert [change.id for change in newer] == ["later", "first", "second"]
    assert len({change.recorded_at for change in newer}) == len(newer)
    assert newer[-1].recorded_at - older < timedelta(seconds=1)


def test_clock_that_is_right_again_is_believed_again(filled: Path) -> None:
    ahead = datetime(2040, 1, 1, tzinfo=UTC)
    with open_store(filled, clock=lambda: ahead) as store:
        store.add_visit(a_visit("later"))

    (last,) = [change for change in _changes(filled) if change.id == "later"]
    assert last.recorded_at == ahead


def test_newest_setting_gauge_and_vehicle_are_those_entered_last(filled: Path) -> None:
    with open_store(filled, clock=lambda: BEFORE) as store:
        store.change_shop({"phone": "a later number"})
        vehicle = store.vehicle("v1")
        store.change_vehicle(replace(vehicle, description="painted since"))
        gauge = store.gauges()[0]
        store.change_gauge(replace(gauge, note="checked since"))

    with open_store(filled) as store:
        assert store.shop().phone == "a later number"
        assert store.vehicle("v1").description == "painted since"
        assert store.gauges()[0].note == "checked since"
    assert check_store(filled).faults == ()


def test_list_of_changes_is_in_order_of_entry(filled: Path) -> None:
    before = [change.id for change in _changes(filled)]
    with open_store(filled, clock=lambda: BEFORE) as store:
        store.add_visit(a_visit("later"))
        store.correct_odometer(
            "later", 99_000_000_000, "99000 km", store.vehicle("v1").odometer_unit, "misread"
        )

    after = [change.id for change in _changes(filled)]
    assert after[: len(before)] == before
    assert after[len(before)] == "later"


def _changes(path: Path) -> list[Change]:
    with open_store(path) as store:
        return store.changes(most=1000)
