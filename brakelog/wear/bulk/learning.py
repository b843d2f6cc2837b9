"""The experience of a shop, learned from the part lives it has on record."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.counting import GroupCount, counted
from brakelog.wear.bulk.grouping import Grouping, evenly
from brakelog.wear.bulk.likelihood import rate_likelihoods
from brakelog.wear.bulk.lives import Bools, Counts, Floats, Lives
from brakelog.wear.bulk.moments import SETTLED, Moments, medians
from brakelog.wear.bulk.population import LIVES_BEFORE, Populations, populations, seen_in
from brakelog.wear.bulk.process import process_constants
from brakelog.wear.experience import LOG_SD, PROCESS_C, Experience, WearKind
from brakelog.wear.experiences import Experiences, Group

TURNS = 3
"""Times that rates and population are found in turn. [-]

Assumption: found by trial; the scatter of a rate depends but little on the usual rate.
"""

TURNS_BELOW = 2
"""The same for a class or a model. [-]

Assumption: the search starts from what is believed of the wider group.
"""

ENOUGH_OF_A_KIND = 10.0
"""Effective lives from which a class of vehicles or a model has an experience of its own. [-]

Assumption: with fewer, the wider group knows better.
"""

UNLIKE = 1.2815515655446004
"""Standard errors by which the few lives of a class or model must wear faster than the wider group
does to be believed all the same. [-]

The quantile of the normal distribution for one in ten, as of every bound that is stated: a wider
group that these parts do not belong to would promise them too much. Assumption: one group in ten
that is like the others is taken for one that is not, and its parts are then looked at too early.
Whether it wears slower is not asked: to believe that costs safety.
"""

MOST_LIVES = 5_000
"""Lives of one group that are looked at; of a larger one an even selection. [-]

Assumption: they tell median and spread to one percent, several times better than the method is.
"""

ROUGHLY = 1e-2
"""Relative change from which a population is left alone while its rates will be found again. [-]

Assumption: the scatter of a rate depends but little on the usual rate.
"""

ROUGH_LIVES = 100
"""Lives of one group that are looked at while its rates will be found again. [-]

Assumption: they tell the usual rate to five percent, and the scatter depends but little on it.
"""

CHUNK = 16_384
"""Lives that are worked on together. [-]

Assumption: found by trial; their arrays stay in the cache of a processor core.
"""

_PARTS = {
    WearKind.FRONT_LINING: ("front linings", "front linings"),
    WearKind.REAR_LINING: ("rear linings", "rear linings"),
    WearKind.ROTOR: ("front rotors", "rear rotors"),
    WearKind.SHOE: ("front shoes", "rear shoes"),
    WearKind.DRUM: ("front drums", "rear drums"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What a shop has learned.

    Parameters
    ----------
    experiences
        The experience of every group that has one.
    counts
        What every group has on record, with or without an experience, wide groups first.
    """

    experiences: Experiences
    counts: tuple[GroupCount, ...]


def learn(
    lives: Lives, grouping: Grouping, *, general_log_rate: Floats, vehicles: Counts
) -> Learned:
    """Learn the experience of a shop from its part lives, finished and running alike.

    Parameters
    ----------
    lives
        The lives, without those that have an open question.
    grouping
        The narrowest group of each.
    general_log_rate
        Logarithm of the median rate that general experience gives each, shape (N,). [-]
    vehicles
        A number for the vehicle of each, from 0, shape (N,). [-]

    Notes
    -----
    From wide groups to narrow ones, each starting from what the wider one believes. The variance
    of a life's rate is taken at the rate of its group, never at its own: a life that seemed slow
    would look certain, and pull the group down.

    A class or model has an experience of its own from ``ENOUGH_OF_A_KIND`` lives, and with fewer
    where they wear faster than the wider group by more than chance explains: then with a spread no
    narrower than that of the wider group, so that nothing is promised later than by that.
    """
    is_told = _has_driven(lives)
    if not is_told.all():
        lives, grouping = lives.part(is_told), grouping.part(is_told)
        general_log_rate, vehicles = general_log_rate[is_told], vehicles[is_told]
    if not lives.count:
        return Learned(experiences=Experiences(), counts=())
    levels = grouping.levels()
    counts = counted(grouping, levels, lives.visits, vehicles)
    share = {each.group: each.independent / each.lives for each in counts}
    believed: dict[Group, Experience] = {}
    own: dict[Group, Experience] = {}
    for depth, level in enumerate(levels):
        groups, codes = level.groups, level.table[grouping.codes]
        which = evenly(codes, MOST_LIVES)
        some, code = _selected(lives, codes, which)
        if depth == 0:
            before = _general(groups, code, general_log_rate[which])
            constants = process_constants(some, code, _array(before, "process_c"))
        else:
            before = [believed[group.above] for group in groups if group.above]
            constants = _array(before, "process_c")
        counts_as = np.array([share.get(group, 1.0) for group in groups])
        turns = TURNS if depth == 0 else TURNS_BELOW
        found = _level(some, code, before, constants, counts_as, turns)
        least = ENOUGH_OF_A_KIND if depth else 0.0
        for place, group in enumerate(groups):
            believed[group] = before[place]
            lives_behind = float(found.lives_behind[place])
            log_rate, log_sd = float(found.log_rate[place]), float(found.log_sd[place])
            if lives_behind <= least:
                above = before[place]
                if not _wears_faster(above, log_rate, lives_behind):
                    continue
                # A few tell that they wear faster, not that they are alike: with a narrower spread
                # a part that wears faster still would be promised more than by the wider group.
                # That group's lives stay behind it, and these are some of them.
                log_sd = max(log_sd, above.log_sd)
                lives_behind = max(lives_behind, above.lives_behind)
            believed[group] = own[group] = Experience(
                log_rate=log_rate,
                log_sd=log_sd,
                process_c=float(constants[place]),
                lives_behind=lives_behind,
                source=source_of(group),
            )
    return Learned(experiences=Experiences(by_group=own), counts=counts)


