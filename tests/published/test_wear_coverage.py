"""How often the bound holds in simulated part lives."""

from __future__ import annotations

import datetime
import math
import random

import pytest

from brakelog.wear.experience import Experience, WearKind, general_experience
from brakelog.wear.forecast import forecast
from brakelog.wear.history import History, Visit
from brakelog.wear.life import PartLife, Reading, Start
from brakelog.wear.projecting import project
from brakelog.wear.projection import Refusal
from brakelog.wear.rate import screen

LIVES = 4_000
NEW_MM, NEW_U1_MM, LIMIT_MM, READING_U1_MM = 11.0, 0.15, 3.0, 0.2
MEDIAN_RATE, CV_BETWEEN, C = 0.13, 0.4, 0.94
TRUE_LOG_SD = math.sqrt(math.log1p(CV_BETWEEN**2))
LEARNED = Experience(
    log_rate=math.log(MEDIAN_RATE),
    log_sd=TRUE_LOG_SD,
    process_c=C,
    lives_behind=60.0,
    source="simulated",
)
GENERAL = general_experience(WearKind.FRONT_LINING, new_mm=NEW_MM, limit_mm=LIMIT_MM)


def _crossing(rng: random.Random, margin: float, rate: float) -> float:
    """Distance at which a gamma process first passes the margin. [1000 km]"""
    if margin <= 0.0:
        return 0.0
    step, x, worn = 40.0, 0.0, 0.0
    while True:
        loss = rng.gammavariate(step / C, rate * C)
        if worn + loss >= margin:
            break
        x, worn = x + step, worn + loss
    # Inside the step: halve it again and again, the loss split as a gamma process splits it.
    for _ in range(12):
        step /= 2.0
        first = loss * rng.betavariate(step / C, step / C)
        if worn + first >= margin:
            loss = first
        else:
            x, worn, loss = x + step, worn + first, loss - first
    return x + step / 2.0


def _life(rng: random.Random, count: int) -> tuple[list[tuple[float, float]], float]:
    """Visits of a life whose last reading is above the limit, and what was really left."""
    while True:
        rate = math.exp(rng.gauss(math.log(MEDIAN_RATE), TRUE_LOG_SD))
        size, x = rng.gauss(NEW_MM, NEW_U1_MM), 0.0
        visits = []
        for _ in range(count):
            gap = max(rng.gauss(12.0, 5.0), 1.0)
            x += gap
            size -= rng.gammavariate(gap / C, rate * C)
            visits.append((x, size + rng.gauss(0.0, READING_U1_MM)))
            # A shop would have changed the part at the first reading at its limit.
            if visits[-1][1] <= LIMIT_MM:
                break
        else:
            return visits, _crossing(rng, size - LIMIT_MM, rate)


def _coverage(count: int, experience: Experience) -> tuple[float, float]:
    rng = random.Random(20_240_000 + count)
    bound = both = 0
    for _ in range(LIVES):
        visits, left = _life(rng, count)
        history = History(
            margin_mm=NEW_MM - LIMIT_MM,
            u1_mm=NEW_U1_MM,
            visits=tuple(
                Visit(x=x, margin_mm=y - LIMIT_MM, u1_mm=READING_U1_MM) for x, y in visits
            ),
        )
        found = forecast(history, experience, screen(history, experience))
        bound += left >= found.d10
        both += found.d05 <= left <= found.d95
    return bound / LIVES, both / LIVES


@pytest.mark.parametrize("count", [1, 3])
def test_bound_holds_for_nine_lives_of_ten(count: int) -> None:
    bound, both = _coverage(count, LEARNED)

    assert 0.87 <= bound <= 0.93
    assert 0.85 <= both <= 0.93


@pytest.mark.parametrize("count", [1, 3])
def test_bound_holds_on_general_experience_too(count: int) -> None:
    bound, _ = _coverage(count, GENERAL)

    assert 0.87 <= bound <= 0.93


@pytest.mark.parametrize("count", [1, 3])
def test_what_people_are_told_holds_at_least_as_often(count: int) -> None:
    rng = random.Random(20_250_000 + count)
    day = datetime.date(2024, 5, 1)
    held = told = 0
    for _ in range(LIVES // 2):
        visits, left = _life(rng, count)
        readings = tuple(
            Reading(
                odometer_mm=round(x * 1e9),
                value_nm=round(y * 1e6),
                sigma1_nm=READING_U1_MM * 1e6,
                day=day,
            )
            for x, y in visits
        )
        life = PartLife(
            kind=WearKind.FRONT_LINING,
            grows=False,
            start=Start(odometer_mm=0, size_nm=11_000_000, sigma1_nm=150_000.0, measured=True),
            readings=readings,
            limit_nm=3_000_000,
            new_nm=11_000_000,
            as_of=day,
            as_of_odometer_mm=readings[-1].odometer_mm,
            is_out=False,
        )
        found = project(life, LEARNED)
        if found.at_least_mm is None:
            assert found.refusal is Refusal.UNRESOLVED
            continue
        told += 1
        held += left * 1e9 >= found.at_least_mm

    assert told > 0.98 * LIVES // 2
    assert held / told >= 0.87
