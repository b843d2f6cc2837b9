"""Repeatability by level of time: within an hour, from day to day, from run to run.

What repeats within one sitting do not show comes out when the same standard is read again on other
days and in other weeks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from brakelog.metrology.budget import Deviation, deviation, pooled


def level_1(repeats: Iterable[Deviation]) -> Deviation:
    """Return the standard deviation of one reading among repeats of one sitting.

    Parameters
    ----------
    repeats : iterable of Deviation
        Of every sitting, its standard deviation and degrees of freedom.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 2.4.4 and 2.6.1.
    """
    return pooled(repeats)


def level_2(days: Iterable[Sequence[float]]) -> Deviation:
    """Return the standard deviation of a day's mean from day to day.

    Parameters
    ----------
    days : iterable of sequence of float
        Of every standard (or run), the means of its days. [any unit]
    """
    return pooled(deviation(means) for means in days)


def level_3(runs: Iterable[Sequence[float]]) -> Deviation:
    """Return the standard deviation of a run's mean from run to run.

    Parameters
    ----------
    runs : iterable of sequence of float
        Of every standard, the means of its runs. [any unit]
    """
    return pooled(deviation(means) for means in runs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """The three levels of one gauge, and what each adds to the one below."""

    level_1: Deviation
    level_2: Deviation
    level_3: Deviation
    repeats: int
    """Readings in a day's mean. [-]"""
    days: int
    """Days in a run's mean. [-]"""

    @property
    def days1(self) -> float:
        """What days add beyond repeats; 0 where it is lost in them. [unit of the readings]"""
        return _beyond(self.level_2.s1, self.level_1.s1, self.repeats)

    @property
    def runs1(self) -> float:
        """What runs add beyond days; 0 where it is lost in them. [unit of the readings]"""
        return _beyond(self.level_3.s1, self.level_2.s1, self.days)

    @property
    def reading1(self) -> float:
        """Standard deviation of one reading over all three. [unit of the readings]"""
        return math.hypot(self.level_1.s1, self.days1, self.runs1)


def _beyond(level1: float, below1: float, count: int) -> float:
    return math.sqrt(max(level1**2 - below1**2 / count, 0.0))
