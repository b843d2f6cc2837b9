"""How often something held, and how well that is known when some of the cases go together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.metrology.distributions import student_quantile
from brakelog.metrology.proportion import share_interval
from brakelog.wear.bulk.lives import Bools, Counts

CONFIDENCE = 0.95
"""Least probability that the interval of a share holds it. [-]

Source: common practice.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class HitRate:
    """How often something held.

    Parameters
    ----------
    hits, count
        Cases in which it held, and all of them. [-]
    low, high
        Ends of the 95 % interval of the share. [-]
    """

    hits: int
    count: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Share of cases in which it held. [-]"""
        return self.hits / self.count

    def holds(self, share: float) -> bool:
        """Whether the interval holds a share."""
        return self.low <= share <= self.high


def hit_rate(held: Bools, vehicles: Counts) -> HitRate:
    """Return how often something held.

    Parameters
    ----------
    held
        Whether it did, one at least.
    vehicles
        Vehicle of each case.

    Notes
    -----
    Parts of one vehicle hold or fail together, so that the cases are worth fewer independent
    ones: as many as would leave the share as uncertain as the scatter between vehicles does,
    fewer still where that scatter itself rests on few vehicles.

    References
    ----------
    E. L. Korn and B. I. Graubard, "Confidence intervals for proportions with small expected
    number of positive counts estimated from survey data", Survey Methodology 24 (1998) 193-201.
    """
    hits, count = int(np.count_nonzero(held)), len(held)
    worth = _worth(held, vehicles)
    low, high = share_interval(hits / count * worth, worth, confidence=CONFIDENCE)
    return HitRate(hits=hits, count=count, low=low, high=high)


def _worth(held: Bools, vehicles: Counts) -> float:
    """Independent cases that would tell as much. [-]"""
    count = len(held)
    _, place = np.unique(vehicles, return_inverse=True)
    distinct = int(place.max()) + 1
    if distinct < 2:
        return 1.0
    share = float(np.mean(held))
    alone = share * (1.0 - share) / (count - 1)
    together = float(np.sum(np.square(np.bincount(place, held - share))))
    together *= distinct / (distinct - 1) / count**2
    # Where all held there is no scatter to see: as if every vehicle spoke with one voice.
    fewer = max(together / alone, 1.0) if alone > 0.0 else count / distinct
    tail = (1.0 + CONFIDENCE) / 2.0
    few_vehicles = student_quantile(tail, count - 1) / student_quantile(tail, distinct - 1)
    return count / fewer * min(few_vehicles, 1.0) ** 2
