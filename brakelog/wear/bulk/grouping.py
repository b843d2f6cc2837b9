"""Which of many lives belong to which group, at every level of the groups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brakelog.wear.bulk.lives import Bools, Counts
from brakelog.wear.experiences import Group

LEVELS = 3
"""Component and axle, class of vehicle, model of a class. [-]"""

FULL_TURN = 2.0**32 - 1.0
"""Largest whole number of 32 bits. [-]"""

GOLDEN = (5.0**0.5 - 1.0) / 2.0
"""Golden section: its multiples spread most evenly between whole numbers. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """The groups that have as many groups above them.

    Parameters
    ----------
    groups
        Every group of that level, once.
    table
        Place in them of each narrowest group; -1 of one that is wider than that level. [-]
    """

    groups: tuple[Group, ...]
    table: Counts


@dataclass(frozen=True, slots=True, kw_only=True)
class Grouping:
    """The narrowest group of each of N lives.

    Parameters
    ----------
    groups
        Every group that occurs, once.
    codes
        Place of the group of each life in them, shape (N,). [-]
    """

    groups: tuple[Group, ...]
    codes: Counts

    def part(self, which: Bools | Counts) -> Grouping:
        """Return the groups of some of the lives."""
        return Grouping(groups=self.groups, codes=self.codes[which])

    def levels(self) -> tuple[Level, ...]:
        """Return components and axles, what is part of them, and what is part of that.

        Only those that occur. A model whose class nobody has named stands beside the classes.
        """
        places: list[dict[Group, int]] = [{} for _ in range(LEVELS)]
        tables = np.full((LEVELS, len(self.groups)), -1, dtype=np.int64)
        for row, group in enumerate(self.groups):
            for depth, each in enumerate(lineage(group)):
                tables[depth, row] = places[depth].setdefault(each, len(places[depth]))
        return tuple(
            Level(groups=tuple(found), table=table)
            for found, table in zip(places, tables, strict=True)
            if found
        )


def grouping_of(groups: Sequence[Group]) -> Grouping:
    """Return the grouping of lives whose narrowest groups are given one by one."""
    places: dict[Group, int] = {}
    codes = np.fromiter(
        (places.setdefault(group, len(places)) for group in groups), np.int64, len(groups)
    )
    return Grouping(groups=tuple(places), codes=codes)


def evenly(codes: Counts, most: int) -> Counts:
    """Return the indices of lives of which no group has more than about ``most``.

    Parameters
    ----------
    codes
        Group of each life; one with -1 is left out.
    most
        Lives to keep of a larger group.

    Notes
    -----
    Which lives are kept depends on their order alone. They lie evenly, at a spacing that no
    whole number shares: every eighth life could be the same corner of every vehicle.
    """
    size = np.bincount(codes + 1)
    if not np.any(size[1:] > most):
        return np.flatnonzero(codes >= 0)
    share = np.minimum(most / np.maximum(size, 1), 1.0)
    place = np.arange(len(codes), dtype=np.uint32) * np.uint32(GOLDEN * FULL_TURN)
    is_kept = place <= (share * FULL_TURN).astype(np.uint32)[codes + 1]
    return np.flatnonzero(is_kept & (codes >= 0))


def lineage(group: Group) -> tuple[Group, ...]:
    """Return a group with all those it is a part of, the widest first."""
    line = [group]
    while (above := line[-1].above) is not None:
        line.append(above)
    return tuple(reversed(line))
