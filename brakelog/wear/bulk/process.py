"""How much the wear of one part life varies along the way, learned from lives with many visits."""

from __future__ import annotations

import numpy as np

from brakelog.wear.bulk.lives import Counts, Floats, Lives
from brakelog.wear.experience import PROCESS_C_RANGE

ROUNDS = 9
"""Rounds of the search. [-]

Assumption: found by trial; further rounds move the constant by less than one in a thousand.
"""

TRIMMED_FROM = 9.0
"""Squared standardised residual from which a reading is left out. [-]

Source: common practice (three standard deviations). Left out rather than pulled in: a few gross
errors in a hundred would still make the wear look half as variable again.
"""

KEPT_SHARE = 0.973
"""Mean square of a standard normal variable that lies within three standard deviations. [-]"""

READINGS_BEFORE = 10.0
"""Readings that what was believed before counts for. [-]

Assumption: a dozen readings between others begin to tell.
"""


def process_constants(lives: Lives, codes: Counts, before: Floats) -> Floats:
    """Return the process variance over rate squared and distance of each group. [1000 km]

    Parameters
    ----------
    lives
        The lives.
    codes
        Group of each life.
    before
        What is believed of each group without them, shape (G,). [1000 km]

    Notes
    -----
    A reading between the start and the last one is compared with the straight line between the
    two. It lies off by the errors of the three, and by what the wear did in between: a bridge of
    variance c r^2 x (1 - x / x_last). No experience enters, so that the constant does not depend
    on what is believed of the rates.
    """
    count = len(before)
    code, squared, reading_var, growth = _bridges(lives, codes)
    constant = before
    for _ in range(ROUNDS):
        total = reading_var + constant[code] * growth
        weight = np.where(squared < TRIMMED_FROM * total, growth / np.square(total), 0.0)
        over = np.bincount(code, weight * (squared / KEPT_SHARE - reading_var), count)
        under = np.bincount(code, weight * growth, count)
        found = np.maximum(over / np.where(under > 0.0, under, 1.0), 0.0)
        behind = np.square(constant) * under
        constant = np.clip(
            (READINGS_BEFORE * before + behind * found) / (READINGS_BEFORE + behind),
            *PROCESS_C_RANGE,
        )
    return constant


def _bridges(lives: Lives, codes: Counts) -> tuple[Counts, Floats, Floats, Floats]:
    """Code, squared residual, its variance by reading errors, and by the process over c."""
    each = np.arange(lives.count)
    last = np.maximum(lives.visits - 1, 0), each
    found = []
    for rank in range(lives.most_visits - 1):
        # No growth, no weight: a reading at the place of another one does not count.
        at = np.flatnonzero(
            (lives.visits > rank + 1) & (lives.x[rank] > 0.0) & (lives.x[rank] < lives.x[last])
        )
        end = lives.visits[at] - 1, at
        x, x_last = lives.x[rank, at], lives.x[end]
        share = x / x_last
        lost = lives.margin_mm[at] - lives.visit_margin_mm[end]
        off = lives.visit_margin_mm[rank, at] - lives.margin_mm[at] + lost * share
        found.append(
            (
                codes[at],
                np.square(off),
                np.square(lives.visit_u1_mm[rank, at])
                + np.square((1.0 - share) * lives.u1_mm[at])
                + np.square(share * lives.visit_u1_mm[end]),
                np.square(lost / x_last) * x * (1.0 - share),
            )
        )
    if not found:
        nothing = np.zeros(0)
        return np.zeros(0, dtype=np.int64), nothing, nothing, nothing
    code, squared, reading_var, growth = (np.concatenate(each) for each in zip(*found, strict=True))
    return code, squared, reading_var, growth
