"""What earlier parts say of those that are on many vehicles now; see ``wear.earlier`` for one."""

from __future__ import annotations

import numpy as np

from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.laplace import RateEstimates
from brakelog.wear.earlier import LEAST_PRECISION_SHARE
from brakelog.wear.experience import VEHICLE_SHARE


def after_earlier_sets(
    beliefs: Beliefs, earlier: RateEstimates, *, vehicle_share: float = VEHICLE_SHARE
) -> Beliefs:
    """Return the beliefs about parts whose forerunners on the same vehicles are known.

    Parameters
    ----------
    beliefs
        What is believed of such parts.
    earlier
        Rates of the forerunners, estimated with those same beliefs.
    vehicle_share
        Share of the variance between rates that stays with the vehicle. [-]

    Returns
    -------
    Beliefs
        Moved towards the forerunner and narrower; as it was where the forerunner says nothing.
    """
    tau2, precision = np.square(beliefs.log_sd), 1.0 / np.square(earlier.log_rate_u1)
    alone = precision - 1.0 / tau2
    says = alone > LEAST_PRECISION_SHARE / tau2
    alone = np.where(says, alone, 1.0)
    log_rate = (earlier.log_rate * precision - beliefs.log_rate / tau2) / alone
    shared = vehicle_share * tau2
    total = tau2 + 1.0 / alone
    moved = beliefs.log_rate + shared / total * (log_rate - beliefs.log_rate)
    return Beliefs(
        log_rate=np.where(says, moved, beliefs.log_rate),
        log_sd=np.where(says, np.sqrt(tau2 - np.square(shared) / total), beliefs.log_sd),
        process_c=beliefs.process_c,
        widened=beliefs.widened,
    )
