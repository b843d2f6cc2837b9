"""The budget engine and the defaults of gauges against published worked examples.

JCGM 100:2008 (GUM), as quoted clause by clause in several public test suites and recomputed;
EA-4/02 M:2022; ISO 14253-1:2017; DIN 863-1 and JIS B7503:2011. What is from memory says so.
"""

from __future__ import annotations

import csv
import math
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from brakelog.metrology.budget import (
    Budget,
    Component,
    Deviation,
    deviation,
    dof_of_doubt,
    pooled,
    rectangular,
    repeated,
    resolution,
    rounded_like,
    rounded_up,
    triangular,
    type_a,
    u_shaped,
)
from brakelog.metrology.conformance import conformance_probability
from brakelog.metrology.coverage import coverage_factor, edge_parameter, trapezoid_factor
from brakelog.metrology.distributions import f_quantile, f_tail, student_quantile
from brakelog.metrology.line import Line, line_through
from brakelog.metrology.practice import DIAL_LIMIT_NM, DIAL_TRAVEL_NM, din_863_limit_nm
from brakelog.metrology.temperature import GREY_IRON_PER_K

PUBLISHED = Path(__file__).parents[2] / "fixtures" / "published"


def rows(name: str) -> list[dict[str, float]]:
    """The rows of a table, below the line that names its source."""
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as stream:
        assert next(stream).startswith("# Source: ")
        return [{key: float(cell) for key, cell in row.items()} for row in csv.DictReader(stream)]


# Components


def test_gum_4_4_3_twenty_temperatures() -> None:
    temperatures = [row["t"] for row in rows("gum_443_temperatures.csv")]
    mean = type_a("temperature", temperatures)

    assert sum(temperatures) / 20 == pytest.approx(100.145)
    assert deviation(temperatures).s1 == pytest.approx(1.489, abs=5e-4)
    assert mean.u1 == pytest.approx(0.333, abs=5e-4)
    assert mean.dof == 19


def test_gum_type_b_divisors() -> None:
    """GUM 4.3.7, 4.3.9, F.2.2.1; H.1.3.3 prints 1.2e-6 and H.1.3.4 prints 0.35."""
    assert rectangular("expansion", 2e-6).u1 == pytest.approx(1.2e-6, abs=0.05e-6)
    assert u_shaped("cyclic temperature", 0.5).u1 == pytest.approx(0.35, abs=0.005)
    assert triangular("a", 1.0).u1 == pytest.approx(1 / math.sqrt(6))
    assert resolution("step", 0.01).u1 == pytest.approx(0.0028868, abs=5e-8)


@pytest.mark.parametrize(("doubt", "dof"), [(0.25, 8), (0.10, 50), (0.50, 2)])
def test_gum_g_4_2_degrees_of_freedom_of_a_type_b_component(doubt: float, dof: float) -> None:
    assert dof_of_doubt(doubt) == pytest.approx(dof)


@pytest.mark.parametrize(("step_um", "u1_um"), [(1, 0.29), (10, 2.89), (25.4, 7.33), (127, 36.7)])
def test_what_the_step_of_a_gauge_hides(step_um: float, u1_um: float) -> None:
    """r / sqrt(12), computed; 0.001 mm, 0.01 mm, 0.001 in and 0.005 in."""
    assert resolution("step", step_um).u1 == pytest.approx(u1_um, abs=0.05)


def test_gum_7_2_6_rounding() -> None:
    assert rounded_up(10.47) == 11
    assert rounded_up(28.05) == 28
    assert rounded_like(Decimal("10.05762"), rounded_up(0.027)) == Decimal("10.058")


# Whole budgets


def g_4_1() -> Budget:
    """Relative standard uncertainties of a product of three, in per cent."""
    return Budget(
        components=(
            Component(name="x1", u1=0.25, dof=9),
            Component(name="x2", u1=0.57, dof=4),
            Component(name="x3", u1=0.82, dof=14),
        )
    )


def test_gum_g_4_1_welch_satterthwaite() -> None:
    budget = g_4_1()

    assert budget.u1 == pytest.approx(1.03, abs=0.005)
    assert budget.dof == pytest.approx(19.0, abs=0.05)
    assert coverage_factor(0.95, dof=budget.dof) == pytest.approx(2.09, abs=0.005)
    assert coverage_factor(0.95, dof=budget.dof) * budget.u1 == pytest.approx(2.2, abs=0.05)


