from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.wear.bulk.beliefs import beliefs_of
from brakelog.wear.bulk.believed import believed
from brakelog.wear.bulk.distance import days_until_many, learn_usage, usages_of
from brakelog.wear.bulk.earlier import after_earlier_sets
from brakelog.wear.bulk.grouping import evenly, grouping_of
from brakelog.wear.bulk.laplace import RateEstimates
from brakelog.wear.bulk.learning import Learned, learn
from brakelog.wear.bulk.lives import Counts, Floats, Lives, lives_of
from brakelog.wear.bulk.next_reading import first_visits
from brakelog.wear.earlier import after_earlier_set
from brakelog.wear.experience import Experience, WearKind, general_experience
from brakelog.wear.experiences import Experiences, Group, group_of
from brakelog.wear.history import History, Visit
from brakelog.wear.rate import RateEstimate
from brakelog.wear.usage import Usage, days_until, usage_of
from tests.published.wear_shops import FRONT, shop

GROUPS = (
    FRONT,
    group_of(WearKind.FRONT_LINING, axle=1, vehicle_class="light", model=None),
    group_of(WearKind.FRONT_LINING, axle=1, vehicle_class="light", model="one"),
    group_of(WearKind.FRONT_LINING, axle=1, vehicle_class=None, model="two"),
    group_of(WearKind.REAR_LINING, axle=2, vehicle_class="light", model="one"),
)


@st.composite
def histories(draw: st.DrawFn) -> History:
    """A lining that wears, read with errors; now and then not at all."""
    rate = draw(st.floats(0.03, 0.4))
    x, margin_mm = 0.0, 8.0
    visits = []
    for _ in range(draw(st.integers(0, 4))):
        gap = draw(st.floats(1.0, 25.0))
        x += gap
        margin_mm -= rate * gap * draw(st.floats(0.5, 1.6))
        u1_mm = draw(st.sampled_from([0.05, 0.2, 0.5]))
        read_mm = margin_mm + draw(st.floats(-2.0, 2.0)) * u1_mm
        visits.append(Visit(x=x, margin_mm=read_mm, u1_mm=u1_mm))
    return History(margin_mm=8.0, u1_mm=draw(st.sampled_from([0.15, 0.5])), visits=tuple(visits))


Recorded = tuple[History, Group, int]
RECORDS: st.SearchStrategy[list[Recorded]] = st.lists(
    st.tuples(histories(), st.sampled_from(GROUPS), st.integers(0, 12)), min_size=1, max_size=40
)


def taught(records: list[Recorded], *, scale: float = 1.0) -> Learned:
    lives = lives_of([history for history, _, _ in records])
    return learn(
        replace(
            lives,
            margin_mm=scale * lives.margin_mm,
            u1_mm=scale * lives.u1_mm,
            visit_margin_mm=scale * lives.visit_margin_mm,
            visit_u1_mm=scale * lives.visit_u1_mm,
        ),
        grouping_of([group for _, group, _ in records]),
        general_log_rate=np.full(len(records), math.log(scale * 8.0 / 55.0)),
        vehicles=np.array([vehicle for _, _, vehicle in records]),
    )


def agree(one: Learned, other: Learned, *, scale: float = 1.0) -> None:
    ours, theirs = one.experiences.by_group, other.experiences.by_group
    assert ours.keys() == theirs.keys()
    for group, found in ours.items():
        that = theirs[group]
        assert found.log_rate == pytest.approx(that.log_rate + math.log(scale), abs=1e-4)
        assert found.log_sd == pytest.approx(that.log_sd, abs=1e-4)
        assert found.process_c == pytest.approx(that.process_c, rel=1e-6)
        assert found.lives_behind == pytest.approx(that.lives_behind, rel=1e-3)


@given(RECORDS, st.randoms())
def test_order_of_lives_does_not_matter(records: list[Recorded], dice: object) -> None:
    mixed = list(records)
    dice.shuffle(mixed)  # type: ignore[attr-defined]
    one, other = taught(records), taught(mixed)

    agree(one, other)
    assert {each.group: each for each in one.counts}.keys() == {
        each.group: each for each in other.counts
    }.keys()


@given(RECORDS, st.floats(0.1, 10.0))
def test_unit_of_thickness_does_not_matter(records: list[Recorded], scale: float) -> None:
    agree(taught(records, scale=scale), taught(records), scale=scale)


