from __future__ import annotations

import datetime
import math
from dataclasses import replace

import pytest

from brakelog.wear.experience import (
    LOG_SD,
    Experience,
    WearKind,
    general_experience,
)
from brakelog.wear.life import PartLife, Reading, Start, nominal_start
from brakelog.wear.projecting import project
from brakelog.wear.projection import (
    Note,
    Projection,
    Refusal,
    at_least_rounded_mm,
    latest_rounded_mm,
    median_rounded_mm,
)

KM = 1_000_000
MILE = 1_609_344
DAY = datetime.date(2024, 5, 1)
FITTED = Start(odometer_mm=40_000 * KM, size_nm=11_000_000, sigma1_nm=150_000.0, measured=True)
GENERAL = general_experience(WearKind.FRONT_LINING, new_mm=11.0, limit_mm=3.0)
LEARNED = replace(GENERAL, lives_behind=40.0, source="this shop")


def _reading(km: float, mm: float, u1_mm: float = 0.2, day: datetime.date = DAY) -> Reading:
    return Reading(
        odometer_mm=round(km * KM),
        value_nm=round(mm * 1_000_000),
        sigma1_nm=u1_mm * 1e6,
        day=day,
    )


def _life(*readings: Reading, start: Start | None = FITTED, is_out: bool = False) -> PartLife:
    return PartLife(
        kind=WearKind.FRONT_LINING,
        grows=False,
        start=start,
        readings=readings,
        limit_nm=3_000_000,
        new_nm=11_000_000,
        as_of=DAY,
        as_of_odometer_mm=max((r.odometer_mm for r in readings), default=40_000 * KM),
        is_out=is_out,
    )


USUAL = _life(_reading(52_000, 9.6), _reading(67_000, 7.7))


def _distances(found: Projection) -> set[int | None]:
    return {found.at_least_mm, found.median_mm, found.latest_mm, found.d05_mm, found.d95_mm}


def _bound_mm(found: Projection) -> int:
    assert found.at_least_mm is not None
    return found.at_least_mm


# What is stated


def test_usual_life_is_projected_without_notes() -> None:
    found = project(USUAL, GENERAL)

    assert found.refusal is None
    assert found.notes == ()
    assert found.readings_used == 2


def test_distances_come_in_order() -> None:
    found = project(USUAL, GENERAL)
    values = (found.d05_mm, found.at_least_mm, found.median_mm, found.latest_mm, found.d95_mm)

    assert None not in values
    assert list(values) == sorted(value for value in values if value is not None)


def test_distances_count_from_the_last_reading() -> None:
    assert project(USUAL, GENERAL).from_odometer_mm == 67_000 * KM


def test_rate_is_per_thousand_kilometres() -> None:
    # 3.3 mm in 27,000 km.
    assert project(USUAL, GENERAL).rate_nm_per_1000km == pytest.approx(122_000, rel=0.05)


def test_more_readings_carry_more_weight_of_their_own() -> None:
    one = project(_life(_reading(52_000, 9.6)), GENERAL)
    two = project(USUAL, GENERAL)

    assert 0.0 < one.own_share < two.own_share < 1.0


def test_experience_is_handed_back() -> None:
    assert project(USUAL, GENERAL).experience is GENERAL


def test_drum_is_projected_with_the_sign_turned() -> None:
    # A drum that grows by 0.3 mm is a disc that loses 0.3 mm.
    disc = replace(
        USUAL,
        kind=WearKind.DRUM,
        start=Start(odometer_mm=0, size_nm=2_000_000, sigma1_nm=20_000.0, measured=True),
        readings=(_reading(50_000, 1.7, 0.025),),
        limit_nm=500_000,
        new_nm=2_000_000,
        as_of_odometer_mm=50_000 * KM,
    )
    drum = replace(
        disc,
        grows=True,
        start=Start(odometer_mm=0, size_nm=228_000_000, sigma1_nm=20_000.0, measured=True),
        readings=(_reading(50_000, 228.3, 0.025),),
        limit_nm=229_500_000,
        new_nm=228_000_000,
    )
    experience = general_experience(WearKind.DRUM, new_mm=228.0, limit_mm=229.5)

    assert _bound_mm(project(drum, experience)) > 0
    assert _distances(project(drum, experience)) == _distances(project(disc, experience))


def test_without_fitting_record_the_first_of_two_readings_is_the_start() -> None:
    first, second = _reading(52_000, 9.6), _reading(67_000, 7.7)
    without = project(_life(first, second, start=None), GENERAL)
    as_start = Start(
        odometer_mm=first.odometer_mm, size_nm=first.value_nm, sigma1_nm=2e5, measured=True
    )

    assert Note.NO_START in without.notes
    assert without.at_least_mm == project(_life(second, start=as_start), GENERAL).at_least_mm


