"""The rate and the crossing against worked rows, exact limits and independent programs."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import special, stats

from brakelog.wear.crossing import (
    Z90,
    Z95,
    crossing_distance,
    median_distance,
    probability_below,
)
from brakelog.wear.experience import Experience
from brakelog.wear.history import History, Visit
from brakelog.wear.rate import (
    RateEstimate,
    estimate_rate,
    inflation,
    rate_likelihood,
    screen,
)

NEW_MM, NEW_U1_MM, LIMIT_MM, PROCESS_C = 11.0, 0.15, 3.0, 0.94
EXPERIENCE = Experience(
    log_rate=math.log(0.13), log_sd=0.40, process_c=PROCESS_C, lives_behind=60.0, source="test"
)

# Worked rows computed for the method: five visit patterns of one lining, 11 mm new, 3 mm limit.
# visits (1000 km, mm, u1), then rate, its variance, lean, margin variance, log rate, its u1,
# margin, and the distances at 5, 10, 50, 90 and 95 %.
Row = tuple[list[tuple[float, float, float]], tuple[str, ...], tuple[float, ...]]
ROWS: dict[str, Row] = {
    "one visit": (
        [(12, 9.6, 0.2)],
        (".11667", "1.6493e-3", "-2.0211", ".03326", "-2.10358", ".2526", "6.5892"),
        (32.160, 36.320, 54.001, 77.726, 85.852),
    ),
    "two visits": (
        [(12, 9.6, 0.2), (27, 7.7, 0.2)],
        (".12214", "6.2988e-4", "-2.3159", ".03455", "-2.08978", ".1800", "4.7041"),
        (24.102, 26.909, 38.024, 51.455, 55.767),
    ),
    "three visits, a finer gauge": (
        [(12, 9.6, 0.1), (27, 7.7, 0.1), (40, 6.1, 0.1)],
        (".12268", "3.8378e-4", "-.6532", ".00952", "-2.09029", ".1468", "3.0997"),
        (15.650, 17.619, 25.068, 33.508, 36.115),
    ),
    "thicker than new": (
        [(8, 11.2, 0.3)],
        ("-.02500", "1.9519e-3", "-5.7635", ".02516", "-2.62192", ".2818", "7.6371"),
        (61.449, 69.506, 105.103, 155.472, 173.262),
    ),
    "close to the limit": (
        [(30, 6.5, 0.2), (55, 3.3, 0.2)],
        (".14020", "3.5676e-4", "-1.9968", ".03704", "-1.97243", ".1290", ".2810"),
        (0.0, 0.171, 2.020, 4.986, 5.992),
    ),
}


def _estimate(visits: list[tuple[float, float, float]]) -> tuple[RateEstimate, list[float]]:
    history = History(
        margin_mm=NEW_MM - LIMIT_MM,
        u1_mm=NEW_U1_MM,
        visits=tuple(Visit(x=x, margin_mm=y - LIMIT_MM, u1_mm=u1) for x, y, u1 in visits),
    )
    screening = screen(history, EXPERIENCE)
    likelihood = rate_likelihood(
        history.margin_mm,
        history.u1_mm,
        history.visits,
        process_c=PROCESS_C,
        process_rate=screening.rate,
        added_var=inflation(history, EXPERIENCE, screening),
    )
    estimate = estimate_rate(likelihood, EXPERIENCE)
    return estimate, [
        likelihood.score / likelihood.information,
        1.0 / likelihood.information,
        estimate.lean,
        estimate.margin_var,
        estimate.log_rate,
        estimate.log_rate_u1,
        estimate.margin_mm,
    ]


def half_of_last_digit(printed: str) -> float:
    mantissa, _, exponent = printed.partition("e")
    decimals = len(mantissa.partition(".")[2])
    return 0.5 * 10.0 ** (int(exponent or 0) - decimals) * 1.001


@pytest.mark.parametrize("row", ROWS.values(), ids=list(ROWS))
def test_rate_agrees_with_the_worked_row_to_the_printed_digits(row: Row) -> None:
    visits, printed, _ = row
    _, found = _estimate(visits)

    for text, value in zip(printed, found, strict=True):
        assert value == pytest.approx(float(text), rel=0.0, abs=half_of_last_digit(text))


@pytest.mark.parametrize("row", ROWS.values(), ids=list(ROWS))
def test_distances_agree_with_the_worked_row_to_the_printed_digits(row: Row) -> None:
    visits, _, printed = row
    estimate, _ = _estimate(visits)
    levels = (-Z95, -Z90, 0.0, Z90, Z95)
    found = [crossing_distance(estimate, PROCESS_C, z) for z in levels]

    assert found == pytest.approx(printed, rel=0.0, abs=0.0005)


def test_rate_agrees_with_generalised_least_squares() -> None:
    x = np.array([9.0, 21.0, 30.0, 44.0])
    y = np.array([9.6, 8.3, 7.2, 5.1])
    u1 = np.array([0.2, 0.2, 0.1, 0.3])
    rate = 0.13
    covariance = 0.15**2 + 0.94 * rate**2 * np.minimum.outer(x, x) + np.diag(u1**2)
    fit = sm.GLS(11.0 - y, x, sigma=covariance).fit()
    var = float(1.0 / (x @ np.linalg.solve(covariance, x)))
    found = rate_likelihood(
        8.0,
        0.15,
        [
            Visit(x=float(a), margin_mm=float(b) - 3.0, u1_mm=float(c))
            for a, b, c in zip(x, y, u1, strict=True)
        ],
        process_c=0.94,
        process_rate=rate,
        added_var={},
    )

    assert found.score / found.information == pytest.approx(float(fit.params[0]), rel=1e-11)
    assert found.score / found.information == pytest.approx(0.132120386659, abs=1e-12)
    assert 1.0 / found.information == pytest.approx(var, rel=1e-11)
    assert 1.0 / found.information == pytest.approx(4.109e-4, abs=5e-8)


def test_margin_agrees_with_dense_conditioning() -> None:
    # The same four visits with a normal prior on the rate, N(0.13, 0.003): h, r and covariance.
    x = [9.0, 21.0, 30.0, 44.0]
    y = [9.6, 8.3, 7.2, 5.1]
    u1 = [0.2, 0.2, 0.1, 0.3]
    found = rate_likelihood(
        11.0,
        0.15,
        [Visit(x=a, margin_mm=b, u1_mm=c) for a, b, c in zip(x, y, u1, strict=True)],
        process_c=0.94,
        process_rate=0.13,
        added_var={},
    )
    precision = found.information + 1.0 / 0.003
    rate = (found.score + 0.13 / 0.003) / precision

    assert rate == pytest.approx(0.131864962470, abs=1e-12)
    assert found.level_mm + found.lean * rate == pytest.approx(5.169145188646, abs=1e-11)
    assert 1.0 / precision == pytest.approx(0.00036138341, abs=5e-12)
    assert found.lean / precision == pytest.approx(-0.00147466323, abs=5e-12)
    assert found.margin_var + found.lean**2 / precision == pytest.approx(0.07085199506, abs=5e-12)


def _bare(margin_mm: float, rate: float, log_u1: float, margin_var: float) -> RateEstimate:
    return RateEstimate(
        log_rate=math.log(rate),
        log_rate_u1=log_u1,
        margin_mm=margin_mm,
        lean=0.0,
        margin_var=margin_var,
    )


@pytest.mark.parametrize("z", [-Z95, -Z90, 0.0, Z90, Z95])
def test_with_only_the_rate_unsure_the_distance_is_log_normal(z: float) -> None:
    estimate = _bare(5.0, 0.12, 0.3, 0.0)

    assert crossing_distance(estimate, 0.0, z) == pytest.approx(
        5.0 / 0.12 * math.exp(0.3 * z), rel=1e-9
    )


@pytest.mark.parametrize("z", [-Z95, -Z90, 0.0, Z90, Z95])
def test_with_only_the_margin_unsure_the_distance_is_normal(z: float) -> None:
    estimate = _bare(5.0, 0.12, 0.0, 0.04)

    assert crossing_distance(estimate, 0.0, z) == pytest.approx((5.0 + 0.2 * z) / 0.12, rel=1e-9)


@pytest.mark.parametrize(
    ("z", "printed"), [(-Z90, 0.079), (Z90, 0.876)], ids=["early 10 %", "late 10 %"]
)
def test_with_only_the_process_unsure_it_agrees_with_the_gamma_process(
    z: float, printed: float
) -> None:
    # P(D <= d) of a gamma process is a regularised incomplete gamma function.
    rate, c = 0.13, 0.94
    margin = 20.0 * rate
    distance = crossing_distance(_bare(margin, rate, 0.0, 0.0), c, z)
    tail = float(special.gammaincc(distance / c, margin / (rate * c)))

    assert tail == pytest.approx(printed, abs=0.0005)


@pytest.mark.parametrize("median", [20.0, 40.0, 80.0])
def test_it_is_close_to_the_crossing_of_a_brownian_process(median: float) -> None:
    # The first passage of a drifting Brownian motion of the same variance, to 10 %.
    rate, c = 0.13, 0.94
    margin = median * rate
    mean, shape = margin / rate, margin**2 / (c * rate**2)
    exact = stats.invgauss(mean / shape, scale=shape)
    for z in (-Z90, Z90):
        distance = crossing_distance(_bare(margin, rate, 0.0, 0.0), c, z)
        assert distance == pytest.approx(float(exact.ppf(NormalDist().cdf(z))), rel=0.1)


def test_tails_agree_with_brute_force_over_rate_margin_and_process() -> None:
    estimate, _ = _estimate(ROWS["two visits"][0])
    rng = np.random.default_rng(20240501)
    rho = estimate.log_rate + estimate.log_rate_u1 * rng.standard_normal(200_000)
    rate = np.exp(rho)
    margin = (
        estimate.margin_mm
        + estimate.lean * (rate - math.exp(estimate.log_rate))
        + math.sqrt(estimate.margin_var) * rng.standard_normal(200_000)
    )
    for z, low, high in ((-Z90, 0.075, 0.11), (-Z95, 0.03, 0.055), (Z90, 0.87, 0.91)):
        distance = crossing_distance(estimate, PROCESS_C, z)
        worn = rng.gamma(distance / PROCESS_C, rate * PROCESS_C)
        assert low < float(np.mean(worn >= margin)) < high


def test_probability_below_is_the_normal_one() -> None:
    estimate, _ = _estimate(ROWS["close to the limit"][0])
    sd = math.hypot(
        math.sqrt(estimate.margin_var),
        estimate.lean * math.exp(estimate.log_rate) * estimate.log_rate_u1,
    )

    assert probability_below(estimate) == pytest.approx(
        float(stats.norm.cdf(-estimate.margin_mm / sd)), abs=1e-8
    )


def test_levels_are_the_normal_quantiles() -> None:
    assert pytest.approx(float(stats.norm.ppf(0.90)), abs=1e-15) == Z90
    assert pytest.approx(float(stats.norm.ppf(0.95)), abs=1e-15) == Z95


def test_without_visits_the_rate_is_the_experience() -> None:
    likelihood = rate_likelihood(
        8.0, 0.15, [], process_c=PROCESS_C, process_rate=0.13, added_var={}
    )
    estimate = estimate_rate(likelihood, EXPERIENCE)

    assert estimate.log_rate == EXPERIENCE.log_rate
    assert estimate.log_rate_u1 == pytest.approx(EXPERIENCE.log_sd)
    assert median_distance(estimate) == pytest.approx(8.0 / 0.13)