def test_gum_g_4_1_cut_to_whole_degrees_is_one_less_than_printed() -> None:
    """18.9987 cut off is 18 and k 2.10; the expanded uncertainty is 2.2 per cent all the same."""
    budget = g_4_1()
    cut = coverage_factor(0.95, dof=math.floor(budget.dof))

    assert budget.dof == pytest.approx(18.9987, abs=5e-5)
    assert cut == pytest.approx(2.10, abs=0.005)
    assert cut * budget.u1 == pytest.approx(2.2, abs=0.05)


# GUM H.1, an end gauge of 50 mm; lengths in nm.
STANDARD_NM = 50_000_623.0
DIFFERENCE_NM = 215.0
MEAN_DEVIATION_K = -0.1
EXPANSION_PER_K = 11.5e-6


def comparison() -> Budget:
    """H.1.3.2: the measured difference d."""
    return Budget(
        components=(
            repeated("five readings", 13.0, 5, dof=24),
            Component(name="comparator, random", u1=10 / coverage_factor(0.95, dof=5), dof=5),
            Component(name="comparator, systematic", u1=20 / 3, dof=dof_of_doubt(0.25)),
        )
    )


def end_gauge() -> Budget:
    return Budget(
        components=(
            Component(name="standard", u1=75 / 3, dof=18),
            comparison().as_component("difference"),
            rectangular("its expansion", 2e-6, sensitivity=0.0),
            Component(name="deviation of the bench", u1=0.41, sensitivity=0.0),
            rectangular(
                "difference of expansion", 1e-6,
                sensitivity=-STANDARD_NM * MEAN_DEVIATION_K, dof=dof_of_doubt(0.10),
            ),
            rectangular(
                "difference of temperature", 0.05,
                sensitivity=-STANDARD_NM * EXPANSION_PER_K, dof=dof_of_doubt(0.50),
            ),
        )
    )  # fmt: skip


def test_gum_h_1_table_of_components() -> None:
    shares = [each.share1 for each in end_gauge().components]

    assert [each.u1 for each in comparison().components] == pytest.approx([5.8, 3.9, 6.7], abs=0.05)
    assert comparison().u1 == pytest.approx(9.7, abs=0.05)
    assert shares == pytest.approx([25, 9.7, 0, 0, 2.9, 16.6], abs=0.05)
    assert math.hypot(0.2, u_shaped("bench", 0.5).u1) == pytest.approx(0.41, abs=0.005)


def test_gum_h_1_combined_and_expanded() -> None:
    budget = end_gauge()
    length_nm = STANDARD_NM + DIFFERENCE_NM
    whole_dof = math.floor(budget.dof)
    k = coverage_factor(0.99, dof=whole_dof)

    assert length_nm == 50_000_838
    assert budget.u1**2 == pytest.approx(1002, abs=1)
    assert round(budget.u1) == 32
    assert whole_dof == 16
    assert k == pytest.approx(2.92, abs=0.005)
    assert round(2.92 * round(budget.u1)) == 93


def test_gum_h_1_rounding_before_the_end_gives_other_numbers() -> None:
    """The printed 93 nm is 2.92 times a rounded 32; the degrees of freedom move most."""
    budget = end_gauge()
    rounded = Budget(
        components=(
            Component(name="standard", u1=25, dof=18),
            Component(name="difference", u1=9.7, dof=25.6),
            Component(name="expansion", u1=2.9, dof=50),
            Component(name="temperature", u1=16.6, dof=2),
        )
    )

    assert budget.u1 == pytest.approx(31.66, abs=0.01)
    assert coverage_factor(0.99, dof=16) * budget.u1 == pytest.approx(92.5, abs=0.05)
    assert budget.dof == pytest.approx(16.75, abs=0.05)
    assert 32**4 / (rounded.u1**4 / rounded.dof) == pytest.approx(17.5, abs=0.05)
    assert comparison().dof == pytest.approx(25.6, abs=0.05)


def test_gum_h_1_difference_from_rounded_parts_has_fewer_degrees_of_freedom() -> None:
    """25.6 is printed; parts rounded to 5.8, 3.9 and 6.7 give it only with their rounded sum."""
    parts = Budget(
        components=(
            Component(name="readings", u1=5.8, dof=24),
            Component(name="random", u1=3.9, dof=5),
            Component(name="systematic", u1=6.7, dof=8),
        )
    )

    assert parts.dof == pytest.approx(25.4, abs=0.05)
    assert parts.dof * (9.7 / parts.u1) ** 4 == pytest.approx(25.6, abs=0.05)


