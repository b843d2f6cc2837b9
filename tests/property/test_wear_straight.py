from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import assume, given
from hypothesis import strategies as st

from brakelog.metrology.coverage import coverage_factor
from brakelog.metrology.inverse import place_of
from brakelog.metrology.line import Line, line_from, line_through
from brakelog.wear.life import PartLife
from brakelog.wear.straight import PlainCheck, plain_check
from tests.property.wear_lives import KM, nasty_lives, worn_lives

PROBABILITIES = st.sampled_from([0.8, 0.9, 0.95, 0.99])
READINGS = st.sampled_from([None, 1.0, 3.0])
"""The height of the line itself, of one reading, of the mean of three."""

Pairs = tuple[list[float], list[float], list[float]]


@st.composite
def pairs(draw: st.DrawFn, least: int = 3) -> Pairs:
    """Distances in 1000 km, sizes in mm and weights, with some scatter."""
    steps = draw(st.lists(st.floats(0.5, 30.0), min_size=least, max_size=8))
    xs = list(itertools.accumulate(steps))
    slope, scatter = draw(st.floats(-0.5, 0.5)), draw(st.sampled_from([0.05, 0.3, 2.0]))
    off = draw(st.lists(st.floats(-1.0, 1.0), min_size=len(xs), max_size=len(xs)))
    ys = [11.0 + slope * x + scatter * each for x, each in zip(xs, off, strict=True)]
    weights = draw(st.lists(st.floats(0.1, 10.0), min_size=len(xs), max_size=len(xs)))
    return xs, ys, weights


def scattered(line: Line) -> Line:
    """Lines whose points lie on them to the last digits are left to the unit tests."""
    assume(line.s1 > 1e-6)
    return line


@given(pairs(), st.floats(-50.0, 300.0), PROBABILITIES)
def test_line_agrees_with_an_independent_program(data: Pairs, x: float, probability: float) -> None:
    xs, ys, weights = data
    line = scattered(line_through(xs, ys, weights=weights))
    fit = sm.WLS(ys, sm.add_constant(xs), weights=weights).fit()
    frame = fit.get_prediction(np.array([[1.0, x]])).summary_frame(alpha=1.0 - probability)
    expected = (float(frame["obs_ci_lower"].iloc[0]), float(frame["obs_ci_upper"].iloc[0]))

    assert (line.a, line.b) == pytest.approx(tuple(fit.params), rel=1e-8, abs=1e-8)
    assert (line.u1_a, line.u1_b) == pytest.approx(tuple(fit.bse), rel=1e-6)
    assert line.r_squared == pytest.approx(float(fit.rsquared), abs=1e-7)
    assert line.interval_of_reading_at(x, probability=probability) == pytest.approx(
        expected, rel=1e-6, abs=1e-6
    )


@given(pairs(least=2))
def test_line_from_zero_agrees_with_an_independent_program(data: Pairs) -> None:
    xs, ys, weights = data
    line = scattered(line_from((0.0, 0.0), xs, ys, weights=weights))
    fit = sm.WLS(ys, xs, weights=weights).fit()

    assert line.b == pytest.approx(float(fit.params[0]), rel=1e-9)
    assert line.u1_b == pytest.approx(float(fit.bse[0]), rel=1e-6)
    assert line.r_squared == pytest.approx(float(fit.rsquared), abs=1e-9)


@given(pairs())
def test_equal_weights_weigh_nothing(data: Pairs) -> None:
    xs, ys, _ = data
    plain, weighted = line_through(xs, ys), line_through(xs, ys, weights=[4.0] * len(xs))

    assert (weighted.a, weighted.b) == pytest.approx((plain.a, plain.b), rel=1e-9, abs=1e-9)
    assert weighted.u1_b == pytest.approx(plain.u1_b, rel=1e-6, abs=1e-9)


@given(pairs(), st.floats(-5.0, 15.0), PROBABILITIES, READINGS, st.booleans())
def test_interval_is_finite_just_where_the_slope_is_proven(
    data: Pairs, y: float, probability: float, weight: float | None, from_start: bool
) -> None:
    xs, ys, _ = data
    line = line_from((0.0, 11.0), xs, ys) if from_start else line_through(xs, ys)
    proof = abs(scattered(line).b) - coverage_factor(probability, dof=line.dof) * line.u1_b
    assume(line.b != 0.0 and abs(proof) > 1e-6)
    place = place_of(line, y, probability=probability, reading_weight=weight)

    assert place is not None
    if proof < 0:
        assert (place.low, place.high) == (None, None)
        return
    assert place.low is not None
    assert place.high is not None
    slack = 1e-9 * (1.0 + abs(place.x))
    assert place.low - slack <= place.x <= place.high + slack


