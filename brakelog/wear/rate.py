"""The wear rate of one part: what its visits say, joined with what is known of its like.

A part starts with a margin known to a standard uncertainty and loses material in independent
steps: over a distance dx the mean loss is r dx and its variance c r^2 dx. Given the rate r the
margin after any visit is normal with mean level + lean r and a variance that does not depend on
r, so that one pass over the visits gives the exact likelihood of r as a quadratic.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from brakelog.wear.experience import Experience
from brakelog.wear.history import History, Visit

OUTLIER_Z = 3.0
"""Standardised innovation beyond which a reading is pulled in. [-]

Source: common practice (three standard deviations); the pulling is that of P. J. Huber,
"Robust estimation of a location parameter", Ann. Math. Statist. 35 (1964) 73-101.
"""

LEAST_RATE_SHARE = 0.2
"""Share of the expected rate below which the process variance is not allowed to fall. [-]

Assumption: a part that seems not to wear must not be taken for one that wears without scatter.
"""

LAPLACE_STEPS = 16
"""Rounds of the search for the centre. [-]

Assumption: enough to converge where the readings alone point to negative wear.
"""

LARGEST_STEP = 0.7
"""Longest step of that search, on the logarithm. [-]

Assumption: a factor of two, so that a poor start does not throw it far off.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Screening:
    """A first, robust look at the visits.

    Parameters
    ----------
    rate
        Rate for the process variance. [mm/1000 km]
    innovations
        Signed, standardised difference of each reading from what was expected of it; positive
        where more material was read. [-]
    """

    rate: float
    innovations: tuple[float, ...]

    @property
    def flagged(self) -> int | None:
        """Index of the worst visit, if it is an outlier."""
        if not self.innovations:
            return None
        worst = max(range(len(self.innovations)), key=lambda j: abs(self.innovations[j]))
        return worst if abs(self.innovations[worst]) > OUTLIER_Z else None