def test_gum_h_1_7_second_order_terms() -> None:
    """Two terms that are products of two uncertain values: 11.9 and 1.7 nm, together 34 nm.

    The printed 34 nm is from memory.
    """
    expansion, temperature = rectangular("a", 1e-6).u1, rectangular("b", 0.05).u1
    second_order = (
        Component(name="expansion by deviation", u1=expansion * 0.41, sensitivity=STANDARD_NM),
        Component(
            name="expansion by temperature",
            u1=rectangular("c", 2e-6).u1 * temperature,
            sensitivity=STANDARD_NM,
        ),
    )

    assert [each.share1 for each in second_order] == pytest.approx([11.9, 1.7], abs=0.1)
    whole = Budget(components=(*end_gauge().components, *second_order))
    assert round(whole.u1) == 34


def test_ea_4_02_s2_weight_of_ten_kilograms() -> None:
    """Contributions in mg; prints 29.2 mg from rounded ones, and 58 mg."""
    budget = Budget(
        components=(
            Component(name="standard", u1=45 / 2),
            rectangular("drift", 15),
            Component(name="comparison", u1=25 / math.sqrt(3)),
            rectangular("comparator", 10),
            rectangular("buoyancy", 10),
        )
    )

    shares = [each.share1 for each in budget.components]
    assert shares == pytest.approx([22.5, 8.66, 14.4, 5.77, 5.77], abs=0.05)
    assert budget.u1 == pytest.approx(29.25, abs=0.06)
    assert 2 * budget.u1 == pytest.approx(58.5, abs=0.1)


def test_ea_4_02_s10_calliper_is_a_trapezoid() -> None:
    """From memory: edge 0.33, k = 1.83, U = 0.06 mm, contributions in um.

    The 33 um that is printed comes from contributions rounded up to 15 and 29; it is 32.3.
    """
    scale, jaws = resolution("step of 0.05 mm", 50), rectangular("mechanical", 50)
    budget = Budget(
        components=(
            rectangular("gauge block", 0.8),
            rectangular("temperature", 2, sensitivity=1.7),
            scale,
            jaws,
        )
    )
    edge = edge_parameter(25, 50)
    k = trapezoid_factor(0.95, edge)

    assert budget.u1 == pytest.approx(32.34, abs=0.005)
    assert round(math.hypot(0.46, 2.0, 15, 29)) == 33
    assert edge == pytest.approx(0.33, abs=0.005)
    assert k == pytest.approx(1.834, abs=5e-4)
    assert round(k * budget.u1 / 1000, 2) == 0.06


def test_a_trapezoid_is_a_triangle_or_a_rectangle_at_its_ends() -> None:
    """Half of a rectangle lies within half its width; of a triangle within 1 - sqrt(1/2)."""
    assert trapezoid_factor(0.5, 1.0) == pytest.approx(math.sqrt(3) / 2)
    assert trapezoid_factor(0.5, 0.0) == pytest.approx((1 - math.sqrt(0.5)) * math.sqrt(6))
    assert trapezoid_factor(1.0, 0.4) * math.sqrt((1 + 0.4**2) / 6) == pytest.approx(1.0)


# The straight line of GUM H.3


@pytest.fixture(scope="module")
def thermometer() -> Line:
    """Corrections of a thermometer, referred to 20 degrees Celsius."""
    readings = rows("gum_h3_thermometer.csv")
    return line_through(
        [row["t_k"] for row in readings], [row["b_k"] for row in readings], origin=20.0
    )


def test_gum_h_3_line(thermometer: Line) -> None:
    assert round(thermometer.a, 4) == -0.1712
    assert round(thermometer.u1_a, 4) == 0.0029
    assert round(thermometer.b, 5) == 0.00218
    assert round(thermometer.u1_b, 5) == 0.00067
    assert round(thermometer.correlation, 3) == -0.930
    assert round(thermometer.s1, 4) == 0.0035
    assert thermometer.s1**2 * thermometer.dof == pytest.approx(0.000110096583109, rel=1e-9)
    assert thermometer.dof == 9


