"""The interval of a counted share against scipy's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from brakelog.metrology.proportion import share_interval
from brakelog.wear.bulk.hits import hit_rate


@pytest.mark.parametrize(
    ("hits", "count"),
    [(0, 1), (1, 1), (0, 50), (3, 50), (45, 50), (50, 50), (31, 32), (8888, 9999)],
)
@pytest.mark.parametrize("confidence", [0.90, 0.95])
def test_interval_is_that_of_clopper_and_pearson(hits: int, count: int, confidence: float) -> None:
    theirs = stats.binomtest(hits, count).proportion_ci(confidence, method="exact")

    assert share_interval(hits, count, confidence=confidence) == pytest.approx(
        (theirs.low, theirs.high), abs=1e-10
    )


def test_readings_on_a_vehicle_each_give_that_interval() -> None:
    held = np.arange(60) >= 7
    found = hit_rate(held, np.arange(60))

    assert found.share == 53 / 60
    assert (found.low, found.high) == pytest.approx(share_interval(53, 60))


def test_readings_that_only_repeat_each_other_count_once_a_vehicle() -> None:
    held = np.repeat(np.arange(60) >= 7, 4)
    found = hit_rate(held, np.repeat(np.arange(60), 4))

    assert (found.hits, found.count) == (212, 240)
    assert (found.low, found.high) == pytest.approx(share_interval(53, 60), abs=0.005)


def test_readings_of_one_vehicle_say_next_to_nothing() -> None:
    found = hit_rate(np.ones(60, dtype=np.bool_), np.zeros(60, dtype=np.int64))

    assert found.low < 0.03
    assert found.high == 1.0