@given(RECORDS, st.lists(st.sampled_from(GROUPS), min_size=1, max_size=10))
def test_lives_that_say_nothing_change_nothing(
    records: list[Recorded], groups: list[Group]
) -> None:
    unread = History(margin_mm=8.0, u1_mm=0.15, visits=())
    not_driven = replace(unread, visits=(Visit(x=0.0, margin_mm=8.1, u1_mm=0.2),))
    silent = [(each, group, 99) for group in groups for each in (unread, not_driven)]

    assert taught(records + silent) == taught(records)


@given(RECORDS)
def test_what_is_learned_can_be_believed(records: list[Recorded]) -> None:
    found = taught(records)

    for group, each in found.experiences.by_group.items():
        assert abs(each.log_rate - math.log(8.0 / 55.0)) <= 4.5
        assert 0.1 <= each.log_sd <= 0.8
        assert 0.1 <= each.process_c <= 6.0
        assert 0.0 < each.lives_behind <= len(records)
        assert each.source.startswith("this shop's ")
        if group.above is None:
            continue
        wider = found.experiences.of(group.above, new_mm=11.0, limit_mm=3.0)
        # Enough of its own, or a few that wear faster: never later than the wider group says.
        is_faster = each.log_rate > wider.log_rate and each.log_sd >= wider.log_sd
        assert each.lives_behind > 10.0 or is_faster


@given(st.integers(0, 10**6), st.integers(0, 59), st.sampled_from([-60.0, -6.0, 6.0, 60.0]))
@settings(max_examples=30)
def test_one_absurd_reading_does_not_move_a_shop_far(seed: int, which: int, off_mm: float) -> None:
    made = shop(seed, 60, visits=(2, 4))
    life = which % made.lives.count
    read_mm = made.lives.visit_margin_mm.copy()
    read_mm[0, life] += off_mm
    wrong = replace(made.lives, visit_margin_mm=read_mm)
    found, clean = (
        learn(
            lives,
            made.grouping,
            general_log_rate=made.general_log_rate,
            vehicles=made.vehicles,
        ).experiences.by_group[FRONT]
        for lives in (wrong, made.lives)
    )

    assert found.log_rate == pytest.approx(clean.log_rate, abs=0.1)
    assert found.log_sd == pytest.approx(clean.log_sd, abs=0.1)


@given(RECORDS, st.integers(1, 3))
def test_no_experience_has_seen_the_readings_that_it_predicts(
    records: list[Recorded], count: int
) -> None:
    lives = lives_of([history for history, _, _ in records])
    later = np.arange(lives.most_visits)[:, None] >= count
    other = replace(lives, visit_margin_mm=np.where(later, -50.0, lives.visit_margin_mm))

    for known, that in zip(
        _arrays(first_visits(lives, count)), _arrays(first_visits(other, count)), strict=True
    ):
        assert np.array_equal(known, that)
    assert first_visits(lives, count).most_visits <= count


def _arrays(lives: Lives) -> list[Floats | Counts]:
    values = [getattr(lives, each.name) for each in fields(Lives)]
    return [value for value in values if value is not None]


@given(RECORDS)
def test_belief_of_each_of_many_is_that_of_its_group(records: list[Recorded]) -> None:
    groups = [group for _, group, _ in records]
    some = dict(list(taught(records).experiences.by_group.items())[::2])
    experiences = Experiences(by_group=some)
    general = [
        general_experience(group.kind, new_mm=11.0, limit_mm=3.0).log_rate for group in groups
    ]
    found = believed(grouping_of(groups), experiences, np.array(general))
    single = beliefs_of([experiences.of(group, new_mm=11.0, limit_mm=3.0) for group in groups])

    for ours, theirs in (
        (found.log_rate, single.log_rate),
        (found.log_sd, single.log_sd),
        (found.process_c, single.process_c),
        (found.widened, single.widened),
    ):
        assert np.array_equal(ours, theirs)


@given(
    st.lists(st.integers(-1, 3), max_size=400).map(lambda codes: np.array(codes, dtype=np.int64)),
    st.integers(1, 50),
)
def test_selection_keeps_small_groups_whole_and_nobody_without_a_group(
    codes: Counts, most: int
) -> None:
    kept = evenly(codes, most)

    assert np.all(codes[kept] >= 0)
    for group in range(4):
        there = np.count_nonzero(codes == group)
        if there <= most:
            assert np.count_nonzero(codes[kept] == group) == there


