from __future__ import annotations

import datetime
import math
from dataclasses import replace

import pytest

from brakelog.metrology.inverse import place_of
from brakelog.metrology.line import line_from, line_through
from brakelog.wear.experience import WearKind
from brakelog.wear.life import PartLife, Reading, Start, nominal_start
from brakelog.wear.straight import PlainCheck, Reach, plain_check

KM = 1_000_000
DAY = datetime.date(2024, 5, 1)
FITTED = Start(odometer_mm=40_000 * KM, size_nm=11_000_000, sigma1_nm=150_000.0, measured=True)


def _reading(km: float, mm: float, u1_mm: float = 0.2) -> Reading:
    return Reading(
        odometer_mm=round(km * KM), value_nm=round(mm * 1e6), sigma1_nm=u1_mm * 1e6, day=DAY
    )


def _life(*readings: Reading, start: Start | None = FITTED) -> PartLife:
    return PartLife(
        kind=WearKind.FRONT_LINING,
        grows=False,
        start=start,
        readings=readings,
        limit_nm=3_000_000,
        new_nm=11_000_000,
        as_of=DAY,
        as_of_odometer_mm=max((each.odometer_mm for each in readings), default=40_000 * KM),
        is_out=False,
    )


USUAL = _life(_reading(52_000, 9.6), _reading(67_000, 7.9), _reading(80_000, 6.1))


def _check(life: PartLife, *, from_start: bool = False) -> PlainCheck:
    found = plain_check(life, from_start=from_start)
    assert found is not None
    return found


def _reach(found: Reach | None) -> Reach:
    assert found is not None
    return found


# What is stated


def test_rate_is_that_of_a_spreadsheet() -> None:
    # 11.0, 9.6, 7.9 and 6.1 mm at 0, 12, 27 and 40 thousand km: Sxy = -110.85, Sxx = 912.75,
    # Syy = 13.49, so that 13.49 - 110.85^2 / 912.75 is left for two degrees of freedom.
    scatter1_mm = math.sqrt((13.49 - 110.85**2 / 912.75) / 2)
    found = _check(USUAL)

    assert (len(found.life.readings), found.points) == (3, 4)
    assert found.rate_nm_per_1000km == pytest.approx(110.85 / 912.75 * 1e6)
    assert found.scatter1_nm == pytest.approx(scatter1_mm * 1e6)
    assert found.rate_u1_nm_per_1000km == pytest.approx(scatter1_mm / math.sqrt(912.75) * 1e6)


def test_distance_counts_from_the_last_reading() -> None:
    # From the centre, 8.65 mm at 19.75 thousand km, down to 3 mm; the last reading is at 40.
    reach = _reach(_check(USUAL).line_reaches)

    assert reach.expected_mm == pytest.approx((19.75 + 5.65 * 912.75 / 110.85 - 40) * 1e9)
    assert reach.earliest_mm is not None
    assert reach.latest_mm is not None
    assert reach.earliest_mm < reach.expected_mm < reach.latest_mm


def test_a_reading_is_less_sure_than_the_line() -> None:
    found = _check(USUAL)
    line, reading = _reach(found.line_reaches), _reach(found.reading_reaches)

    assert reading.expected_mm == line.expected_mm
    assert reading.earliest_mm is not None
    assert line.earliest_mm is not None
    assert reading.earliest_mm < line.earliest_mm


def test_higher_probability_is_a_wider_interval() -> None:
    usual, surer = plain_check(USUAL), plain_check(USUAL, probability=0.99)
    assert usual is not None
    assert surer is not None
    narrow, wide = _reach(usual.line_reaches), _reach(surer.line_reaches)

    assert narrow.latest_mm is not None
    assert wide.latest_mm is not None
    assert wide.latest_mm > narrow.latest_mm


def test_next_reading_is_expected_on_the_line() -> None:
    found = _check(USUAL)
    following = found.next_reading(10_000 * KM)

    assert following is not None
    assert following.smallest_nm < following.expected_nm < following.largest_nm
    assert following.expected_nm == pytest.approx(
        (8.65 - (50 - 19.75) * 110.85 / 912.75) * 1e6, abs=1
    )


