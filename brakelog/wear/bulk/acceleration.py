"""Which of many parts wear faster lately than before; see ``wear.acceleration`` for one."""

from __future__ import annotations

import numpy as np

from brakelog.wear.acceleration import FASTER_BY, FASTER_Z, LEAST_RATE
from brakelog.wear.bulk.lives import Counts, Floats, Lives


def accelerating(lives: Lives, process_c: Floats) -> Counts:
    """Return the indices of the lives whose wear since the last visit but one is faster.

    Parameters
    ----------
    lives
        The lives.
    process_c
        Process variance over rate squared and distance, shape (N,). [1000 km]
    """
    if lives.most_visits < 2:
        return np.empty(0, dtype=np.int64)
    before, last = _last_two(lives)
    x, last_x = lives.x[before], lives.x[last]
    gap = last_x - x
    is_comparable = (lives.visits >= 2) & (x > 0.0) & (gap > 0.0)
    # Ones, where there is nothing to compare, keep the arithmetic quiet.
    x[~is_comparable] = gap[~is_comparable] = last_x[~is_comparable] = 1.0
    margin_mm, last_margin_mm = lives.visit_margin_mm[before], lives.visit_margin_mm[last]
    earlier = (lives.margin_mm - margin_mm) / x
    latest = (margin_mm - last_margin_mm) / gap
    both = 1.0 / gap + 1.0 / x
    rate = np.maximum((lives.margin_mm - last_margin_mm) / last_x, LEAST_RATE)
    # The reading between the two intervals moves both rates, in opposite directions.
    var = (
        np.square(lives.visit_u1_mm[last] / gap)
        + np.square(lives.visit_u1_mm[before] * both)
        + np.square(lives.u1_mm / x)
        + process_c * rate * rate * both
    )
    is_faster = (latest > FASTER_BY * earlier) & (latest - earlier > FASTER_Z * np.sqrt(var))
    return np.flatnonzero(is_comparable & is_faster)


def last_intervals(lives: Lives) -> Lives:
    """Return each life from its last visit but one on; every one must have two.

    Parameters
    ----------
    lives
        The lives.
    """
    before, last = _last_two(lives)
    return Lives(
        margin_mm=lives.visit_margin_mm[before],
        u1_mm=lives.visit_u1_mm[before],
        visits=np.ones(lives.count, dtype=np.int64),
        x=(lives.x[last] - lives.x[before])[None, :],
        visit_margin_mm=lives.visit_margin_mm[last][None, :],
        visit_u1_mm=lives.visit_u1_mm[last][None, :],
        limit_u1_mm=lives.limit_u1_mm,
    )


def _last_two(lives: Lives) -> tuple[tuple[Counts, Counts], tuple[Counts, Counts]]:
    """Where the last visit but one and the last one stand in the arrays."""
    each = np.arange(lives.count)
    return (np.maximum(lives.visits - 2, 0), each), (np.maximum(lives.visits - 1, 0), each)
