"""What the visits of each of many lives say of its rate; see ``wear.rate`` for one life."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.lives import Floats, Lives


@dataclass(frozen=True, slots=True, kw_only=True)
class RateLikelihoods:
    """The likelihood of the rate of each life, each array of shape (N,).

    Parameters
    ----------
    information
        Inverse variance of the rate. [(1000 km/mm)^2]
    score
        Information times the most likely rate. [1000 km/mm]
    level_mm
        Margin after the last visit, at a rate of zero. [mm]
    lean
        Change of that margin with the rate. [1000 km]
    margin_var
        Variance of the margin when the rate is known. [mm^2]
    """

    information: Floats
    score: Floats
    level_mm: Floats
    lean: Floats
    margin_var: Floats


def rate_likelihoods(
    lives: Lives,
    *,
    process_c: Floats,
    process_rate: Floats,
    added_var: Floats | None = None,
) -> RateLikelihoods:
    """Return the likelihood of the rate of each life, by one pass over the visits.

    Parameters
    ----------
    lives
        The lives.
    process_c
        Process variance over rate squared and distance, shape (N,). [1000 km]
    process_rate
        Rate that the process variance is taken at, shape (N,). [mm/1000 km]
    added_var
        Variance added to single readings, shape (J, N). [mm^2]
    """
    level = lives.margin_mm.copy()
    lean = np.zeros(lives.count)
    var = lives.u1_mm**2
    information, score, x = np.zeros(lives.count), np.zeros(lives.count), np.zeros(lives.count)
    growth = process_c * process_rate**2
    for rank in range(lives.most_visits):
        here = lives.visits > rank
        gap = np.where(here, lives.x[rank] - x, 0.0)
        x += gap
        lean -= gap
        var += growth * gap
        total = var + lives.visit_u1_mm[rank] ** 2
        if added_var is not None:
            total += added_var[rank]
        off = lives.visit_margin_mm[rank] - level
        weight = np.where(here, 1.0 / total, 0.0)
        information += lean * lean * weight
        score += lean * off * weight
        gain = var * weight
        level += gain * off
        lean -= gain * lean
        var -= gain * var
    return RateLikelihoods(
        information=information, score=score, level_mm=level, lean=lean, margin_var=var
    )
