"""Whose experience a part gets, and what a shop is told of what is behind it."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest

from brakelog.wear.bulk.backtest import BackTest, Tried, back_test, widened
from brakelog.wear.bulk.grouping import grouping_of
from brakelog.wear.bulk.hits import HitRate
from brakelog.wear.bulk.learning import Learned, learn
from brakelog.wear.bulk.lives import lives_of
from brakelog.wear.experience import Experience, WearKind
from brakelog.wear.experiences import Experiences, Group, group_of
from brakelog.wear.history import History, Visit
from brakelog.wear.life import PartLife, Reading, nominal_start
from brakelog.wear.projecting import project

GENERAL = math.log(8.0 / 55.0)
KM = 1_000_000
FRONT = Group(kind=WearKind.FRONT_LINING, axle=1)


def linings(count: int, median_rate: float, *, spread: float = 0.2) -> list[History]:
    """Linings of three visits each, their rates spread evenly about a median one."""
    rates = median_rate * np.exp(spread * np.linspace(-1.5, 1.5, count))
    return [
        History(
            margin_mm=8.0,
            u1_mm=0.15,
            visits=tuple(
                Visit(x=x, margin_mm=8.0 - rate * x, u1_mm=0.1) for x in (10.0, 20.0, 30.0)
            ),
        )
        for rate in rates.tolist()
    ]


def front(vehicle_class: str | None, model: str | None = None) -> Group:
    return group_of(WearKind.FRONT_LINING, axle=1, vehicle_class=vehicle_class, model=model)


def taught(*some: tuple[Group, list[History]]) -> Learned:
    """Let a shop learn from lives, each on a vehicle of its own."""
    lives = [each for _, histories in some for each in histories]
    groups = [group for group, histories in some for _ in histories]
    return learn(
        lives_of(lives),
        grouping_of(groups),
        general_log_rate=np.full(len(lives), GENERAL),
        vehicles=np.arange(len(lives)),
    )


def rate(experience: Experience) -> float:
    return math.exp(experience.log_rate)


def test_a_class_with_enough_lives_has_its_own_experience() -> None:
    found = taught((front("light"), linings(30, 0.08)), (front("van"), linings(30, 0.2)))
    of = found.experiences.by_group

    assert rate(of[front("light")]) == pytest.approx(0.08, rel=0.1)
    assert rate(of[front("van")]) == pytest.approx(0.2, rel=0.1)
    assert of[front("light")].log_sd < of[FRONT].log_sd
    assert of[front("light")].process_c == of[FRONT].process_c


@pytest.mark.parametrize("median_rate", [0.02, 0.06, 0.081])
def test_a_class_with_few_lives_that_do_not_wear_faster_gets_that_of_all_classes(
    median_rate: float,
) -> None:
    found = taught((front("light"), linings(30, 0.08)), (front("van"), linings(8, median_rate)))
    experiences = found.experiences

    assert front("van") not in experiences.by_group
    assert experiences.of(front("van"), new_mm=11.0, limit_mm=3.0) == experiences.by_group[FRONT]


@pytest.mark.parametrize("count", [2, 3, 8])
def test_few_lives_that_wear_faster_than_chance_explains_are_believed(count: int) -> None:
    found = taught(
        (front("light"), linings(60, 0.08)), (front("light", "Larch 2"), linings(count, 0.3))
    )
    of = found.experiences.by_group
    group = front("light", "Larch 2")
    other = found.experiences.of(front("light", "Elm"), new_mm=11.0, limit_mm=3.0)

    assert rate(of[group]) > 1.5 * rate(other)
    assert of[group].log_sd >= other.log_sd
    assert of[group].lives_behind == other.lives_behind
    assert other == of[front("light")]


@pytest.mark.parametrize("size_nm", [None, 10_700_000, 9_600_000, 8_000_000, 6_000_000])
@pytest.mark.parametrize("count", [2, 4, 9])
def test_nothing_of_a_model_that_wears_faster_is_promised_later_than_of_its_class(
    count: int, size_nm: int | None
) -> None:
    model = front("light", "Larch 2")
    reading = Reading(
        odometer_mm=12_000 * KM,
        value_nm=size_nm or 0,
        sigma1_nm=200_000.0,
        day=date(2026, 11, 20),
    )
    life = PartLife(
        kind=WearKind.FRONT_LINING,
        grows=False,
        start=nominal_start(WearKind.FRONT_LINING, odometer_mm=0, size_nm=11_000_000),
        readings=(reading,) if size_nm else (),
        limit_nm=3_000_000,
        new_nm=11_000_000,
        is_out=False,
        as_of=date(2026, 11, 20),
        as_of_odometer_mm=12_000 * KM if size_nm else 0,
    )
    usual = linings(60, 0.08, spread=0.4)
    alike = taught((front("light"), usual))
    faster = taught((front("light"), usual), (model, linings(count, 0.2)))

    def told(by: Learned) -> int | None:
        return project(life, by.experiences.of(model, new_mm=11.0, limit_mm=3.0)).at_least_mm

    assert model in faster.experiences.by_group
    alike_mm, faster_mm = told(alike), told(faster)
    assert alike_mm is not None
    assert faster_mm is not None
    assert faster_mm <= alike_mm


def test_of_models_that_wear_alike_about_one_in_ten_is_taken_for_a_faster_one() -> None:
    dice = np.random.default_rng(20261128)
    models = [front("light", f"model {number}") for number in range(400)]
    lives = [
        (
            model,
            [each for rate in 0.1 * np.exp(0.4 * dice.normal(size=4)) for each in linings(1, rate)],
        )
        for model in models
    ]
    found = taught(*lives)
    own = sum(model in found.experiences.by_group for model in models)

    assert 0.05 < own / len(models) < 0.15


def test_a_model_learns_from_its_class_and_a_class_from_all() -> None:
    found = taught(
        (front("light", "Larch 2"), linings(15, 0.07)),
        (front("light"), linings(40, 0.1)),
        (front("van"), linings(40, 0.2)),
    )
    of = found.experiences.by_group

    assert rate(of[front("light", "Larch 2")]) < rate(of[front("light")]) < rate(of[FRONT])
    assert 0.07 < rate(of[front("light", "Larch 2")]) < 0.08


def test_a_model_whose_class_nobody_named_learns_from_all() -> None:
    found = taught((front(None, "Larch 2"), linings(30, 0.1)), (front("van"), linings(30, 0.2)))

    assert rate(found.experiences.by_group[front(None, "Larch 2")]) == pytest.approx(0.1, rel=0.1)


def test_front_and_rear_do_not_learn_from_each_other() -> None:
    rear = group_of(WearKind.REAR_LINING, axle=2, vehicle_class=None, model=None)
    alone = taught((FRONT, linings(20, 0.1))).experiences.by_group[FRONT]
    beside = taught((FRONT, linings(20, 0.1)), (rear, linings(20, 0.3))).experiences.by_group

    assert beside[FRONT] == alone
    assert rate(beside[rear]) == pytest.approx(0.3, rel=0.15)


def test_one_life_teaches_nothing_of_its_like() -> None:
    found = taught((FRONT, linings(1, 0.3)))

    assert found.experiences == Experiences()
    assert found.counts[0].lives == 1


def test_lives_that_hardly_wear_are_not_believed() -> None:
    assert taught((FRONT, linings(20, 0.01))).experiences == Experiences()


def test_a_shop_without_lives_learns_nothing() -> None:
    assert taught() == Learned(experiences=Experiences(), counts=())


def test_lives_that_were_never_read_teach_nothing() -> None:
    unread = [History(margin_mm=8.0, u1_mm=0.15, visits=())] * 3

    assert taught((FRONT, unread)) == Learned(experiences=Experiences(), counts=())


@pytest.mark.parametrize(
    ("group", "words"),
    [
        (FRONT, "this shop's front linings"),
        (front("light"), "this shop's front linings of class light"),
        (front("light", "Larch 2"), "this shop's front linings of model Larch 2"),
        (Group(kind=WearKind.ROTOR, axle=2), "this shop's rear rotors"),
    ],
)
def test_source_says_whose_parts_they_were(group: Group, words: str) -> None:
    found = taught((group, linings(30, 0.14)))

    assert found.experiences.by_group[group].source == words


def test_counts_tell_lives_visits_and_vehicles_of_every_group() -> None:
    lives = linings(6, 0.1)
    groups = [front("light")] * 4 + [front("van")] * 2
    found = learn(
        lives_of(lives),
        grouping_of(groups),
        general_log_rate=np.full(6, GENERAL),
        vehicles=np.array([7, 7, 7, 7, 3, 7]),
    )

    assert [(each.group, each.lives, each.visits, each.vehicles) for each in found.counts] == [
        (FRONT, 6, 18, 2),
        (front("light"), 4, 12, 1),
        (front("van"), 2, 6, 2),
    ]
    light, van = found.counts[1:]
    assert light.independent == pytest.approx(4 / 3.4)
    assert van.independent == 2.0


def test_nothing_can_be_tried_where_no_part_was_read_twice() -> None:
    lives = lives_of(
        [History(margin_mm=8.0, u1_mm=0.15, visits=(Visit(x=10.0, margin_mm=6.5, u1_mm=0.2),))]
    )
    found = back_test(
        lives,
        grouping_of([FRONT]),
        general_log_rate=np.full(1, GENERAL),
        vehicles=np.zeros(1, dtype=np.int64),
    )

    assert found == BackTest(overall=None, groups=())


def _tried(factor: float | None) -> BackTest:
    some = HitRate(hits=80, count=100, low=0.70, high=0.88)
    group = Tried(
        group=FRONT,
        lives=60,
        vehicles=40,
        bound=some,
        both=some,
        median_error=0.3,
        factor=factor,
    )
    return BackTest(overall=None, groups=(group,))


@pytest.mark.parametrize(("factor", "applied"), [(None, 1.0), (0.7, 1.0), (1.4, 1.4)])
def test_a_factor_widens_classes_and_models_too_and_never_narrows(
    factor: float | None, applied: float
) -> None:
    found = taught((front("light"), linings(30, 0.08)), (FRONT, linings(30, 0.14)))
    stated = widened(found.experiences, _tried(factor))

    assert {each.widened for each in stated.by_group.values()} == {applied}
    assert stated.by_group.keys() == found.experiences.by_group.keys() == {FRONT, front("light")}
