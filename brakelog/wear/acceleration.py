"""Whether a part wears faster lately than before."""

from __future__ import annotations

import math

from brakelog.wear.history import History, Visit

FASTER_BY = 1.5
"""Ratio of the latest rate to the earlier one from which wear counts as accelerating. [-]

Assumption: below it the usual scatter between intervals explains the difference.
"""

FASTER_Z = 2.5
"""Standardised difference of the two rates from which it is not chance. [-]

Assumption: about 1 alarm in 160 for steady wear.
"""

LEAST_RATE = 0.02
"""Rate below which the scatter of the difference is not allowed to fall. [mm/1000 km]

Assumption: a slow rotor; without a floor a part that gained material would have no scatter.
"""


def last_interval(history: History, process_c: float) -> History | None:
    """History from the last but one visit on, if the wear since then is faster than before.

    Parameters
    ----------
    history
        Start and visits.
    process_c
        Process variance over rate squared and distance. [1000 km]

    Returns
    -------
    History or None
        None if the wear is steady, or if there is nothing to compare.
    """
    if len(history.visits) < 2:
        return None
    before, last = history.visits[-2:]
    gap = last.x - before.x
    if before.x <= 0.0 or gap <= 0.0:
        return None
    earlier = (history.margin_mm - before.margin_mm) / before.x
    latest = (before.margin_mm - last.margin_mm) / gap
    both = 1.0 / gap + 1.0 / before.x
    rate = max((history.margin_mm - last.margin_mm) / last.x, LEAST_RATE)
    # The reading between the two intervals moves both rates, in opposite directions.
    var = (
        (last.u1_mm / gap) ** 2
        + (before.u1_mm * both) ** 2
        + (history.u1_mm / before.x) ** 2
        + process_c * rate * rate * both
    )
    if latest <= FASTER_BY * earlier or latest - earlier <= FASTER_Z * math.sqrt(var):
        return None
    return History(
        margin_mm=before.margin_mm,
        u1_mm=before.u1_mm,
        visits=(Visit(x=gap, margin_mm=last.margin_mm, u1_mm=last.u1_mm),),
    )