@given(pairs(), st.floats(-5.0, 15.0), PROBABILITIES)
def test_ends_are_where_the_height_leaves_the_prediction_interval(
    data: Pairs, y: float, probability: float
) -> None:
    """The interval for x is by its meaning the interval for y turned round."""
    xs, ys, _ = data
    line = scattered(line_through(xs, ys))
    assume(abs(line.b) > 1.05 * coverage_factor(probability, dof=line.dof) * line.u1_b)
    place = place_of(line, y, probability=probability, reading_weight=1.0)

    assert place is not None
    for end in (place.low, place.high):
        assert end is not None
        low, high = line.interval_of_reading_at(end, probability=probability)
        assert min(abs(low - y), abs(high - y)) < 1e-6 * (high - low)


def said(check: PlainCheck | None) -> tuple[object, ...] | None:
    """Everything that a check states about distances, rates and scatter."""
    if check is None:
        return None
    return (
        check.points,
        check.rate_nm_per_1000km,
        check.rate_u1_nm_per_1000km,
        check.scatter1_nm,
        check.line_reaches,
        check.reading_reaches,
        check.next_reading(10_000 * KM),
    )


def moved(life: PartLife, km: int) -> PartLife:
    by_mm = km * KM
    start = life.start
    return replace(
        life,
        start=None if start is None else replace(start, odometer_mm=start.odometer_mm + by_mm),
        readings=tuple(
            replace(each, odometer_mm=each.odometer_mm + by_mm) for each in life.readings
        ),
        as_of_odometer_mm=life.as_of_odometer_mm + by_mm,
    )


@given(worn_lives(), st.booleans())
def test_a_million_kilometres_on_the_odometer_change_nothing(
    life: PartLife, from_start: bool
) -> None:
    here = plain_check(life, from_start=from_start)
    there = plain_check(moved(life, 1_000_000), from_start=from_start)

    assert said(there) == said(here)


@given(pairs(), st.floats(0.0, 1e6))
def test_line_far_from_zero_is_the_same_line(data: Pairs, far: float) -> None:
    xs, ys, _ = data
    here = scattered(line_through(xs, ys))
    there = line_through([x + far for x in xs], ys)

    # A distance of 10^6 thousand km itself is only exact to 1e-10.
    assert there.b == pytest.approx(here.b, rel=1e-6, abs=1e-8)
    assert there.s1 == pytest.approx(here.s1, rel=1e-6, abs=1e-8)


def stretched(life: PartLife, factor: int) -> PartLife:
    """The same sizes, read that many times as far apart."""
    first_mm = life.readings[0].odometer_mm if life.start is None else life.start.odometer_mm
    return replace(
        life,
        readings=tuple(
            replace(each, odometer_mm=first_mm + factor * (each.odometer_mm - first_mm))
            for each in life.readings
        ),
        as_of_odometer_mm=first_mm + factor * (life.as_of_odometer_mm - first_mm),
    )


@given(worn_lives(), st.integers(2, 20))
def test_twice_as_far_for_the_same_wear_lasts_twice_as_long(life: PartLife, factor: int) -> None:
    one, more = plain_check(life), plain_check(stretched(life, factor))
    assume(one is not None and one.line_reaches is not None)

    assert one is not None
    assert one.line_reaches is not None
    assert more is not None
    assert more.line_reaches is not None
    assert more.rate_nm_per_1000km * factor == pytest.approx(one.rate_nm_per_1000km)
    assert more.line_reaches.expected_mm == pytest.approx(
        factor * one.line_reaches.expected_mm, rel=1e-6, abs=KM
    )


@given(worn_lives())
def test_interval_of_a_reading_holds_that_of_the_line_which_holds_the_estimate(
    life: PartLife,
) -> None:
    check = plain_check(life)
    assume(check is not None and check.line_reaches is not None)

    assert check is not None
    line, reading = check.line_reaches, check.reading_reaches
    assert line is not None
    assert reading is not None
    assert (line.earliest_mm is None) == (reading.earliest_mm is None)
    if line.earliest_mm is None:
        return
    ends = (
        reading.earliest_mm,
        line.earliest_mm,
        line.expected_mm,
        line.latest_mm,
        reading.latest_mm,
    )
    for less, more in itertools.pairwise(ends):
        assert less is not None
        assert more is not None
        assert less <= more + 1 + 1e-9 * abs(more)


@given(nasty_lives(), st.booleans(), st.integers(-(10**12), 10**12))
def test_nothing_that_the_types_allow_raises(
    life: PartLife, from_start: bool, distance_mm: int
) -> None:
    check = plain_check(life, from_start=from_start)
    if check is None:
        return
    check.next_reading(distance_mm)

    assert math.isfinite(check.rate_nm_per_1000km)
