"""An index that hides what a gauge read twice: no verdict is given on the rest of it.

The scatter of a gauge is taken from its newest repeated readings, whosever they are. The index by
which they are found is broken here by hand.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.errors import StoreError
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from tests.faults.sample import run
from tests.unit.store_examples import a_gauge, a_set, a_vehicle, a_visit

INDEX = "ix_reading_sets_repeats"
CARS = ("DUNLIN-1", "DUNLIN-2")
LINE = "LF rotor 27.40 27.41 27.40 27.41 again={again} gauge=M1 lip=no\n"
SETS = 12


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two cars that were measured with one gauge, point 1 twice each time."""
    store = tmp_path_factory.mktemp("shop") / "s.sqlite"
    words = ("--kind", "micrometer", "--unit", "mm", "--resolution", "0.001 mm", "--for", "rotor")
    run(store, "gauge", "add", "M1", *words)
    for number, car in enumerate(CARS):
        run(store, "vehicle", "add", car, "--brakes", "disc")
        day = ("--odometer", "62400 km", "--date", f"2026-11-2{number}")
        typed = LINE.format(again=f"27.4{number + 1}")
        run(store, "measure", car, *day, "--unit", "mm", typed=typed)
    return store


@pytest.fixture
def broken(shop: Path, tmp_path: Path) -> Callable[[int], Path]:
    """Gives a copy whose index has lost the entry at a place."""

    def broken(at: int) -> Path:
        path = tmp_path / "broken.sqlite"
        path.write_bytes(without_entry(shop, at))
        return path

    return broken


def without_entry(path: Path, at: int) -> bytes:
    """Return a store whose index of repeats, one page, does not lead to one of its rows."""
    content = bytearray(path.read_bytes())
    with closing(sqlite3.connect(path)) as raw:
        asked = "SELECT rootpage, (SELECT page_size FROM pragma_page_size) FROM sqlite_schema"
        root, size = raw.execute(f"{asked} WHERE name = ?", (INDEX,)).fetchone()
    head = (root - 1) * size
    count = int.from_bytes(content[head + 3 : head + 5], "big")
    pointers = [content[head + 8 + 2 * n : head + 10 + 2 * n] for n in range(count)]
    del pointers[at]
    content[head + 3 : head + 5] = (count - 1).to_bytes(2, "big")
    content[head + 8 : head + 6 + 2 * count] = b"".join(pointers)
    return bytes(content)


def verdict(path: Path, *words: str) -> tuple[int, str]:
    done = CliRunner().invoke(build("verdict"), ["--store", str(path), "verdict", *words])
    return done.exit_code, done.output


def test_sound_store_gives_both_verdicts(shop: Path) -> None:
    assert verdict(shop, "--all", "--json")[0] == 0
    assert [verdict(shop, car)[0] for car in CARS] == [0, 0]


@pytest.mark.parametrize("at", [0, 1])
def test_verdict_is_refused_where_a_repeated_reading_is_hidden(
    broken: Callable[[int], Path], at: int
) -> None:
    path = broken(at)

    code, said = verdict(path, CARS[-1])

    assert code == 7
    assert "1 of 1 rows of repeats are missing" in said
    assert verdict(path, "--all", "--json")[0] == 7
    assert any(INDEX in fault for fault in check_store(path).faults)


def test_what_was_read_after_the_visit_is_not_missed_by_its_verdict(
    broken: Callable[[int], Path],
) -> None:
    assert verdict(broken(1), CARS[0])[0] == 0


@pytest.mark.parametrize("at", range(SETS))
def test_every_entry_that_is_gone_is_missed_by_whom_it_counts_for(at: int, tmp_path: Path) -> None:
    path, most = tmp_path / "s.sqlite", 3
    with open_store(path) as store:
        store.add_vehicle(a_vehicle())
        store.add_visit(a_visit())
        store.add_gauge(a_gauge("g1"))
        for number in range(SETS):
            store.add_reading_sets(
                [a_set(f"s{number}", gauge_id="g1", again_nm=number, again_typed="1 nm")]
            )
    path.write_bytes(without_entry(path, at))

    with open_store(path) as store:
        with pytest.raises(StoreError, match="rows of repeats are missing"):
            store.repeats_of_gauge("g1")
        if at < SETS - most:
            assert len(store.repeats_of_gauge("g1", most=most)) == most
        else:
            with pytest.raises(StoreError, match="rows of repeats are missing"):
                store.repeats_of_gauge("g1", most=most)


@pytest.mark.parametrize(
    "change",
    [
        "DELETE FROM row_tallies WHERE kind = 'repeats'",
        "UPDATE row_tallies SET entries = 7 WHERE kind = 'repeats'",
        "UPDATE row_tallies SET owner = owner || '1' WHERE kind = 'repeats'",
    ],
)
def test_verdict_is_refused_where_it_cannot_be_told_how_many_there_must_be(
    shop: Path, tmp_path: Path, change: str
) -> None:
    path = tmp_path / "s.sqlite"
    path.write_bytes(shop.read_bytes())
    with closing(sqlite3.connect(path)) as raw:
        raw.execute(change)
        raw.commit()

    assert verdict(path, CARS[-1])[0] == 7
