"""Many part lives side by side, as arrays that the method walks visit by visit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from brakelog.wear.history import History

Floats: TypeAlias = npt.NDArray[np.float64]
Counts: TypeAlias = npt.NDArray[np.int64]
Bools: TypeAlias = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lives:
    """N part lives with up to J visits each.

    Parameters
    ----------
    margin_mm
        Material above the limit at the start, shape (N,). [mm]
    u1_mm
        Standard uncertainty of it, shape (N,). [mm]
    visits
        Number of visits of each life, shape (N,). [-]
    x
        Distance of each visit since the start, shape (J, N), rising down a column; what lies
        past the last visit of a life is not looked at. [1000 km]
    visit_margin_mm
        Material read above the limit, shape (J, N). [mm]
    visit_u1_mm
        Standard uncertainty of it, above zero, shape (J, N). [mm]
    limit_u1_mm
        Standard uncertainty of the limit, shape (N,); none where it is a figure and not a
        reading, as in a back-test. [mm]
    """

    margin_mm: Floats
    u1_mm: Floats
    visits: Counts
    x: Floats
    visit_margin_mm: Floats
    visit_u1_mm: Floats
    limit_u1_mm: Floats | None = None

    @property
    def count(self) -> int:
        """Number of lives. [-]"""
        return int(self.margin_mm.shape[0])

    @property
    def most_visits(self) -> int:
        """Visits of the life that has most. [-]"""
        return int(self.x.shape[0])

    def part(self, which: slice | Bools | Counts) -> Lives:
        """Return some of the lives, with no more rows than their visits need."""
        visits = self.visits[which]
        most = int(visits.max(initial=0))
        return Lives(
            margin_mm=self.margin_mm[which],
            u1_mm=self.u1_mm[which],
            visits=visits,
            x=self.x[:most, which],
            visit_margin_mm=self.visit_margin_mm[:most, which],
            visit_u1_mm=self.visit_u1_mm[:most, which],
            limit_u1_mm=None if self.limit_u1_mm is None else self.limit_u1_mm[which],
        )


def lives_of(histories: Sequence[History]) -> Lives:
    """Return histories as arrays, in their order."""
    visits = np.array([len(each.visits) for each in histories], dtype=np.int64)
    rows = np.array(
        [
            (visit.x, visit.margin_mm, visit.u1_mm)
            for history in histories
            for visit in history.visits
        ],
        dtype=np.float64,
    ).reshape(-1, 3)
    return lives_from_rows(
        margin_mm=np.array([each.margin_mm for each in histories], dtype=np.float64),
        u1_mm=np.array([each.u1_mm for each in histories], dtype=np.float64),
        visits=visits,
        x=rows[:, 0],
        visit_margin_mm=rows[:, 1],
        visit_u1_mm=rows[:, 2],
    )


def lives_from_rows(
    *,
    margin_mm: Floats,
    u1_mm: Floats,
    visits: Counts,
    x: Floats,
    visit_margin_mm: Floats,
    visit_u1_mm: Floats,
) -> Lives:
    """Return lives from one row a visit, life after life, each in order of distance.

    Parameters
    ----------
    margin_mm, u1_mm, visits
        One value a life, as in ``Lives``.
    x, visit_margin_mm, visit_u1_mm
        One value a visit: the visits of the first life, then of the second, and so on.
    """
    count, most = len(visits), int(visits.max(initial=0))
    life = np.repeat(np.arange(count), visits)
    rank = np.arange(len(x)) - np.repeat(np.cumsum(visits) - visits, visits)
    padded = np.zeros((3, most, count))
    # A variance of one where there is no visit, so that nothing divides by zero there.
    padded[2] = 1.0
    for row, values in enumerate((x, visit_margin_mm, visit_u1_mm)):
        padded[row, rank, life] = values
    return Lives(
        margin_mm=margin_mm,
        u1_mm=u1_mm,
        visits=visits,
        x=padded[0],
        visit_margin_mm=padded[1],
        visit_u1_mm=padded[2],
    )
