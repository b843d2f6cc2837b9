"""What changed since the part was last read, and what was to be expected."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from brakelog.lengths import MM_PER_KM, NM_PER_MM
from brakelog.record.corner import Corner
from brakelog.record.gauge import GaugeKind
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.record.visit import Visit
from brakelog.review.look import Look, Moment, lost_nm, wears_down
from brakelog.wear.experience import (
    LOG_SD,
    MEDIAN_LIFE_1000KM,
    PROCESS_C,
    USABLE_DEPTH_MM,
    WearKind,
)

LEAST_RATE_DISTANCE_MM = 3_000 * MM_PER_KM
"""Distance between two visits from which they tell a rate. Assumption: on a shorter one the gauge
tells more about itself than about the wear. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One wearing quantity beside its last reading of the same part."""

    look: Look
    now: Moment
    before: Moment
    reading: ReadingSet
    """The newer set."""
    corner: Corner
    """Where it was read."""
    quantity: Quantity
    """What was read."""
    now_nm: int
    """What it reads as a whole, corrected. [nm]"""
    before_nm: int
    """What it read. [nm]"""
    lost_nm: int
    """Material lost in between; negative where there is more. [nm]"""
    sigma1_nm: float
    """Standard uncertainty of the difference of the two readings. [nm]"""

    @property
    def expected_nm(self) -> float:
        """Wear to be expected over the distance; no lining wears by more than there was. [nm]"""
        expected_nm = self._expected()[0]
        return min(expected_nm, max(self.before_nm, 0)) if self.quantity.is_lining else expected_nm

    @property
    def expected_u1_nm(self) -> float:
        """Standard uncertainty of that, between vehicles and from stretch to stretch. [nm]"""
        return self._expected()[1]

    @property
    def odd_nm(self) -> float:
        """Loss beyond what was to be expected. [nm]"""
        return self.lost_nm - self.expected_nm

    def _expected(self) -> tuple[float, float]:
        known = self.look.expected
        found = known.get(self.reading.id)
        if found is None:
            distance_mm = driven_mm(self.before.visit, self.now.visit)
            found = expected_wear_nm(self.look, self.now, distance_mm)
            known[self.reading.id] = found
        return found


def changes_of(look: Look) -> tuple[Change, ...]:
    """Return the change of every wearing quantity of the visit that has been read before."""
    found = [change_of(look, moment) for moment in look.newest]
    return tuple(each for each in found if each is not None)


def past_changes(look: Look) -> tuple[tuple[Change, ...], ...]:
    """Return the changes of each stage of the visits before the one that is looked at."""
    first_here = look.order - look.order % 2
    by_order: dict[int, list[Change]] = {}
    for corner, quantity in look.places():
        for moment in look.moments(corner, quantity):
            if moment.order < first_here:
                change = change_of(look, moment)
                if change is not None:
                    by_order.setdefault(moment.order, []).append(change)
    return tuple(tuple(by_order[order]) for order in sorted(by_order))


def change_of(look: Look, moment: Moment) -> Change | None:
    """Return what changed at one place since the same part was last read there."""
    reading = moment.reading
    if reading.quantity.position is None:
        return None
    history = look.before(moment)
    if not history:
        return None
    before = history[0]
    now_nm, before_nm = look.level_nm(reading), look.level_nm(before.reading)
    return Change(
        look=look,
        now=moment,
        before=before,
        reading=reading,
        corner=reading.corner,
        quantity=reading.quantity,
        now_nm=now_nm,
        before_nm=before_nm,
        lost_nm=lost_nm(reading.quantity, before_nm, now_nm),
        sigma1_nm=look.sigma1_difference_nm(reading, before.reading),
    )


def driven_mm(before: Visit, now: Visit) -> int:
    """Return the distance between two visits; none where the odometer runs back. [mm]"""
    return max(now.odometer_mm - before.odometer_mm, 0)


def expected_wear_nm(look: Look, moment: Moment, distance_mm: int) -> tuple[float, float]:
    """Return the wear to be expected over a distance, with its standard uncertainty. [nm]

    The part's own rate where two earlier visits give one, else general experience. No odometer
    of the visit that is looked at enters the rate.
    """
    own = own_rate(look, look.before(moment))
    thousands = distance_mm / (1000.0 * MM_PER_KM)
    if own is not None:
        rate, rate_u1 = own
    else:
        rate = general_rate(look, moment.reading.corner, moment.reading.quantity)
        rate_u1 = rate * LOG_SD[wear_kind(moment.reading)]
    return rate * thousands, math.hypot(
        rate_u1 * thousands, rate * math.sqrt(PROCESS_C * thousands)
    )


def own_rate(look: Look, history: tuple[Moment, ...]) -> tuple[float, float] | None:
    """Return the part's own wear rate with its uncertainty; None without two visits. [nm/1000 km]

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    history : tuple of Moment
        Earlier moments of the part, newest first.
    """
    if len(history) < 2:
        return None
    new, old = history[0], history[-1]
    distance_mm = driven_mm(old.visit, new.visit)
    if distance_mm < LEAST_RATE_DISTANCE_MM:
        return None
    thousands = distance_mm / (1000.0 * MM_PER_KM)
    quantity = new.reading.quantity
    lost = lost_nm(quantity, look.level_nm(old.reading), look.level_nm(new.reading))
    rate = lost / thousands
    # A rate that noise has turned to nothing is held at a fifth of what parts do.
    floor = 0.2 * general_rate(look, new.reading.corner, quantity)
    return max(rate, floor), look.sigma1_difference_nm(old.reading, new.reading) / thousands


def general_rate(look: Look, corner: Corner, quantity: Quantity) -> float:
    """Return the rate of general experience. [nm/1000 km]"""
    position = quantity.position
    assert position is not None
    place = (corner.axle, position)
    if place not in look.rates:
        look.rates[place] = _general_rate(look, corner, quantity, position)
    return look.rates[place]


def _general_rate(look: Look, corner: Corner, quantity: Quantity, position: Position) -> float:
    kind = _kind(corner, position, _faster_axle(look.evidence.traits))
    usable_nm = USABLE_DEPTH_MM[kind] * NM_PER_MM
    new_nm = look.evidence.new_nm.get((corner.axle, position))
    limit_nm = look.evidence.least_or_most_nm.get((corner.axle, position))
    if new_nm is not None and limit_nm is not None:
        given_nm = lost_nm(quantity, new_nm, limit_nm)
        usable_nm = given_nm if given_nm > 0 else usable_nm
    return usable_nm / MEDIAN_LIFE_1000KM[kind]


def wear_kind(reading: ReadingSet) -> WearKind:
    """Return the group of parts that a reading belongs to."""
    position = reading.quantity.position
    assert position is not None
    return _kind(reading.corner, position, "front")


def _faster_axle(traits: Mapping[tuple[int, str], str]) -> str:
    """Return the axle of which the linings wear faster: the front unless the variant says not."""
    return traits.get((0, "faster-axle")) or traits.get((2, "faster-axle")) or "front"


def _kind(corner: Corner, position: Position, faster_axle: str) -> WearKind:
    match position.part:
        case Part.ROTOR:
            return WearKind.ROTOR
        case Part.DRUM:
            return WearKind.DRUM
        case Part.SHOES:
            return WearKind.SHOE
        case Part.PADS:
            is_front = (corner.axle == 1) == (faster_axle == "front")
            return WearKind.FRONT_LINING if is_front else WearKind.REAR_LINING


def has_more(look: Look, change: Change) -> bool:
    """Whether the part has more material than before, beyond chance and placement."""
    return change.lost_nm < 0 and -change.lost_nm > grown_at_least_nm(look, change)


def grown_at_least_nm(look: Look, change: Change, *, in_u1: float = 3.0) -> int:
    """Return the growth from which it is neither chance nor placement. [nm]

    The trade's figure, or three standard uncertainties of the difference where that is more.
    """
    floor = LEAST_GROWTH_NM[change.quantity.facts.part]
    slack = OTHER_RADIUS_NM if _read_elsewhere(change) else 0
    gauge = look.gauge(change.before.reading)
    if gauge is not None and gauge.kind is GaugeKind.STEPPED:
        # It said "at least this step", and the next one was not reached.
        slack += gauge.resolution_nm
    return max(floor, math.ceil(in_u1 * change.sigma1_nm)) + slack


LEAST_GROWTH_NM = {Part.ROTOR: 20_000, Part.DRUM: 50_000, Part.PADS: 500_000, Part.SHOES: 500_000}
"""Growth that is asked about: rotors 0.02 mm, linings 0.5 mm, drums smaller by 0.05 mm. Common
practice. [nm]"""
OTHER_RADIUS_NM = 80_000
"""What the same rotor may read more at another radius: 0.05 to 0.08 mm, worked out from published
limits of radial taper. [nm]"""
SAME_RADIUS_NM = 3 * NM_PER_MM
"""Radii that count as one place; assumption. [nm]"""


def _read_elsewhere(change: Change) -> bool:
    """Whether a rotor was read at another distance from its edge than before."""
    now, before = change.reading.radius_nm, change.before.reading.radius_nm
    return now is not None and before is not None and abs(now - before) > SAME_RADIUS_NM


def least_believed_nm(look: Look, change: Change) -> int:
    """Return a level that wear has hardly gone below since the last reading. [nm]

    The faster of the part's own and the general rate, and two and a half times that over the
    distance: for judging what a reading that cannot be would hide.
    """
    distance_mm = driven_mm(change.before.visit, change.now.visit)
    thousands = distance_mm / (1000.0 * MM_PER_KM)
    rate = general_rate(look, change.corner, change.quantity)
    own = own_rate(look, look.before(change.now))
    wear_nm = round(FAST * thousands * max(rate, own[0] if own else 0.0))
    return change.before_nm - (wear_nm if wears_down(change.quantity) else -wear_nm)


FAST = 2.5
"""Wear over one interval, as a multiple of the usual, that 19 cars of 20 stay below: the spread of
general experience, exp(1.645 * 0.55). [-]"""
