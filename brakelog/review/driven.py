"""How far a car is driven in a day, and what its linings wear over a distance."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brakelog.lengths import MM_PER_KM
from brakelog.record.quantity import LININGS
from brakelog.record.visit import Visit
from brakelog.review.change import driven_mm
from brakelog.review.look import Look, Moment, lost_nm
from brakelog.wear.experience import PROCESS_C

USUAL_A_DAY_KM = 40.0
"""Distance of a day where the car has no history. Assumption, between the 33 km of Europe and the
59 km of the United States. [km]"""
LEAST_DAYS = 30
"""Days from which two visits tell a distance a day; assumption. [days]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wear:
    """Lining worn between two visits, and the rate at which the same linings wore before."""

    lost_nm: float
    u1_nm: float
    rate: float
    """[nm/1000 km], of all linings together."""
    rate_u1: float
    linings: int
    """How many they are."""

    def z(self, distance_mm: int) -> float:
        """Return how much more was worn than the distance explains. [standard uncertainties]"""
        thousands = max(distance_mm, 0) / (1000.0 * MM_PER_KM)
        process = self.rate * math.sqrt(PROCESS_C * thousands)
        u1 = math.hypot(self.u1_nm, process, self.rate_u1 * thousands)
        return (self.lost_nm - self.rate * thousands) / max(u1, 1.0)

    def per_1000km(self, distance_mm: int) -> str:
        """Say the wear over a distance as a rate."""
        thousands = max(distance_mm / (1000.0 * MM_PER_KM), 0.001)
        return f"{self.lost_nm / self.linings / 1e6 / thousands:.2f} mm in 1000 km"

    @property
    def usual(self) -> str:
        """Say the earlier rate."""
        return f"{self.rate / self.linings / 1e6:.2f}"


def usual_a_day_km(trusted: Sequence[Visit]) -> tuple[float, bool]:
    """Return the distance a day so far, and whether it is the car's own. [km]"""
    days = (trusted[-1].day - trusted[0].day).days
    driven_km = (trusted[-1].odometer_mm - trusted[0].odometer_mm) / MM_PER_KM
    if days < LEAST_DAYS or driven_km <= 0:
        return USUAL_A_DAY_KM, False
    return max(driven_km / days, 1.0), True


def moments_of(look: Look, visit: Visit) -> Iterator[Moment]:
    """Yield what was read as found in a visit."""
    for corner, quantity in look.places():
        for moment in look.moments(corner, quantity):
            if moment.visit is visit and moment.order % 2 == 0:
                yield moment


def wear_between(look: Look, last: Visit, visit: Visit) -> Wear | None:
    """Return the lining worn since the last visit beside what it wore before it."""
    lost, variance, rate, rate_variance, linings = 0.0, 0.0, 0.0, 0.0, 0
    for now in moments_of(look, visit):
        if now.reading.quantity not in LININGS:
            continue
        history = [each for each in look.before(now) if each.visit is not visit]
        if not history or history[0].visit is not last:
            continue
        earlier = _earlier_rate(look, now, history)
        if earlier is None:
            continue
        quantity = now.reading.quantity
        lost += lost_nm(quantity, look.level_nm(history[0].reading), look.level_nm(now.reading))
        variance += look.sigma1_difference_nm(now.reading, history[0].reading) ** 2
        rate += earlier[0]
        rate_variance += earlier[1] ** 2
        linings += 1
    if not linings or rate <= 0.0:
        return None
    return Wear(
        lost_nm=lost,
        u1_nm=math.sqrt(variance),
        rate=rate,
        rate_u1=math.sqrt(rate_variance),
        linings=linings,
    )


def _earlier_rate(look: Look, now: Moment, history: Sequence[Moment]) -> tuple[float, float] | None:
    """Return the wear rate before the last visit, from two visits or from fitting. [nm/1000 km]"""
    new, old = history[0], history[-1]
    quantity = now.reading.quantity
    if old is not new:
        distance_mm, before_nm = driven_mm(old.visit, new.visit), look.level_nm(old.reading)
        u1_nm = look.sigma1_difference_nm(old.reading, new.reading)
    else:
        fitting = look.fitted(now.reading.corner, quantity.position, now.order)
        if fitting is None or fitting.size_nm is None:
            return None
        distance_mm, before_nm = new.visit.odometer_mm - fitting.odometer_mm, fitting.size_nm
        u1_nm = _FITTED_IN_U1 * look.sigma1_nm(new.reading)
    thousands = distance_mm / (1000.0 * MM_PER_KM)
    if thousands < _LEAST_THOUSANDS:
        return None
    return (
        lost_nm(quantity, before_nm, look.level_nm(new.reading)) / thousands,
        u1_nm / thousands,
    )


_FITTED_IN_U1 = 2.0
"""How much less is known where the start is the size at fitting; assumption. [-]"""
_LEAST_THOUSANDS = 3.0
"""Distance from which a rate is known at all; assumption. [1000 km]"""
