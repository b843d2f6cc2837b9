"""Gauge studies: what is refused, what cannot come out, and what both methods agree on."""

from __future__ import annotations

import math
from collections.abc import Iterable
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from brakelog.errors import InvalidInput
from brakelog.lengths import LengthUnit, parse_length
from brakelog.metrology.gauge_study import GaugeStudy, work_out
from brakelog.metrology.study import Study, StudyReading, crossed, gaps
from brakelog.metrology.study_anova import by_variance
from brakelog.metrology.study_ranges import by_ranges, no_ranges_because

Table = NDArray[np.int64]


def readings(table: Table) -> list[StudyReading]:
    """Readings of a table of part, appraiser and trial. [nm]"""
    return [
        StudyReading(part=f"p{p}", appraiser=f"a{a}", trial=f"t{t}", value_nm=int(value))
        for (p, a, t), value in np.ndenumerate(table)
    ]


def study(table: Table) -> Study:
    return crossed(readings(table))


@st.composite
def tables(draw: st.DrawFn, *, least_people: int = 1) -> Table:
    shape = (
        draw(st.integers(2, 5)),
        draw(st.integers(least_people, 4)),
        draw(st.integers(2, 4)),
    )
    values = draw(
        st.lists(
            st.integers(20_000_000, 30_000_000),
            min_size=math.prod(shape), max_size=math.prod(shape),
        )
    )  # fmt: skip
    return np.array(values, dtype=np.int64).reshape(shape)


# What is refused


def test_a_study_with_a_gap_is_refused_and_the_gap_is_named() -> None:
    rows = readings(np.zeros((3, 2, 2), dtype=np.int64))
    del rows[5]

    assert gaps(rows) == ("part p1, appraiser a0, trial t1 is missing",)
    with pytest.raises(InvalidInput, match="part p1, appraiser a0, trial t1 is missing"):
        crossed(rows)


def test_a_reading_that_is_there_twice_is_refused() -> None:
    rows = readings(np.zeros((2, 2, 2), dtype=np.int64))

    assert gaps([*rows, rows[0]]) == ("part p0, appraiser a0, trial t0 is there 2 times",)


@pytest.mark.parametrize(("shape", "what"), [((1, 2, 2), "two parts"), ((2, 2, 1), "two trials")])
def test_one_part_or_one_trial_is_no_study(shape: tuple[int, int, int], what: str) -> None:
    with pytest.raises(InvalidInput, match=what):
        study(np.zeros(shape, dtype=np.int64))


# The analysis of variance


@given(tables(least_people=2))
def test_squares_agree_with_the_textbook_formula(table: Table) -> None:
    found = by_variance(study(table))
    assert found.appraisers is not None
    assert found.interaction is not None
    y = table.astype(float) - 25e6
    p, a, r = y.shape
    grand, by_p, by_a, cell = y.mean(), y.mean((1, 2)), y.mean((0, 2)), y.mean(2)
    expected = [
        a * r * ((by_p - grand) ** 2).sum(),
        p * r * ((by_a - grand) ** 2).sum(),
        r * ((cell - by_p[:, None] - by_a[None, :] + grand) ** 2).sum(),
        ((y - cell[:, :, None]) ** 2).sum(),
    ]

    ours = [found.parts, found.appraisers, found.interaction.squares, found.repeats]
    assert [float(each.sum_nm2) for each in ours] == pytest.approx(expected, rel=1e-9, abs=1e3)
    assert sum(each.sum_nm2 for each in ours) == found.total.sum_nm2
    assert sum(each.dof for each in ours) == found.total.dof


@given(tables(least_people=2))
def test_interaction_is_pooled_exactly_where_chance_gives_it_one_time_in_four(
    table: Table,
) -> None:
    interaction = by_variance(study(table)).interaction
    assert interaction is not None
    if math.isinf(interaction.ratio):
        assert not interaction.is_pooled
        return
    repeats = by_variance(study(table)).repeats

    expected = stats.f.sf(interaction.ratio, interaction.squares.dof, repeats.dof)
    assert interaction.chance == pytest.approx(expected, rel=1e-7, abs=1e-12)
    assert interaction.is_pooled is (interaction.chance > 0.25)
    if interaction.ratio != pytest.approx(interaction.critical, rel=1e-9):
        assert interaction.is_pooled is (interaction.ratio < interaction.critical)


@given(tables())
def test_no_component_is_negative_and_what_was_set_to_zero_is_said(table: Table) -> None:
    found = work_out(study(table), unit=LengthUnit.MM)
    for variation in found.variations:
        parts = {
            "between people": variation.people1_nm,
            "people by parts": variation.interaction1_nm,
            "between parts": variation.parts1_nm,
        }

        assert all(value is None or value >= 0 for value in parts.values())
        assert all(parts[name] == 0 for name in variation.zeroed)
        assert variation.total1_nm >= variation.gauge1_nm >= variation.repeats1_nm