def test_selection_is_even_over_corners() -> None:
    # Eight lives a vehicle, in the order of the corners.
    kept = evenly(np.zeros(80_000, dtype=np.int64), 5_000)

    assert len(kept) == pytest.approx(5_000, rel=0.01)
    assert np.bincount(kept % 8) == pytest.approx(np.full(8, 625.0), rel=0.02)


EXPERIENCE = st.builds(
    Experience,
    log_rate=st.floats(-4.0, 0.0),
    log_sd=st.floats(0.1, 0.8),
    process_c=st.floats(0.1, 6.0),
    lives_behind=st.just(0.0),
    source=st.just("test"),
)
ESTIMATE = st.builds(
    RateEstimate,
    log_rate=st.floats(-5.0, 1.0),
    log_rate_u1=st.floats(0.01, 1.0),
    margin_mm=st.just(4.0),
    lean=st.just(0.0),
    margin_var=st.just(0.01),
)


@given(st.lists(st.tuples(EXPERIENCE, ESTIMATE), min_size=1, max_size=8), st.floats(0.1, 0.95))
def test_earlier_sets_say_of_many_what_each_says_alone(
    pairs: list[tuple[Experience, RateEstimate]], share: float
) -> None:
    earlier = RateEstimates(
        log_rate=np.array([each.log_rate for _, each in pairs]),
        log_rate_u1=np.array([each.log_rate_u1 for _, each in pairs]),
        margin_mm=np.zeros(len(pairs)),
        lean=np.zeros(len(pairs)),
        margin_var=np.zeros(len(pairs)),
    )
    found = after_earlier_sets(
        beliefs_of([each for each, _ in pairs]), earlier, vehicle_share=share
    )
    single = [
        after_earlier_set(experience, each, vehicle_share=share) for experience, each in pairs
    ]

    assert found.log_rate == pytest.approx([each.log_rate for each in single], rel=1e-12)
    assert found.log_sd == pytest.approx([each.log_sd for each in single], rel=1e-12)
    assert np.array_equal(found.process_c, [each.believed_c for each in single])


# Distances on record are whole millimetres.
KM = (st.integers(0, 300_000) | st.integers(0, 3 * 10**11).map(lambda mm: mm / 1e6)).map(float)
DRIVEN = st.tuples(KM.map(lambda km: km - 10.0) | KM, st.integers(-5, 4000), KM, KM)


@given(st.lists(DRIVEN, min_size=1, max_size=8), st.sampled_from([-1.6, -1.3, 0.0, 1.3]))
def test_days_of_many_are_those_of_each_alone(
    rows: list[tuple[float, int, float, float]], z: float
) -> None:
    driven_km, days, distance_km, median_km = (np.array(each) for each in zip(*rows, strict=True))
    usages = usages_of(Usage(), distance_km=driven_km, days=days)
    found = days_until_many(usages, distance_km=distance_km, median_km=median_km, z=z)
    single = [
        days_until(
            usage_of(Usage(), distance_km=own_km, days=own_days),
            distance_km=ahead_km,
            median_km=half_km,
            z=z,
        )
        for own_km, own_days, ahead_km, half_km in rows
    ]

    assert found.tolist() == pytest.approx(
        [math.nan if each is None else each for each in single], rel=1e-9, nan_ok=True
    )


@given(
    st.lists(st.tuples(KM, st.integers(0, 4000)), max_size=40),
    st.floats(2.0, 200.0),
)
def test_usage_that_is_learned_can_be_believed(
    rows: list[tuple[float, int]], usual_km: float
) -> None:
    prior = Usage(log_km_per_day=math.log(usual_km))
    driven_km = np.array([each for each, _ in rows], dtype=np.float64)
    days = np.array([each for _, each in rows], dtype=np.float64)
    found = learn_usage(driven_km, days, prior)

    assert abs(found.log_km_per_day - prior.log_km_per_day) <= 1.5
    assert 0.1 <= found.log_sd <= 0.8
    if np.count_nonzero((driven_km > 0.0) & (days > 0.0)) < 2:
        assert found == prior
