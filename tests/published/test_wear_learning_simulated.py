"""What a shop learns from simulated part lives, whose rates are known."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from brakelog.wear.bulk.backtest import Tried, back_test, widened
from brakelog.wear.bulk.believed import believed
from brakelog.wear.bulk.distance import learn_usage
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.grouping import Grouping
from brakelog.wear.bulk.learning import learn
from brakelog.wear.bulk.lives import Floats, Lives
from brakelog.wear.bulk.next_reading import first_visits, next_readings
from brakelog.wear.bulk.vehicle_share import learned_vehicle_share
from brakelog.wear.crossing import Z90
from brakelog.wear.experience import Experience, WearKind
from brakelog.wear.experiences import Experiences, Group
from brakelog.wear.usage import PROCESS_DAYS, Usage
from tests.published.wear_shops import FRONT, LOG_SD, MEDIAN_RATE, Shop, shop


def learned(made: Shop) -> Experience:
    found = learn(
        made.lives,
        made.grouping,
        general_log_rate=made.general_log_rate,
        vehicles=made.vehicles,
    )
    return found.experiences.by_group[FRONT]


@pytest.mark.parametrize("reading_u1_mm", [0.05, 0.2, 0.5])
def test_sixty_lives_find_median_and_spread_on_average(reading_u1_mm: float) -> None:
    found = [learned(shop(seed, 60, reading_u1_mm=reading_u1_mm)) for seed in range(60)]

    assert np.mean([each.log_rate for each in found]) == pytest.approx(
        math.log(MEDIAN_RATE), abs=0.03
    )
    # For one more vehicle it is a little wider than the spread itself.
    assert np.mean([each.log_sd for each in found]) == pytest.approx(LOG_SD + 0.02, abs=0.02)


def test_many_lives_find_them_by_themselves() -> None:
    found = learned(shop(5, 3000, visits=(1, 3)))

    assert found.log_rate == pytest.approx(math.log(MEDIAN_RATE), abs=0.02)
    assert found.log_sd == pytest.approx(LOG_SD, abs=0.02)


@pytest.mark.parametrize("process_c", [0.3, 0.94, 2.5])
def test_process_is_found_from_lives_with_several_visits(process_c: float) -> None:
    found = learned(shop(3, 800, visits=(3, 6), process_c=process_c))

    assert found.process_c == pytest.approx(process_c, rel=0.15)


def test_a_few_gross_errors_in_a_hundred_change_little() -> None:
    made = shop(8, 600, visits=(2, 4))
    rng = np.random.default_rng(8)
    read = made.lives.visit_margin_mm
    wrong = rng.uniform(1.5, 5.0, read.shape) * rng.choice([-1.0, 1.0], read.shape)
    spoilt = replace(
        made,
        lives=replace(
            made.lives,
            visit_margin_mm=np.where(rng.random(read.shape) < 0.03, read + wrong, read),
        ),
    )
    found, clean = learned(spoilt), learned(made)

    assert found.log_rate == pytest.approx(clean.log_rate, abs=0.03)
    assert found.log_sd == pytest.approx(clean.log_sd, abs=0.05)
    assert found.process_c == pytest.approx(clean.process_c, rel=0.25)


def test_four_linings_of_one_vehicle_are_not_four_vehicles() -> None:
    apart, together = learned(shop(2, 40)), learned(shop(2, 10, places=4))

    assert together.lives_behind < 0.4 * apart.lives_behind
    assert together.log_sd > apart.log_sd


@pytest.mark.parametrize("share", [0.3, 0.8])
def test_share_of_the_vehicle_is_found_from_two_sets_each(share: float) -> None:
    made = shop(4, 1500, visits=(6, 14), vehicle_share=share)
    experiences = learn(
        made.lives,
        made.grouping,
        general_log_rate=made.general_log_rate,
        vehicles=made.vehicles,
    ).experiences
    beliefs = believed(made.grouping, experiences, made.general_log_rate)
    found = learned_vehicle_share(made.lives, beliefs, before=made.before, vehicles=made.vehicles)

    assert found == pytest.approx(share, abs=0.06)


def test_distance_per_day_of_a_shop_is_found() -> None:
    rng = np.random.default_rng(6)
    days = rng.uniform(60.0, 1500.0, 400)
    log_sd = np.sqrt(0.35**2 + PROCESS_DAYS / days)
    distance_km = days * np.exp(math.log(55.0) + log_sd * rng.standard_normal(400))
    found = learn_usage(distance_km, days, Usage())

    assert found.km_per_day == pytest.approx(55.0, rel=0.06)
    assert found.log_sd == pytest.approx(0.35, abs=0.04)


def tried(made: Shop) -> Tried:
    found = back_test(
        made.lives,
        made.grouping,
        general_log_rate=made.general_log_rate,
        vehicles=made.vehicles,
    )
    assert found.overall is not None
    assert found.overall.bound == found.groups[0].bound
    return found.groups[0]


def bound_share(made: Shop, *, factor: float = 1.0, last_only: bool = False) -> float:
    """How often the bound held, from the parts that a back-test is made of."""
    held: list[bool] = []
    for count in range(1, made.lives.most_visits):
        ahead = next_readings(made.lives, count)
        experiences = learn(
            first_visits(made.lives, count),
            made.grouping,
            general_log_rate=made.general_log_rate,
            vehicles=made.vehicles,
        ).experiences
        general = made.general_log_rate[ahead.which]
        beliefs = believed(made.grouping.part(ahead.which), experiences, general)
        beliefs = replace(beliefs, widened=np.full(len(general), factor))
        found = forecast_many(ahead.lives, beliefs, levels=(-Z90,))
        is_last = made.lives.visits[ahead.which] == count + 1
        is_meant = is_last if last_only else np.ones_like(is_last)
        held += (ahead.gone >= found.d10)[is_meant].tolist()
    return sum(held) / len(held)


@pytest.mark.parametrize("visits", [(2, 3), (12, 16)], ids=["short record", "long record"])
def test_back_test_finds_the_bound_to_hold_however_far_the_record_goes_back(
    visits: tuple[int, int],
) -> None:
    made = shop(1, 400, visits=visits)
    found = tried(made)

    assert 0.89 <= found.bound.share <= 0.93
    assert 0.87 <= found.both.share <= 0.92
    assert 0.2 < found.median_error < 0.35
    assert bound_share(made) == pytest.approx(found.bound.share)


def test_last_readings_alone_would_find_it_to_fail_in_a_long_record() -> None:
    # Most lives of a long record have ended, each of them with a reading after fast wear.
    made = shop(1, 400, visits=(12, 16))

    assert bound_share(made, last_only=True) < 0.88


def test_back_test_widens_what_holds_too_rarely() -> None:
    # New linings thicker than the sheet says: the wear looks slower than it is.
    made = shop(1, 150, places=2, visits=(3, 8))
    wrong = replace(made, lives=replace(made.lives, margin_mm=made.lives.margin_mm - 0.6))
    found = back_test(
        wrong.lives,
        wrong.grouping,
        general_log_rate=wrong.general_log_rate,
        vehicles=wrong.vehicles,
    )
    (group,) = found.groups
    experience = learned(wrong)
    stated = widened(Experiences(by_group={FRONT: experience}), found).by_group[FRONT]

    assert group.bound.high < 0.90
    assert group.factor is not None
    assert group.widened == group.factor > 1.05
    assert stated == replace(experience, widened=group.factor)
    assert bound_share(wrong, factor=group.factor) == pytest.approx(0.90, abs=0.001)


def test_back_test_does_not_narrow_what_holds_too_often() -> None:
    made = shop(1, 150, places=2, visits=(3, 8))
    careful = replace(made, lives=replace(made.lives, margin_mm=made.lives.margin_mm + 0.5))
    found = tried(careful)

    assert found.bound.low > 0.90
    assert found.factor is not None
    assert found.factor < 1.0
    assert found.widened == 1.0


def test_back_test_finds_no_factor_from_a_few_readings() -> None:
    made = shop(3, 20, visits=(2, 3))
    wrong = replace(made, lives=replace(made.lives, margin_mm=made.lives.margin_mm - 2.0))
    found = tried(wrong)

    assert found.bound.count < 50
    assert not found.is_enough
    assert found.factor is None
    assert found.widened == 1.0


def test_each_component_has_its_own_factor() -> None:
    right, made = shop(6, 40, visits=(3, 6)), shop(1, 150, places=2, visits=(3, 8))
    wrong = replace(made, lives=replace(made.lives, margin_mm=made.lives.margin_mm - 0.6))
    rear = Group(kind=WearKind.REAR_LINING, axle=2)
    count = right.lives.count
    found = back_test(
        _beside(right.lives, wrong.lives),
        Grouping(groups=(rear, FRONT), codes=(np.arange(count + wrong.lives.count) >= count) * 1),
        general_log_rate=np.concatenate([right.general_log_rate, wrong.general_log_rate]),
        vehicles=np.concatenate([right.vehicles, 40 + wrong.vehicles]),
    )

    assert [each.group for each in found.groups] == [rear, FRONT]
    assert found.groups[0].factor is None
    assert found.groups[1].factor == pytest.approx(tried(wrong).factor, rel=0.01)
    assert found.overall is not None
    assert found.overall.bound.count == sum(each.bound.count for each in found.groups)


def _beside(one: Lives, other: Lives) -> Lives:
    most = max(one.most_visits, other.most_visits)

    def rows(name: str) -> Floats:
        return np.concatenate(
            [
                np.pad(
                    getattr(each, name), ((0, most - each.most_visits), (0, 0)), constant_values=1.0
                )
                for each in (one, other)
            ],
            axis=1,
        )

    return Lives(
        margin_mm=np.concatenate([one.margin_mm, other.margin_mm]),
        u1_mm=np.concatenate([one.u1_mm, other.u1_mm]),
        visits=np.concatenate([one.visits, other.visits]),
        x=rows("x"),
        visit_margin_mm=rows("visit_margin_mm"),
        visit_u1_mm=rows("visit_u1_mm"),
    )