def test_reading_on_the_day_of_fitting_is_harmless() -> None:
    found = project(_life(_reading(40_000, 11.0), _reading(60_000, 8.5)), GENERAL)

    assert found.refusal is None


def test_two_readings_at_one_odometer_are_harmless() -> None:
    found = project(_life(_reading(60_000, 8.5), _reading(60_000, 8.4)), GENERAL)

    assert found.refusal is None


def test_reading_a_little_thicker_than_new_is_harmless() -> None:
    found = project(_life(_reading(48_000, 11.2, 0.3)), GENERAL)

    assert found.refusal is None


def test_gauge_without_error_counts_as_the_floor() -> None:
    exact = project(_life(_reading(52_000, 9.6, 0.0)), GENERAL)
    floor = project(_life(_reading(52_000, 9.6, 0.01)), GENERAL)

    assert exact == floor


# Refusals


def test_no_limit_is_refused() -> None:
    found = project(replace(USUAL, limit_nm=None), GENERAL)

    assert found.refusal is Refusal.NO_LIMIT
    assert _distances(found) == {None}


def test_limit_at_the_new_size_is_refused() -> None:
    found = project(replace(USUAL, limit_nm=11_000_000), GENERAL)

    assert found.refusal is Refusal.LIMIT_NOT_INSIDE_NEW


def test_limit_above_an_unlisted_new_size_is_refused_by_the_fitting_record() -> None:
    found = project(replace(USUAL, new_nm=None, limit_nm=12_000_000), GENERAL)

    assert found.refusal is Refusal.LIMIT_NOT_INSIDE_NEW


def test_drum_limit_below_the_new_size_is_refused() -> None:
    drum = replace(USUAL, grows=True, kind=WearKind.DRUM, limit_nm=10_900_000)

    assert project(drum, GENERAL).refusal is Refusal.LIMIT_NOT_INSIDE_NEW


def test_question_of_the_caller_stops_the_projection() -> None:
    found = project(replace(USUAL, unresolved=("was it the left one?",)), GENERAL)

    assert found.refusal is Refusal.UNRESOLVED
    assert found.unresolved == ("was it the left one?",)
    assert _distances(found) == {None}


@pytest.mark.parametrize(
    "life",
    [
        _life(_reading(67_000, 9.6), _reading(52_000, 7.7)),
        _life(_reading(39_000, 9.6)),
        replace(USUAL, as_of_odometer_mm=60_000 * KM),
    ],
    ids=["between readings", "before the fitting", "today"],
)
def test_odometer_that_runs_back_is_a_question(life: PartLife) -> None:
    found = project(life, GENERAL)

    assert found.refusal is Refusal.UNRESOLVED
    assert "odometer" in found.unresolved[0]
    assert "lower" in found.unresolved[0]


def test_lining_thicker_than_new_asks_for_the_backing_plate() -> None:
    found = project(_life(_reading(52_000, 15.0)), GENERAL)

    assert found.refusal is Refusal.UNRESOLVED
    assert "backing plate" in found.unresolved[0]


def test_lining_thicker_than_the_sheet_is_a_question_without_fitting_record() -> None:
    found = project(_life(_reading(52_000, 15.0), _reading(67_000, 14.0), start=None), GENERAL)

    assert found.refusal is Refusal.UNRESOLVED
    assert len(found.unresolved) == 2


def test_rotor_thicker_than_new_asks_for_the_unit() -> None:
    found = project(replace(_life(_reading(52_000, 15.0)), kind=WearKind.ROTOR), GENERAL)

    assert "unit" in found.unresolved[0]
    assert "backing plate" not in found.unresolved[0]


def test_growth_up_to_the_new_size_looks_like_a_new_part() -> None:
    found = project(_life(_reading(52_000, 9.6), _reading(67_000, 10.9)), GENERAL)

    assert found.refusal is Refusal.UNRESOLVED
    assert "new part" in found.unresolved[0]
    assert "thicker" in found.unresolved[0]


def test_growth_short_of_the_new_size_is_called_impossible() -> None:
    found = project(_life(_reading(80_000, 5.0), _reading(81_000, 6.5)), GENERAL)

    assert found.refusal is Refusal.UNRESOLVED
    assert "no wear does that" in found.unresolved[0]


