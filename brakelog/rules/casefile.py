"""Everything on file about one vehicle that a verdict looks at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from brakelog.record.corner import Corner
from brakelog.record.finding import Effect, Finding
from brakelog.record.fitting import Fitting
from brakelog.record.gauge import Gauge
from brakelog.record.limit import Confirmation, Limit
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFile:
    """The record of one vehicle up to and including the judged visit."""

    vehicle: Vehicle
    visit: Visit
    stage: Stage
    shop: Shop
    limits: tuple[Limit, ...] = ()
    confirmations: Mapping[str, Confirmation] = field(default_factory=dict)
    gauges: Mapping[str, Gauge] = field(default_factory=dict)
    visits: tuple[Visit, ...] = ()
    """All visits of the vehicle that are not void, oldest first."""
    sets: tuple[ReadingSet, ...] = ()
    """All reading sets of those visits that hold today, in entry order."""
    findings: tuple[Finding, ...] = ()
    """Findings of the judged visit."""
    fittings: tuple[Fitting, ...] = ()
    people: Mapping[str, str] = field(default_factory=dict)
    """Initials by the id of the person."""
    unfiled: int = 0
    """Answers of an interrupted entry that are not filed yet."""

    def sets_at(self, corner: Corner, quantity: Quantity) -> tuple[ReadingSet, ...]:
        """Return the reading sets of the judged visit and stage, in entry order.

        For the state as left, a part that was not changed in the visit and was not measured
        again is still the part that was measured as found.
        """
        here = [
            each
            for each in self.sets
            if each.visit_id == self.visit.id
            and each.corner == corner
            and each.quantity is quantity
        ]
        staged = tuple(each for each in here if each.stage is self.stage)
        if staged or self.stage is Stage.AS_FOUND or self._changed(corner, quantity):
            return staged
        return tuple(each for each in here if each.stage is Stage.AS_FOUND)

    def findings_at(self, corner: Corner) -> tuple[Finding, ...]:
        """Return the findings of the judged visit that still hold at its stage.

        A part that was changed takes what condemned it along, but never a leak or a stuck slide:
        those hold until somebody says, as left, that they were put right.
        """
        here = [finding for finding in self.findings if finding.corner == corner]
        if self.stage is Stage.AS_FOUND:
            return tuple(finding for finding in here if finding.stage is Stage.AS_FOUND)
        holding: list[Finding] = []
        for finding in here:
            if finding.put_right:
                what = (finding.kind, finding.part)
                holding = [each for each in holding if (each.kind, each.part) != what]
            elif finding.stage is Stage.AS_LEFT or (
                finding.kind.facts.effect is Effect.CORRECT or not self._part_changed(finding)
            ):
                holding.append(finding)
        return tuple(holding)

    def _changed(self, corner: Corner, quantity: Quantity) -> bool:
        position = quantity.position or Position.ROTOR
        return any(
            fitting.visit_id == self.visit.id
            and fitting.corner == corner
            and fitting.position is position
            for fitting in self.fittings
        )

    def _part_changed(self, finding: Finding) -> bool:
        return any(
            fitting.visit_id == self.visit.id
            and fitting.corner == finding.corner
            and fitting.position.part is finding.part
            for fitting in self.fittings
        )
