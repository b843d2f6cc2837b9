"""The power goes at any moment: what a commit has returned from is there, and nothing is half."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

pytest.importorskip("apsw", reason="a power cut is simulated with another binding of SQLite")

from brakelog.errors import StoreError
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from tests.faults.power import Done, Said, after_a_cut, replayed, statements_of
from tests.faults.sample import CAR, chance, small_store
from tests.unit.store_examples import a_set, a_visit

CUTS = 40
VISITS = 8


def eight_visits(store: Store) -> None:
    vehicle = store.vehicle(CAR).id
    for number in range(VISITS):
        with store.writing():
            store.add_visit(a_visit(f"visit {number}", vehicle, complaint="x" * 900 * number))
            store.add_reading_sets([a_set(f"set {number}", f"visit {number}")])


@dataclass(frozen=True, slots=True)
class Work:
    """A store as it was, and what the program says to the database since, in its settings."""

    before: bytes
    said: list[Said]
    settings: dict[str, str]

    def done_in(self, folder: Path, **settings: str) -> list[Done]:
        folder.mkdir()
        store = folder / "s.sqlite"
        store.write_bytes(self.before)
        return replayed(store, self.said, self.settings | settings)


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Work:
    store = small_store(tmp_path_factory.mktemp("power") / "s.sqlite")
    before = store.read_bytes()
    return Work(before, *statements_of(store, eight_visits))


def kept_after(folder: Path, files: dict[str, bytes]) -> list[str]:
    """Return the visits that are there after a cut; the store must be sound and none half."""
    folder.mkdir()
    for name, content in files.items():
        (folder / name).write_bytes(content)
    store = folder / "s.sqlite"
    assert check_store(store).faults == ()
    with open_store(store, create=False) as opened:
        vehicle = opened.vehicle(CAR).id
        visits = {visit.id for visit in opened.visits_of(vehicle)}
        sets = {one.visit_id for one in opened.reading_sets_of_vehicle(vehicle)}
    assert visits == sets
    return sorted(id for id in visits if id.startswith("visit "))


def check_cut(work: Work, done: list[Done], seed: int, folder: Path) -> None:
    """Cut the power at a moment drawn by a seed, and look at what is there then."""
    draw = chance(seed, "cut")
    upto = done[: draw.randrange(len(done) + 1)]
    acknowledged = sum(each.what == "commit" for each in upto)

    kept = kept_after(folder / str(seed), after_a_cut(work.before, upto, "s.sqlite", draw))

    assert kept == [f"visit {n}" for n in range(len(kept))], f"seed {seed}"
    assert acknowledged <= len(kept) <= acknowledged + 1, f"seed {seed}"


def test_power_cut_costs_nothing_that_a_commit_has_returned_from(
    work: Work, tmp_path: Path
) -> None:
    done = work.done_in(tmp_path / "replayed")
    assert sum(each.what == "commit" for each in done) == VISITS
    for seed in range(CUTS):
        check_cut(work, done, seed, tmp_path)


def test_a_store_that_did_not_sync_would_lose_some(work: Work, tmp_path: Path) -> None:
    """So the cut is one that the settings protect from."""
    done = work.done_in(tmp_path / "replayed", synchronous="off")

    def all_cuts() -> None:
        for seed in range(CUTS):
            check_cut(work, done, seed, tmp_path)

    with pytest.raises((AssertionError, StoreError)):
        all_cuts()
