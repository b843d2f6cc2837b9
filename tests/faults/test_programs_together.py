"""Several people at one store at once, through the program itself."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="a process is copied on POSIX systems only")

from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from tests.faults.forked import GIVE_UP_S, Forked
from tests.faults.sample import CAR, lines_of, small_store

WRITERS = 16
BEFORE = "2026-11-27"
"""The day of a visit that is on file already, with three sets of readings."""


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return small_store(tmp_path / "s.sqlite")


def test_sixteen_programs_that_enter_a_visit_each_lose_refuse_and_double_nothing(
    store: Path,
) -> None:
    days = [f"2026-11-{28 - back:02}" for back in range(WRITERS)]
    # The later the day, the more the odometer shows.
    shown = {day: f"{62_410 - 10 * back} km" for back, day in enumerate(days)}
    del shown[BEFORE]
    with ExitStack() as stack:
        programs = [
            stack.enter_context(
                Forked(
                    *("--store", str(store), "measure", CAR, "--unit", "mm", "--date", day),
                    *(("--odometer", shown[day]) if day in shown else ()),
                    typed=lines_of("LF", "RF").encode(),
                )
            )
            for day in days
        ]
        for program in programs:
            program.let_go()
        said = [program.read_all() for program in programs]

    assert [program.end() for program in programs] == [0] * WRITERS, said
    assert all("on file for" in each for each in said)
    with open_store(store, create=False) as opened:
        vehicle = opened.vehicle(CAR).id
        visits = opened.visits_of(vehicle)
        sets = opened.reading_sets_of_vehicle(vehicle)
    assert sorted(visit.day.isoformat() for visit in visits) == sorted(days)
    assert len(sets) == 3 + 6 * WRITERS
    assert check_store(store).faults == ()


def test_two_techs_measure_two_corners_of_one_car_at_once(store: Path) -> None:
    words = ("measure", CAR, "--odometer", "64000 km", "--date", "2026-11-28", "--unit", "mm")
    with ExitStack() as stack:
        techs = {
            corner: stack.enter_context(
                Forked("--store", str(store), *words, "--corner", corner, at_terminal=True)
            )
            for corner in ("LF", "RF")
        }
        for tech in techs.values():
            tech.let_go()
        at_work = dict(techs)
        read_to = dict.fromkeys(techs, 0)
        while at_work:
            for corner, tech in list(at_work.items()):
                # One question of one, then one of the other.
                if not tech.read(GIVE_UP_S):
                    del at_work[corner]
                elif tech.shown[read_to[corner] :].endswith(": "):
                    asked = tech.shown[read_to[corner] :].rsplit("\n", 1)[-1]
                    read_to[corner] = len(tech.shown)
                    tech.type("3.2" if "pad" in asked else "27.401" if "rotor" in asked else "")
        said = {corner: tech.read_all() for corner, tech in techs.items()}

    for corner, shown in said.items():
        assert techs[corner].end() == 0, shown
        assert f"{corner} is filed" in shown
    with open_store(store, create=False) as opened:
        vehicle = opened.vehicle(CAR).id
        (visit,) = [v for v in opened.visits_of(vehicle) if v.day.isoformat() == "2026-11-28"]
        filed = {
            str(one.corner) for one in opened.reading_sets_of_vehicle(vehicle)
            if one.visit_id == visit.id
        }  # fmt: skip
        assert opened.draft_entries(visit.id) == []
    assert filed == {"LF", "RF"}
    assert check_store(store).faults == ()
