"""Everything on file about one vehicle that a verdict looks at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from brakelog.metrology.repeatability import Repeatability
from brakelog.record.answer import Answer
from brakelog.record.corner import Corner
from brakelog.record.draft import Unfiled
from brakelog.record.finding import Effect, Finding
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.gauge import Gauge
from brakelog.record.limit import Confirmation, Limit
from brakelog.record.quantity import POSITIONS_OF, Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.review.question import Question
from brakelog.rules.bound import Bounds
from brakelog.rules.placed import Placed
from brakelog.wear.experiences import Experiences
from brakelog.wear.usage import Usage

if TYPE_CHECKING:
    from brakelog.rules.pack import Pack
    from brakelog.rules.policy import Policy

NO_BOUNDS = Bounds((), {})
NOTHING_PLACED = Placed((), (), ())


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
    earlier_findings: tuple[Finding, ...] = ()
    """Findings of the visits before it."""
    experiences: Experiences = field(default_factory=Experiences)
    """What the shop has learned of how fast parts wear."""
    usage: Usage = field(default_factory=Usage)
    """How far the vehicle is driven in a day, as its odometers say."""
    fittings: tuple[Fitting, ...] = ()
    people: Mapping[str, str] = field(default_factory=dict)
    """Initials by the id of the person."""
    unfiled: tuple[Unfiled, ...] = ()
    """What was typed in an interrupted entry and is not filed yet."""
    traits: Mapping[tuple[int, str], str] = field(default_factory=dict)
    """What is known of the variant, by axle (0: the vehicle) and name."""
    shop_gauges: tuple[Gauge, ...] = ()
    """The gauges that the shop has now, used here or not."""
    repeats: Mapping[str, Repeatability] = field(default_factory=dict)
    """What point 1, read again, says of the gauges that read rotors, by id of the gauge."""
    answers: Mapping[str, Answer] = field(default_factory=dict)
    """The newest answer to each question, by its key."""
    questions: tuple[Question, ...] = ()
    """What the readings ask about themselves, answered or not."""
    earlier_questions: tuple[Question, ...] = ()
    """What sets asked that were read again in the same visit: answered by that, but what such a
    set said is no proof of anything."""
    packs: tuple[Pack, ...] = ()
    """The packs of local rules that are turned on."""

    policy: Policy | None = field(default=None, compare=False, repr=False)
    """The shop's policy, where it was put together for all of its vehicles."""
    bounds: Bounds = field(default=NO_BOUNDS, compare=False, repr=False)
    """What the limits come to: of the vehicles of one sheet worked out once. What is handed over
    counts only where it is of these limits."""
    placed: Placed = field(default=NOTHING_PLACED, compare=False, repr=False)
    """The same record by place. Carried over to a case that is made from this one, and made anew
    where its record is another one."""
    _here: dict[tuple[Corner, Quantity], tuple[ReadingSet, ...]] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )
    """The sets of the judged visit and stage by place, as they are asked for."""
    _staged: dict[Stage, CaseFile] = field(
        init=False, default_factory=dict, compare=False, repr=False
    )
    """The same case at another stage, once it was asked for."""

    def __post_init__(self) -> None:
        """Put the record and its limits in order, unless that was done before."""
        if not self.bounds.is_of(self.limits, self.confirmations):
            object.__setattr__(self, "bounds", Bounds(self.limits, self.confirmations))
        if not self.placed.is_of(self.visits, self.sets, self.fittings):
            placed = Placed(self.visits, self.sets, self.fittings)
            object.__setattr__(self, "placed", placed)

    def at_stage(self, stage: Stage) -> CaseFile:
        """Return the same case at a stage of its visit."""
        if stage is self.stage:
            return self
        if stage not in self._staged:
            self._staged[stage] = replace(self, stage=stage)
        return self._staged[stage]

    def sets_of(self, corner: Corner, quantity: Quantity) -> tuple[ReadingSet, ...]:
        """Return the reading sets of every visit at one place, in entry order."""
        return self.placed.sets_of(corner, quantity)

    def sets_at(self, corner: Corner, quantity: Quantity) -> tuple[ReadingSet, ...]:
        """Return the reading sets of the judged visit and stage, in entry order.

        For the state as left, a part that was not changed in the visit and was not measured
        again is still the part that was measured as found.
        """
        place = (corner, quantity)
        if place not in self._here:
            self._here[place] = self._sets_at(corner, quantity)
        return self._here[place]

    def _sets_at(self, corner: Corner, quantity: Quantity) -> tuple[ReadingSet, ...]:
        visit_id = self.visit.id
        ever = self.placed.sets_of(corner, quantity)
        here = [each for each in ever if each.visit_id == visit_id] if ever else ()
        if not here:
            return ()
        staged = tuple(each for each in here if each.stage is self.stage)
        if self.stage is Stage.AS_LEFT and not any(each.measured_nm for each in staged):
            staged = ()
        if staged or self.stage is Stage.AS_FOUND or self.was_changed(corner, quantity):
            return staged
        return tuple(each for each in here if each.stage is Stage.AS_FOUND)

    def findings_at(self, corner: Corner) -> tuple[Finding, ...]:
        """Return the findings of the judged visit that still hold at its stage.

        A part that was changed takes what condemned it along, but never a leak or a stuck slide:
        those hold until somebody says, as left, that they were put right.
        """
        if not self.findings:
            return ()
        came_from = {
            (fitting.from_corner, fitting.position.part)
            for fitting in self.fittings
            if fitting.visit_id == self.visit.id
            and fitting.corner == corner
            and fitting.event is FittingEvent.MOVED
            and self.stage is Stage.AS_LEFT
        }
        here = [
            finding
            for finding in self.findings
            if finding.corner == corner
            or (
                (finding.corner, finding.part) in came_from
                and finding.kind.facts.effect is Effect.CONDEMNS
            )
        ]
        if self.stage is Stage.AS_FOUND:
            return tuple(finding for finding in here if finding.stage is Stage.AS_FOUND)
        holding: list[Finding] = []
        for finding in here:
            if finding.put_right:
                what = (finding.kind, finding.part)
                first = next((h for h in holding if (h.kind, h.part) == what), None)
                if first is not None:
                    holding.remove(first)
            elif finding.stage is Stage.AS_LEFT or (
                finding.kind.facts.effect is Effect.CORRECT or not self._part_changed(finding)
            ):
                holding.append(finding)
        return tuple(holding)

    def fittings_at(self, corner: Corner, part: Part) -> tuple[Fitting, ...]:
        """Return what was done to a part in the judged visit."""
        return tuple(
            fitting
            for fitting in self.fittings
            if fitting.visit_id == self.visit.id
            and fitting.corner == corner
            and fitting.position.part is part
        )

    def was_changed(self, corner: Corner, quantity: Quantity) -> bool:
        """Whether the part that a quantity measures was changed in the judged visit."""
        is_drum = self.vehicle.brakes[corner.axle - 1] is AxleBrake.DRUM
        position = quantity.position or (Position.DRUM if is_drum else Position.ROTOR)
        return (corner, position) in self.placed.changed_in(self.visit)

    def _part_changed(self, finding: Finding) -> bool:
        clears = {FittingEvent.NEW, FittingEvent.USED}
        if finding.kind.facts.effect is Effect.MACHINE:
            clears.add(FittingEvent.REFINISHED)
        changed = {
            fitting.position
            for fitting in self.fittings
            if fitting.visit_id == self.visit.id
            and fitting.corner == finding.corner
            and fitting.event in clears
        }
        return changed.issuperset(POSITIONS_OF[finding.part])
