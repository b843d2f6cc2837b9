"""The visit that is looked at, with what is on file beside it, found without searching."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Container, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from types import MappingProxyType

from brakelog.metrology.temperature import at_reference_nm
from brakelog.metrology.uncertainty import Spread, sigma1_between_visits_nm, spread_of
from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import LININGS, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.visit import Visit
from brakelog.review.evidence import Evidence
from brakelog.review.figures import finest_digit_nm

NEWEST_VISITS = 6
"""Visits that are looked at, the present one included. Assumption: a slip shows against the last
visit or two, and older ones would only cost time."""
_ROTORS = frozenset({Quantity.ROTOR})
_DRUMS = frozenset({Quantity.DRUM_OPEN, Quantity.DRUM_CLOSED})
_IRON = _ROTORS | _DRUMS
_NEVER: Mapping[int, list[ReadingSet]] = MappingProxyType({})
"""The versions of what was never read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The newest set of one quantity at one visit and stage."""

    reading: ReadingSet
    visit: Visit
    order: int
    """Twice the number of the visit; one more for the state as left."""


class Look:
    """What a review needs of the evidence, put in order once.

    Parameters
    ----------
    evidence : Evidence
        The record of one vehicle.
    """

    __slots__ = (
        "_by_gauge",
        "_entry",
        "_fits",
        "_histories",
        "_levels",
        "_sigmas",
        "_steps",
        "_timeline",
        "_versions",
        "_visit_numbers",
        "drums",
        "evidence",
        "expected",
        "linings",
        "newest",
        "order",
        "rates",
        "rotors",
        "visits",
    )

    def __init__(self, evidence: Evidence) -> None:
        self.visits: tuple[Visit, ...] = evidence.visits[-NEWEST_VISITS:]
        if evidence.visit not in self.visits:
            self.visits = (*self.visits, evidence.visit)
        numbers = {visit.id: n for n, visit in enumerate(self.visits)}
        self._visit_numbers = numbers
        self._entry: dict[str, int] = {}
        self._by_gauge: dict[tuple[Quantity, str | None], Spread] = {}
        self._sigmas: dict[tuple[Quantity, str | None], float] = {}
        self._levels: dict[str, int] = {}
        self._steps: dict[str, int] = {}
        self._histories: dict[str, tuple[Moment, ...]] = {}
        self.expected: dict[str, tuple[float, float]] = {}
        """The wear to be expected until a set, by its id, once it was worked out."""
        self.rates: dict[tuple[int, Position], float] = {}
        """The rates of general experience by axle and position, once they were worked out."""
        self._versions: dict[tuple[Corner, Quantity], dict[int, list[ReadingSet]]] = {}
        for n, each in enumerate(evidence.sets):
            visit = numbers.get(each.visit_id)
            if visit is None or not each.measured_nm:
                continue
            order = 2 * visit + (each.stage is Stage.AS_LEFT)
            self._entry[each.id] = n
            by_order = self._versions.setdefault((each.corner, each.quantity), {})
            by_order.setdefault(order, []).append(each)
        self._timeline: dict[tuple[Corner, Quantity], tuple[Moment, ...]] = {
            place: tuple(
                Moment(reading=by_order[order][-1], visit=self.visits[order // 2], order=order)
                for order in sorted(by_order)
            )
            for place, by_order in self._versions.items()
        }
        self._fits: dict[tuple[Corner, Position], list[tuple[int, Fitting]]] = defaultdict(list)
        for fitting in evidence.fittings:
            # A visit that is older than those looked at lies before all of them.
            order = 2 * numbers.get(fitting.visit_id, -1) + 1
            self._fits[fitting.corner, fitting.position].append((order, fitting))
            if fitting.from_corner is not None and fitting.from_corner != fitting.corner:
                self._fits[fitting.from_corner, fitting.position].append((order, fitting))
        self._look_at(evidence)

    def at_stage(self, stage: Stage) -> Look:
        """Return the look at another stage of the visit; what is in order here serves it too."""
        if stage is self.evidence.stage:
            return self
        other = copy(self)
        other._look_at(replace(self.evidence, stage=stage))
        return other

    def _look_at(self, evidence: Evidence) -> None:
        """Find the newest sets of a stage."""
        self.evidence = evidence
        self.order = 2 * self._visit_numbers[evidence.visit.id] + (evidence.stage is Stage.AS_LEFT)
        self.newest: tuple[Moment, ...] = tuple(
            sorted(
                (
                    each
                    for moments in self._timeline.values()
                    for each in moments
                    if each.order == self.order
                ),
                key=lambda each: self._entry[each.reading.id],
            )
        )
        """The newest set of every quantity at the visit and stage, in order of entry."""
        self.rotors = self._newest_of(_ROTORS)
        """Those of them that are thicknesses of rotors."""
        self.linings = self._newest_of(LININGS)
        """Those that are linings."""
        self.drums = self._newest_of(_DRUMS)
        """Those that are diameters of drums."""

    def _newest_of(self, quantities: Container[Quantity]) -> tuple[Moment, ...]:
        return tuple(each for each in self.newest if each.reading.quantity in quantities)

    def entry(self, set_id: str) -> int:
        """Return where a set stands in the order of entry."""
        return self._entry.get(set_id, -1)

    def at(self, corner: Corner, quantity: Quantity) -> ReadingSet | None:
        """Return the newest set of a quantity at the visit and stage that are looked at."""
        found = self._versions.get((corner, quantity), _NEVER).get(self.order)
        return found[-1] if found else None

    def moments(self, corner: Corner, quantity: Quantity) -> Sequence[Moment]:
        """Return every moment at which the quantity was read, oldest first."""
        return self._timeline.get((corner, quantity), ())

    def places(self) -> tuple[tuple[Corner, Quantity], ...]:
        """Return every corner and quantity that has readings, in order of entry."""
        return tuple(self._timeline)

    def before(self, moment: Moment) -> tuple[Moment, ...]:
        """Return the earlier moments of the same part, newest first; linings of one datum only."""
        reading = moment.reading
        found = self._histories.get(reading.id)
        if found is None:
            earlier = self._timeline[reading.corner, reading.quantity]
            found = self._same_part(moment, earlier) if earlier[0] is not moment else ()
            self._histories[reading.id] = found
        return found

    def _same_part(self, moment: Moment, moments: Sequence[Moment]) -> tuple[Moment, ...]:
        reading = moment.reading
        since = self.life_began(reading.corner, reading.quantity.position, moment.order)
        return tuple(
            each
            for each in reversed(moments)
            if since <= each.order < moment.order and each.reading.datum is reading.datum
        )

    def level_nm(self, reading: ReadingSet) -> int:
        """Return what a set reads as a whole: its median, corrected. [nm]"""
        found = self._levels.get(reading.id)
        if found is None:
            found = self._levels[reading.id] = true_nm(reading, median_nm(reading.measured_nm))
        return found

    def step_nm(self, reading: ReadingSet) -> int:
        """Return one step of the gauge; of one that is not on file, of the finest digit typed."""
        found = self._steps.get(reading.id)
        if found is None:
            gauge = self.gauge(reading)
            found = gauge.resolution_nm if gauge is not None else finest_digit_nm(reading)
            self._steps[reading.id] = found
        return found

    def life_began(self, corner: Corner, position: Position | None, order: int) -> int:
        """Return the order of the last fitting up to a moment; -1 where none is on file."""
        if position is None:
            return -1
        fits = self._fits.get((corner, position), ())
        return max((at for at, _ in fits if at <= order), default=-1)

    def fitted(self, corner: Corner, position: Position | None, order: int) -> Fitting | None:
        """Return the last fitting of a position up to a moment."""
        if position is None:
            return None
        found = [each for at, each in self._fits.get((corner, position), ()) if at <= order]
        return found[-1] if found else None

    def fitted_here(self, corner: Corner, position: Position | None) -> Fitting | None:
        """Return what was fitted at a position in the visit that is looked at."""
        fitting = self.fitted(corner, position, self.order | 1)
        return fitting if fitting and fitting.visit_id == self.evidence.visit.id else None

    def earlier_versions(self, reading: ReadingSet) -> tuple[ReadingSet, ...]:
        """Return the sets of the same visit that a newer set of it stands before.

        Readings as found count for the state as left where the part was not changed between.
        """
        order = 2 * self._visit_numbers[reading.visit_id]
        by_order = self._versions.get((reading.corner, reading.quantity), _NEVER)
        versions = list(by_order.get(order, ()))
        if reading.stage is Stage.AS_LEFT:
            fits = self._fits.get((reading.corner, reading.quantity.position or Position.ROTOR), ())
            if any(at == order + 1 for at, _ in fits):
                versions = []
            versions += by_order.get(order + 1, ())
        mine = self._entry[reading.id]
        return tuple(each for each in versions if self._entry[each.id] < mine)

    def gauge(self, reading: ReadingSet) -> Gauge | None:
        """Return the gauge of a set."""
        return self.evidence.gauges.get(reading.gauge_id) if reading.gauge_id else None

    def tips(self, reading: ReadingSet) -> Tips | None:
        """Return the measuring faces of a set; None where nobody said."""
        gauge = self.gauge(reading)
        if gauge is not None and gauge.kind is GaugeKind.CALLIPER:
            return Tips.CALLIPER
        return reading.tips or (gauge.tips if gauge else None)

    def spread(self, reading: ReadingSet) -> Spread:
        """Return the uncertainty of one reading of a set."""
        key = (reading.quantity, reading.gauge_id)
        found = self._by_gauge.get(key)
        if found is None:
            found = self._by_gauge[key] = spread_of(reading.quantity, self.gauge(reading))
        return found

    def sigma1_nm(self, reading: ReadingSet) -> float:
        """Return the standard uncertainty of a reading beside another visit's. [nm]"""
        key = (reading.quantity, reading.gauge_id)
        found = self._sigmas.get(key)
        if found is None:
            u1_nm = self.spread(reading).u1_nm
            found = self._sigmas[key] = sigma1_between_visits_nm(reading.quantity, u1_nm)
        return found

    def sigma1_difference_nm(self, one: ReadingSet, other: ReadingSet) -> float:
        """Return the standard uncertainty of the difference of two sets. [nm]"""
        return math.hypot(self.sigma1_nm(one), self.sigma1_nm(other))


def median_nm(values: Sequence[int]) -> int:
    """Return the middle value; of an even number, the mean of the two in the middle. [nm]"""
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) // 2


def true_nm(reading: ReadingSet, nm: int) -> int:
    """Return a value after zero error and, for iron of known temperature, at 20 degrees. [nm]"""
    zeroed = nm - reading.zero_error_nm
    if reading.temperature_dc is None or reading.quantity not in _IRON:
        return zeroed
    return round(at_reference_nm(zeroed, reading.temperature_dc))


def wears_down(quantity: Quantity) -> bool:
    """Whether wear makes the quantity smaller; a drum grows."""
    return quantity not in _DRUMS


def lost_nm(quantity: Quantity, before_nm: int, now_nm: int) -> int:
    """Return the material lost between two readings; negative where there is more. [nm]"""
    return before_nm - now_nm if wears_down(quantity) else now_nm - before_nm
