"""What is worked out once and kept: it is the same as before, and never that of something else."""

from __future__ import annotations

import copy
import math
import pickle
from collections.abc import Iterable
from dataclasses import FrozenInstanceError, fields, replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.record.corner import Corner, Side, parse_corner, walking_order
from brakelog.record.finding import Finding
from brakelog.record.fitting import Fitting
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.review.review import review, review_stages
from brakelog.rules.bound import Bounds
from brakelog.rules.compare import is_proven
from brakelog.rules.policy import Policy
from brakelog.rules.vehicle import judge_vehicle
from brakelog.store.nouns import field_names, noun_maker
from brakelog.wear.experiences import Experiences
from tests.property.review_slips import KINDS, Kind
from tests.property.review_worlds import car
from tests.unit.store_examples import a_finding, a_fitting, a_set
from tests.unit.verdict_examples import LF, case, healthy, limit, verdict_on


@pytest.mark.parametrize("corner", walking_order(9), ids=str)
def test_a_corner_is_one_object_wherever_it_comes_from(corner: Corner) -> None:
    twins: Iterable[Corner] = (
        Corner(axle=corner.axle, side=corner.side),
        parse_corner(corner.code),
        corner.mate.mate,
        copy.copy(corner),
        copy.deepcopy(corner),
        *(pickle.loads(pickle.dumps(corner, protocol)) for protocol in range(2, 6)),
    )

    assert all(each is corner for each in twins)
    assert replace(corner, side=Side.RIGHT) == Corner(axle=corner.axle, side=Side.RIGHT)


def test_members_are_found_again_in_what_comes_from_another_process() -> None:
    known = {(corner, quantity): 1 for corner in walking_order(2) for quantity in Quantity}

    assert pickle.loads(pickle.dumps(known)) == known


@pytest.mark.parametrize("noun", [a_set("s", "a"), a_finding("f", "a"), a_fitting("g", "a")])
def test_a_noun_of_a_row_is_the_same_and_as_frozen_as_any(
    noun: ReadingSet | Finding | Fitting,
) -> None:
    kind: type[Any] = type(noun)
    made = noun_maker(kind)([getattr(noun, name) for name in field_names(kind)])

    assert made == noun
    assert all(getattr(made, each.name) == getattr(noun, each.name) for each in fields(kind))
    with pytest.raises(FrozenInstanceError):
        made.id = "other"
    with pytest.raises(ValueError, match="shorter"):
        noun_maker(kind)([noun.id])


@given(st.fractions(0, 1, max_denominator=1_000_000), st.integers(-2, 2))
def test_floats_are_compared_with_a_fraction_exactly(wanted: Fraction, steps: int) -> None:
    probability = float(wanted)
    for _ in range(abs(steps)):
        probability = math.nextafter(probability, math.copysign(math.inf, steps))

    assert is_proven(probability, wanted) is (Fraction(probability) >= wanted)


def test_bounds_that_belong_to_other_limits_are_not_used() -> None:
    thin = (limit(LimitKind.ROTOR_DISCARD, "20.0"),)
    file = case(healthy("LF"), limits=thin)
    assert verdict_on(file, LF, Part.ROTOR).judgements[0].bound.limits == thin

    thick = (limit(LimitKind.ROTOR_DISCARD, "27.9"),)
    other = replace(file, limits=thick, bounds=Bounds(thin, {}))

    assert verdict_on(other, LF, Part.ROTOR).judgements[0].bound.limits == thick


def test_what_is_put_in_order_is_carried_over_only_with_its_record() -> None:
    file = case(healthy("LF"))
    left = file.at_stage(Stage.AS_LEFT)
    empty = replace(file, sets=())

    assert left.placed is file.placed
    assert left.sets_at(LF, Quantity.ROTOR) == file.sets_at(LF, Quantity.ROTOR)
    assert empty.sets_of(LF, Quantity.ROTOR) == ()
    assert empty.at_stage(Stage.AS_LEFT).sets_at(LF, Quantity.ROTOR) == ()


def test_the_policy_of_other_settings_is_not_used() -> None:
    shop, strict = Shop(), Shop(probability=Fraction(99, 100))
    known = Policy(shop, (), Experiences())
    file = replace(
        case(healthy("LF"), shop=shop),
        packs=known.packs,
        experiences=known.experiences,
        policy=known,
    )
    changed = replace(file, shop=strict)

    assert judge_vehicle(file).policy == known.digest
    assert judge_vehicle(changed).policy == Policy(strict, (), Experiences()).digest
    assert judge_vehicle(changed).policy != known.digest


@given(st.sampled_from(KINDS), st.integers(0, 400), st.integers(1, 4))
def test_both_stages_reviewed_at_once_ask_what_each_asks_alone(
    kind: Kind, seed: int, visits: int
) -> None:
    made = car(seed, visits=visits, shop=kind.shop)
    try:
        kind.slip(made, made.random)
    except (AssertionError, ValueError):
        return
    found, left = (made.evidence(visits - 1, stage) for stage in Stage)

    assert review_stages(found, tuple(Stage)) == (review(found), review(left))
