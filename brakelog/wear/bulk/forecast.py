"""Remaining distances of many lives, at any levels; see ``wear.forecast`` for one life."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.acceleration import accelerating, last_intervals
from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.crossing import crossing_distances, median_distances
from brakelog.wear.bulk.laplace import RateEstimates, estimate_rates
from brakelog.wear.bulk.likelihood import rate_likelihoods
from brakelog.wear.bulk.lives import Bools, Counts, Floats, Lives
from brakelog.wear.bulk.screening import Screenings, inflations, screen_many
from brakelog.wear.crossing import Z90, Z95

LEVELS = (-Z95, -Z90, Z90, Z95)
"""Levels that a statement about one part needs beside its median. [-]"""

CHUNK = 10_000
"""Lives that are worked on together. [-]

Assumption: found by trial; their arrays stay in the cache of a processor core.
"""

_ESTIMATE = 5
_MEDIAN = _ESTIMATE
_LEVELS = _ESTIMATE + 1
"""Rows of what is found: five of the estimate, the median, then one for each level."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecasts:
    """Distances after the last visit of each life, and what they come from.

    Parameters
    ----------
    levels
        Standard normal levels that were asked for. [-]
    distances
        Distance at each of them, shape (L, N). [1000 km]
    d50
        Distance that half of such parts reach, shape (N,). [1000 km]
    estimates
        Rates and margins after the last visit.
    screenings
        The first look at the whole lives.
    accelerating
        Whether the last interval decides, because the wear is faster than before, shape (N,).
    """

    levels: tuple[float, ...]
    distances: Floats
    d50: Floats
    estimates: RateEstimates
    screenings: Screenings
    accelerating: Bools

    def at(self, z: float) -> Floats:
        """Distances at a level that was asked for. [1000 km]

        Raises
        ------
        ValueError
            If it was not asked for.
        """
        distances: Floats = self.distances[self.levels.index(z)]
        return distances

    @property
    def d05(self) -> Floats:
        """Distances that 95 of 100 such parts reach. [1000 km]"""
        return self.at(-Z95)

    @property
    def d10(self) -> Floats:
        """Distances that 9 of 10 such parts reach. [1000 km]"""
        return self.at(-Z90)

    @property
    def d90(self) -> Floats:
        """Distances that 1 of 10 such parts reaches. [1000 km]"""
        return self.at(Z90)

    @property
    def d95(self) -> Floats:
        """Distances that 5 of 100 such parts reach. [1000 km]"""
        return self.at(Z95)


def forecast_many(lives: Lives, beliefs: Beliefs, *, levels: Sequence[float] = LEVELS) -> Forecasts:
    """Remaining distance after the last visit of each life.

    Parameters
    ----------
    lives
        The lives; of one without visits the margin at the start is projected.
    beliefs
        What is believed about the rate of each.
    levels
        Standard normal levels to give beside the median; fewer cost less. [-]

    Notes
    -----
    Where wear is accelerating the last interval decides, held to the lower bounds of the whole
    life, as in the projection of one part.
    """
    screenings, found = _screened(lives, beliefs, levels)
    faster = np.concatenate(
        [
            begin + accelerating(lives.part(which), beliefs.part(which).process_c)
            for begin, which in _chunks(lives.count)
        ]
    )
    if faster.size:
        _, latest = _screened(last_intervals(lives.part(faster)), beliefs.part(faster), levels)
        found[:, faster] = _faster(found[:, faster], latest, levels)
    is_accelerating = np.zeros(lives.count, dtype=np.bool_)
    is_accelerating[faster] = True
    return Forecasts(
        levels=tuple(levels),
        distances=found[_LEVELS:],
        d50=found[_MEDIAN],
        estimates=RateEstimates(
            log_rate=found[0],
            log_rate_u1=found[1],
            margin_mm=found[2],
            lean=found[3],
            margin_var=found[4],
        ),
        screenings=screenings,
        accelerating=is_accelerating,
    )


def _chunks(count: int) -> Iterable[tuple[int, slice]]:
    """Where each chunk begins, and the lives in it; one empty chunk of none."""
    for begin in range(0, max(count, 1), CHUNK):
        yield begin, slice(begin, begin + CHUNK)