def test_drum_that_shrinks_is_called_smaller() -> None:
    drum = PartLife(
        kind=WearKind.DRUM,
        grows=True,
        start=Start(odometer_mm=0, size_nm=228_000_000, sigma1_nm=20_000.0, measured=True),
        readings=(_reading(50_000, 229.0, 0.025), _reading(60_000, 228.6, 0.025)),
        limit_nm=229_500_000,
        new_nm=228_000_000,
        as_of=DAY,
        as_of_odometer_mm=60_000 * KM,
        is_out=False,
    )
    found = project(drum, general_experience(WearKind.DRUM, new_mm=228.0, limit_mm=229.5))

    assert found.refusal is Refusal.UNRESOLVED
    assert "smaller" in found.unresolved[0]


def test_too_little_wear_for_the_course_so_far_is_a_question() -> None:
    # Not thicker than at the visit before, but 25,000 km without wear at 0.3 mm per 1000 km.
    life = _life(
        _reading(50_000, 12.0, 0.05),
        _reading(60_000, 9.0, 0.05),
        _reading(70_000, 6.0, 0.05),
        _reading(95_000, 6.0, 0.05),
        start=Start(odometer_mm=40_000 * KM, size_nm=15_000_000, sigma1_nm=5e4, measured=True),
    )
    sure = replace(GENERAL, log_rate=math.log(0.3), log_sd=0.1, process_c=0.1)
    found = project(replace(life, new_nm=15_000_000), sure)

    assert found.refusal is Refusal.UNRESOLVED
    assert "its wear so far allows" in found.unresolved[0]


def test_reading_older_than_two_years_is_refused() -> None:
    old = _life(_reading(52_000, 9.6, day=datetime.date(2022, 4, 30)))

    assert project(old, GENERAL).refusal is Refusal.TOO_OLD


def test_reading_of_exactly_two_years_is_not_too_old() -> None:
    old = _life(_reading(52_000, 9.6, day=datetime.date(2022, 5, 1)))

    assert project(old, GENERAL).refusal is None


def test_leap_day_two_years_on_is_no_error() -> None:
    life = replace(USUAL, as_of=datetime.date(2028, 2, 29))

    assert project(life, GENERAL).refusal is Refusal.TOO_OLD


def test_reading_more_than_thirty_thousand_kilometres_ago_is_refused() -> None:
    at = replace(USUAL, as_of_odometer_mm=97_000 * KM)
    beyond = replace(USUAL, as_of_odometer_mm=97_000 * KM + 1)

    assert project(at, GENERAL).refusal is None
    assert project(beyond, GENERAL).refusal is Refusal.TOO_OLD


def test_part_that_is_out_gets_no_distance() -> None:
    found = project(replace(USUAL, is_out=True), GENERAL)

    assert found.refusal is Refusal.AT_LIMIT
    assert _distances(found) == {None}


def test_one_reading_without_fitting_record_has_no_basis() -> None:
    found = project(_life(_reading(52_000, 7.0), start=None), GENERAL)

    assert found.refusal is Refusal.NO_BASIS
    assert _distances(found) == {None}
    # 4 of 8 mm, where 8 mm typically last 55,000 km.
    assert found.typical_mm == pytest.approx(27_500 * KM, abs=KM)


def test_reading_after_hardly_a_drive_has_no_basis() -> None:
    found = project(_life(_reading(40_100, 11.0)), GENERAL)

    assert found.refusal is Refusal.NO_BASIS


def test_one_reading_without_fitting_record_rests_on_enough_lives() -> None:
    found = project(_life(_reading(52_000, 7.0), start=None), LEARNED)

    assert found.refusal is None
    assert found.own_share == pytest.approx(0.0, abs=1e-9)
    assert found.notes == (Note.NO_START, Note.EXPERIENCE_ONLY)


def test_margin_inside_the_measurement_error_has_a_bound_of_zero() -> None:
    found = project(_life(_reading(70_000, 6.5), _reading(95_000, 3.2)), GENERAL)

    assert found.refusal is Refusal.WITHIN_ERROR
    assert found.at_least_mm == 0
    assert found.median_mm is None


def test_part_without_reading_or_fitting_record_is_refused() -> None:
    assert project(_life(start=None), GENERAL).refusal is Refusal.NO_READING


def test_fitted_part_without_reading_is_refused_on_general_experience() -> None:
    found = project(_life(), GENERAL)

    assert found.refusal is Refusal.NO_READING
    assert found.typical_mm == pytest.approx(55_000 * KM, abs=KM)