def test_gum_h_3_correction_at_30_degrees(thermometer: Line) -> None:
    """Beyond the readings, which end at 26.5; one new reading is worth less than the line."""
    assert round(thermometer.at(30), 4) == -0.1494
    assert round(thermometer.u1_at(30), 4) == 0.0041
    assert thermometer.u1_of_reading_at(30) == pytest.approx(0.005418572550, rel=1e-9)
    assert thermometer.is_beyond(30)
    assert not thermometer.is_beyond(24)


def test_line_agrees_with_a_plain_least_squares_solution(thermometer: Line) -> None:
    readings = rows("gum_h3_thermometer.csv")
    x = np.array([row["t_k"] - 20 for row in readings])
    y = np.array([row["b_k"] for row in readings])
    (b, a), covariance = np.polyfit(x, y, 1, cov=True)

    assert (thermometer.a, thermometer.b) == pytest.approx((a, b))
    assert thermometer.u1_a**2 == pytest.approx(covariance[1, 1])
    assert thermometer.u1_a * thermometer.u1_b * thermometer.correlation == pytest.approx(
        covariance[0, 1]
    )


# Decisions


def test_iso_14253_1_guard_band_of_one_limit() -> None:
    """2017: 95 % by default; g = 1.65 u1, which is 1.645 rounded up (the figure from memory)."""
    assert coverage_factor(0.95, sides=1) == pytest.approx(1.645, abs=5e-4)
    assert conformance_probability(1.65, 1.0) == pytest.approx(0.950529, abs=5e-7)
    assert conformance_probability(1.64, 1.0) == pytest.approx(0.949497, abs=5e-7)


@pytest.mark.parametrize("dof", [1, 2.5, 5, 16, 18.9987, 60, 1e4, 1e6, math.inf])
@pytest.mark.parametrize("probability", [0.6, 0.95, 0.995, 0.025])
def test_student_quantile_agrees_with_an_independent_program(
    probability: float, dof: float
) -> None:
    expected = stats.norm.ppf(probability) if math.isinf(dof) else stats.t.ppf(probability, dof)

    assert student_quantile(probability, dof) == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize("bottom", [1, 2, 20, 60, 300])
@pytest.mark.parametrize("top", [1, 4, 18, 78])
@pytest.mark.parametrize("probability", [0.05, 0.75, 0.99])
def test_f_distribution_agrees_with_an_independent_program(
    probability: float, top: float, bottom: float
) -> None:
    quantile = f_quantile(probability, top, bottom)

    assert quantile == pytest.approx(stats.f.ppf(probability, top, bottom), rel=1e-8)
    assert f_tail(quantile, top, bottom) == pytest.approx(1 - probability, rel=1e-9)


def test_pooled_deviation_counts_groups_by_their_degrees_of_freedom() -> None:
    """Two groups as one analysis of variance has them."""
    one, other = [3.0, 5.0, 4.0], [10.0, 14.0]
    both = pooled([deviation(one), deviation(other)])
    squares = np.var(one) * 3 + np.var(other) * 2

    assert both.dof == 3
    assert both.s1**2 == pytest.approx(squares / 3)
    assert pooled([Deviation(s1=7.0, dof=0), deviation(one)]) == deviation(one)


# Figures of standards that stand behind the defaults


def test_din_863_1_limits_follow_one_formula() -> None:
    for row in rows("din_863_1_micrometers.csv"):
        assert din_863_limit_nm(int(row["range_from_mm"])) == row["error_limit_um"] * 1000


def test_dial_defaults_are_the_row_of_jis_b7503_up_to_10_mm() -> None:
    row = next(row for row in rows("jis_b7503_dial_indicators.csv") if row["range_to_mm"] == 10)

    assert row["entire"] * 1000 == DIAL_LIMIT_NM
    assert row["tenth_turn"] * 1000 == DIAL_TRAVEL_NM


@pytest.mark.parametrize(
    ("size_mm", "growth_um"), [(28, (11.8, 12.3, 13.4)), (254, (107, 112, 122))]
)
def test_the_expansion_used_lies_within_the_published_ones(
    size_mm: int, growth_um: tuple[float, float, float]
) -> None:
    """40 K warm at 10.5, 11 and 12e-6/K (summaries of grey irons): computed."""
    growth = [size_mm * 1000 * 40 * alpha for alpha in (10.5e-6, float(GREY_IRON_PER_K), 12e-6)]

    assert growth == pytest.approx(growth_um, abs=0.5 if size_mm > 100 else 0.05)