def test_size_when_fitted_is_one_point_among_others_unless_it_is_exact() -> None:
    thick = replace(FITTED, size_nm=11_400_000)
    free, exact = (
        _check(replace(USUAL, start=thick), from_start=from_start) for from_start in (False, True)
    )

    assert exact.is_from_start
    assert exact.line is not None
    assert exact.line.at(exact.line.lowest_x - 12.0) == pytest.approx(11.4 - 6.1)
    assert free.rate_nm_per_1000km != pytest.approx(exact.rate_nm_per_1000km, rel=0.01)


def test_nominal_size_is_a_point_too() -> None:
    nominal = nominal_start(WearKind.FRONT_LINING, odometer_mm=40_000 * KM, size_nm=11_000_000)

    assert _check(replace(USUAL, start=nominal)).points == 4


def test_luck_is_named() -> None:
    # The points scatter by 0.1 mm, and a reading is good for 0.2 mm.
    found = _check(USUAL)
    finer = tuple(replace(reading, sigma1_nm=20_000.0) for reading in USUAL.readings)

    assert found.reading1_nm == pytest.approx(200_000.0)
    assert found.is_too_straight
    assert not _check(replace(USUAL, readings=finer)).is_too_straight


# Drums


def test_drum_grows_towards_its_limit() -> None:
    disc = _life(_reading(52_000, 10.6), _reading(67_000, 10.1), _reading(80_000, 9.5), start=None)
    drum = replace(
        disc,
        kind=WearKind.DRUM,
        grows=True,
        readings=tuple(
            replace(each, value_nm=240_000_000 - each.value_nm) for each in disc.readings
        ),
        limit_nm=237_000_000,
        new_nm=None,
    )
    flat, round_ = _check(disc), _check(drum)
    thin, wide = flat.next_reading(5_000 * KM), round_.next_reading(5_000 * KM)

    assert round_.rate_nm_per_1000km == flat.rate_nm_per_1000km > 0
    assert round_.line_reaches == flat.line_reaches
    assert thin is not None
    assert wide is not None
    assert wide.expected_nm == 240_000_000 - thin.expected_nm
    assert wide.smallest_nm == 240_000_000 - thin.largest_nm
    assert wide.largest_nm == 240_000_000 - thin.smallest_nm


# Too little for an interval


def test_two_points_have_a_rate_and_no_interval() -> None:
    found = _check(_life(_reading(60_000, 9.0)))

    assert found.points == 2
    assert found.rate_nm_per_1000km == pytest.approx(100_000)
    assert found.line_reaches == Reach(expected_mm=60_000 * KM, earliest_mm=None, latest_mm=None)
    assert found.rate_u1_nm_per_1000km is None
    assert found.scatter1_nm is None
    assert found.next_reading(KM) is None
    assert not found.is_too_straight


def test_points_exactly_on_a_line_have_no_interval() -> None:
    # A gauge in steps of half a millimetre does that; "plus or minus nothing" would be believed.
    found = _check(_life(_reading(50_000, 10.5), _reading(60_000, 10.0), _reading(70_000, 9.5)))

    assert found.rate_nm_per_1000km == pytest.approx(50_000)
    assert found.line_reaches == Reach(expected_mm=130_000 * KM, earliest_mm=None, latest_mm=None)
    assert found.rate_u1_nm_per_1000km is None


def test_slope_that_is_not_proven_has_no_interval() -> None:
    found = _check(
        _life(_reading(52_000, 9.0), _reading(53_000, 9.4), _reading(54_000, 8.9), start=None)
    )
    reach = _reach(found.line_reaches)

    assert found.rate_nm_per_1000km > 0
    assert reach.expected_mm > 0
    assert (reach.earliest_mm, reach.latest_mm) == (None, None)


def test_one_reading_without_fitting_record_is_no_line() -> None:
    assert plain_check(_life(_reading(52_000, 9.6), start=None)) is None


def test_fitting_without_reading_is_no_line() -> None:
    assert plain_check(_life()) is None
    assert plain_check(_life(start=None)) is None


