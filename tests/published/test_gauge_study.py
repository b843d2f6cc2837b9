"""Gauge studies against published ones.

AIAG Measurement Systems Analysis, 4th ed. (2010), chapter III section B, figures III-B 6 and
III-B 15: 10 parts, 3 appraisers, 3 trials (table and results as reproduced in several public test
suites and by McNeese, 2015). NIST/SEMATECH e-Handbook of Statistical Methods 2.4.4 and 2.6.1, and
NIST StRD SiRstv: public domain.
"""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from statistics import mean

import pytest
import statsmodels.formula.api as smf
from scipy import integrate, special
from statsmodels.stats.anova import anova_lm

from brakelog.metrology.budget import Deviation
from brakelog.metrology.nested import Levels, level_1, level_2, level_3
from brakelog.metrology.study import Study, StudyReading, crossed
from brakelog.metrology.study_anova import Anova, by_variance
from brakelog.metrology.study_ranges import _D4, _K1, _K2, Beyond, Ranges, by_ranges

PUBLISHED = Path(__file__).parents[2] / "fixtures" / "published"
NM = 1_000_000
"""The tables have no unit or one of their own; here they are taken as millimetres."""


def lines_of(name: str) -> list[str]:
    """The lines of a file, below the one that names its source."""
    first, *rest = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    assert first.startswith("# Source: ")
    return rest


def exact(text: str) -> int:
    whole = Decimal(text) * NM
    assert whole == int(whole)
    return int(whole)


@pytest.fixture(scope="module")
def manual() -> Study:
    """The table of the AIAG manual."""
    return crossed(
        StudyReading(
            part=row["part"],
            appraiser=row["appraiser"],
            trial=row["trial"],
            value_nm=exact(row["value"]),
        )
        for row in csv.DictReader(lines_of("aiag_msa_grr_10x3x3.csv"))
    )


@pytest.fixture(scope="module")
def ranges(manual: Study) -> Ranges:
    return by_ranges(manual)


@pytest.fixture(scope="module")
def anova(manual: Study) -> Anova:
    return by_variance(manual)


# AIAG, averages and ranges


def test_aiag_averages_and_ranges_of_the_form(ranges: Ranges) -> None:
    assert [float(r) / NM for r in ranges.ranges_nm] == pytest.approx([0.184, 0.513, 0.328])
    assert [round(float(m) / NM, 4) for m in ranges.means_nm] == [0.1903, 0.0683, -0.2543]
    assert round(float(ranges.mean_range_nm) / NM, 4) == 0.3417
    assert round(float(ranges.between_parts_nm) / NM, 4) == 3.5111
    assert float(ranges.limit_nm) / NM == pytest.approx(0.8795, abs=1e-4)


def test_aiag_prints_differences_of_rounded_means(ranges: Ranges) -> None:
    """0.4446 is printed, from 0.1903 and -0.2543; unrounded it is 0.4447."""
    assert float(ranges.between_people_nm) / NM == pytest.approx(0.4446, abs=1e-4)
    assert float(ranges.between_people_nm) / NM == pytest.approx(0.444667, abs=5e-7)


def test_aiag_variation_by_ranges(ranges: Ranges) -> None:
    """Printed from rounded steps, so within one or two of the last digit; then unrounded."""
    found = ranges.variation
    assert found.people1_nm is not None
    values = [
        each / NM
        for each in (
            found.repeats1_nm,
            found.people1_nm,
            found.gauge1_nm,
            found.parts1_nm,
            found.total1_nm,
        )
    ]

    assert values == pytest.approx([0.20188, 0.22963, 0.30575, 1.10456, 1.14610], abs=5e-5)
    assert values == pytest.approx([0.20186, 0.22967, 0.30577, 1.10460, 1.14613], abs=6e-6)


def test_aiag_shares_and_categories_by_ranges(ranges: Ranges) -> None:
    found = ranges.variation
    parts = (found.repeats1_nm, found.people1_nm or 0, found.gauge1_nm, found.parts1_nm)

    shares = [100 * found.share_of_total(each) for each in parts]
    assert shares == pytest.approx([17.62, 20.04, 26.68, 96.38], abs=0.01)
    assert found.categories == 5


def test_aiag_appraiser_b_at_part_4_is_out_of_control(ranges: Ranges) -> None:
    assert ranges.beyond == (Beyond(part="4", appraiser="B", range_nm=exact("1.02")),)


# AIAG, analysis of variance


def test_aiag_table_of_squares(anova: Anova) -> None:
    assert anova.appraisers is not None
    assert anova.interaction is not None
    table = [anova.parts, anova.appraisers, anova.interaction.squares, anova.repeats, anova.total]

    assert [each.dof for each in table] == [9, 2, 18, 60, 89]
    squares = [float(each.sum_nm2) / NM**2 for each in table]
    assert [round(each, 3) for each in squares] == [88.362, 3.167, 0.359, 2.759, 94.647]


