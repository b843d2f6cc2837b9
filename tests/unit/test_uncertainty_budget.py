"""The uncertainty of one reading: what its budget holds, and that doubt never helps a part."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brakelog.lengths import LengthUnit
from brakelog.metrology.budget import Budget, Component, Shape
from brakelog.metrology.gauge_parts import STEP
from brakelog.metrology.repeatability import ENOUGH_PAIRS, Repeatability, repeatability_from
from brakelog.metrology.uncertainty import Spread, default_repeatability_nm, spread_of
from brakelog.record.gauge import Gauge, GaugeKind
from brakelog.record.quantity import Quantity

MM, INCH = LengthUnit.MM, LengthUnit.INCH
UM = 1_000
ROTOR_NM, DRUM_NM = 28_000_000, 254_000_000
DRUMS = (Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED)


def gauge(
    kind: GaugeKind,
    resolution_nm: int,
    unit: LengthUnit = MM,
    *,
    error_limit_nm: int | None = None,
) -> Gauge:
    return Gauge(
        id="g",
        tag="G",
        kind=kind,
        unit=unit,
        resolution_nm=resolution_nm,
        resolution_text=str(resolution_nm),
        error_limit_nm=error_limit_nm,
    )


FINE = gauge(GaugeKind.MICROMETER, 1_000)
DRUM_GAUGE = gauge(GaugeKind.DRUM, 10_000)
quantities = st.sampled_from(Quantity)
kinds = st.sampled_from(GaugeKind)
steps = st.integers(100, 1_000_000)


def component(spread: Spread, name: str) -> Component:
    (found,) = [each for each in spread.budget if each.name == name]
    return found


# The defaults


@pytest.mark.parametrize(
    ("quantity", "used", "u1_um", "random_um"),
    [
        (Quantity.ROTOR, gauge(GaugeKind.MICROMETER, 1_000), 2.5, 1.05),
        (Quantity.ROTOR, gauge(GaugeKind.MICROMETER, 1_270, INCH), 2.5, 1.05),
        (Quantity.ROTOR, gauge(GaugeKind.MICROMETER, 2_540, INCH), 5.0, 1.25),
        (Quantity.ROTOR, gauge(GaugeKind.MICROMETER, 10_000), 5.0, 4.2),
        (Quantity.ROTOR, gauge(GaugeKind.MICROMETER, 25_400, INCH), 8.5, 8.0),
        (Quantity.ROTOR, gauge(GaugeKind.CALLIPER, 10_000), 25, 15),
        (Quantity.RUNOUT, gauge(GaugeKind.DIAL, 10_000), None, 4.2),
        (Quantity.RUNOUT, gauge(GaugeKind.DIAL, 25_400, INCH), None, 8.0),
        (Quantity.DRUM_OPEN, gauge(GaugeKind.DRUM, 10_000), 25, 16),
        (Quantity.PAD_INNER, gauge(GaugeKind.CALLIPER, 10_000), 50, None),
        (Quantity.PAD_INNER, gauge(GaugeKind.DEPTH, 100_000), 125, None),
        (Quantity.PAD_INNER, gauge(GaugeKind.STEPPED, 1_000_000), 350, None),
        (Quantity.PAD_INNER, gauge(GaugeKind.EYE, 1_000_000), 750, None),
    ],
)
def test_budget_of_a_usual_gauge_comes_close_to_what_the_trade_counts_with(
    quantity: Quantity, used: Gauge, u1_um: float | None, random_um: float | None
) -> None:
    """Never more than one per cent below, and not far above: a drum gauge most, by a third."""
    spread = spread_of(quantity, used)

    if u1_um is not None:
        assert 0.99 * u1_um <= spread.u1_nm / UM <= 1.33 * u1_um
    if random_um is not None:
        assert 0.99 * random_um <= spread.u1r_nm / UM <= 1.03 * random_um
    assert spread.is_known


def test_budget_adds_up_to_what_is_said() -> None:
    for quantity in Quantity:
        for kind in GaugeKind:
            spread = spread_of(quantity, gauge(kind, 10_000), size_nm=DRUM_NM)

            assert Budget(components=spread.budget).u1 == pytest.approx(spread.u1_nm)
            assert spread.u1r_nm <= spread.u1_nm


def test_a_runout_one_graduation_inside_its_limit_is_proven_with_a_dial_of_a_hundredth() -> None:
    """0.01 mm inside, at 95 % one-sided."""
    spread = spread_of(Quantity.RUNOUT, gauge(GaugeKind.DIAL, 10_000))

    assert 1.645 * spread.u1_difference_nm < 10_000


def test_a_lining_seen_through_the_wheel_proves_nothing() -> None:
    assert not spread_of(Quantity.PAD_INNER, gauge(GaugeKind.EYE, 1_000_000)).proves


@pytest.mark.parametrize("quantity", [Quantity.ROTOR, Quantity.PAD_INNER])
def test_a_calliper_takes_no_differences(quantity: Quantity) -> None:
    assert not spread_of(quantity, gauge(GaugeKind.CALLIPER, 10_000)).takes_differences


@given(quantity=quantities, kind=kinds, repeats=st.none() | st.floats(0, 1e6))
def test_gauge_that_is_none_for_the_quantity_is_the_same_as_none_named(
    quantity: Quantity, kind: GaugeKind, repeats: float | None
) -> None:
    used = gauge(kind, 100)
    own = None if repeats is None else Repeatability(s_nm=repeats, pairs=ENOUGH_PAIRS)
    spread, unnamed = spread_of(quantity, used, repeatability=own), spread_of(quantity, None)

    if not spread.is_known:
        assert replace(spread, label=unnamed.label) == unnamed
    assert not unnamed.is_known


@given(quantity=quantities, kind=kinds, step=st.integers(100, 50_000))
def test_a_reading_never_gains_from_its_gauge_not_being_named(
    quantity: Quantity, kind: GaugeKind, step: int
) -> None:
    """Except a groove judged by eye: without a gauge its depth is taken to be measured."""
    assume((quantity, kind) != (Quantity.SCORING, GaugeKind.EYE))
    spread, unnamed = spread_of(quantity, gauge(kind, step)), spread_of(quantity, None)

    assert spread.u1_nm <= unnamed.u1_nm
    assert spread.u1r_nm <= unnamed.u1r_nm
    assert spread.proves or not unnamed.proves


# Steps and error limits


@given(
    quantity=quantities, kind=kinds, unit=st.sampled_from((MM, INCH)),
    one=steps, other=steps, limit=st.none() | st.integers(1, 100_000),
)  # fmt: skip
def test_a_coarser_gauge_is_never_better(
    quantity: Quantity, kind: GaugeKind, unit: LengthUnit, one: int, other: int, limit: int | None
) -> None:
    fine, coarse = (
        spread_of(quantity, gauge(kind, step, unit, error_limit_nm=limit))
        for step in sorted((one, other))
    )

    assert fine.u1_nm <= coarse.u1_nm
    assert fine.u1r_nm <= coarse.u1r_nm


def test_error_limit_on_file_replaces_the_default() -> None:
    certified = replace(FINE, error_limit_nm=2_000)

    assert spread_of(Quantity.ROTOR, certified).u1_nm == pytest.approx(
        math.hypot(1_000 / math.sqrt(12), 2_000 / math.sqrt(3), 1_010)
    )
    assert spread_of(Quantity.ROTOR, certified).u1r_nm == spread_of(Quantity.ROTOR, FINE).u1r_nm


@given(limit=st.integers(1, 500_000), more=st.integers(0, 500_000))
def test_a_wider_error_limit_is_never_better(limit: int, more: int) -> None:
    for quantity, kind in (
        (Quantity.ROTOR, GaugeKind.MICROMETER),
        (Quantity.DRUM_OPEN, GaugeKind.DRUM),
        (Quantity.PAD_INNER, GaugeKind.STEPPED),
        (Quantity.SCORING, GaugeKind.DEPTH),
    ):
        narrow = spread_of(quantity, gauge(kind, 1_000, error_limit_nm=limit))
        wide = spread_of(quantity, gauge(kind, 1_000, error_limit_nm=limit + more))

        assert narrow.u1_nm <= wide.u1_nm


def test_a_micrometer_of_a_higher_range_errs_more() -> None:
    """DIN 863-1: 4 micrometres up to 50 mm, 5 beyond."""
    thin = spread_of(Quantity.ROTOR, FINE, size_nm=49_999_999, temperature_dc=200)
    thick = spread_of(Quantity.ROTOR, FINE, size_nm=50_000_000, temperature_dc=200)

    assert thick.u1_nm - thin.u1_nm > 200


# Warmth


@given(quantity=quantities, kind=kinds, size=st.integers(1, 600_000_000))
def test_warm_allowance_only_makes_it_wider(quantity: Quantity, kind: GaugeKind, size: int) -> None:
    used = gauge(kind, 10_000)
    plain, warm = spread_of(quantity, used), spread_of(quantity, used, size_nm=size)

    assert warm.u1_nm >= plain.u1_nm
    assert warm.u1r_nm == plain.u1r_nm


def test_nobody_took_the_temperature_of_a_rotor() -> None:
    """30 K at most, one-sided, so about zero and not about its middle: 28 mm x 11e-6 x 17.3 K."""
    spread = spread_of(Quantity.ROTOR, FINE, size_nm=ROTOR_NM)
    allowance = component(spread, "warmth that nobody took")

    assert allowance.share1 == pytest.approx(28e6 * 11e-6 * 30 / math.sqrt(3))
    assert allowance.shape is Shape.RECTANGULAR
    assert spread.u1_nm == pytest.approx(5_908, abs=1)


def test_a_warm_drum_hides_nothing_so_only_the_spread_counts() -> None:
    spread = spread_of(Quantity.DRUM_OPEN, DRUM_GAUGE, size_nm=DRUM_NM)

    assert component(spread, "warmth that nobody took").share1 == pytest.approx(
        254e6 * 11e-6 * 30 / math.sqrt(12)
    )


@given(size=st.integers(2_000_000, 80_000_000), kelvin=st.integers(-20, 30))
def test_a_temperature_that_was_taken_is_better_than_none(size: int, kelvin: int) -> None:
    taken = spread_of(Quantity.ROTOR, FINE, size_nm=size, temperature_dc=200 + 10 * kelvin)

    assert taken.u1_nm < spread_of(Quantity.ROTOR, FINE, size_nm=size).u1_nm


@given(
    quantity=st.sampled_from((Quantity.ROTOR, *DRUMS)),
    one=st.integers(0, 3_000), other=st.integers(0, 3_000),
)  # fmt: skip
def test_a_hotter_part_is_never_better_known(quantity: Quantity, one: int, other: int) -> None:
    cool, hot = (
        spread_of(quantity, None, size_nm=DRUM_NM, temperature_dc=200 + dc)
        for dc in sorted((one, other))
    )

    assert cool.u1_nm <= hot.u1_nm


@pytest.mark.parametrize("quantity", [each for each in Quantity if each.is_lining])
def test_temperature_says_nothing_of_a_lining(quantity: Quantity) -> None:
    depth = gauge(GaugeKind.DEPTH, 100_000)

    for dc in (None, 900):
        spread = spread_of(quantity, depth, size_nm=8_000_000, temperature_dc=dc)
        assert spread == spread_of(quantity, depth)


# The shop's own repeatability

DIFFERENCE_NM = 4_000
PAIR = (27_400_000, 27_400_000 + DIFFERENCE_NM)


def test_without_own_pairs_the_default_stands() -> None:
    default = default_repeatability_nm(Quantity.ROTOR, FINE)
    assert default is not None
    own = repeatability_from([], default)

    assert (own.s_nm, own.pairs, own.dof) == (default, 0, ENOUGH_PAIRS)
    assert spread_of(Quantity.ROTOR, FINE, repeatability=own).u1_nm == pytest.approx(
        spread_of(Quantity.ROTOR, FINE).u1_nm
    )


def test_own_repeatability_replaces_the_default_from_30_pairs_on() -> None:
    for count in (30, 31, 100):
        own = repeatability_from([PAIR] * count, 4_000.0)

        assert own.s_nm == pytest.approx(DIFFERENCE_NM / math.sqrt(2))
        assert own.dof == count
    assert repeatability_from([PAIR] * 29, 1e9).s_nm > 1e8


def test_repeats_that_agree_too_well_are_not_believed() -> None:
    """Thirty-five cars on which point 1 came out the same to the last digit."""
    own = repeatability_from([(27_402_000, 27_402_000)] * 35, 1_000.0)

    assert own.s_nm == 500.0


def test_until_then_the_default_counts_as_the_missing_pairs() -> None:
    own = repeatability_from([PAIR] * 10, 1_000.0)

    assert own.s_nm**2 == pytest.approx((10 * DIFFERENCE_NM**2 / 2 + 20 * 1_000**2) / 30)


def test_a_gauge_too_coarse_to_scatter_still_hides_half_a_step() -> None:
    own = repeatability_from([(PAIR[0], PAIR[0])] * 50, 1_000.0)
    spread = spread_of(Quantity.ROTOR, FINE, repeatability=own)

    assert component(spread, STEP).u1 == pytest.approx(1_000 / math.sqrt(12))
    assert spread.u1r_nm == pytest.approx(math.hypot(500.0, 1_000 / math.sqrt(12)))


def test_own_repeatability_enters_every_budget_that_has_one() -> None:
    own = Repeatability(s_nm=1e6, pairs=ENOUGH_PAIRS)
    for quantity in Quantity:
        for kind in GaugeKind:
            used = gauge(kind, 10_000)
            is_used = default_repeatability_nm(quantity, used) is not None

            spread = spread_of(quantity, used, repeatability=own)
            assert (spread.u1r_nm >= 1e6) is is_used
