"""Distance per day and days until a distance is driven, against rows worked for the method."""

from __future__ import annotations

import math

import numpy as np
import pytest

from brakelog.wear.bulk.distance import days_until_many, usages_of
from brakelog.wear.crossing import Z90
from brakelog.wear.usage import Usage, days_until, usage_of

# 27,000 km in 700 days, and half of such parts going 34,000 km: 9 of 10 last 519 days.
DAYS = {(-Z90, 22_000.0): 519.0, (0.0, 34_000.0): 891.0, (Z90, 50_000.0): 1439.0}


def test_distance_per_day_agrees_with_the_worked_row() -> None:
    usage = usage_of(Usage(), distance_km=27_000.0, days=700)

    assert usage.km_per_day == pytest.approx(38.14, abs=0.005)
    assert usage.log_sd == pytest.approx(0.1698, abs=5e-5)
    assert usage.days_behind == 700


@pytest.mark.parametrize(("level", "days"), DAYS.items(), ids=["early", "median", "late"])
def test_days_agree_with_the_worked_row(level: tuple[float, float], days: float) -> None:
    z, distance_km = level
    usage = usage_of(Usage(), distance_km=27_000.0, days=700)
    found = days_until(usage, distance_km=distance_km, median_km=34_000.0, z=z)

    assert found == pytest.approx(days, abs=0.5)


@pytest.mark.parametrize(("level", "days"), DAYS.items(), ids=["early", "median", "late"])
def test_days_of_many_agree_with_the_worked_row(level: tuple[float, float], days: float) -> None:
    z, distance_km = level
    usages = usages_of(Usage(), distance_km=np.array([27_000.0]), days=np.array([700.0]))
    found = days_until_many(
        usages, distance_km=np.array([distance_km]), median_km=np.array([34_000.0]), z=z
    )

    assert math.exp(usages.log_km_per_day[0]) == pytest.approx(38.14, abs=0.005)
    assert found[0] == pytest.approx(days, abs=0.5)