@dataclass(frozen=True, slots=True, kw_only=True)
class RateLikelihood:
    """What the visits alone say about the rate, and the margin that goes with each rate.

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

    information: float
    score: float
    level_mm: float
    lean: float
    margin_var: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RateEstimate:
    """Log-normal summary of the rate, with the margin at its centre.

    Parameters
    ----------
    log_rate
        Natural logarithm of the rate in mm per 1000 km. [-]
    log_rate_u1
        Standard uncertainty of it. [-]
    margin_mm
        Margin after the last visit at that rate. [mm]
    lean
        Change of the margin with the rate. [1000 km]
    margin_var
        Variance of the margin when the rate is known. [mm^2]
    """

    log_rate: float
    log_rate_u1: float
    margin_mm: float
    lean: float
    margin_var: float


def _expected(experience: Experience) -> tuple[float, float]:
    """Mean and variance of the log-normal rate. [mm/1000 km, its square]"""
    log_var = experience.log_sd * experience.log_sd
    mean = math.exp(experience.log_rate + log_var / 2.0)
    return mean, math.expm1(log_var) * mean * mean


class _Course:
    """Running state of one pass: margin given the rate, and the quadratic in the rate so far."""

    __slots__ = ("information", "lean", "level", "margin_var", "score", "x")

    def __init__(self, margin_mm: float, u1_mm: float) -> None:
        self.level, self.lean, self.margin_var = margin_mm, 0.0, u1_mm * u1_mm
        self.information = self.score = self.x = 0.0

    def travel(self, x: float, process_c: float, rate: float) -> None:
        """Wear on to the distance x of the next visit."""
        gap = x - self.x
        self.x = x
        self.lean -= gap
        self.margin_var += process_c * rate * rate * gap

    def take_in(self, off: float, total: float) -> None:
        """Learn from a reading that lies `off` from the level, with variance `total`."""
        self.information += self.lean * self.lean / total
        self.score += self.lean * off / total
        gain = self.margin_var / total
        self.level += gain * off
        self.lean -= gain * self.lean
        self.margin_var -= gain * self.margin_var


def _screen_once(
    history: History, process_c: float, mean: float, var: float, rate: float
) -> tuple[float, tuple[float, ...]]:
    """Rate found and innovations, with the process variance taken at the given rate."""
    course = _Course(history.margin_mm, history.u1_mm)
    innovations = []
    for visit in history.visits:
        course.travel(visit.x, process_c, rate)
        total = course.margin_var + visit.u1_mm * visit.u1_mm
        off = visit.margin_mm - course.level
        precision = course.information + 1.0 / var
        innovation = off - course.lean * (course.score + mean / var) / precision
        rate_part = course.lean * course.lean / precision
        z = innovation / math.sqrt(total + rate_part)
        innovations.append(z)
        if abs(z) > OUTLIER_Z:
            # Widened until the reading lies just at the border: it still pulls, but no harder.
            total = innovation * innovation / (OUTLIER_Z * OUTLIER_Z) - rate_part
        course.take_in(off, total)
    found = (course.score + mean / var) / (course.information + 1.0 / var)
    return found, tuple(innovations)


def screen(history: History, experience: Experience) -> Screening:
    """Find the rate for the process variance, and the reading that does not fit.

    Parameters
    ----------
    history
        Start and visits.
    experience
        Belief about the rate.
    """
    mean, var = _expected(experience)
    least = LEAST_RATE_SHARE * mean
    rate = mean
    innovations: tuple[float, ...] = ()
    # Twice, because the process variance needs a rate and the rate needs a process variance.
    for _ in range(2):
        found, innovations = _screen_once(history, experience.believed_c, mean, var, rate)
        rate = max(found, least)
    return Screening(rate=rate, innovations=innovations)


def inflation(history: History, experience: Experience, screening: Screening) -> dict[int, float]:
    """Variance to add to the flagged reading, by the index of its visit. [mm^2]

    It brings that reading's distance from the expected course down to the outlier border.
    """
    flagged = screening.flagged
    if flagged is None:
        return {}
    visit, z = history.visits[flagged], screening.innovations[flagged]
    _, var = _expected(experience)
    expected_var = (
        visit.u1_mm * visit.u1_mm
        + history.u1_mm * history.u1_mm
        + var * visit.x * visit.x
        + experience.believed_c * screening.rate * screening.rate * visit.x
    )
    return {flagged: expected_var * (z * z / (OUTLIER_Z * OUTLIER_Z) - 1.0)}


def rate_likelihood(
    margin_mm: float,
    u1_mm: float,
    visits: Sequence[Visit],
    *,
    process_c: float,
    process_rate: float,
    added_var: dict[int, float],
) -> RateLikelihood:
    """Likelihood of the rate from the visits of one part life.

    It equals generalised least squares of the loss on the distance, through the origin, with the
    covariance u1^2 + c r^2 min(x_i, x_j) + diag(reading variances), without building the matrix.

    Parameters
    ----------
    margin_mm
        Material above the limit at the start. [mm]
    u1_mm
        Standard uncertainty of it. [mm]
    visits
        Readings in order of distance.
    process_c
        Process variance over rate squared and distance. [1000 km]
    process_rate
        Rate that the process variance is taken at. [mm/1000 km]
    added_var
        Variance added to single readings, by index. [mm^2]
    """
    course = _Course(margin_mm, u1_mm)
    for index, visit in enumerate(visits):
        course.travel(visit.x, process_c, process_rate)
        total = course.margin_var + visit.u1_mm * visit.u1_mm + added_var.get(index, 0.0)
        course.take_in(visit.margin_mm - course.level, total)
    return RateLikelihood(
        information=course.information,
        score=course.score,
        level_mm=course.level,
        lean=course.lean,
        margin_var=course.margin_var,
    )


def estimate_rate(likelihood: RateLikelihood, experience: Experience) -> RateEstimate:
    """Join the likelihood of the rate with the experience, on the scale of its logarithm.

    Parameters
    ----------
    likelihood
        What the visits say.
    experience
        What is known of such parts.

    Returns
    -------
    RateEstimate
        Centre and curvature of the joined density (Laplace's approximation). Without any
        information it is the experience itself.
    """
    information, score = likelihood.information, likelihood.score
    mu, prior_precision = experience.log_rate, 1.0 / (experience.log_sd * experience.log_sd)
    rho = mu
    if score > 0.0 and information > 0.0:
        own = (score * experience.log_sd) ** 2
        weight = own / (own + information)
        rho = weight * math.log(score / information) + (1.0 - weight) * mu
    for _ in range(LAPLACE_STEPS):
        rate = math.exp(rho)
        slope = (score - information * rate) * rate - (rho - mu) * prior_precision
        steady, exact = _curvatures(information, score, rate, prior_precision)
        # The larger of the two keeps the step stable where a reading points to negative wear.
        step = slope / max(steady, exact)
        rho += min(max(step, -LARGEST_STEP), LARGEST_STEP)
    rate = math.exp(rho)
    steady, exact = _curvatures(information, score, rate, prior_precision)
    curvature = exact if exact >= steady / 4.0 else steady
    return RateEstimate(
        log_rate=rho,
        log_rate_u1=1.0 / math.sqrt(curvature),
        margin_mm=likelihood.level_mm + likelihood.lean * rate,
        lean=likelihood.lean,
        margin_var=max(likelihood.margin_var, 0.0),
    )


def _curvatures(
    information: float, score: float, rate: float, prior_precision: float
) -> tuple[float, float]:
    """Gauss-Newton and exact second derivative of the joined density. [-]"""
    steady = information * rate * rate + prior_precision
    exact = (2.0 * information * rate - score) * rate + prior_precision
    return steady, exact
