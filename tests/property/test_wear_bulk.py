"""Many lives at once get what each would get alone, whatever is wrong with some of them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import astuple, replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from brakelog.wear.acceleration import last_interval
from brakelog.wear.bulk import forecast as bulk
from brakelog.wear.bulk.beliefs import beliefs_of
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.lives import lives_of
from brakelog.wear.bulk.project import project_many
from brakelog.wear.crossing import Z90, Z95
from brakelog.wear.experience import Experience, WearKind, general_experience
from brakelog.wear.forecast import Forecast, forecast
from brakelog.wear.history import History
from brakelog.wear.life import PartLife
from brakelog.wear.projecting import project
from brakelog.wear.projection import Projection
from brakelog.wear.rate import OUTLIER_Z, screen
from tests.property.wear_lives import (
    BACK_TESTED,
    EXPERIENCES,
    hostile_histories,
    nasty_lives,
    worn_lives,
)

GENERAL = general_experience(WearKind.FRONT_LINING, new_mm=11.0, limit_mm=3.0)
SAME = 1e-9
"""Relative difference that rounding alone may make. [-]"""

SAID = ("refusal", "notes", "flagged", "unresolved", "readings_used", "experience")
"""What must be the same to the letter."""


def _all(found: Projection) -> list[int | float | None]:
    return [
        found.at_least_mm,
        found.median_mm,
        found.latest_mm,
        found.d05_mm,
        found.d95_mm,
        found.rate_nm_per_1000km,
        found.own_share,
        found.from_odometer_mm,
        found.uncapped_at_least_mm,
        found.typical_mm,
        found.centre_mm,
    ]


def _assert_same(many: Projection, alone: Projection) -> None:
    for name in SAID:
        assert getattr(many, name) == getattr(alone, name), name
    # One millimetre of slack, because distances are rounded down to whole ones.
    assert _all(many) == [
        each if each is None else pytest.approx(each, rel=SAME, abs=1) for each in _all(alone)
    ]


@settings(deadline=None)
@given(st.lists(st.tuples(worn_lives() | nasty_lives(), EXPERIENCES | BACK_TESTED), max_size=5))
def test_many_lives_are_projected_as_each_alone(
    shop: list[tuple[PartLife, Experience]],
) -> None:
    many = project_many([life for life, _ in shop], [experience for _, experience in shop])

    assert len(many) == len(shop)
    for found, (life, experience) in zip(many, shop, strict=True):
        _assert_same(found, project(life, experience))


@settings(deadline=None)
@given(worn_lives(), st.sampled_from(WearKind), st.booleans())
def test_a_drum_is_projected_among_others_as_alone(
    life: PartLife, kind: WearKind, is_learned: bool
) -> None:
    assert life.limit_nm is not None
    experience = replace(GENERAL, lives_behind=40.0) if is_learned else GENERAL
    drum = replace(
        life,
        kind=kind,
        grows=True,
        start=life.start and replace(life.start, size_nm=-life.start.size_nm),
        readings=tuple(replace(each, value_nm=-each.value_nm) for each in life.readings),
        limit_nm=-life.limit_nm,
        new_nm=None,
    )
    many = project_many([life, drum, life], [experience] * 3)

    _assert_same(many[1], project(drum, experience))
    assert many[0] == many[2]


def _alone(history: History, experience: Experience) -> tuple[Forecast, bool]:
    """Forecast of one history, the last interval deciding if it is faster."""
    usual = forecast(history, experience, screen(history, experience))
    interval = last_interval(history, experience.believed_c)
    if interval is None:
        return usual, False
    latest = forecast(interval, experience, screen(interval, experience))
    return replace(
        latest,
        d05=min(usual.d05, latest.d05),
        d10=min(usual.d10, latest.d10),
        d50=min(usual.d50, latest.d50),
    ), True


def _is_at_a_border(history: History, experience: Experience) -> bool:
    """Whether a last bit decides if a reading is an outlier, or which of two is the worst."""
    sizes = sorted(abs(each) for each in screen(history, experience).innovations)
    return any(abs(each - OUTLIER_Z) < 1e-6 for each in sizes) or any(
        larger > OUTLIER_Z and larger - size < 1e-6 * larger for size, larger in pairwise(sizes)
    )


@settings(deadline=None)
@given(st.lists(st.tuples(hostile_histories(), BACK_TESTED), max_size=5))
def test_many_histories_are_forecast_as_each_alone(
    shop: list[tuple[History, Experience]],
) -> None:
    assume(not any(_is_at_a_border(*each) for each in shop))
    experiences = [experience for _, experience in shop]
    found = forecast_many(lives_of([history for history, _ in shop]), beliefs_of(experiences))

    for n, (history, experience) in enumerate(shop):
        screening = screen(history, experience)
        innovations = found.screenings.innovations[: len(history.visits), n]
        flagged = found.screenings.flagged[n]
        assert innovations == pytest.approx(screening.innovations, rel=1e-9, abs=1e-9)
        assert found.screenings.rate[n] == pytest.approx(screening.rate, rel=SAME)
        assert (None if flagged < 0 else flagged) == screening.flagged

        alone, is_accelerating = _alone(history, experience)
        many = [each[n] for each in (found.d05, found.d10, found.d50, found.d90, found.d95)]
        assert bool(found.accelerating[n]) == is_accelerating
        assert many == pytest.approx(
            [alone.d05, alone.d10, alone.d50, alone.d90, alone.d95], rel=SAME, abs=SAME
        )
        assert [getattr(found.estimates, each)[n] for each in ESTIMATE] == pytest.approx(
            astuple(alone.estimate), rel=SAME, abs=SAME
        )


ESTIMATE = ("log_rate", "log_rate_u1", "margin_mm", "lean", "margin_var")


@settings(deadline=None)
@given(
    st.lists(st.tuples(hostile_histories(), BACK_TESTED), min_size=1, max_size=5),
    st.permutations([-Z95, -Z90, -0.5, 0.0, 0.5, Z90, Z95]),
)
def test_distances_come_in_the_order_of_their_levels(
    shop: list[tuple[History, Experience]], levels: Sequence[float]
) -> None:
    lives = lives_of([history for history, _ in shop])
    beliefs = beliefs_of([experience for _, experience in shop])
    found = forecast_many(lives, beliefs, levels=levels)

    assert np.array_equal(found.at(0.0), found.d50)
    # Where wear accelerates the lower bounds are those of two forecasts.
    steady = ~found.accelerating
    for lower, higher in pairwise(sorted(levels)):
        assert (found.at(lower) <= found.at(higher))[steady].all()


@settings(deadline=None)
@given(st.lists(st.tuples(hostile_histories(), BACK_TESTED), max_size=6), st.integers(1, 4))
def test_it_does_not_matter_which_lives_are_worked_on_together(
    shop: list[tuple[History, Experience]], size: int
) -> None:
    lives = lives_of([history for history, _ in shop])
    beliefs = beliefs_of([experience for _, experience in shop])
    whole = forecast_many(lives, beliefs)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bulk, "CHUNK", size)
        pieces = forecast_many(lives, beliefs)

    assert np.array_equal(whole.accelerating, pieces.accelerating)
    assert np.array_equal(whole.screenings.flagged, pieces.screenings.flagged)
    assert pieces.distances == pytest.approx(whole.distances, rel=1e-12)


@settings(deadline=None)
@given(st.lists(st.tuples(hostile_histories(), BACK_TESTED), min_size=1, max_size=6))
def test_what_lies_past_the_last_visit_of_a_life_is_not_looked_at(
    shop: list[tuple[History, Experience]],
) -> None:
    lives = lives_of([history for history, _ in shop])
    beliefs = beliefs_of([experience for _, experience in shop])
    past = np.arange(lives.most_visits)[:, None] >= lives.visits
    rubbish = replace(
        lives,
        x=np.where(past, math.nan, lives.x),
        visit_margin_mm=np.where(past, math.nan, lives.visit_margin_mm),
        visit_u1_mm=np.where(past, math.nan, lives.visit_u1_mm),
    )

    assert np.array_equal(
        forecast_many(rubbish, beliefs).distances, forecast_many(lives, beliefs).distances
    )


def test_a_level_that_was_not_asked_for_is_not_made_up() -> None:
    found = forecast_many(lives_of([]), beliefs_of([]), levels=(-Z90, Z90))

    assert found.d10.shape == found.d50.shape == (0,)
    with pytest.raises(ValueError, match="tuple"):
        _ = found.d05


def test_there_must_be_one_experience_for_each_life() -> None:
    with pytest.raises(ValueError, match="zip"):
        project_many([], [GENERAL])


def test_the_hostile_histories_reach_every_branch() -> None:
    reached = set()

    @settings(deadline=None)
    @given(hostile_histories(), BACK_TESTED)
    def look(history: History, experience: Experience) -> None:
        flagged = screen(history, experience).flagged
        if flagged is not None:
            reached.add("last" if flagged == len(history.visits) - 1 else "earlier")
        if last_interval(history, experience.believed_c) is not None:
            reached.add("accelerating")

    look()

    assert reached == {"last", "earlier", "accelerating"}
