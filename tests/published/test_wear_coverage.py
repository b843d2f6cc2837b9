"""How often the bound holds in simulated part lives."""

from __future__ import annotations

import datetime
import math

import numpy as np
import pytest

from brakelog.wear.bulk.beliefs import beliefs_of
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.project import project_many
from brakelog.wear.experience import Experience, WearKind, general_experience
from brakelog.wear.life import PartLife, Reading, Start
from brakelog.wear.projection import Refusal
from tests.simulation.wear_world import Drawn, World, running

LIVES = 4_000
WORLD = World()
LEARNED = Experience(
    log_rate=math.log(WORLD.rate),
    log_sd=WORLD.log_sd,
    process_c=WORLD.process_c,
    lives_behind=60.0,
    source="simulated",
)
GENERAL = general_experience(WearKind.FRONT_LINING, new_mm=WORLD.new_mm, limit_mm=WORLD.limit_mm)


def _drawn(visits: int, lives: int = LIVES) -> Drawn:
    return running(WORLD, lives, visits, np.random.default_rng(20_240_000 + visits))


def _coverage(visits: int, experience: Experience) -> tuple[float, float]:
    """Share of lives that reach the bound, and share inside the two-sided interval. [-]"""
    drawn = _drawn(visits)
    found = forecast_many(drawn.lives, beliefs_of([experience] * LIVES))
    is_inside = (found.d05 <= drawn.left) & (drawn.left <= found.d95)
    return float(np.mean(drawn.left >= found.d10)), float(np.mean(is_inside))


@pytest.mark.parametrize("visits", [1, 3])
def test_bound_holds_for_nine_lives_of_ten(visits: int) -> None:
    bound, both = _coverage(visits, LEARNED)

    assert 0.87 <= bound <= 0.93
    assert 0.85 <= both <= 0.93


@pytest.mark.parametrize("visits", [1, 3])
def test_bound_holds_on_general_experience_too(visits: int) -> None:
    bound, _ = _coverage(visits, GENERAL)

    assert 0.87 <= bound <= 0.93


def _recorded(drawn: Drawn) -> list[PartLife]:
    """The same lives as a shop has them on record."""
    day = datetime.date(2024, 5, 1)
    limit_nm, new_nm = round(WORLD.limit_mm * 1e6), round(WORLD.new_mm * 1e6)
    start = Start(odometer_mm=0, size_nm=new_nm, sigma1_nm=WORLD.new_sd_mm * 1e6, measured=True)
    lives = []
    for xs, margins_mm in zip(
        drawn.lives.x.T.tolist(), drawn.lives.visit_margin_mm.T.tolist(), strict=True
    ):
        readings = tuple(
            Reading(
                odometer_mm=round(x * 1e9),
                value_nm=limit_nm + round(margin_mm * 1e6),
                sigma1_nm=WORLD.u1_mm * 1e6,
                day=day,
            )
            for x, margin_mm in zip(xs, margins_mm, strict=True)
        )
        lives.append(
            PartLife(
                kind=WearKind.FRONT_LINING,
                grows=False,
                start=start,
                readings=readings,
                limit_nm=limit_nm,
                new_nm=new_nm,
                as_of=day,
                as_of_odometer_mm=readings[-1].odometer_mm,
                is_out=False,
            )
        )
    return lives


@pytest.mark.parametrize("visits", [1, 3])
def test_what_people_are_told_holds_at_least_as_often(visits: int) -> None:
    drawn = _drawn(visits)
    told = held = 0
    for left, found in zip(
        drawn.left.tolist(), project_many(_recorded(drawn), [LEARNED] * LIVES), strict=True
    ):
        if found.at_least_mm is None:
            assert found.refusal is Refusal.UNRESOLVED
            continue
        told += 1
        held += left * 1e9 >= found.at_least_mm

    assert told > 0.98 * LIVES
    assert held / told >= 0.87
