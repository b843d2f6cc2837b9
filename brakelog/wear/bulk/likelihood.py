"""What the visits of each of many lives say of its rate; see ``wear.rate`` for one life."""

from __future__ import annotations

from dataclasses import dataclass

from brakelog.wear.bulk.course import Courses, steps_of
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
    steps = steps_of(lives)
    courses = Courses(lives, process_c=process_c, process_rate=process_rate)
    for rank in range(lives.most_visits):
        courses.travel(steps.gap[rank])
        total = courses.margin_var + steps.reading_var[rank]
        if added_var is not None:
            total += added_var[rank]
        courses.take_in(steps.read_mm[rank] - courses.level, total)
    return RateLikelihoods(
        information=courses.information,
        score=courses.score,
        level_mm=courses.level,
        lean=courses.lean,
        margin_var=courses.margin_var,
    )