def test_people_who_differ_less_than_their_repeats_do_not_differ() -> None:
    """Both see 10 and 20 in turn: no mean differs, and a negative variance would come out."""
    table = np.array([[[10, 20], [20, 10]], [[20, 10], [10, 20]]], dtype=np.int64) * 1000
    found = work_out(study(table), unit=LengthUnit.MM)

    assert [each.people1_nm for each in found.variations] == [0.0, 0.0]
    assert [each.zeroed for each in found.variations] == [
        ("between people",),
        ("between people", "between parts"),
    ]


def test_people_who_differ_on_one_part_only_are_told_apart() -> None:
    table = np.array(
        [[[100, 101], [100, 101]], [[200, 201], [200, 201]], [[300, 301], [350, 351]]],
        dtype=np.int64,
    )
    found = by_variance(study(table * 1000))
    assert found.interaction is not None

    assert not found.interaction.is_pooled
    assert found.error is found.repeats
    assert found.variation.interaction1_nm > found.variation.repeats1_nm


# Both methods


@given(tables(), st.randoms(use_true_random=False))
def test_order_of_the_rows_does_not_matter(table: Table, random: Random) -> None:
    rows = readings(table)
    shuffled = list(rows)
    random.shuffle(shuffled)

    one, other = (work_out(crossed(each), unit=LengthUnit.MM) for each in (rows, shuffled))
    for mine, its in zip(one.variations, other.variations, strict=True):
        assert figures(mine) == pytest.approx(figures(its), rel=1e-12, abs=1e-9)


def figures(variation: object) -> list[float]:
    names = ("repeats1_nm", "people1_nm", "interaction1_nm", "parts1_nm", "gauge1_nm")
    return [getattr(variation, name) or 0.0 for name in names]


@given(tables(), st.integers(-10_000_000, 10_000_000))
def test_a_gauge_that_reads_all_parts_too_large_looks_the_same(table: Table, by: int) -> None:
    for method in (by_ranges, by_variance):
        plain, shifted = (method(study(each)).variation for each in (table, table + by))

        assert figures(shifted) == figures(plain)


def test_one_appraiser_says_nothing_of_people() -> None:
    found = work_out(study(np.array([[[1, 3]], [[9, 7]]], dtype=np.int64)), unit=LengthUnit.MM)

    assert found.anova.appraisers is None
    assert found.anova.interaction is None
    assert [each.people1_nm for each in found.variations] == [None, None]


def test_constants_end_somewhere_and_the_other_method_goes_on() -> None:
    many = study(np.arange(26 * 2, dtype=np.int64).reshape(26, 1, 2))
    found = work_out(many, unit=LengthUnit.MM)

    assert "25 parts" in no_ranges_because(many)
    assert found.ranges is None
    assert found.worst is found.anova.variation


def test_where_methods_differ_the_worse_counts() -> None:
    rng = np.random.default_rng(7)
    table = rng.integers(0, 500, (6, 3, 3)) + 1000 * np.arange(6)[:, None, None]
    found = work_out(
        study(table), unit=LengthUnit.MM, tolerance=parse_length("0.02 mm", declared=None)
    )

    assert found.worst.gauge1_nm == max(each.gauge1_nm for each in found.variations)
    assert found.categories == min(numbers(found))
    assert found.share_of_tolerance == pytest.approx(6 * found.worst.gauge1_nm / 20_000)
    assert found.proves_from_nm > 1.645 * found.worst.gauge1_nm


def test_few_people_say_little_of_people() -> None:
    """Two appraisers far apart: one degree of freedom, and Student's factor is 6.31."""
    table = np.array([[[0, 1], [5000, 5001]], [[9000, 9001], [14000, 14001]]], dtype=np.int64)
    found = work_out(study(table), unit=LengthUnit.MM)

    assert found.gauge_dof == pytest.approx(1, abs=1e-3)
    assert found.proven_factor == pytest.approx(6.31, abs=0.01)


def numbers(found: GaugeStudy) -> Iterable[int]:
    return [each.categories for each in found.variations if each.categories is not None]


def test_a_gauge_that_shows_no_scatter_has_no_number_of_categories() -> None:
    same = np.repeat(np.array([[1000], [2000]], dtype=np.int64), 4, axis=1).reshape(2, 2, 2)
    found = work_out(study(same), unit=LengthUnit.MM)

    assert found.categories is None
    assert found.worst.gauge1_nm == 0