def test_aiag_interaction_is_pooled(anova: Anova) -> None:
    found = anova.interaction
    assert found is not None

    assert found.ratio == pytest.approx(0.4337, abs=5e-5)
    assert found.chance == pytest.approx(0.974, abs=5e-4)
    assert found.ratio < found.critical
    assert found.is_pooled
    assert anova.error.dof == 78
    assert round(float(anova.error.mean_nm2) / NM**2, 4) == 0.0400


def test_aiag_variation_by_variance(anova: Anova) -> None:
    """Variances as printed; the standard deviations to six digits are from memory."""
    found = anova.variation
    assert found.people1_nm is not None
    parts = (
        found.repeats1_nm / NM,
        found.people1_nm / NM,
        found.gauge1_nm / NM,
        found.parts1_nm / NM,
        found.total1_nm / NM,
    )

    variances = [each**2 for each in parts]
    assert variances[:3] == pytest.approx([0.0400, 0.0515, 0.0914], abs=5e-5)
    assert variances[3:] == pytest.approx([1.086, 1.177], abs=9e-4)
    assert parts[:4] == pytest.approx([0.199933, 0.226838, 0.302373, 1.042327], abs=2e-6)
    assert 100 * found.share_of_total(found.gauge1_nm) == pytest.approx(27.9, abs=0.05)


def test_aiag_methods_disagree_on_the_categories(ranges: Ranges, anova: Anova) -> None:
    """5.09 and 4.86: cut off they differ; rounded, or with the square root of two, they need not.

    Which of 1.41 and the square root of two, and whether to cut or to round, decides the second.
    """
    by_range, by_square = ranges.variation, anova.variation
    ratio = by_square.parts1_nm / by_square.gauge1_nm

    assert (by_range.categories, by_square.categories) == (5, 4)
    assert 1.41 * by_range.parts1_nm / by_range.gauge1_nm == pytest.approx(5.094, abs=5e-4)
    assert 1.41 * ratio == pytest.approx(4.861, abs=5e-4)
    assert round(1.41 * ratio) == 5


def test_aiag_without_pooling(manual: Study, anova: Anova) -> None:
    """Computed: 0.21444, 0.22830, 0.31322 and 28.75 %; the interaction's variance is negative."""
    assert anova.interaction is not None
    assert anova.appraisers is not None
    error, crossed_ = float(anova.repeats.mean_nm2), float(anova.interaction.squares.mean_nm2)
    repeats = math.sqrt(error) / NM
    people = math.sqrt((float(anova.appraisers.mean_nm2) - crossed_) / 30) / NM
    parts = math.sqrt((float(anova.parts.mean_nm2) - crossed_) / 9) / NM

    gauge = math.hypot(repeats, people)
    assert crossed_ < error
    assert (repeats, people, gauge) == pytest.approx((0.21444, 0.22830, 0.31322), abs=6e-6)
    assert 100 * gauge / math.hypot(gauge, parts) == pytest.approx(28.75, abs=0.005)


def test_aiag_table_agrees_with_an_independent_program(manual: Study, anova: Anova) -> None:
    pandas = pytest.importorskip("pandas")
    frame = pandas.DataFrame(
        [
            {"part": part, "who": who, "y": nm / NM}
            for part, who, cell in manual.cells()
            for nm in cell
        ]
    )
    table = anova_lm(smf.ols("y ~ C(part) * C(who)", data=frame).fit())
    assert anova.appraisers is not None
    assert anova.interaction is not None

    ours = [
        anova.parts.sum_nm2,
        anova.appraisers.sum_nm2,
        anova.interaction.squares.sum_nm2,
        anova.repeats.sum_nm2,
    ]
    assert [float(each) / NM**2 for each in ours] == pytest.approx(list(table["sum_sq"]))
    assert anova.interaction.chance == pytest.approx(table["PR(>F)"]["C(part):C(who)"])


# The constants


def range_moments(count: int) -> tuple[float, float]:
    """Mean and standard deviation of the range of that many standard normal values."""
    cdf = special.ndtr
    first = integrate.quad(lambda x: 1 - cdf(x) ** count - (1 - cdf(x)) ** count, -9, 9)[0]
    second = 2 * integrate.dblquad(
        lambda x, y: 1 - cdf(y) ** count - (1 - cdf(x)) ** count + (cdf(y) - cdf(x)) ** count,
        -8, 8, lambda y: -8, lambda y: y, epsabs=1e-7,
    )[0]  # fmt: skip
    return first, math.sqrt(second - first**2)


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6, 8, 10, 15, 20, 25])
def test_constants_follow_from_the_distribution_of_the_range(count: int) -> None:
    """K1 = 1/d2 for many ranges, K2 and K3 = 1/d2* for one, D4 = 1 + 3 d3/d2."""
    d2, d3 = range_moments(count)

    assert _K2[count - 2] == pytest.approx(1 / math.hypot(d2, d3), abs=6e-5)
    if count <= 10:
        assert _K1[count - 2] == pytest.approx(1 / d2, abs=6e-5)
        assert _D4[count - 2] == pytest.approx(1 + 3 * d3 / d2, abs=1e-3)


