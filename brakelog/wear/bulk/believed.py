"""What is believed of each of many lives, looked up in the experience of the shop."""

from __future__ import annotations

import numpy as np

from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.grouping import Grouping, lineage
from brakelog.wear.bulk.lives import Floats
from brakelog.wear.experience import LOG_SD, PROCESS_C, Experience
from brakelog.wear.experiences import Experiences, Group


def believed(grouping: Grouping, experiences: Experiences, general_log_rate: Floats) -> Beliefs:
    """Return the experience of the narrowest group of each life that has one, else the general one.

    Parameters
    ----------
    grouping
        The narrowest group of each life.
    experiences
        What the shop has learned.
    general_log_rate
        Logarithm of the median rate that general experience gives each, shape (N,). [-]
    """
    found = [_narrowest(group, experiences) for group in grouping.groups]
    rows = np.array(
        [
            (each.log_rate, each.log_sd, each.believed_c, each.widened)
            if each
            else (np.nan, LOG_SD[group.kind], PROCESS_C, 1.0)
            for group, each in zip(grouping.groups, found, strict=True)
        ],
        dtype=np.float64,
    ).reshape(-1, 4)
    log_rate, log_sd, process_c, widened = rows[grouping.codes].T
    return Beliefs(
        log_rate=np.where(np.isnan(log_rate), general_log_rate, log_rate),
        log_sd=log_sd,
        process_c=process_c,
        widened=widened,
    )


def _narrowest(group: Group, experiences: Experiences) -> Experience | None:
    for each in reversed(lineage(group)):
        if (found := experiences.by_group.get(each)) is not None:
            return found
    return None
