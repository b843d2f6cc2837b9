"""How often what would have been stated held, over everything that is on record."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brakelog.wear.bulk.beliefs import Beliefs
from brakelog.wear.bulk.believed import believed
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.grouping import Grouping, evenly, lineage
from brakelog.wear.bulk.hits import HitRate, hit_rate
from brakelog.wear.bulk.learning import learn
from brakelog.wear.bulk.lives import Bools, Counts, Floats, Lives
from brakelog.wear.bulk.next_reading import NextReadings, first_visits, next_readings
from brakelog.wear.crossing import Z90, Z95
from brakelog.wear.experiences import Experiences, Group

ENOUGH_READINGS = 50
"""Readings from which a share is worth publishing. [-]

Assumption: with fewer its 95 % interval is wider than ten points either way.
"""

INTENDED = 0.90
"""Share of parts that are meant to go at least as far as the bound. [-]"""

FACTOR_RANGE = (0.5, 3.0)
"""Range in which a factor on what is stated is looked for. [-]

Assumption: the worst method errors that simulation has shown, a new thickness off by as much as
it may be, ask for not quite 2. What asks for more than 3 is no method error but mixed-up corners
or limits, which no factor puts right.
"""

FACTOR_LIVES = 5_000
"""Lives of one group that its factor is found from. [-]

Assumption: they tell it to one or two percent.
"""

HALVINGS = 12
"""Times that the range of a factor is halved. [-]