def _wears_faster(above: Experience, log_rate: float, lives_behind: float) -> bool:
    """Whether a group wears faster than the wider one by more than chance explains.

    Parameters
    ----------
    above
        What is believed of the wider group.
    log_rate
        Logarithm of the median rate, the group's own lives joined with what is believed above.
    lives_behind
        Effective number of its own lives. [-]
    """
    if lives_behind <= 0.0:
        return False
    # Joining has pulled the lives' own median towards the one above by the weight of that.
    faster = (log_rate - above.log_rate) * (LIVES_BEFORE + lives_behind) / lives_behind
    return faster > UNLIKE * above.log_sd / math.sqrt(lives_behind)


def source_of(group: Group) -> str:
    """Return where the experience of a group comes from, in plain words."""
    words = f"this shop's {_PARTS[group.kind][0 if group.axle == 1 else 1]}"
    if group.model:
        return f"{words} of model {group.model}"
    if group.vehicle_class:
        return f"{words} of class {group.vehicle_class}"
    return words


def _has_driven(lives: Lives) -> Bools:
    """Whether a life has a reading after its start, and farther on."""
    if not lives.most_visits:
        return np.zeros(lives.count, dtype=np.bool_)
    last = np.maximum(lives.visits - 1, 0), np.arange(lives.count)
    driven: Bools = (lives.visits > 0) & (lives.x[last] > 0.0)
    return driven


def _general(groups: Sequence[Group], codes: Counts, log_rate: Floats) -> list[Experience]:
    """General experience of each group: the median of that of its lives."""
    return [
        Experience(
            log_rate=float(middle),
            log_sd=LOG_SD[group.kind],
            process_c=PROCESS_C,
            lives_behind=0.0,
            source="general experience",
        )
        for group, middle in zip(groups, medians(log_rate, codes, len(groups)), strict=True)
    ]


def _array(experiences: Sequence[Experience], name: str) -> Floats:
    return np.array([getattr(each, name) for each in experiences], dtype=np.float64)


def _level(
    lives: Lives,
    codes: Counts,
    before: Sequence[Experience],
    constants: Floats,
    counts_as: Floats,
    turns: int,
) -> Populations:
    """What is believed of each group of one level, rates and population found in turn."""
    above = found = Populations(
        log_rate=_array(before, "log_rate"),
        log_sd=_array(before, "log_sd"),
        lives_behind=np.zeros(len(before)),
    )
    seen: Moments | None = None
    which = evenly(codes, ROUGH_LIVES)
    some, code = _selected(lives, codes, which)
    for turn in range(turns):
        is_last = turn == turns - 1
        if is_last:
            some, code = lives, codes
        rates, variances = _rates(some, code, constants, np.exp(found.log_rate))
        seen = seen_in(
            rates,
            variances,
            code,
            above,
            counts_as=counts_as,
            start=seen,
            settled=SETTLED if is_last else ROUGHLY,
        )
        found = populations(seen, above)
    return found


def _selected(lives: Lives, codes: Counts, which: Counts) -> tuple[Lives, Counts]:
    """Return some of the lives with their groups, as they are where it is all of them."""
    return (lives, codes) if len(which) == len(codes) else (lives.part(which), codes[which])


def _rates(
    lives: Lives, codes: Counts, constants: Floats, process_rate: Floats
) -> tuple[Floats, Floats]:
    """Most likely rate of each life by its own readings, and its variance."""
    rates, variances = np.empty(lives.count), np.empty(lives.count)
    for begin in range(0, lives.count, CHUNK):
        chunk = slice(begin, begin + CHUNK)
        code = codes[chunk]
        found = rate_likelihoods(
            lives.part(chunk), process_c=constants[code], process_rate=process_rate[code]
        )
        np.divide(1.0, found.information, out=variances[chunk])
        np.multiply(found.score, variances[chunk], out=rates[chunk])
    return rates, variances
