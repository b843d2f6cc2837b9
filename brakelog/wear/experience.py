"""What is believed about a wear rate before the part's own readings are looked at."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from brakelog.record.member import Member


class WearKind(Member):
    """Groups of parts that share one experience of how fast they wear."""

    FRONT_LINING = "front lining"
    REAR_LINING = "rear lining"
    ROTOR = "rotor"
    SHOE = "shoe"
    DRUM = "drum"


MEDIAN_LIFE_1000KM = {
    WearKind.FRONT_LINING: 55.0,
    WearKind.REAR_LINING: 80.0,
    WearKind.ROTOR: 105.0,
    WearKind.SHOE: 120.0,
    WearKind.DRUM: 200.0,
}
"""Median distance from new to the limit. [1000 km]

Source: common practice. Trade texts give 30,000-70,000 miles for linings in mixed use
(front 20,000-60,000, rear 40,000-80,000) and 60,000-70,000 miles for rotors. Shoes and drums:
assumption: about half as long again as rear linings, and twice as long as rotors.
"""

LOG_SD = {
    WearKind.FRONT_LINING: 0.55,
    WearKind.REAR_LINING: 0.55,
    WearKind.ROTOR: 0.55,
    WearKind.SHOE: 0.55,
    WearKind.DRUM: 0.6,
}
"""Standard deviation of the natural logarithm of the rate between vehicles. [-]

Assumption: the printed ranges of lining life (about 22,000 to 136,000 km) hold 9 cars of 10.
"""

USABLE_DEPTH_MM = {
    WearKind.FRONT_LINING: 8.0,
    WearKind.REAR_LINING: 8.0,
    WearKind.ROTOR: 2.0,
    WearKind.SHOE: 3.5,
    WearKind.DRUM: 1.5,
}
"""Material between the new size and the limit where the new size is not known. [mm]

Source: common practice; used only to turn a typical life into a typical rate.
"""

PROCESS_C = 0.94
"""Variance of the wear over a distance, divided by rate squared and distance. [1000 km]

Assumption: within one part life the wear over 15,000 km varies by 25 % (0.25 ** 2 * 15 = 0.94).
"""

PROCESS_C_RANGE = (0.1, 6.0)
"""Range outside which a process variance is not believed. [1000 km]

Assumption: a variation of 8 % to 63 % over 15,000 km holds every brake in service.
"""

ENOUGH_LIVES = 5.0
"""Lives from which an experience may stand alone, without a rate of the part's own. [-]

Assumption: below it the spread between vehicles is hardly known.
"""


VEHICLE_SHARE = 0.8
"""Share of the variance between rates that stays with the vehicle and its driver. [-]

Assumption: the rest comes with each set of parts. It may be estimated where a shop has two sets
each of fifty vehicles or more.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Experience:
    """Log-normal belief about the wear rate of one group of parts.

    Parameters
    ----------
    log_rate
        Natural logarithm of the median rate in mm per 1000 km. [-]
    log_sd
        Standard deviation of that logarithm between vehicles. [-]
    process_c
        Variance of the wear over rate squared and distance. [1000 km]
    lives_behind
        Effective number of part lives it was learned from; 0 for general experience. [-]
    source
        Where it comes from, in words.
    widened
        Factor by which the shop's own back-test widens what is stated; 1 where it does not. [-]
    after_earlier_set
        Whether an earlier part at the same place of the same vehicle is behind it.

    Raises
    ------
    ValueError
        If a number is not finite, or a spread or the factor is not above zero.
    """

    log_rate: float
    log_sd: float
    process_c: float
    lives_behind: float
    source: str
    widened: float = 1.0
    after_earlier_set: bool = False

    def __post_init__(self) -> None:
        numbers = (self.log_rate, self.log_sd, self.process_c, self.lives_behind, self.widened)
        if not all(math.isfinite(number) for number in numbers):
            raise ValueError("an experience needs finite numbers")
        if min(self.log_sd, self.process_c, self.widened) <= 0.0:
            raise ValueError("the spreads of an experience must be above zero")

    @property
    def believed_c(self) -> float:
        """The process variance, held inside the range that is believed. [1000 km]"""
        low, high = PROCESS_C_RANGE
        return min(max(self.process_c, low), high)

    @property
    def stands_alone(self) -> bool:
        """Whether enough lives are behind it to project a part that has no rate of its own.

        An earlier part of the same vehicle is a rate of its own.
        """
        return self.lives_behind >= ENOUGH_LIVES or self.after_earlier_set


_SIZES = 1_024
"""Sizes and limits that are kept in mind: those of the models of a large shop. [-]"""


@lru_cache(maxsize=_SIZES)
def general_experience(kind: WearKind, *, new_mm: float | None, limit_mm: float) -> Experience:
    """Experience to use while a shop has no data of its own.

    Parameters
    ----------
    kind
        Group of parts.
    new_mm
        New size, if it is known. [mm]
    limit_mm
        Size at which the part must go. [mm]

    Returns
    -------
    Experience
        The typical life spread over the material between new and limit. Where the new size is
        unknown, or the limit does not lie on its worn side, over the usual depth of the group.
    """
    usable_mm = USABLE_DEPTH_MM[kind]
    if new_mm is not None:
        given_mm = limit_mm - new_mm if kind is WearKind.DRUM else new_mm - limit_mm
        if given_mm > 0.0:
            usable_mm = given_mm
    return Experience(
        log_rate=math.log(usable_mm / MEDIAN_LIFE_1000KM[kind]),
        log_sd=LOG_SD[kind],
        process_c=PROCESS_C,
        lives_behind=0.0,
        source="general experience",
    )
