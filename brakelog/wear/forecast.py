"""Remaining distance of one history, at the levels that are shown to people."""

from __future__ import annotations

from dataclasses import dataclass, replace

from brakelog.wear.crossing import Z90, Z95, crossing_distance, median_distance
from brakelog.wear.experience import Experience
from brakelog.wear.history import History
from brakelog.wear.rate import (
    RateEstimate,
    Screening,
    estimate_rate,
    inflation,
    rate_likelihood,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """Distances after the last visit, and the estimate they come from.

    Parameters
    ----------
    estimate
        Rate and margin after the last visit.
    d05, d10, d50, d90, d95
        Distances that 95, 90, 50, 10 and 5 of 100 such parts reach, in rising order. [1000 km]
    """

    estimate: RateEstimate
    d05: float
    d10: float
    d50: float
    d90: float
    d95: float


def _forecast_once(
    history: History,
    experience: Experience,
    process_rate: float,
    added_var: dict[int, float],
) -> Forecast:
    process_c, widened = experience.believed_c, experience.widened
    likelihood = rate_likelihood(
        history.margin_mm,
        history.u1_mm,
        history.visits,
        process_c=process_c,
        process_rate=process_rate,
        added_var=added_var,
    )
    estimate = estimate_rate(likelihood, experience)
    d50 = median_distance(estimate)
    # What the shop's own back-test found too narrow is widened; the centre stays.
    spread = replace(
        estimate,
        log_rate_u1=estimate.log_rate_u1 * widened,
        margin_var=estimate.margin_var * widened**2,
    )
    process_c *= widened**2
    # The search is approximate; held in order, no bound ever passes the median.
    d10 = min(crossing_distance(spread, process_c, -Z90), d50)
    d05 = min(crossing_distance(spread, process_c, -Z95), d10)
    d90 = max(crossing_distance(spread, process_c, Z90), d50)
    d95 = max(crossing_distance(spread, process_c, Z95), d90)
    return Forecast(estimate=estimate, d05=d05, d10=d10, d50=d50, d90=d90, d95=d95)


def more_cautious(one: Forecast, other: Forecast) -> Forecast:
    """The smaller of every lower bound and of the median, the larger of every upper bound.

    The estimate is that of the smaller median.
    """
    return Forecast(
        estimate=one.estimate if one.d50 <= other.d50 else other.estimate,
        d05=min(one.d05, other.d05),
        d10=min(one.d10, other.d10),
        d50=min(one.d50, other.d50),
        d90=max(one.d90, other.d90),
        d95=max(one.d95, other.d95),
    )


def forecast(history: History, experience: Experience, screening: Screening) -> Forecast:
    """Remaining distance after the last visit of a history.

    Parameters
    ----------
    history
        Start and visits; without visits the margin at the start is projected.
    experience
        Belief about the rate.
    screening
        The robust look at the same history.
    """
    added_var = inflation(history, experience, screening)
    usual = _forecast_once(history, experience, screening.rate, added_var)
    if screening.flagged != len(history.visits) - 1 or not added_var:
        return usual
    # Nothing after the last reading can tell a slip from sudden wear: be ready for both.
    return more_cautious(usual, _forecast_once(history, experience, screening.rate, {}))