def test_fitted_part_without_reading_rests_on_enough_lives() -> None:
    found = project(_life(), LEARNED)

    assert found.refusal is None
    assert found.median_mm == pytest.approx(55_000 * KM, abs=KM)
    assert Note.EXPERIENCE_ONLY in found.notes


def test_refusals_come_in_their_order() -> None:
    worst = replace(
        _life(_reading(52_000, 3.0, day=datetime.date(2020, 1, 1)), start=None),
        limit_nm=None,
        is_out=True,
        unresolved=("which corner?",),
    )
    seen = []
    for better in (
        {},
        {"limit_nm": 12_000_000},
        {"limit_nm": 2_800_000},
        {"is_out": False},
        {"unresolved": ()},
        {"as_of": datetime.date(2020, 2, 1)},
    ):
        worst = replace(worst, **better)
        seen.append(project(worst, GENERAL).refusal)

    assert seen == list(Refusal)[:6]


# Notes


def test_bound_is_held_to_three_times_the_distance_seen() -> None:
    found = project(_life(_reading(42_000, 10.9)), GENERAL)

    assert Note.FAR_EXTRAPOLATION in found.notes
    assert found.at_least_mm == 6_000 * KM
    assert found.uncapped_at_least_mm is not None
    assert found.uncapped_at_least_mm > 6_000 * KM


def test_bound_within_three_times_the_distance_seen_is_not_held() -> None:
    found = project(USUAL, GENERAL)

    assert found.at_least_mm == found.uncapped_at_least_mm


def test_wide_range_close_to_the_limit_leaves_the_bound_only() -> None:
    found = project(_life(_reading(80_000, 6.0), _reading(100_000, 3.47)), GENERAL)

    assert found.refusal is None
    assert Note.BOUND_ONLY_CLOSE in found.notes
    assert _bound_mm(found) >= 500 * KM
    assert (found.median_mm, found.latest_mm) == (None, None)


def test_wide_range_far_from_the_limit_leaves_the_bound_only() -> None:
    vague = replace(GENERAL, log_sd=0.9)
    found = project(_life(_reading(42_000, 10.9, 0.8)), vague)

    assert Note.BOUND_ONLY_UNKNOWN in found.notes
    assert (found.median_mm, found.latest_mm) == (None, None)


def test_wear_that_doubles_is_called_accelerating() -> None:
    steady = _life(_reading(60_000, 9.6, 0.1), _reading(80_000, 8.2, 0.1))
    faster = _life(_reading(60_000, 9.6, 0.1), _reading(80_000, 4.6, 0.1))

    assert Note.ACCELERATING not in project(steady, GENERAL).notes
    assert Note.ACCELERATING in project(faster, GENERAL).notes


def test_accelerating_wear_is_projected_at_its_latest_rate() -> None:
    found = project(_life(_reading(60_000, 9.6, 0.1), _reading(80_000, 4.6, 0.1)), GENERAL)
    whole = 6.4 / 40.0 * 1e6

    assert found.rate_nm_per_1000km is not None
    assert found.rate_nm_per_1000km > 1.2 * whole


def test_nominal_new_size_is_noted() -> None:
    start = nominal_start(WearKind.FRONT_LINING, odometer_mm=40_000 * KM, size_nm=11_000_000)
    found = project(_life(_reading(60_000, 8.6), start=start), GENERAL)

    assert found.notes == (Note.NOMINAL_START,)


def test_nominal_new_size_shortens_the_bound() -> None:
    start = nominal_start(WearKind.FRONT_LINING, odometer_mm=40_000 * KM, size_nm=11_000_000)
    readings = (_reading(55_000, 9.2),)

    nominal = project(_life(*readings, start=start), GENERAL)
    measured = project(_life(*readings), GENERAL)

    assert _bound_mm(nominal) < _bound_mm(measured)


OUTLIER_LAST = _life(
    _reading(52_000, 9.6, 0.1), _reading(64_000, 8.2, 0.1), _reading(70_000, 4.5, 0.1)
)


def test_outlier_is_flagged_with_its_index() -> None:
    found = project(OUTLIER_LAST, LEARNED)

    assert Note.OUTLIER_DOWNWEIGHTED in found.notes
    assert found.flagged == 2


def test_outlier_index_counts_the_reading_that_serves_as_start() -> None:
    without = replace(OUTLIER_LAST, start=None)

    assert project(without, LEARNED).flagged == 2


def test_outlier_at_the_end_never_lengthens_the_bound() -> None:
    found = project(OUTLIER_LAST, LEARNED)
    before = project(
        replace(OUTLIER_LAST, readings=OUTLIER_LAST.readings[:2], as_of_odometer_mm=64_000 * KM),
        LEARNED,
    )

    # As if the last reading were right: 1.5 mm at 0.1 to 0.6 mm per 1000 km.
    assert _bound_mm(found) < 10_000 * KM < _bound_mm(before)


