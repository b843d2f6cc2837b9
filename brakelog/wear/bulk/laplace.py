"""The rates of many lives, joined with what is believed of them; see ``wear.rate`` for one life."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.likelihood import RateLikelihoods
from brakelog.wear.bulk.lives import Floats
from brakelog.wear.rate import LAPLACE_STEPS, LARGEST_STEP


@dataclass(frozen=True, slots=True, kw_only=True)
class RateEstimates:
    """Log-normal summary of each rate, with the margin at its centre, each array of shape (N,).

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

    log_rate: Floats
    log_rate_u1: Floats
    margin_mm: Floats
    lean: Floats
    margin_var: Floats


def estimate_rates(likelihoods: RateLikelihoods, beliefs: Beliefs) -> RateEstimates:
    """Join the likelihood of each rate with its belief, on the scale of the logarithm.

    Parameters
    ----------
    likelihoods
        What the visits say.
    beliefs
        What is believed of such parts.
    """
    information, score = likelihoods.information, likelihoods.score
    prior_precision = 1.0 / np.square(beliefs.log_sd)
    rho = _first_guess(information, score, beliefs)
    step, scratch = np.empty((2, len(rho)))
    for _ in range(LAPLACE_STEPS):
        rate = np.exp(rho)
        np.subtract(score, np.multiply(information, rate, out=step), out=step)
        step *= rate
        np.subtract(rho, beliefs.log_rate, out=scratch)
        scratch *= prior_precision
        step -= scratch
        steady, exact = _curvatures(information, score, rate, prior_precision)
        # The larger of the two keeps the step stable where a reading points to negative wear.
        step /= np.maximum(steady, exact, out=steady)
        np.maximum(step, -LARGEST_STEP, out=step)
        rho += np.minimum(step, LARGEST_STEP, out=step)
    rate = np.exp(rho)
    steady, exact = _curvatures(information, score, rate, prior_precision)
    curvature = np.where(exact >= steady / 4.0, exact, steady)
    return RateEstimates(
        log_rate=rho,
        log_rate_u1=1.0 / np.sqrt(curvature),
        margin_mm=likelihoods.level_mm + likelihoods.lean * rate,
        lean=likelihoods.lean,
        margin_var=np.maximum(likelihoods.margin_var, 0.0),
    )


def _first_guess(information: Floats, score: Floats, beliefs: Beliefs) -> Floats:
    """Logarithm between the most likely rate and the believed one, as their precisions ask."""
    is_usable = (score > 0.0) & (information > 0.0)
    rates = np.divide(score, information, out=np.ones_like(score), where=is_usable)
    own = np.square(score * beliefs.log_sd)
    weight = np.divide(own, own + information, out=np.zeros_like(score), where=is_usable)
    guess: Floats = weight * np.log(rates) + (1.0 - weight) * beliefs.log_rate
    return guess


def _curvatures(
    information: Floats, score: Floats, rate: Floats, prior_precision: Floats
) -> tuple[Floats, Floats]:
    """Gauss-Newton and exact second derivative of the joined densities. [-]"""
    steady = information * rate
    exact = 2.0 * steady
    steady *= rate
    steady += prior_precision
    exact -= score
    exact *= rate
    exact += prior_precision
    return steady, exact
