"""What a gauge read twice: the newest of it is found without reading all that was ever read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count

import pytest

from brakelog.store.opening import open_store
from brakelog.store.store import Store
from tests.places import place
from tests.unit.store_examples import a_gauge, a_set, a_vehicle, a_visit

MOST = 5


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Two gauges, one of them revised; some sets share their time; one holds no more."""
    path = place(tmp_path_factory.mktemp("repeats") / "store.sqlite")
    looks = count()

    def clock() -> datetime:
        return datetime(2026, 5, 4, tzinfo=UTC) + timedelta(seconds=next(looks) // 2)

    with open_store(path, clock=clock) as store:
        store.add_vehicle(a_vehicle())
        store.add_visit(a_visit())
        store.add_gauge(a_gauge("g1"))
        store.add_gauge(a_gauge("g2"))
        now = "g1"
        for n in range(24):
            if n == 12:
                now = store.change_gauge(replace(a_gauge("g1"), resolution_nm=2000)).id
            store.add_reading_sets(
                [
                    a_set(
                        f"{n}-{k}",
                        gauge_id=(now, now, "g2")[k],
                        again_nm=27_410_000 + 1000 * n + k if n % 3 or k else None,
                        again_typed="27.41" if n % 3 or k else "",
                    )
                    for k in range(3)
                ]
            )
        store.void_set("10-0", "slip")
        store.add_visit(a_visit("elsewhere"))
        store.add_vehicle(a_vehicle("v2"))
        store.move_visit("elsewhere", "v2", "another car")
        yield store


def test_some_of_them_share_their_time_and_two_revisions_read_them(store: Store) -> None:
    found = store.repeats_of_gauge("g1")

    assert len({at for at, _ in found}) < len(found)
    assert {each.gauge_id for each in store.reading_sets_of_vehicle("v1")} > {"g1", "g2"}


def times(store: Store) -> list[datetime]:
    return sorted({at for at, _ in store.repeats_of_gauge("g1")})


def test_all_of_them_come_oldest_first_of_every_revision(store: Store) -> None:
    found = store.repeats_of_gauge("g1")

    assert found == sorted(found)
    assert len(found) == 24 + 16 - 1


def test_the_newest_up_to_a_time_are_the_same_however_they_are_read(store: Store) -> None:
    for until in times(store):
        everything = [pair for pair in store.repeats_of_gauge("g1") if pair[0] <= until]

        bounded = store.repeats_of_gauge("g1", until=until, most=MOST)

        assert bounded[-MOST:] == everything[-MOST:]


def test_no_more_is_read_than_the_newest_of_each_revision_and_what_shares_their_time(
    store: Store,
) -> None:
    assert len(store.repeats_of_gauge("g1", most=MOST)) <= 2 * (MOST + 6) < 39
