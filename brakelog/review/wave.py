"""The one wave a turn that goes through a profile, and how far it goes below what was shown."""

from __future__ import annotations

import math
from collections.abc import Sequence

ROUNDS = 40
"""Rounds of filling in: each brings the hidden readings nearer to the wave; after forty the rest is
below a nanometre for half a circle hidden. Assumption, tried."""


def depth_below_nm(values_nm: Sequence[int], floor_nm: int) -> float:
    """Return how far the wave through the other readings goes below a floor. [nm]

    Parameters
    ----------
    values_nm : sequence of int
        Readings at evenly spaced angles of one turn. [nm]
    floor_nm : int
        The reading below which nothing was shown. [nm]

    Notes
    -----
    A tip that lost contact hides the readings at the floor. They are filled in from the wave, the
    wave is fitted to all again, and so on: that ends at the least squares fit of those shown.
    """
    count = len(values_nm)
    turn = [2.0 * math.pi * n / count for n in range(count)]
    filled = [float(nm) for nm in values_nm]
    mean = size = 0.0
    for _ in range(ROUNDS):
        mean = sum(filled) / count
        east = 2.0 / count * sum(nm * math.cos(at) for nm, at in zip(filled, turn, strict=True))
        north = 2.0 / count * sum(nm * math.sin(at) for nm, at in zip(filled, turn, strict=True))
        size = math.hypot(east, north)
        for n, nm in enumerate(values_nm):
            if nm == floor_nm:
                wave = mean + east * math.cos(turn[n]) + north * math.sin(turn[n])
                filled[n] = min(wave, float(floor_nm))
    return floor_nm - (mean - size)