def _screened(lives: Lives, beliefs: Beliefs, levels: Sequence[float]) -> tuple[Screenings, Floats]:
    """Screen lives and forecast them, the reading that fits badly counting less."""
    rate, flagged = np.empty(lives.count), np.empty(lives.count, dtype=np.int64)
    innovations = np.zeros((lives.most_visits, lives.count))
    found = np.empty((_LEVELS + len(levels), lives.count))
    for _, which in _chunks(lives.count):
        chunk, belief = lives.part(which), beliefs.part(which)
        looked = screen_many(chunk, belief)
        rate[which], flagged[which] = looked.rate, looked.flagged
        innovations[: chunk.most_visits, which] = looked.innovations
        _forecast_into(found[:, which], chunk, belief, looked.rate, None, levels)
    screenings = Screenings(rate=rate, innovations=innovations, flagged=flagged)
    _count_less(found, np.flatnonzero(flagged >= 0), lives, beliefs, screenings, levels)
    return screenings, found


def _count_less(
    found: Floats,
    which: Counts,
    lives: Lives,
    beliefs: Beliefs,
    screenings: Screenings,
    levels: Sequence[float],
) -> None:
    """Put forecasts in which the flagged reading counts less in the place of the others."""
    for _, chunk in _chunks(which.size):
        some = which[chunk]
        part, belief, looked = lives.part(some), beliefs.part(some), screenings.part(some)
        usual = np.empty((len(found), part.count))
        added_var = inflations(part, belief, looked)
        _forecast_into(usual, part, belief, looked.rate, added_var, levels)
        # Nothing after the last reading can tell a slip from sudden wear: be ready for both.
        is_last = looked.flagged == part.visits - 1
        found[:, some] = np.where(is_last, _more_cautious(usual, found[:, some], levels), usual)


def _forecast_into(
    found: Floats,
    lives: Lives,
    beliefs: Beliefs,
    process_rate: Floats,
    added_var: Floats | None,
    levels: Sequence[float],
) -> None:
    """Write estimates, median and distances of one chunk."""
    estimates = estimate_rates(
        rate_likelihoods(
            lives,
            process_c=beliefs.process_c,
            process_rate=process_rate,
            added_var=added_var,
        ),
        beliefs,
    )
    found[0], found[1] = estimates.log_rate, estimates.log_rate_u1
    found[2], found[3], found[4] = estimates.margin_mm, estimates.lean, estimates.margin_var
    found[_MEDIAN] = median_distances(estimates)
    # What a back-test found too narrow is widened; the centre stays.
    wider = np.square(beliefs.widened)
    margin_var = estimates.margin_var * wider
    if lives.limit_u1_mm is not None:
        margin_var += np.square(lives.limit_u1_mm)
    spread = RateEstimates(
        log_rate=estimates.log_rate,
        log_rate_u1=estimates.log_rate_u1 * beliefs.widened,
        margin_mm=estimates.margin_mm,
        lean=estimates.lean,
        margin_var=margin_var,
    )
    process_c = beliefs.process_c * wider
    # The search is approximate; held in order, no bound ever passes the median.
    early = late = found[_MEDIAN]
    for row, z in sorted(enumerate(levels, start=_LEVELS), key=lambda each: abs(each[1])):
        distances = crossing_distances(spread, process_c, z)
        if z <= 0.0:
            early = np.minimum(distances, early, out=found[row])
        else:
            late = np.maximum(distances, late, out=found[row])


def _more_cautious(one: Floats, other: Floats, levels: Sequence[float]) -> Floats:
    """The smaller of every lower bound and of the median, the larger of every upper bound.

    The estimate is that of the smaller median.
    """
    both = np.where(one[_MEDIAN] <= other[_MEDIAN], one, other)
    for row, z in enumerate(levels, start=_LEVELS):
        keep = np.minimum if z <= 0.0 else np.maximum
        keep(one[row], other[row], out=both[row])
    return both


def _faster(usual: Floats, latest: Floats, levels: Sequence[float]) -> Floats:
    """The forecasts of the latest interval, held to the lower bounds of the whole life."""
    for row, z in ((_MEDIAN, 0.0), *enumerate(levels, start=_LEVELS)):
        if z <= 0.0:
            np.minimum(usual[row], latest[row], out=latest[row])
    return latest
