"""Lives as they stood at an earlier visit, and the reading that came next."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.lives import Counts, Floats, Lives


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReadings:
    """What a part was going to read next, put as the question of when it would.

    Parameters
    ----------
    which
        The lives that were read again, farther on, shape (M,). [-]
    lives
        Those lives as they stood before; their limit is what was read next, which is known
        no better than any reading.
    gone
        Distance to the next reading, shape (M,). [1000 km]
    """

    which: Counts
    lives: Lives
    gone: Floats


def first_visits(lives: Lives, count: int) -> Lives:
    """Return lives as they stood when they had been visited so many times; ended ones whole."""
    return Lives(
        margin_mm=lives.margin_mm,
        u1_mm=lives.u1_mm,
        visits=np.minimum(lives.visits, count),
        x=lives.x[:count],
        visit_margin_mm=lives.visit_margin_mm[:count],
        visit_u1_mm=lives.visit_u1_mm[:count],
    )


def next_readings(lives: Lives, count: int) -> NextReadings:
    """Return what followed the first so many visits, where something did.

    Parameters
    ----------
    lives
        The lives.
    count
        Visits that are known, at least one. [-]
    """
    gone = lives.x[count] - lives.x[count - 1]
    # Without a distance between the two there was nothing to predict.
    which = np.flatnonzero((lives.visits > count) & (gone > 0.0))
    level_mm = lives.visit_margin_mm[count, which]
    known = first_visits(lives, count).part(which)
    return NextReadings(
        which=which,
        lives=Lives(
            margin_mm=known.margin_mm - level_mm,
            u1_mm=known.u1_mm,
            visits=known.visits,
            x=known.x,
            visit_margin_mm=known.visit_margin_mm - level_mm,
            visit_u1_mm=known.visit_u1_mm,
            limit_u1_mm=lives.visit_u1_mm[count, which],
        ),
        gone=gone[which],
    )
