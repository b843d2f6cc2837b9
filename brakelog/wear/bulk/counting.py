"""How much is on record of each group of lives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.grouping import Grouping, Level
from brakelog.wear.bulk.lives import Counts, Floats
from brakelog.wear.experience import VEHICLE_SHARE
from brakelog.wear.experiences import Group


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupCount:
    """What is on record of one group, for a report.

    Parameters
    ----------
    group
        The group.
    lives
        Part lives in it. [-]
    visits
        Readings of those after the start. [-]
    vehicles
        Vehicles that they were on. [-]
    independent
        Lives on a vehicle each that would say as much: four linings of one driver agree. [-]
    """

    group: Group
    lives: int
    visits: int
    vehicles: int
    independent: float


def counted(
    grouping: Grouping, levels: Sequence[Level], visits: Counts, vehicles: Counts
) -> tuple[GroupCount, ...]:
    """Count lives, visits and vehicles of every group that has any, the wide groups first.

    Parameters
    ----------
    grouping
        The narrowest group of each life, one life at least.
    levels
        Its levels.
    visits
        Number of visits of each life. [-]
    vehicles
        A number for the vehicle of each life, from 0. [-]
    """
    narrow = len(grouping.groups)
    visits = np.bincount(grouping.codes, visits, narrow)
    # A vehicle and a group in one number, the parts of a wide group side by side: one sort
    # does for every level.
    order = np.lexsort([level.table for level in reversed(levels)])
    place = np.empty(narrow, dtype=np.int64)
    place[order] = np.arange(narrow)
    key = np.sort(vehicles * narrow + place[grouping.codes])
    first = _first_of_each(key)
    lives = np.diff(first, append=len(key))
    vehicle = key[first] // narrow
    code = order[key[first] - vehicle * narrow]
    found = []
    for level in levels:
        is_in, count = level.table >= 0, len(level.groups)
        its = np.flatnonzero(level.table[code] >= 0)
        wide = level.table[code[its]]
        first = _first_of_each(vehicle[its] * count + wide)
        wide, together = wide[first], np.add.reduceat(lives[its], first)
        found += [
            GroupCount(
                group=group, lives=int(some), visits=int(their), vehicles=on, independent=alone
            )
            for group, some, their, on, alone in zip(
                level.groups,
                np.bincount(wide, together, count).tolist(),
                np.bincount(level.table[is_in], visits[is_in], count).tolist(),
                np.bincount(wide, minlength=count).tolist(),
                np.bincount(wide, _independent(together), count).tolist(),
                strict=True,
            )
            if on
        ]
    return tuple(found)


def _independent(together: Counts) -> Floats:
    """How many lives of one vehicle count as, when their rates share most of their variance."""
    return together / (1.0 + (together - 1.0) * VEHICLE_SHARE)


def _first_of_each(ordered: Counts) -> Counts:
    """Where each number begins among numbers in order, none of them negative."""
    return np.flatnonzero(np.diff(ordered, prepend=-1))
