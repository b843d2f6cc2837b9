"""How far one reading repeats: the trade's default until the shop has shown its own."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

ENOUGH_PAIRS = 30
"""Repeated readings from which a shop's own figure stands alone: a standard deviation from 30
degrees of freedom is known to 13 % (JCGM 100:2008, table E.1). [-]"""


LEAST_OF_DEFAULT = 0.5
"""Share of the trade's figure below which a shop's own is not believed: repeats that agree better
than trained hands do say more about how they were taken. Assumption. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeatability:
    """Standard deviation of one reading, repeated by the same person with the same gauge."""

    s_nm: float
    """[nm]"""
    pairs: int
    """Own pairs of readings behind it; 0 for the default alone. [-]"""

    @property
    def dof(self) -> int:
        """Degrees of freedom; before there are enough pairs the default stands for the rest."""
        return max(self.pairs, ENOUGH_PAIRS)


def repeatability_from(pairs: Iterable[tuple[int, int]], default_s_nm: float) -> Repeatability:
    """Return the repeatability that pairs of readings of one place show.

    Parameters
    ----------
    pairs : iterable of (int, int)
        Two readings of the same point, taken apart from each other: the first point of a set and
        the same point read once more at its end. [nm]
    default_s_nm : float
        What such gauges do in trained hands (``default_repeatability_nm``). [nm]

    Returns
    -------
    Repeatability
        From 30 pairs on the shop's own figure alone.

    Notes
    -----
    One pair with a difference d tells d^2 / 2 of the variance; n pairs tell
    s^2 = sum(d^2) / (2 n). Below 30 pairs the default counts as the missing ones:
    s^2 = (n s_own^2 + (30 - n) s_default^2) / 30. The step of the gauge is not in it: where a
    gauge is too coarse to show any scatter, the resolution still counts.

    References
    ----------
    JCGM 100:2008, 4.2.4 (pooled experimental variance).

    Examples
    --------
    >>> repeatability_from([(27_402_000, 27_404_000)] * 30, 1_000.0).s_nm
    1414.21
    """
    differences = [first - again for first, again in pairs]
    count = len(differences)
    missing = max(ENOUGH_PAIRS - count, 0)
    own = sum(difference**2 for difference in differences) / 2
    variance = (own + missing * default_s_nm**2) / (count + missing)
    s_nm = max(math.sqrt(variance), LEAST_OF_DEFAULT * default_s_nm)
    return Repeatability(s_nm=s_nm, pairs=count)
