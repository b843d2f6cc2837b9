"""Rates and distances of many lives at once, and of each alone, against independent programs.

The rate: generalised least squares of statsmodels, conditioning of the whole joint normal by
numpy, and a general minimiser of scipy. The distance: the gamma process and the inverse Gaussian
of scipy, and the limits that have a closed form. What is checked of one life in
test_wear_worked_rows.py is checked here of many.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import optimize, special, stats

from brakelog.wear.bulk.beliefs import beliefs_of
from brakelog.wear.bulk.crossing import crossing_distances
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.laplace import RateEstimates, estimate_rates
from brakelog.wear.bulk.likelihood import RateLikelihoods, rate_likelihoods
from brakelog.wear.bulk.lives import Floats, lives_of
from brakelog.wear.crossing import Z90, Z95
from brakelog.wear.experience import Experience
from brakelog.wear.history import History, Visit
from brakelog.wear.rate import RateLikelihood, estimate_rate, rate_likelihood
from tests.published.test_wear_worked_rows import (
    EXPERIENCE,
    LIMIT_MM,
    NEW_MM,
    NEW_U1_MM,
    PROCESS_C,
    ROWS,
    half_of_last_digit,
)

LEVELS = (-Z95, -Z90, -0.5, 0.5, Z90, Z95)

PRINTED = History(
    margin_mm=11.0,
    u1_mm=0.15,
    visits=(
        Visit(x=9.0, margin_mm=9.6, u1_mm=0.2),
        Visit(x=21.0, margin_mm=8.3, u1_mm=0.2),
        Visit(x=30.0, margin_mm=7.2, u1_mm=0.1),
        Visit(x=44.0, margin_mm=5.1, u1_mm=0.3),
    ),
)
"""The life whose rate, variance and margins are printed in test_wear_worked_rows.py."""


def _histories() -> list[History]:
    """The printed life, and lives of one to seven visits that no part would have."""
    rng = np.random.default_rng(20_240_501)
    made = [PRINTED]
    for n in range(40):
        x = np.cumsum(rng.uniform(0.5, 25.0, size=1 + n % 7))
        y = rng.uniform(4.0, 12.0) - rng.uniform(-0.05, 0.3) * x + rng.normal(0.0, 0.4, len(x))
        u1s_mm = rng.uniform(0.02, 0.6, len(x))
        made.append(
            History(
                margin_mm=float(rng.uniform(2.0, 12.0)),
                u1_mm=float(rng.uniform(0.0, 0.6)),
                visits=tuple(
                    Visit(x=a, margin_mm=b, u1_mm=c)
                    for a, b, c in zip(x.tolist(), y.tolist(), u1s_mm.tolist(), strict=True)
                ),
            )
        )
    return made


HISTORIES = _histories()
RATES = np.array([0.13, *np.linspace(0.01, 0.4, len(HISTORIES) - 1)])
"""Rates that the process variance is taken at. [mm/1000 km]"""


def _many() -> RateLikelihoods:
    return rate_likelihoods(
        lives_of(HISTORIES), process_c=np.full(len(HISTORIES), PROCESS_C), process_rate=RATES
    )


def _alone(n: int) -> RateLikelihood:
    history = HISTORIES[n]
    return rate_likelihood(
        history.margin_mm,
        history.u1_mm,
        history.visits,
        process_c=PROCESS_C,
        process_rate=float(RATES[n]),
        added_var={},
    )


def _both(n: int) -> Iterator[tuple[float, float, float, float, float]]:
    """Information, score, level, lean and margin variance: among many, then alone."""
    many, alone = _many(), _alone(n)
    yield (
        *(float(many.information[n]), float(many.score[n]), float(many.level_mm[n])),
        *(float(many.lean[n]), float(many.margin_var[n])),
    )
    yield alone.information, alone.score, alone.level_mm, alone.lean, alone.margin_var


def _covariance(n: int) -> tuple[Floats, Floats, Floats]:
    """Distances, losses since the start, and their covariance when the rate is known."""
    history = HISTORIES[n]
    x = np.array([each.x for each in history.visits])
    lost = history.margin_mm - np.array([each.margin_mm for each in history.visits])
    reading = np.diag([each.u1_mm**2 for each in history.visits])
    process = PROCESS_C * RATES[n] ** 2 * np.minimum.outer(x, x)
    return x, lost, history.u1_mm**2 + process + reading


# The rate


@pytest.mark.parametrize("n", range(len(HISTORIES)))
def test_rate_agrees_with_generalised_least_squares(n: int) -> None:
    x, lost, covariance = _covariance(n)
    rate = float(sm.GLS(lost, x, sigma=covariance).fit().params[0])
    var = float(1.0 / (x @ np.linalg.solve(covariance, x)))
    for information, score, *_ in _both(n):
        assert score / information == pytest.approx(rate, rel=1e-9, abs=1e-12)
        assert 1.0 / information == pytest.approx(var, rel=1e-9)


def test_rate_of_the_printed_life_is_the_printed_one() -> None:
    for information, score, *_ in _both(0):
        assert score / information == pytest.approx(0.132120386659, abs=1e-12)
        assert 1.0 / information == pytest.approx(4.109e-4, abs=5e-8)


def _conditioned(n: int, prior: float, prior_var: float) -> tuple[Floats, Floats]:
    """Mean and covariance of margin and rate, the whole joint normal conditioned on the readings.

    The columns are the margin now, the rate and the readings, all of them sums of the start, the
    rate, the process up to each visit, and the errors of reading.
    """
    history = HISTORIES[n]
    x, lost, covariance = _covariance(n)
    reading = np.diag([each.u1_mm**2 for each in history.visits])
    margins = covariance - reading + prior_var * np.outer(x, x)
    of_rate = -prior_var * x
    joint = np.array([[margins[-1, -1], of_rate[-1]], [of_rate[-1], prior_var]])
    with_read = np.vstack([margins[-1], of_rate])
    gain = np.linalg.solve(margins + reading, with_read.T).T
    mean = np.array([history.margin_mm - prior * x[-1], prior])
    return mean + gain @ (prior * x - lost), joint - gain @ with_read.T


@pytest.mark.parametrize("n", range(len(HISTORIES)))
def test_margin_and_rate_agree_with_dense_conditioning(n: int) -> None:
    prior, prior_var = 0.13, 0.003
    mean, covariance = _conditioned(n, prior, prior_var)
    for information, score, level_mm, lean, margin_var in _both(n):
        precision = information + 1.0 / prior_var
        rate = (score + prior / prior_var) / precision
        found = [
            *(level_mm + lean * rate, rate),
            *(margin_var + lean**2 / precision, lean / precision, 1.0 / precision),
        ]
        assert found == pytest.approx(
            [*mean, covariance[0, 0], covariance[0, 1], covariance[1, 1]], rel=1e-8, abs=1e-10
        )


def test_dense_conditioning_gives_the_printed_state() -> None:
    mean, covariance = _conditioned(0, 0.13, 0.003)

    assert mean == pytest.approx([5.169145188646, 0.131864962470], abs=1e-12)
    assert [covariance[0, 0], covariance[0, 1], covariance[1, 1]] == pytest.approx(
        [0.07085199506, -0.00147466323, 0.00036138341], abs=5e-12
    )


def _misfit(rho: float, likelihood: RateLikelihood, experience: Experience) -> float:
    """Minus the logarithm of likelihood times belief, but for a constant. [-]"""
    rate, off = math.exp(rho), (rho - experience.log_rate) / experience.log_sd
    return rate * (likelihood.information * rate / 2.0 - likelihood.score) + off * off / 2.0


@pytest.mark.parametrize("log_sd", [0.15, 0.4, 0.8])
def test_centre_and_spread_agree_with_a_general_minimiser(log_sd: float) -> None:
    experience = replace(EXPERIENCE, log_sd=log_sd)
    many = estimate_rates(_many(), beliefs_of([experience] * len(HISTORIES)))
    for n in range(len(HISTORIES)):
        likelihood = _alone(n)
        alone = estimate_rate(likelihood, experience)
        best = optimize.minimize_scalar(
            _misfit,
            args=(likelihood, experience),
            bounds=(experience.log_rate - 9.0, experience.log_rate + 4.0),
            method="bounded",
            options={"xatol": 1e-10},
        )
        for log_rate in (alone.log_rate, float(many.log_rate[n])):
            assert log_rate == pytest.approx(float(best.x), abs=1e-6)
        step = 1e-4
        low, middle, high = (
            _misfit(alone.log_rate + each, likelihood, experience) for each in (-step, 0.0, step)
        )
        for log_rate_u1 in (alone.log_rate_u1, float(many.log_rate_u1[n])):
            assert log_rate_u1**-2 == pytest.approx((low - 2.0 * middle + high) / step**2, rel=1e-4)


# The worked rows, among many


def test_the_worked_rows_come_out_to_the_printed_digits_all_at_once() -> None:
    lives = lives_of(
        [
            History(
                margin_mm=NEW_MM - LIMIT_MM,
                u1_mm=NEW_U1_MM,
                visits=tuple(Visit(x=x, margin_mm=y - LIMIT_MM, u1_mm=u1) for x, y, u1 in visits),
            )
            for visits, _, _ in ROWS.values()
        ]
    )
    found = forecast_many(lives, beliefs_of([EXPERIENCE] * len(ROWS)))
    of = found.estimates
    own = rate_likelihoods(
        lives, process_c=np.full(len(ROWS), PROCESS_C), process_rate=found.screenings.rate
    )
    figures = (
        *(own.score / own.information, 1.0 / own.information, of.lean, of.margin_var),
        *(of.log_rate, of.log_rate_u1, of.margin_mm),
    )
    for n, (_, printed, distances) in enumerate(ROWS.values()):
        for text, values in zip(printed, figures, strict=True):
            half = half_of_last_digit(text)
            assert float(values[n]) == pytest.approx(float(text), rel=0.0, abs=half)
        levels = found.d05, found.d10, found.d50, found.d90, found.d95
        assert [float(each[n]) for each in levels] == pytest.approx(distances, rel=0.0, abs=5e-4)


# The distance


def _bare(margin_mm: Floats, rate: float, log_u1: float, margin_var: float) -> RateEstimates:
    ones = np.ones_like(margin_mm)
    return RateEstimates(
        log_rate=math.log(rate) * ones,
        log_rate_u1=log_u1 * ones,
        margin_mm=margin_mm,
        lean=0.0 * ones,
        margin_var=margin_var * ones,
    )


MARGINS = np.array([1.0, 2.6, 5.0, 12.0])


@pytest.mark.parametrize("z", LEVELS)
def test_with_only_the_rate_unsure_distances_are_log_normal(z: float) -> None:
    found = crossing_distances(_bare(MARGINS, 0.12, 0.3, 0.0), 0.0 * MARGINS, z)

    assert found == pytest.approx(MARGINS / 0.12 * math.exp(0.3 * z), rel=1e-8)


@pytest.mark.parametrize("z", LEVELS)
def test_with_only_the_margin_unsure_distances_are_normal(z: float) -> None:
    found = crossing_distances(_bare(MARGINS, 0.12, 0.0, 0.04), 0.0 * MARGINS, z)

    assert found == pytest.approx((MARGINS + 0.2 * z) / 0.12, rel=1e-8)


MEDIANS = np.array([5.0, 10.0, 20.0, 40.0, 80.0, 320.0, 1280.0])
"""Distances at which half of the parts reach the limit. [1000 km]"""


def _by_process(z: float, rate: float) -> Floats:
    return crossing_distances(
        _bare(MEDIANS * rate, rate, 0.0, 0.0), np.full(len(MEDIANS), PROCESS_C), z
    )


@pytest.mark.parametrize("rate", [0.02, 0.13, 0.4])
def test_with_only_the_process_unsure_an_early_distance_is_never_reckless(rate: float) -> None:
    # The tail of a gamma process that crosses its limit is an incomplete gamma function, exactly.
    for z, printed in ((-Z90, 0.079), (Z90, 0.876)):
        tails = special.gammaincc(_by_process(z, rate) / PROCESS_C, MEDIANS / PROCESS_C)

        assert float(tails[2]) == pytest.approx(printed, abs=0.0005)
        if z < 0.0:
            assert (tails <= 0.1).all()
        assert (np.diff(np.abs(tails - stats.norm.cdf(z))) < 0.0).all()


@pytest.mark.parametrize("z", [-Z95, -Z90, Z90, Z95])
def test_far_away_distances_are_those_of_a_brownian_process(z: float) -> None:
    # Over a long way the steps of any process add up to a Brownian one, whose first crossing is
    # inverse Gaussian; what is left of the difference falls with the distance.
    shapes = MEDIANS**2 / PROCESS_C
    exact = stats.invgauss.ppf(stats.norm.cdf(z), MEDIANS / shapes, scale=shapes)
    off = np.abs(_by_process(z, 0.13) / exact - 1.0)

    assert (off < 1.5 / MEDIANS).all()
    assert (off[4:] < 1.0 / MEDIANS[4:]).all()