def test_equal_odometers_are_no_line() -> None:
    assert plain_check(_life(_reading(40_000, 11.0), _reading(40_000, 10.9))) is None


def test_two_readings_at_one_odometer_count_as_two() -> None:
    assert _check(_life(_reading(60_000, 9.0), _reading(60_000, 9.2))).points == 3


def test_line_from_the_start_needs_a_start() -> None:
    assert plain_check(replace(USUAL, start=None), from_start=True) is None
    assert plain_check(_life(_reading(60_000, 9.0)), from_start=True) is not None


# No distance


def test_reading_above_the_new_size_has_a_negative_rate_and_no_distance() -> None:
    found = _check(_life(_reading(50_000, 11.3)))

    assert found.rate_nm_per_1000km == pytest.approx(-30_000)
    assert (found.line_reaches, found.reading_reaches) == (None, None)


@pytest.mark.parametrize("between_mm", [11.0, 11.1])
def test_level_line_has_no_distance(between_mm: float) -> None:
    # With scatter the slope is what rounding leaves, and must not become a distance.
    found = _check(_life(_reading(50_000, between_mm), _reading(60_000, 11.0)))

    assert found.rate_nm_per_1000km == pytest.approx(0.0, abs=1e-6)
    assert found.line_reaches is None


def test_without_a_limit_there_is_a_rate_and_no_distance() -> None:
    found = _check(replace(USUAL, limit_nm=None))

    assert found.rate_nm_per_1000km == _check(USUAL).rate_nm_per_1000km
    assert found.line_reaches is None
    assert found.next_reading(KM) is not None


def test_part_that_is_out_has_no_distance() -> None:
    assert _check(replace(USUAL, is_out=True)).line_reaches is None


def test_line_that_has_passed_the_limit_says_so() -> None:
    # The last reading lies above its line, and the line below the limit.
    life = _life(_reading(50_000, 8.0), _reading(70_000, 3.1), _reading(72_000, 3.2))

    assert _reach(_check(life).line_reaches).expected_mm < 0


def test_open_question_leaves_no_line() -> None:
    assert plain_check(replace(USUAL, unresolved=("was it the left one?",))) is None


def test_odometer_that_runs_back_leaves_no_line() -> None:
    assert plain_check(_life(_reading(67_000, 9.6), _reading(52_000, 7.7))) is None


# Lines that are none


@pytest.mark.parametrize(
    ("xs", "ys", "weights"),
    [
        ([1.0, 2.0], [1.0, 2.0], None),
        ([1.0, 1.0, 1.0], [1.0, 2.0, 3.0], None),
        ([1.0, 2.0, 3.0], [1.0, 2.0], None),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 4.0], [1.0, 1.0]),
        ([1.0, 2.0, 3.0], [1.0, 2.0, 4.0], [1.0, 0.0, 1.0]),
    ],
    ids=["two pairs", "one place", "no pair", "no weight for one", "weight of nothing"],
)
def test_what_gives_no_line_is_refused(
    xs: list[float], ys: list[float], weights: list[float] | None
) -> None:
    with pytest.raises(ValueError):
        line_through(xs, ys, weights=weights)


@pytest.mark.parametrize(("xs", "ys"), [([1.0], [1.0]), ([0.0, 0.0], [1.0, 2.0])])
def test_what_gives_no_line_from_a_start_is_refused(xs: list[float], ys: list[float]) -> None:
    with pytest.raises(ValueError):
        line_from((0.0, 0.0), xs, ys)


def test_exact_start_has_no_uncertainty_and_the_line_grows_unsure_from_there() -> None:
    line = line_from((0.0, 0.0), [1.0, 2.0, 3.0], [1.1, 1.9, 3.2])

    assert line.u1_a == 0.0
    assert line.correlation == 0.0
    assert line.u1_at(4.0) == pytest.approx(4.0 * line.u1_b)


def test_level_heights_have_no_share_to_account_for() -> None:
    level = line_through([1.0, 2.0, 3.0], [5.0, 5.0, 5.0])

    assert level.r_squared is None
    assert place_of(level, 4.0, probability=0.95) is None
