"""How often a worn part passes, with every kind of gauge; counted on parts whose size is known.

The share that is bounded is one of all parts that are drawn, half of which are worn beyond their
limit. The bound is half of what the decision probability leaves, 0.025. Its statistical margin:
what is compared with it is the upper limit, at 99.9 %, of the share behind the count (Clopper and
Pearson), which for 2 of 1,000 parts is 0.009. The larger run that the page shows is done by hand.
"""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from scipy import stats

from brakelog.record.shop import Shop
from brakelog.rules.measure import Measure
from tests.simulation.counting import count_gauge, count_gauges, count_slips, trial
from tests.simulation.counts import Counted, Gauged, Slipped, kept
from tests.simulation.tables import tables
from tests.simulation.tasks import TASKS, Task
from tests.simulation.unsafe_errors import KEPT, PAGE

RISK = 1.0 - float(Shop().probability)
PARTS = 1_000
WITH_HISTORY = 100
CASES = 30
CONFIDENCE = 0.999
BY_CHANCE = 1e-6
"""Probability below which two counts are not of the same share; with hundreds of counts that are
compared, chance alone fails one run in thousands."""


@pytest.fixture(scope="module")
def counted() -> Counted:
    return Counted(
        parts=PARTS,
        with_history=WITH_HISTORY,
        cases=CASES,
        gauges=count_gauges(PARTS, WITH_HISTORY, say=silent),
        slips=count_slips(CASES, say=silent),
    )


def silent(text: str) -> None:
    """Say nothing of what is done."""


@pytest.fixture(scope="module")
def shown() -> Counted:
    return kept(json.loads(KEPT.read_text(encoding="utf-8")))


def at_most(count: int, whole: int) -> float:
    """Return the upper confidence limit of a share."""
    return float(stats.beta.ppf(CONFIDENCE, count + 1, whole - count)) if count < whole else 1.0


def test_with_every_gauge_a_worn_part_passes_less_often_than_half_the_risk(
    counted: Counted,
) -> None:
    for each in counted.gauges:
        if not each.with_history:
            assert at_most(each.out_reuse, each.parts) <= RISK / 2, each
            assert at_most(each.out_in, each.parts) <= RISK / 2, each


def test_a_history_lets_no_more_worn_parts_pass(counted: Counted) -> None:
    later = [each for each in counted.gauges if each.with_history]
    parts = sum(each.parts for each in later)

    assert at_most(sum(each.out_reuse for each in later), parts) <= RISK / 2
    assert at_most(sum(each.out_in for each in later), parts) <= RISK / 2


def test_with_a_slip_in_one_of_fifty_columns_the_risk_is_still_kept(counted: Counted) -> None:
    for each in counted.gauges:
        if not each.with_history:
            worn = each.out_reuse + each.slipped_out_reuse
            assert at_most(worn, each.all_parts) <= RISK, each


def test_what_proves_nothing_passes_no_lining(counted: Counted) -> None:
    unfit = [
        each
        for each in counted.gauges
        if "lining" in each.measure and each.gauge in ("by eye", "gauge not on file")
    ]

    assert len(unfit) == 4
    assert all(each.good_reuse == each.out_reuse == each.out_in == 0 for each in unfit)


def test_a_slip_at_one_point_of_a_rotor_passes_a_worn_one_no_more_often_than_none(
    counted: Counted,
) -> None:
    at_one = [
        each
        for each in counted.slips
        if each.slip.startswith("rotor") and each.slip.endswith(("one point", "one value"))
    ]

    assert len(at_one) == 14
    assert at_most(sum(each.unsafe for each in at_one), CASES * len(at_one)) <= RISK / 2


def test_a_lip_that_nobody_judged_passes_no_worn_rotor(counted: Counted) -> None:
    lips = [each for each in counted.slips if "tips not said" in each.slip or "judged" in each.slip]

    assert len(lips) == 4
    assert all(each.tried and not each.unsafe for each in lips)


def test_with_a_history_a_whole_rotor_that_reads_a_turn_high_passes_no_worn_one(
    counted: Counted,
) -> None:
    turned = [
        each
        for each in counted.slips
        if each.with_history and "all points" in each.slip and each.reads == "high"
    ]

    assert len(turned) == 2
    assert all(each.tried and not each.unsafe for each in turned)


@pytest.mark.parametrize("measure", [Measure.ROTOR_THICKNESS, Measure.THICKNESS_VARIATION])
def test_a_shop_that_took_even_odds_would_be_noticed(measure: Measure) -> None:
    """What the bound is worth: with no guard band the finest gauges break it."""
    task = next(each for each in TASKS if each.measure is measure)
    even = Shop(probability=Fraction(1, 2))
    bold = count_gauge(task, 400, with_history=False, shop=even)

    assert bold.unsafe > RISK / 2


@pytest.mark.parametrize("task", TASKS, ids=lambda task: f"{task.measure.value}, {task.name}")
def test_sizes_are_drawn_with_the_uncertainty_that_the_verdict_states(task: Task) -> None:
    """A warm rotor of 26.0 mm may read 26.01, which the program takes for the next millimetre."""
    stated_nm = trial(task, 0, with_history=False).end().judgement.u1_nm

    assert task.u1_nm == pytest.approx(stated_nm, rel=0.035)


# The page


def test_the_tables_of_the_page_are_those_of_the_run_that_is_kept(shown: Counted) -> None:
    page = PAGE.read_text(encoding="utf-8")
    for heading, table in tables(shown).items():
        _, _, section = page.partition(f"# {heading}\n")
        assert table in section.partition("\n#")[0], heading


def test_the_run_that_is_kept_says_what_the_program_does_today(
    counted: Counted, shown: Counted
) -> None:
    """The first parts of the larger run are counted again; chance is all that may differ."""
    assert len(shown.gauges) == len(counted.gauges)
    for mine, its in zip(counted.gauges, shown.gauges, strict=True):
        assert (mine.measure, mine.gauge, mine.with_history, mine.u1_nm, mine.out_when) == (
            its.measure,
            its.gauge,
            its.with_history,
            its.u1_nm,
            its.out_when,
        )
        for name in ("out", "out_reuse", "out_in", "good_condemned", "good_open", "good_reuse"):
            assert_alike(mine, its, name, mine.parts, its.parts)
    for one, other in zip(counted.slips, shown.slips, strict=True):
        assert (one.slip, one.reads) == (other.slip, other.reads)
        for name in ("caught", "harmless", "unsafe", "costly", "out_in"):
            assert_alike(one, other, name, one.tried, other.tried)


def assert_alike(
    mine: Gauged | Slipped, its: Gauged | Slipped, name: str, whole: int, its_whole: int
) -> None:
    count, its_count = getattr(mine, name), getattr(its, name)
    # Of what never happened in the larger run, one more case would have been no surprise.
    share = (its_count + 1) / (its_whole + 2)
    assert stats.binomtest(count, whole, share).pvalue > BY_CHANCE, (
        f"{name} {count} of {whole}, and {its_count} of {its_whole} on the page: {mine}; "
        "run tests/simulation/unsafe_errors.py --write"
    )


def test_the_page_counts_as_many_parts_as_it_says(shown: Counted) -> None:
    page = PAGE.read_text(encoding="utf-8")

    assert f"{shown.parts:,} parts for each gauge" in page
    assert f"{shown.with_history:,} with a history" in page
    assert f"{shown.cases:,} cases of each slip" in page
