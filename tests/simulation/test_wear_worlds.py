"""How often the bound holds: what the page shows is what was counted, and today's code agrees."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.wear_worlds import PAGE, Cell, kept, tables, tried, with_tables
from tests.simulation.wear_trials import TRIALS, Trial

ALL = tuple(trial for trials in TRIALS.values() for trial in trials)
FEW_SHOPS = 2
BY_CHANCE = 0.08
"""Difference between 800 parts of two shops and the large run that chance may make. [-]

Six times the standard error of a share of 0.9 would be 0.06; shops differ beside that.
"""


@pytest.fixture(scope="module")
def counted() -> dict[str, list[Cell]]:
    return kept()


def test_the_page_shows_what_was_counted(counted: dict[str, list[Cell]]) -> None:
    page = Path(PAGE).read_text(encoding="utf-8")

    assert with_tables(page, counted) == page
    assert set(tables(counted)) == set(TRIALS)


@pytest.mark.parametrize("trial", ALL, ids=[each.name for each in ALL])
def test_a_small_count_of_today_agrees_with_the_page(
    trial: Trial, counted: dict[str, list[Cell]]
) -> None:
    for few, many in zip(tried(trial, FEW_SHOPS), counted[trial.name], strict=True):
        assert few.visits == many.visits
        assert few.bound_held / few.lives == pytest.approx(
            many.bound_held / many.lives, abs=BY_CHANCE
        )
        assert few.interval_held / few.lives == pytest.approx(
            many.interval_held / many.lives, abs=BY_CHANCE
        )


def _bounds(cells: list[Cell]) -> list[float]:
    """Shares of parts that reach the bound, in percent."""
    return [round(100.0 * each.bound_held / each.lives) for each in cells]


def test_the_bound_holds_where_the_page_says_that_it_does(
    counted: dict[str, list[Cell]],
) -> None:
    usual = [_bounds(counted[trial.name]) for trial in TRIALS["Gauges and scatter"]]

    assert min(map(min, usual)) == 88
    assert max(map(max, usual)) == 92
    assert min(min(_bounds(counted[each.name])) for each in TRIALS["What is not as assumed"]) >= 89


def test_it_fails_where_the_page_says_that_it_does(counted: dict[str, list[Cell]]) -> None:
    thicker, believed, _, unlearned, learned = (
        _bounds(counted[each.name]) for each in TRIALS["Where it is weak"]
    )
    far = [100.0 * each.far_held / each.far for each in counted["lining, read to 0.2 mm"][:3]]
    _, coarse = (counted[each.name][0] for each in TRIALS["Close to the limit"])

    assert (thicker[0], thicker[-1], believed[0]) == (79, 90, 85)
    assert min(unlearned) == 80
    assert min(learned) == 88
    assert [round(each) for each in far] == [88, 86, 83]
    assert round(100.0 * coarse.told_held / coarse.told) == 87
