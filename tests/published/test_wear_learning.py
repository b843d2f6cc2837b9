"""What a shop learns from its part lives, against printed figures and independent programs.

Data with their sources beside them: batters of Efron and Morris (1975), cylinder liners of
Giorgio, Guida and Pulcini (2010), shock absorbers of O'Connor (1985) and Meeker and Escobar
(1998). Eight schools: D. B. Rubin, "Estimation in parallel randomized experiments", J. Educ.
Stat. 6 (1981) 377-401; the figures are from memory.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from lifelines import LogNormalFitter, WeibullFitter
from statsmodels.stats.meta_analysis import combine_effects

from brakelog.wear.bulk.believed import believed
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.grouping import Grouping
from brakelog.wear.bulk.learning import learn
from brakelog.wear.bulk.lives import Counts, Floats, Lives, lives_from_rows
from brakelog.wear.bulk.moments import Moments, moments
from brakelog.wear.bulk.next_reading import next_readings
from brakelog.wear.bulk.population import Populations, populations, seen_in
from brakelog.wear.crossing import Z90, Z95
from brakelog.wear.experience import Experience
from brakelog.wear.rate import RateLikelihood, estimate_rate
from tests.published.wear_shops import FRONT, MARGIN_MM, PROCESS_C, shop

PUBLISHED = Path(__file__).parents[2] / "fixtures" / "published"


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of a file, below the line that names its source."""
    first, *rest = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    assert first.startswith("# Source: ")
    return list(csv.DictReader(rest))


def numbers(rows: list[dict[str, str]], column: str) -> Floats:
    return np.array([float(row[column]) for row in rows])


def plain_moments(values: Floats, variances: Floats) -> Moments:
    """Mean and variance of one group, no value pulled in and no least spread."""
    codes = np.zeros(len(values), dtype=np.int64)
    return moments(values, variances, codes, 1, pulled_in_from=(math.inf, math.inf))


def test_six_lives_give_the_worked_median_and_spread() -> None:
    # Computed for the method: six rates, and a general life of 55,000 km for 8 mm.
    above = Populations(
        log_rate=np.array([math.log(8.0 / 55.0)]),
        log_sd=np.array([0.55]),
        lives_behind=np.zeros(1),
    )
    seen = seen_in(
        np.array([0.10, 0.12, 0.15, 0.22, 0.09, 0.13]),
        np.array([4e-4, 1e-3, 4e-4, 2e-3, 6e-4, 5e-4]),
        np.zeros(6, dtype=np.int64),
        above,
    )
    found = populations(seen, above)

    assert found.log_rate[0] == pytest.approx(-2.03637, abs=5e-6)
    assert found.log_sd[0] == pytest.approx(0.55403, abs=5e-6)
    assert found.lives_behind[0] == pytest.approx(2.339, abs=5e-4)


def test_one_variance_for_all_gives_the_moments_of_paule_and_mandel() -> None:
    rng = np.random.default_rng(7)
    values, variances = 5.0 + 1.9 * rng.standard_normal(60), np.full(60, 1.7)
    theirs = combine_effects(values, variances, method_re="pm")
    ours = plain_moments(values, variances)

    assert theirs.tau2 > 1.0
    assert ours.var[0] == pytest.approx(theirs.tau2, rel=1e-4)
    assert ours.mean[0] == pytest.approx(theirs.mean_effect_re, rel=1e-6)


def test_eight_schools_do_not_differ() -> None:
    values = np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0])
    variances = np.array([15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0]) ** 2
    theirs = combine_effects(values, variances, method_re="pm")
    ours = plain_moments(values, variances)

    assert theirs.tau2 == pytest.approx(0.0, abs=1e-9)
    assert ours.var[0] == 0.0
    assert ours.mean[0] == pytest.approx(7.686, abs=5e-4)
    assert ours.mean[0] == pytest.approx(theirs.mean_effect_re, rel=1e-9)


def test_batters_shrink_by_the_printed_factor() -> None:
    # Printed: grand mean .2654, factor .2124, the best of them .294, the poorest .242. Stein's
    # factor takes 3 from the number of batters where an unbiased variance takes 1.
    batters = rows_of("efron_morris_baseball.csv")
    early = numbers(batters, "y")
    variances = np.full(18, 0.2654 * (1.0 - 0.2654) / 45.0)
    found = plain_moments(early, variances)
    mean, unbiased = found.mean[0], variances[0] / (found.var[0] + variances[0])
    factor = 1.0 - unbiased * (18 - 3) / (18 - 1)

    assert mean == pytest.approx(0.2654, abs=5e-5)
    assert factor == pytest.approx(0.2124, abs=5e-5)
    assert mean + factor * (early[0] - mean) == pytest.approx(0.294, abs=5e-4)
    assert mean + factor * (early[-1] - mean) == pytest.approx(0.242, abs=5e-4)


