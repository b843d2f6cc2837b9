"""The projection of a million part lives, against fitting a line to each of them.

Run by hand: ``python tests/bench/wear.py [lives]``. Everything is measured in the same process,
in processor time, in turn, the best of several rounds; prints ratios. The projection is the whole
one: it screens every life twice, joins its likelihood with what is believed, sees whether the wear
is accelerating, and finds the distances that 9, 5 and 1 of 10 such parts reach. The lines are a
loop over scipy's ``linregress``, measured on 20,000 lives and extrapolated, and the bare slopes of
all lives by numpy's sums over slices.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.stats import linregress

sys.path.insert(0, str(Path(__file__).parents[2]))

from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.lives import Floats, Lives, lives_from_rows
from brakelog.wear.crossing import Z90

LIVES = 1_000_000
READINGS = 5
LOOPED = 20_000
"""Lives that the loop is measured on; its time is proportional to them."""
ROUNDS = 7
AT_LEAST, AT_MOST = 150.0, 20.0
"""Aims: times faster than the loop, times the cost of the bare slope."""


@dataclass(frozen=True, kw_only=True)
class Rows:
    """Readings of many linings, one a row, five rows a lining."""

    x: Floats
    """Distance since the fitting. [1000 km]"""
    margin_mm: Floats
    """Material above the limit. [mm]"""
    u1_mm: Floats
    """Standard uncertainty of it. [mm]"""

    @property
    def lives(self) -> int:
        return len(self.x) // READINGS


def drawn(lives: int) -> Rows:
    """Draw linings that wear by 0.13 mm per 1000 km, more or less, read to 0.2 mm."""
    rng = np.random.default_rng(1)
    gaps = np.maximum(rng.normal(8.0, 3.0, (lives, READINGS)), 1.0)
    rates = np.exp(rng.normal(np.log(0.13), 0.385, (lives, 1)))
    worn = np.cumsum(rng.gamma(gaps / 0.94, rates * 0.94), axis=1)
    read = 8.0 - worn + rng.normal(0.0, 0.2, worn.shape)
    return Rows(
        x=np.cumsum(gaps, axis=1).ravel(),
        margin_mm=read.ravel(),
        u1_mm=np.full(read.size, 0.2),
    )


def side_by_side(rows: Rows) -> Lives:
    """Return the rows as the projection takes them."""
    return lives_from_rows(
        margin_mm=np.full(rows.lives, 8.0),
        u1_mm=np.full(rows.lives, 0.15),
        visits=np.full(rows.lives, READINGS),
        x=rows.x,
        visit_margin_mm=rows.margin_mm,
        visit_u1_mm=rows.u1_mm,
    )


def project(lives: Lives) -> None:
    """Project every life, to the levels that a person is told."""
    each = np.ones(lives.count)
    beliefs = Beliefs(
        log_rate=np.log(0.13) * each, log_sd=0.4 * each, process_c=0.94 * each, widened=each
    )
    forecast_many(lives, beliefs, levels=(-Z90, Z90))


def loop(rows: Rows) -> None:
    """Fit a line to each of the first lives."""
    for begin in range(0, min(LOOPED, rows.lives) * READINGS, READINGS):
        which = slice(begin, begin + READINGS)
        linregress(rows.x[which], rows.margin_mm[which])


def slopes(rows: Rows) -> Floats:
    """Return the slope of a line through the readings of each life, by one-pass sums."""
    x, y, starts = rows.x, rows.margin_mm, np.arange(0, len(rows.x), READINGS)
    sum_x, sum_y = np.add.reduceat(x, starts), np.add.reduceat(y, starts)
    sum_xx, sum_xy = np.add.reduceat(x * x, starts), np.add.reduceat(x * y, starts)
    found: Floats = (READINGS * sum_xy - sum_x * sum_y) / (READINGS * sum_xx - sum_x * sum_x)
    return found


def spent(work: Callable[[], object]) -> float:
    """Do something and return the processor time that it took. [s]"""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else LIVES
    rows = drawn(count)
    lives = side_by_side(rows)
    works: dict[str, Callable[[], object]] = {
        "projection": lambda: project(lives),
        "projection, from rows": lambda: project(side_by_side(rows)),
        "slope by sums over slices": lambda: slopes(rows),
        "loop over linregress": lambda: loop(rows),
    }
    timed = [{name: spent(work) for name, work in works.items()} for _ in range(ROUNDS)]
    best = {name: min(each[name] for each in timed) for name in works}
    best["loop over linregress"] *= count / min(LOOPED, count)
    print(f"{count:,} lives of {READINGS} readings, best of {ROUNDS} rounds")
    for name in ("projection", "projection, from rows"):
        faster = best["loop over linregress"] / best[name]
        dearer = best[name] / best["slope by sums over slices"]
        print(f"{name}: {faster:.0f} times faster than the loop (aim: at least {AT_LEAST:.0f})")
        print(f"{name}: {dearer:.1f} times the bare slope (aim: at most {AT_MOST:.0f})")


if __name__ == "__main__":
    main()
