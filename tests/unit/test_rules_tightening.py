from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.rules.tightening import (
    FEWEST,
    MOST,
    compare_torque,
    printed_order,
    tightening_order,
)

numbers = st.integers(min_value=FEWEST, max_value=MOST)


def gap(one: int, other: int, fasteners: int) -> int:
    """How many places two fasteners lie apart round the wheel."""
    apart = abs(one - other)
    return min(apart, fasteners - apart)


@pytest.mark.parametrize(
    ("fasteners", "order"),
    [
        (4, "1-3-2-4"),
        (5, "1-3-5-2-4"),
        (6, "1-4-2-5-3-6"),
        (8, "1-5-3-7-2-6-4-8"),
        (10, "1-6-3-8-5-10-2-7-4-9"),
    ],
)
def test_the_usual_wheels_have_their_usual_order(fasteners: int, order: str) -> None:
    assert printed_order(fasteners) == order


@given(numbers)
def test_every_fastener_is_reached_once(fasteners: int) -> None:
    assert sorted(tightening_order(fasteners)) == list(range(1, fasteners + 1))


@given(numbers.filter(lambda number: number % 2 == 1 and number > 3))
def test_an_odd_wheel_never_goes_on_to_a_neighbour(fasteners: int) -> None:
    order = tightening_order(fasteners)

    assert all(gap(a, b, fasteners) > 1 for a, b in pairwise(order))


@given(numbers.filter(lambda number: number % 2 == 0))
def test_an_even_wheel_goes_straight_across_every_other_time(fasteners: int) -> None:
    order = tightening_order(fasteners)
    pairs = zip(order[::2], order[1::2], strict=True)

    assert all(gap(a, b, fasteners) == fasteners // 2 for a, b in pairs)


def test_every_other_nut_is_the_star_on_five_studs_only() -> None:
    """An owner's manual of 2003 says "every other nut until they are all tight"."""
    assert tightening_order(5) == (1, 3, 5, 2, 4)
    assert tightening_order(4)[:2] == (1, 3)
    assert tightening_order(4)[2] - tightening_order(4)[1] != 2


@pytest.mark.parametrize("fasteners", [0, 2, 13])
def test_a_wheel_that_no_car_has_has_no_order(fasteners: int) -> None:
    with pytest.raises(ValueError, match="held by"):
        tightening_order(fasteners)


@pytest.mark.parametrize(
    ("left", "printed", "is_off"),
    [
        ("110 N·m", "110 N·m", False),
        ("114.4 N·m", "110 N·m", False),
        ("114.5 N·m", "110 N·m", True),
        ("105.6 N·m", "110 N·m", False),
        ("105.5 N·m", "110 N·m", True),
        ("81 lb ft", "110 N·m", False),
        ("100 N·m", "90-110 N·m (65-80 lb ft)", False),
        ("120 N·m", "90-110 N·m", True),
        ("118 N·m", "110 ± 10 N·m", False),
        ("81 N·m", "110 N·m (81 lb ft)", True),
    ],
)
def test_a_torque_is_off_beyond_what_a_wrench_is_good_for(
    left: str, printed: str, is_off: bool
) -> None:
    assert compare_torque(left, printed).is_off is is_off


def test_a_missing_angle_and_a_sheet_that_contradicts_itself_are_seen() -> None:
    assert compare_torque("30 N·m", "30 N·m + 90°").lacks_angle
    assert not compare_torque("30 N·m + 90°", "30 N·m + 90°").lacks_angle
    assert compare_torque("110 N·m", "110 N·m (18 lb ft)").contradicts
    assert not compare_torque("110 N·m", "110 N·m (81 lb ft)").contradicts
    assert not compare_torque("110 N·m", "tight").is_readable
