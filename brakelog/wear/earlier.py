"""What an earlier part of the same vehicle says of the one that is on it now."""

from __future__ import annotations

from dataclasses import replace

from brakelog.wear.experience import VEHICLE_SHARE, Experience
from brakelog.wear.history import history_of
from brakelog.wear.life import PartLife
from brakelog.wear.question import has_grown, odometer_questions
from brakelog.wear.rate import RateEstimate, estimate_rate, inflation, rate_likelihood, screen

LEAST_PRECISION_SHARE = 0.01
"""Precision of an earlier rate, as a share of that of the experience, below which it says
nothing. [-]

Assumption: keeps a division by next to nothing away.
"""


def after_earlier_set(
    experience: Experience, earlier: RateEstimate, *, vehicle_share: float = VEHICLE_SHARE
) -> Experience:
    """Return the belief about a part whose forerunner on the same vehicle is known.

    Parameters
    ----------
    experience
        Belief about such parts.
    earlier
        Rate of the forerunner, estimated with that same experience.
    vehicle_share
        Share of the variance between rates that stays with the vehicle. [-]

    Returns
    -------
    Experience
        Moved towards the forerunner and narrower; as it was where the forerunner says nothing.

    Notes
    -----
    The log rate is vehicle plus set, both normal. What the forerunner's readings alone say is
    got back from its estimate by taking the experience out again; one step of normal
    conditioning on it gives the belief about the next set.
    """
    tau2 = experience.log_sd**2
    alone = 1.0 / earlier.log_rate_u1**2 - 1.0 / tau2
    if alone <= LEAST_PRECISION_SHARE / tau2:
        return experience
    log_rate = (earlier.log_rate / earlier.log_rate_u1**2 - experience.log_rate / tau2) / alone
    shared = vehicle_share * tau2
    total = tau2 + 1.0 / alone
    return replace(
        experience,
        log_rate=experience.log_rate + shared / total * (log_rate - experience.log_rate),
        log_sd=(tau2 - shared**2 / total) ** 0.5,
        after_earlier_set=True,
    )


def tells_a_rate(life: PartLife) -> bool:
    """Whether a part life says how fast it wore: a limit, two points in order, and no growth."""
    points = len(life.readings) + (life.start is not None)
    return (
        life.limit_nm is not None
        and points >= 2
        and not odometer_questions(life)
        and not has_grown(life, life.limit_nm)
    )


def after_earlier_life(
    experience: Experience, earlier: PartLife | None, *, vehicle_share: float = VEHICLE_SHARE
) -> Experience:
    """Return the belief about a part, its forerunner given as it was recorded.

    Parameters
    ----------
    experience
        Belief about such parts.
    earlier
        The part that was at the same place before; None where none is on record.
    vehicle_share
        Share of the variance between rates that stays with the vehicle. [-]
    """
    if earlier is None or earlier.limit_nm is None or not tells_a_rate(earlier):
        return experience
    history = history_of(earlier, earlier.limit_nm)
    screening = screen(history, experience)
    likelihood = rate_likelihood(
        history.margin_mm,
        history.u1_mm,
        history.visits,
        process_c=experience.believed_c,
        process_rate=screening.rate,
        added_var=inflation(history, experience, screening),
    )
    estimate = estimate_rate(likelihood, experience)
    return after_earlier_set(experience, estimate, vehicle_share=vehicle_share)
