"""Shops of simulated part lives, whose rates are known."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.grouping import Grouping
from brakelog.wear.bulk.lives import Counts, Floats, Lives, lives_from_rows
from brakelog.wear.experience import WearKind
from brakelog.wear.experiences import Group

MARGIN_MM, NEW_U1_MM, READING_U1_MM = 8.0, 0.15, 0.2
MEDIAN_RATE, PROCESS_C = 0.13, 0.94
LOG_SD = math.sqrt(math.log1p(0.4**2))
VEHICLE_SHARE = 0.8
FRONT = Group(kind=WearKind.FRONT_LINING, axle=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """Part lives as they are on record, with what only a simulation knows."""

    lives: Lives
    vehicles: Counts
    before: Counts
    """The life at the same place of the same vehicle before; -1 where none was."""
    rates: Floats
    went: Floats
    """Distance to the limit; not a number where the life was not seen to its end."""

    @property
    def grouping(self) -> Grouping:
        """All of them front linings."""
        return Grouping(groups=(FRONT,), codes=np.zeros(self.lives.count, dtype=np.int64))

    @property
    def general_log_rate(self) -> Floats:
        """What general experience says of each."""
        return np.full(self.lives.count, math.log(8.0 / 55.0))


def shop(
    seed: int,
    vehicles: int,
    *,
    places: int = 1,
    visits: tuple[int, int] = (1, 4),
    median_rate: float = MEDIAN_RATE,
    process_c: float = PROCESS_C,
    reading_u1_mm: float = READING_U1_MM,
    vehicle_share: float = VEHICLE_SHARE,
) -> Shop:
    """Return the record of some vehicles, each read a number of times at each place.

    A part is changed at the first reading at its limit, and the next visit reads the new one.
    """
    rng = np.random.default_rng(seed)
    of_vehicle = math.sqrt(vehicle_share) * LOG_SD
    of_set = math.sqrt(1.0 - vehicle_share) * LOG_SD
    rows: list[tuple[float, float]] = []
    counts: list[int] = []
    on: list[int] = []
    before: list[int] = []
    rates: list[float] = []
    went: list[float] = []
    for vehicle in range(vehicles):
        driver = of_vehicle * rng.standard_normal()
        gaps = np.maximum(rng.normal(12.0, 5.0, rng.integers(*visits, endpoint=True)), 1.0)
        for _ in range(places):
            margin, count, earlier = 0.0, 0, -1
            for turn, gap in enumerate(gaps.tolist()):
                if count == 0:
                    rate = median_rate * math.exp(driver + of_set * rng.standard_normal())
                    margin, x, end = MARGIN_MM + NEW_U1_MM * rng.standard_normal(), 0.0, math.nan
                worn = rng.gamma(gap / process_c, rate * process_c)
                if math.isnan(end) and worn >= margin:
                    end = x + gap * margin / worn
                margin, x, count = margin - worn, x + gap, count + 1
                rows.append((x, margin + reading_u1_mm * rng.standard_normal()))
                is_out = rows[-1][1] <= 0.0
                if is_out or turn == len(gaps) - 1:
                    counts.append(count)
                    on.append(vehicle)
                    before.append(earlier)
                    rates.append(rate)
                    went.append(end)
                    earlier, count = len(counts) - 1, 0
    x_and_y = np.array(rows)
    lives = lives_from_rows(
        margin_mm=np.full(len(counts), MARGIN_MM),
        u1_mm=np.full(len(counts), NEW_U1_MM),
        visits=np.array(counts, dtype=np.int64),
        x=x_and_y[:, 0],
        visit_margin_mm=x_and_y[:, 1],
        visit_u1_mm=np.full(len(rows), reading_u1_mm),
    )
    return Shop(
        lives=lives,
        vehicles=np.array(on, dtype=np.int64),
        before=np.array(before, dtype=np.int64),
        rates=np.array(rates),
        went=np.array(went),
    )