def test_batters_are_foretold_three_and_a_half_times_better_than_by_their_own_averages() -> None:
    # Printed for Stein's factor: 3.5 times less squared error over the rest of the season. The
    # same data through the log-normal belief and the search that a wear rate goes through.
    batters = rows_of("efron_morris_baseball.csv")
    early, late = numbers(batters, "y"), numbers(batters, "p")
    variance = 0.2654 * (1.0 - 0.2654) / 45.0
    found = plain_moments(early, np.full(18, variance))
    log_var = math.log1p(found.var[0] / found.mean[0] ** 2)
    experience = Experience(
        log_rate=math.log(found.mean[0]) - log_var / 2.0,
        log_sd=math.sqrt(log_var),
        process_c=1.0,
        lives_behind=18.0,
        source="test",
    )
    foretold = np.array(
        [
            math.exp(
                estimate_rate(
                    RateLikelihood(
                        information=1.0 / variance,
                        score=each / variance,
                        level_mm=0.0,
                        lean=0.0,
                        margin_var=0.0,
                    ),
                    experience,
                ).log_rate
            )
            for each in early.tolist()
        ]
    )
    alone, joined = np.sum((early - late) ** 2), np.sum((foretold - late) ** 2)

    assert alone == pytest.approx(0.0754, abs=5e-5)
    assert alone / joined == pytest.approx(3.5, abs=0.05)


THOUSAND_HOURS_A_YEAR = 8.76


@pytest.fixture(scope="module")
def liners() -> tuple[Lives, Floats]:
    """The cylinder liners, and what each rate alone says of the next inspection."""
    rows = rows_of("cylinder_liner_wear.csv")
    _, visits = np.unique([int(row["liner"]) for row in rows], return_counts=True)
    x, worn = numbers(rows, "years") * THOUSAND_HOURS_A_YEAR, numbers(rows, "wear_mm")
    lives = lives_from_rows(
        margin_mm=np.full(32, 4.0),
        # Read to 0.05 mm, at the place of the largest wear.
        u1_mm=np.full(32, 0.1),
        visits=visits.astype(np.int64),
        x=x,
        visit_margin_mm=4.0 - worn,
        visit_u1_mm=np.full(64, 0.1),
    )
    first = np.cumsum(visits) - visits
    before = np.setdiff1d(np.arange(64), first + visits - 1)
    after = before + 1
    naive = (worn[after] - worn[before]) / (worn[before] / x[before])
    return lives, np.abs(naive / (x[after] - x[before]) - 1.0)


def test_liners_wear_to_the_level_of_the_next_inspection_when_it_was_foretold(
    liners: tuple[Lives, Floats],
) -> None:
    # Computed before with the same method, in other units of time: the bound held for 31 of 32,
    # the interval for 27, the median was 34 % off, the line from new 44 %.
    lives, naive = liners
    bound, both, errors = [], [], []
    for liner in range(32):
        others = np.flatnonzero(np.arange(32) != liner)
        experiences = learn(
            lives.part(others),
            _one_group(31),
            general_log_rate=np.full(31, math.log(0.1)),
            vehicles=others,
        ).experiences
        own = lives.part(np.array([liner]))
        for known in range(1, own.most_visits):
            ahead = next_readings(own, known)
            beliefs = believed(_one_group(1), experiences, np.full(1, math.log(0.1)))
            found = forecast_many(ahead.lives, beliefs, levels=(-Z95, -Z90, Z95))
            gone = float(ahead.gone[0])
            bound.append(gone >= found.d10[0])
            both.append(found.d05[0] <= gone <= found.d95[0])
            errors.append(abs(found.d50[0] / gone - 1.0))

    assert len(bound) == 32
    assert 30 <= sum(bound) <= 32
    assert 26 <= sum(both) <= 29
    assert np.median(naive) == pytest.approx(0.44, abs=0.005)
    assert np.median(errors) < 0.38


def _one_group(count: int) -> Grouping:
    codes: Counts = np.zeros(count, dtype=np.int64)
    return Grouping(groups=(FRONT,), codes=codes)


def test_survival_times_are_fitted_as_printed() -> None:
    # Meeker and Escobar: location 10.23 and scale .3164 of the logarithm, Weibull, both modes.
    # It shows that the program asked in the next test is asked rightly.
    rows = rows_of("shock_absorber_km.csv")
    fit = WeibullFitter().fit(numbers(rows, "km"), [row["event"] == "Failure" for row in rows])

    assert math.log(fit.lambda_) == pytest.approx(10.230, abs=5e-4)
    assert 1.0 / fit.rho_ == pytest.approx(0.3164, abs=5e-5)


def test_learned_rates_give_the_lives_that_survival_analysis_finds() -> None:
    # Ours looks at readings, theirs at how far each part went until its limit, or went so far.
    made = shop(11, 2000, visits=(2, 8))
    is_first = made.before < 0
    driven = made.lives.x[made.lives.visits - 1, np.arange(made.lives.count)]
    has_gone = ~np.isnan(made.went)
    theirs = LogNormalFitter().fit(
        np.where(has_gone, made.went, driven)[is_first], has_gone[is_first]
    )
    found = learn(
        made.lives.part(is_first),
        _one_group(2000),
        general_log_rate=made.general_log_rate[is_first],
        vehicles=made.vehicles[is_first],
    ).experiences.by_group[FRONT]
    life = MARGIN_MM / math.exp(found.log_rate)

    assert np.count_nonzero(has_gone & is_first) > 300
    assert math.log(life) == pytest.approx(float(theirs.mu_), abs=0.03)
    assert math.hypot(found.log_sd, math.sqrt(PROCESS_C / life)) == pytest.approx(
        float(theirs.sigma_), abs=0.03
    )
