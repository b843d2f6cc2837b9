"""How far each of many parts will still go; see ``wear.projecting`` for one part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from brakelog.wear.bulk.beliefs import beliefs_of
from brakelog.wear.bulk.forecast import Forecasts, forecast_many
from brakelog.wear.bulk.lives import lives_of
from brakelog.wear.experience import Experience
from brakelog.wear.forecast import Forecast
from brakelog.wear.life import PartLife
from brakelog.wear.projecting import Candidate, candidate_of, refused_by_readings, stated
from brakelog.wear.projection import Projection
from brakelog.wear.rate import RateEstimate


def project_many(lives: Sequence[PartLife], experiences: Sequence[Experience]) -> list[Projection]:
    """Project part lives to their limits; never raises on data.

    Parameters
    ----------
    lives
        The part lives.
    experiences
        What is known of the rate of each, in the same order.

    Returns
    -------
    list of Projection
        What ``project`` says of each life alone.

    Raises
    ------
    ValueError
        If there is not one experience for each life.
    """
    begun = [
        candidate_of(life, experience) for life, experience in zip(lives, experiences, strict=True)
    ]
    judged = _judged([each for each in begun if isinstance(each, Candidate)])
    return [next(judged) if isinstance(each, Candidate) else each for each in begun]


def _judged(candidates: Sequence[Candidate]) -> Iterator[Projection]:
    """Refuse or state each of the lives that their record does not refuse."""
    lives = lives_of([each.history for each in candidates])
    found = forecast_many(lives, beliefs_of([each.experience for each in candidates]))
    for candidate, screening, forecast, is_accelerating in zip(
        candidates,
        found.screenings.as_single(lives.visits),
        _as_single(found),
        found.accelerating.tolist(),
        strict=True,
    ):
        yield refused_by_readings(candidate, screening) or stated(
            candidate, screening, forecast, is_accelerating=is_accelerating
        )


def _as_single(found: Forecasts) -> Iterator[Forecast]:
    """Give each forecast as ``wear.forecast`` gives it."""
    of = found.estimates
    rows = (
        *(of.log_rate, of.log_rate_u1, of.margin_mm, of.lean, of.margin_var),
        *(found.d05, found.d10, found.d50, found.d90, found.d95),
    )
    for row in np.transpose(rows).tolist():
        log_rate, log_rate_u1, margin_mm, lean, margin_var, d05, d10, d50, d90, d95 = row
        estimate = RateEstimate(
            log_rate=log_rate,
            log_rate_u1=log_rate_u1,
            margin_mm=margin_mm,
            lean=lean,
            margin_var=margin_var,
        )
        yield Forecast(estimate=estimate, d05=d05, d10=d10, d50=d50, d90=d90, d95=d95)
