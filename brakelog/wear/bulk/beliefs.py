"""What is believed about each of many part lives beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.lives import Counts, Floats
from brakelog.wear.experience import Experience


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs:
    """One experience a life, each array of shape (N,).

    Parameters
    ----------
    log_rate
        Natural logarithm of the median rate in mm per 1000 km. [-]
    log_sd
        Standard deviation of it. [-]
    process_c
        Process variance over rate squared and distance, in the range that is believed. [1000 km]
    widened
        Factor by which what is stated is widened. [-]
    """

    log_rate: Floats
    log_sd: Floats
    process_c: Floats
    widened: Floats

    def part(self, which: slice | Counts) -> Beliefs:
        """Return some of the beliefs."""
        return Beliefs(
            log_rate=self.log_rate[which],
            log_sd=self.log_sd[which],
            process_c=self.process_c[which],
            widened=self.widened[which],
        )


def beliefs_of(experiences: Sequence[Experience]) -> Beliefs:
    """Return experiences as arrays, in their order."""
    rows = np.array(
        [(each.log_rate, each.log_sd, each.believed_c, each.widened) for each in experiences],
        dtype=np.float64,
    ).reshape(-1, 4)
    return Beliefs(log_rate=rows[:, 0], log_sd=rows[:, 1], process_c=rows[:, 2], widened=rows[:, 3])
