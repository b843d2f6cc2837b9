"""Probability of conformance and guard bands.

JCGM 106:2012, examples of 7.3.2, 7.3.3, 7.4, 8.3 and 9.5.4 and table 1 (printed figures from
memory, each recomputed); ISO 14253-1:2017 default of 95 %.
"""

from __future__ import annotations

import pytest
from scipy.integrate import quad
from scipy.stats import norm

from brakelog.metrology.conformance import conformance_probability, normal_cdf
from brakelog.metrology.coverage import coverage_factor
from brakelog.metrology.temperature import at_reference_nm


@pytest.mark.parametrize(
    ("margin", "u1", "printed", "computed"),
    [
        pytest.param(-5.40 - -5.47, 0.05, 0.92, 0.919243, id="7.3.3 breakdown voltage"),
        pytest.param(507 - 490, 10.0, 0.96, 0.955435, id="7.3.2 burst strength"),
    ],
)
def test_one_sided_examples(margin: float, u1: float, printed: float, computed: float) -> None:
    probability = conformance_probability(margin, u1)

    assert round(probability, 2) == printed
    assert probability == pytest.approx(computed, abs=5e-7)


def test_two_sided_example_is_a_difference_of_two() -> None:
    """JCGM 106 7.4: oil of 12.5 to 16.3 mm2/s, 13.6 read with u = 1.8, gives 0.66."""
    probability = normal_cdf((16.3 - 13.6) / 1.8) - normal_cdf((12.5 - 13.6) / 1.8)

    assert probability == pytest.approx(0.662630, abs=5e-7)


@pytest.mark.parametrize(
    ("probability", "z"), [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)]
)
def test_table_1_of_one_sided_conformance(probability: float, z: float) -> None:
    assert norm.ppf(probability) == pytest.approx(z, abs=0.005)
    assert normal_cdf(float(norm.ppf(probability))) == pytest.approx(probability, abs=1e-12)


@pytest.mark.parametrize(
    ("reading", "simple", "at_95", "at_2u", "probability"),
    [
        (20.010, True, False, False, 0.841),
        (20.018, True, True, False, 0.964),
        (20.021, True, True, True, 0.982),
    ],
)
def test_three_decision_rules_give_three_answers(
    reading: float, simple: bool, at_95: bool, at_2u: bool, probability: float
) -> None:
    """Minimum 20.00 mm, u = 0.010 mm: simple acceptance, 95 %, and a guard band of 2u.

    ILAC-G8:09/2019 names the first and the last, ISO 14253-1:2017 the 95 % (secondary quotations).
    """
    margin, u1 = reading - 20.0, 0.010

    assert conformance_probability(margin, u1) == pytest.approx(probability, abs=5e-4)
    assert (margin >= 0) is simple
    assert (conformance_probability(margin, u1) >= 0.95) is at_95
    assert (conformance_probability(margin, u1) >= normal_cdf(2.0)) is at_2u


def test_guard_band_of_twice_u_leaves_a_risk_below_two_and_a_half_per_cent() -> None:
    """ILAC-G8:09/2019: w = U gives a specific risk below 2.5 %."""
    assert 1 - normal_cdf(2.0) == pytest.approx(0.02275, abs=5e-6)


@pytest.mark.parametrize(
    ("size_mm", "growth_um"), [(28, 12.32), (254, 111.76)], ids=["disc", "drum"]
)
def test_iron_forty_kelvin_warm(size_mm: int, growth_um: float) -> None:
    """Grey iron 11e-6/K (material summaries), reference 20 degrees Celsius (ISO 1:2016)."""
    size_nm = size_mm * 1_000_000

    assert float(size_nm - at_reference_nm(size_nm, 600)) / 1000 == pytest.approx(growth_um)


def test_speed_limit_example_is_a_guard_band_that_grows_with_the_reading() -> None:
    """JCGM 106:2012 8.3 (from memory): u is 2 % of the speed, 99.9 % wanted, so about 107 km/h."""
    fastest = 100 / (1 - 0.02 * coverage_factor(0.999, sides=1))

    assert fastest == pytest.approx(106.59, abs=0.005)
    assert conformance_probability(fastest - 100, 0.02 * fastest) == pytest.approx(0.999)


@pytest.mark.parametrize(
    ("guard", "consumer", "producer"),
    [
        pytest.param(0.02, 0.009878, 0.069027, id="guarded: printed about 1 % and 7 %"),
        pytest.param(0.0, 0.018942, 0.037208, id="simple acceptance"),
    ],
)
def test_global_risks_of_the_resistor_example(
    guard: float, consumer: float, producer: float
) -> None:
    """JCGM 106:2012 9.5.4: 1500 ohm within 0.2, spread 0.12, measured with 0.04.

    The six inputs stand in a public script; the printed risks are from memory and recomputed.
    """
    tolerance, spread, u1 = 0.2, 0.12, 0.04
    band = tolerance - guard

    def accepted(true: float) -> float:
        return conformance_probability(band - true, u1) - conformance_probability(-band - true, u1)

    wrong_inside = 2 * quad(lambda x: norm.pdf(x, scale=spread) * accepted(x), tolerance, 1.0)[0]
    good_refused = quad(
        lambda x: norm.pdf(x, scale=spread) * (1 - accepted(x)), -tolerance, tolerance
    )[0]

    assert wrong_inside == pytest.approx(consumer, abs=1e-6)
    assert good_refused == pytest.approx(producer, abs=1e-6)