Assumption: to one in a thousand.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What the back-test of one group found.

    Parameters
    ----------
    group
        Component and axle; none for all of them together.
    lives, vehicles
        Part lives with readings that were predicted, and their vehicles. [-]
    bound
        How often the part went at least as far as the bound that 9 of 10 should reach.
    both
        How often the distance lay in the two-sided 90 % interval.
    median_error
        Middle of the relative errors of the median, whatever their sign. [-]
    factor
        By what the uncertainties would have to be multiplied for the bound to hold in 9 of 10;
        none where the share may be 9 of 10 as it is, or too few readings tell.
    """

    group: Group | None
    lives: int
    vehicles: int
    bound: HitRate
    both: HitRate
    median_error: float
    factor: float | None = None

    @property
    def is_enough(self) -> bool:
        """Whether there are readings enough to publish the shares."""
        return self.bound.count >= ENOUGH_READINGS

    @property
    def widened(self) -> float:
        """Factor that is applied: bounds found too cautious stay as they are. [-]"""
        return max(self.factor or 1.0, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class BackTest:
    """What a back-test found.

    Parameters
    ----------
    overall
        All groups together; none where nothing could be predicted.
    groups
        Each component and axle that something could be predicted of.
    """

    overall: Tried | None
    groups: tuple[Tried, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """Readings that came after the same number of visits, with what was known before."""

    ahead: NextReadings
    beliefs: Beliefs


def back_test(
    lives: Lives, grouping: Grouping, *, general_log_rate: Floats, vehicles: Counts
) -> BackTest:
    """Predict every reading after the first from those before it, and count what held.

    Parameters
    ----------
    lives, grouping, general_log_rate, vehicles
        As for ``learn``.

    Notes
    -----
    When would the wear reach the level that was read next? Its reading error is added to the
    uncertainty of the margin, because it is not the part's wear.

    A part is changed at the first reading at its limit, so that the last reading of a life that
    has ended is one before which it wore fast. Tested on last readings alone, the bound seems to
    hold for 92 of 100 simulated lives where the record is short, and for 85 where it is long;
    of all next readings it holds for 90 to 92 in both. Hence every reading is predicted that has
    one before it: whether it came about was settled before it, by the earlier one lying above
    the limit. For the same reason the experience behind a prediction is learned from all lives
    as they stood after as many visits, those that had ended by then whole: to cut the last
    reading off each would leave the slow ones. No reading is predicted with an experience that
    has seen it.

    What stays is a vehicle that comes because its brakes scrape: it is read when it is worn, and
    the bound holds less often than it does for vehicles that come when they are due.
    """
    rows = [
        _outcomes(step)
        for step in _steps(lives, grouping, general_log_rate=general_log_rate, vehicles=vehicles)
    ]
    if not sum(len(row.which) for row in rows):
        return BackTest(overall=None, groups=())
    found = _together(rows)
    top = grouping.levels()[0]
    codes = top.table[grouping.codes]
    tried = [
        _tried(group, found.part(codes[found.which] == code), vehicles)
        for code, group in enumerate(top.groups)
        if np.any(codes[found.which] == code)
    ]
    missed = {each.group for each in tried if each.is_enough and not each.bound.holds(INTENDED)}
    is_missed = np.array([group in missed for group in top.groups])
    which = evenly(np.where(is_missed[codes], codes, -1), FACTOR_LIVES)
    factors = _factors(
        lives.part(which),
        grouping.part(which),
        general_log_rate=general_log_rate[which],
        vehicles=vehicles[which],
    )
    return BackTest(
        overall=_tried(None, found, vehicles),
        groups=tuple(
            replace(each, factor=factors[each.group]) if each.group in missed else each
            for each in tried
        ),
    )


def widened(experiences: Experiences, test: BackTest) -> Experiences:
    """Return experiences that state as much less as a back-test asks for.

    Parameters
    ----------
    experiences
        What was learned, nothing widened yet.
    test
        What the back-test of the same lives found.
    """
    factors = {each.group: each.widened for each in test.groups}
    return Experiences(
        by_group={
            group: replace(each, widened=factors.get(lineage(group)[0], 1.0))
            for group, each in experiences.by_group.items()
        }
    )


def _steps(
    lives: Lives, grouping: Grouping, *, general_log_rate: Floats, vehicles: Counts
) -> Iterator[_Step]:
    """Every reading with one before it, by the number of visits before it."""
    for count in range(1, lives.most_visits):
        ahead = next_readings(lives, count)
        learned = learn(
            first_visits(lives, count),
            grouping,
            general_log_rate=general_log_rate,
            vehicles=vehicles,
        )
        which = ahead.which
        beliefs = believed(grouping.part(which), learned.experiences, general_log_rate[which])
        yield _Step(ahead=ahead, beliefs=beliefs)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outcomes:
    """What came of each prediction: its life, whether it held, and how far the median was off."""

    which: Counts
    bound: Bools
    both: Bools
    error: Floats

    def part(self, some: Bools) -> _Outcomes:
        return _Outcomes(
            which=self.which[some],
            bound=self.bound[some],
            both=self.both[some],
            error=self.error[some],
        )


def _outcomes(step: _Step) -> _Outcomes:
    gone = step.ahead.gone
    found = forecast_many(step.ahead.lives, step.beliefs, levels=(-Z95, -Z90, Z95))
    return _Outcomes(
        which=step.ahead.which,
        bound=gone >= found.d10,
        both=(gone >= found.d05) & (gone <= found.d95),
        error=np.abs(found.d50 - gone) / gone,
    )


def _together(rows: Sequence[_Outcomes]) -> _Outcomes:
    return _Outcomes(
        which=np.concatenate([row.which for row in rows]),
        bound=np.concatenate([row.bound for row in rows]),
        both=np.concatenate([row.both for row in rows]),
        error=np.concatenate([row.error for row in rows]),
    )


def _tried(group: Group | None, found: _Outcomes, vehicles: Counts) -> Tried:
    on = vehicles[found.which]
    return Tried(
        group=group,
        lives=len(np.unique(found.which)),
        vehicles=len(np.unique(on)),
        bound=hit_rate(found.bound, on),
        both=hit_rate(found.both, on),
        median_error=float(np.median(found.error)),
    )


def _factors(
    lives: Lives, grouping: Grouping, *, general_log_rate: Floats, vehicles: Counts
) -> dict[Group | None, float]:
    """Find the factor of each component and axle with which the bound holds as often as meant."""
    if not lives.count:
        return {}
    steps = list(_steps(lives, grouping, general_log_rate=general_log_rate, vehicles=vehicles))
    top = grouping.levels()[0]
    codes = top.table[grouping.codes]
    low, high = (np.full(len(top.groups), end) for end in FACTOR_RANGE)
    for _ in range(HALVINGS):
        middle = np.sqrt(low * high)
        held, count = np.zeros((2, len(middle)))
        for step in steps:
            code = codes[step.ahead.which]
            beliefs = replace(step.beliefs, widened=middle[code])
            found = forecast_many(step.ahead.lives, beliefs, levels=(-Z90,))
            held += np.bincount(code, step.ahead.gone >= found.d10, len(held))
            count += np.bincount(code, minlength=len(count))
        is_wide = held >= INTENDED * count
        low, high = np.where(is_wide, low, middle), np.where(is_wide, middle, high)
    return dict(zip(top.groups, high.tolist(), strict=True))
