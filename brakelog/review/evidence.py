"""Everything on file about one vehicle that a question can rest on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from brakelog.lengths import DistanceUnit
from brakelog.record.corner import Corner
from brakelog.record.finding import Finding
from brakelog.record.fitting import Fitting
from brakelog.record.gauge import Gauge
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.record.visit import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """The record of one vehicle up to and including the visit that is looked at."""

    brakes: tuple[AxleBrake, ...]
    odometer_unit: DistanceUnit
    visit: Visit
    stage: Stage
    visits: tuple[Visit, ...]
    """All visits that are not void, oldest first; the last one is ``visit``."""
    sets: tuple[ReadingSet, ...]
    """All reading sets of those visits that hold today, in entry order."""
    fittings: tuple[Fitting, ...] = ()
    """What was fitted in those visits, in entry order."""
    findings: tuple[Finding, ...] = ()
    """Findings of the visit that is looked at."""
    gauges: Mapping[str, Gauge] = field(default_factory=dict)
    """By id."""
    new_nm: Mapping[tuple[int, Position], int] = field(default_factory=dict)
    """Size of a new part by axle and position, where it is on file and not in doubt. [nm]"""
    least_or_most_nm: Mapping[tuple[int, Position], int] = field(default_factory=dict)
    """The strictest figure of the limit by axle and position, where it is usable. [nm]"""
    traits: Mapping[tuple[int, str], str] = field(default_factory=dict)
    """What is known of the variant, by axle and name: ``(2, "faster-pad")`` → ``"inner"``."""

    def sets_of(
        self, visit: Visit, corner: Corner, quantity: Quantity, stage: Stage
    ) -> tuple[ReadingSet, ...]:
        """Return the sets of one quantity in one visit, in entry order."""
        return tuple(
            each
            for each in self.sets
            if each.visit_id == visit.id
            and each.corner == corner
            and each.quantity is quantity
            and each.stage is stage
            and each.measured_nm
        )