def test_low_outlier_in_the_middle_raises_a_question_when_it_comes_back() -> None:
    life = _life(_reading(52_000, 9.6), _reading(64_000, 5.0), _reading(76_000, 6.8))

    assert project(life, LEARNED).refusal is Refusal.UNRESOLVED


# Rounding


@pytest.mark.parametrize("unit", [KM, MILE], ids=["km", "mile"])
def test_bound_is_rounded_down_to_five_hundred(unit: int) -> None:
    found = replace(project(USUAL, GENERAL), at_least_mm=1_499 * unit)
    whole = replace(found, at_least_mm=1_500 * unit)

    assert at_least_rounded_mm(found, unit) == 1_000 * unit
    assert at_least_rounded_mm(whole, unit) == 1_500 * unit


def test_other_distances_are_rounded_to_the_nearest_thousand() -> None:
    found = replace(project(USUAL, GENERAL), median_mm=38_499 * KM, latest_mm=51_500 * KM)

    assert median_rounded_mm(found, KM) == 38_000 * KM
    assert latest_rounded_mm(found, KM) == 52_000 * KM


def test_rounding_a_refusal_gives_nothing() -> None:
    found = project(replace(USUAL, limit_nm=None), GENERAL)

    assert at_least_rounded_mm(found, KM) == 0
    assert median_rounded_mm(found, KM) is None
    assert latest_rounded_mm(found, KM) is None


# Experience


@pytest.mark.parametrize(
    ("kind", "depth_mm", "life_1000km"),
    [
        (WearKind.FRONT_LINING, 8.0, 55.0),
        (WearKind.REAR_LINING, 8.0, 80.0),
        (WearKind.ROTOR, 2.0, 105.0),
        (WearKind.SHOE, 3.5, 120.0),
        (WearKind.DRUM, 1.5, 200.0),
    ],
)
def test_general_experience_without_new_size_takes_the_usual_depth(
    kind: WearKind, depth_mm: float, life_1000km: float
) -> None:
    found = general_experience(kind, new_mm=None, limit_mm=3.0)

    assert math.exp(found.log_rate) == pytest.approx(depth_mm / life_1000km)
    assert found.log_sd == LOG_SD[kind]
    assert (found.lives_behind, found.source) == (0.0, "general experience")


def test_general_experience_spreads_the_typical_life_over_the_depth() -> None:
    found = general_experience(WearKind.ROTOR, new_mm=25.0, limit_mm=22.0)

    assert math.exp(found.log_rate) == pytest.approx(3.0 / 105.0)


def test_general_experience_of_a_drum_reads_the_depth_the_other_way() -> None:
    found = general_experience(WearKind.DRUM, new_mm=228.0, limit_mm=230.0)

    assert math.exp(found.log_rate) == pytest.approx(2.0 / 200.0)


def test_general_experience_ignores_a_limit_outside_the_new_size() -> None:
    assert general_experience(WearKind.ROTOR, new_mm=20.0, limit_mm=22.0) == general_experience(
        WearKind.ROTOR, new_mm=None, limit_mm=22.0
    )


def test_process_variance_is_held_to_the_believed_range() -> None:
    assert replace(GENERAL, process_c=50.0).believed_c == 6.0
    assert replace(GENERAL, process_c=0.001).believed_c == 0.1


@pytest.mark.parametrize(
    ("field", "value"),
    [("log_rate", math.nan), ("log_sd", 0.0), ("process_c", -1.0), ("widened", 0.0)],
)
def test_impossible_experience_is_refused(field: str, value: float) -> None:
    numbers = {"log_rate": -2.0, "log_sd": 0.5, "process_c": 0.94, "widened": 1.0} | {field: value}

    with pytest.raises(ValueError, match="experience"):
        Experience(
            log_rate=numbers["log_rate"],
            log_sd=numbers["log_sd"],
            process_c=numbers["process_c"],
            lives_behind=0.0,
            source="test",
            widened=numbers["widened"],
        )


@pytest.mark.parametrize("u1", [-1.0, math.nan])
def test_impossible_uncertainty_is_refused(u1: float) -> None:
    with pytest.raises(ValueError, match="uncertainty"):
        replace(FITTED, sigma1_nm=u1)
    with pytest.raises(ValueError, match="uncertainty"):
        replace(USUAL.readings[0], sigma1_nm=u1)