def test_constants_of_the_form_are_those_printed() -> None:
    """3 trials, 3 appraisers, 10 parts."""
    assert (_K1[1], _K2[1], _K2[8], _D4[1]) == (0.5908, 0.5231, 0.3146, Fraction("2.574"))


# NIST StRD, one way


def test_sirstv_to_its_certified_digits() -> None:
    """Five instruments, five replicates: as a study with one appraiser."""
    rows = [line.split() for line in lines_of("nist_strd_sirstv_anova.dat")]
    table = [row for row in rows if len(row) == 2 and row[0].isdigit() and "." in row[1]]
    assert len(table) == 25
    study = crossed(
        StudyReading(part=instrument, appraiser="-", trial=str(n % 5), value_nm=exact(ohm))
        for n, (instrument, ohm) in enumerate(table)
    )
    found = by_variance(study)

    between, within = float(found.parts.sum_nm2) / NM**2, float(found.repeats.sum_nm2) / NM**2
    assert (found.parts.dof, found.repeats.dof) == (4, 20)
    assert between == pytest.approx(5.11462616000000e-02, rel=1e-15)
    assert within == pytest.approx(2.16636560000000e-01, rel=1e-15)
    assert float(found.parts.mean_nm2 / found.repeats.mean_nm2) == pytest.approx(
        1.18046237440255, rel=1e-15
    )
    assert found.variation.repeats1_nm / NM == pytest.approx(1.04076068334656e-01, rel=1e-15)
    assert between / (between + within) == pytest.approx(1.90999039051129e-01, rel=1e-14)


# NIST e-Handbook, nested


def test_nist_2_4_4_level_1_pooled_over_gauges() -> None:
    """Sums of squares of five gauges, 60 degrees of freedom each: s1 = 0.10290."""
    squares = (0.48115, 0.69209, 0.48483, 1.21752, 0.30076)
    pooled = level_1(Deviation(s1=math.sqrt(each / 60), dof=60) for each in squares)

    assert pooled.dof == 300
    assert round(pooled.s1, 4) == 0.1029
    assert pooled.s1 == pytest.approx(0.102897, abs=5e-7)


Row = dict[str, str]


@pytest.fixture(scope="module")
def probe_2362() -> list[Row]:
    """300 rows of 2 runs, 5 wafers, 5 probes and 6 days; each the mean and s of 6 readings."""
    names = ("run", "wafer", "probe", "month", "day", "op", "temp", "mean", "s")
    rows = [line.split() for line in lines_of("nist_handbook_mpc61_gauge_study.dat")]
    table = [dict(zip(names, row, strict=True)) for row in rows if len(row) == 9 and row[0] in "12"]
    assert len(table) == 300
    return [row for row in table if row["probe"] == "2362."]


def means_by_wafer(rows: list[Row], run: str) -> dict[str, list[float]]:
    found: dict[str, list[float]] = defaultdict(list)
    for row in rows:
        if row["run"] == run:
            found[row["wafer"]].append(float(row["mean"]))
    return found


def test_nist_2_6_1_three_levels_of_probe_2362(probe_2362: list[Row]) -> None:
    """Computed; 0.0362 and 0.0197 are printed (from memory), the second 0.0196 by these data."""
    by_run = {run: means_by_wafer(probe_2362, run) for run in "12"}
    short = {
        run: level_1(
            Deviation(s1=float(row["s"]), dof=5) for row in probe_2362 if row["run"] == run
        )
        for run in "12"
    }
    days = {run: level_2(by_run[run].values()) for run in "12"}
    levels = Levels(
        level_1=level_1(short.values()),
        level_2=level_1(days.values()),
        level_3=level_3([[mean(by_run[run][wafer]) for run in "12"] for wafer in by_run["1"]]),
        repeats=6,
        days=6,
    )

    assert [short[run].dof for run in "12"] == [150, 150]
    assert [short[run].s1 for run in "12"] == pytest.approx([0.06751, 0.07786], abs=5e-6)
    assert [days[run].s1 for run in "12"] == pytest.approx([0.03334, 0.03879], abs=5e-6)
    assert (round(levels.level_2.s1, 4), levels.level_2.dof) == (0.0362, 50)
    assert (round(levels.level_3.s1, 4), levels.level_3.dof) == (0.0196, 5)
    assert levels.days1 == pytest.approx(math.sqrt(levels.level_2.s1**2 - levels.level_1.s1**2 / 6))
    assert levels.reading1 > levels.level_1.s1


def test_what_is_lost_in_the_level_below_counts_as_nothing() -> None:
    levels = Levels(
        level_1=Deviation(s1=3.0, dof=10),
        level_2=Deviation(s1=1.0, dof=5),
        level_3=Deviation(s1=0.1, dof=1),
        repeats=4,
        days=3,
    )

    assert (levels.days1, levels.runs1, levels.reading1) == (0.0, 0.0, 3.0)
