"""A first, robust look at the visits of many lives; see ``wear.rate`` for one life."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.course import Courses, Steps, steps_of
from brakelog.wear.bulk.lives import Counts, Floats, Lives
from brakelog.wear.rate import LEAST_RATE_SHARE, OUTLIER_Z, Screening

NONE_FLAGGED = -1
"""Stands for a life whose readings all fit. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Screenings:
    """What the first look at each life found.

    Parameters
    ----------
    rate
        Rate for the process variance, shape (N,). [mm/1000 km]
    innovations
        Signed, standardised difference of each reading from what was expected of it, shape
        (J, N); 0 where a life has no such visit. [-]
    flagged
        Index of the worst visit where it is an outlier, else ``NONE_FLAGGED``, shape (N,). [-]
    """

    rate: Floats
    innovations: Floats
    flagged: Counts

    def part(self, which: Counts) -> Screenings:
        """Return those of some of the lives."""
        return Screenings(
            rate=self.rate[which],
            innovations=self.innovations[:, which],
            flagged=self.flagged[which],
        )

    def as_single(self, visits: Counts) -> list[Screening]:
        """Return one screening a life, as ``wear.rate`` gives it.

        Parameters
        ----------
        visits
            Number of visits of each life. [-]
        """
        return [
            Screening(rate=rate, innovations=tuple(column[:count]))
            for rate, column, count in zip(
                self.rate.tolist(), self.innovations.T.tolist(), visits.tolist(), strict=True
            )
        ]


def expected_rates(beliefs: Beliefs) -> tuple[Floats, Floats]:
    """Mean and variance of the log-normal rates. [mm/1000 km, its square]"""
    log_var = np.square(beliefs.log_sd)
    mean = np.exp(beliefs.log_rate + log_var / 2.0)
    return mean, np.expm1(log_var) * mean * mean


def screen_many(lives: Lives, beliefs: Beliefs) -> Screenings:
    """Find the rates for the process variance, and the readings that do not fit.

    Parameters
    ----------
    lives
        The lives.
    beliefs
        What is believed about their rates.
    """
    steps = steps_of(lives)
    mean, var = expected_rates(beliefs)
    least = LEAST_RATE_SHARE * mean
    innovations = np.zeros((lives.most_visits, lives.count))
    rate = mean
    # Twice, because the process variance needs a rate and the rate needs a process variance.
    for _ in range(2):
        courses = Courses(lives, process_c=beliefs.process_c, process_rate=rate)
        found = _screen_once(courses, steps, mean, var, innovations)
        rate = np.maximum(found, least)
    return Screenings(rate=rate, innovations=innovations, flagged=_worst(innovations))


def _screen_once(
    courses: Courses, steps: Steps, mean: Floats, var: Floats, innovations: Floats
) -> Floats:
    """Return the rates found; the innovations are written where the caller keeps them."""
    known, known_score = 1.0 / var, mean / var
    scratch = np.empty_like(mean)
    for gap, read_mm, reading_var, z in zip(
        steps.gap, steps.read_mm, steps.reading_var, innovations, strict=True
    ):
        courses.travel(gap)
        total = courses.margin_var + reading_var
        off = read_mm - courses.level
        precision = courses.information + known
        innovation = courses.score + known_score
        innovation *= courses.lean
        innovation /= precision
        np.subtract(off, innovation, out=innovation)
        rate_part = np.square(courses.lean)
        rate_part /= precision
        np.add(total, rate_part, out=scratch)
        np.sqrt(scratch, out=scratch)
        np.divide(innovation, scratch, out=z)
        beyond = np.flatnonzero(np.abs(z, out=scratch) > OUTLIER_Z)
        if beyond.size:
            # Widened until the reading lies just at the border: it still pulls, but no harder.
            pulled = innovation[beyond]
            total[beyond] = pulled * pulled / (OUTLIER_Z * OUTLIER_Z) - rate_part[beyond]
        courses.take_in(off, total)
    found: Floats = (courses.score + known_score) / (courses.information + known)
    return found


def _worst(innovations: Floats) -> Counts:
    """Index of the innovation that is largest, where it is an outlier."""
    largest = np.full(innovations.shape[1], OUTLIER_Z)
    flagged = np.full(innovations.shape[1], NONE_FLAGGED, dtype=np.int64)
    for visit, z in enumerate(innovations):
        size = np.abs(z)
        larger = np.flatnonzero(size > largest)
        flagged[larger], largest[larger] = visit, size[larger]
    return flagged


def inflations(lives: Lives, beliefs: Beliefs, screenings: Screenings) -> Floats:
    """Variance to add to the flagged reading of each life, shape (J, N). [mm^2]

    It brings that reading's distance from the expected course down to the outlier border.

    Parameters
    ----------
    lives
        Lives with a flagged reading each.
    beliefs
        What is believed about their rates.
    screenings
        The first look at them.
    """
    each = np.arange(lives.count)
    at = screenings.flagged, each
    _, var = expected_rates(beliefs)
    z, x = screenings.innovations[at], lives.x[at]
    expected_var = (
        np.square(lives.visit_u1_mm[at])
        + np.square(lives.u1_mm)
        + var * x * x
        + beliefs.process_c * screenings.rate * screenings.rate * x
    )
    added_var = np.zeros((lives.most_visits, lives.count))
    added_var[at] = expected_var * (z * z / (OUTLIER_Z * OUTLIER_Z) - 1.0)
    return added_var
