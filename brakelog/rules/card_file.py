"""What is on file beside the blanks of a card: bounds, and what was read or fitted last."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting
from brakelog.record.limit import Confirmation, Limit, LimitKind
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import BRAKE_OF, AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.bound import Bound, BoundState, bound_for
from brakelog.rules.measure import Measure

_MACHINE_TO = {
    Quantity.ROTOR: LimitKind.ROTOR_MACHINE_TO,
    Quantity.DRUM_OPEN: LimitKind.DRUM_MACHINE_TO,
    Quantity.DRUM_CLOSED: LimitKind.DRUM_MACHINE_TO,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LastKnown:
    """The newest reading of one place, and what came after it."""

    reading: ReadingSet | None
    visit: Visit | None
    """The visit of the reading; None where nothing was ever read."""
    is_in_question: bool = False
    """Whether a question about it was never answered."""
    since: Fitting | None = None
    """What was done to the part after that reading: it is not the part, or not the size, now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardFile:
    """The record of one vehicle, so far as it stands beside the blanks of a card."""

    vehicle: Vehicle
    shop: Shop
    limits: tuple[Limit, ...] = ()
    confirmations: Mapping[str, Confirmation] = field(default_factory=dict)
    traits: Mapping[tuple[int, str], str] = field(default_factory=dict)
    """What is known of the variant, by axle (0: the vehicle) and name."""
    visits: tuple[Visit, ...] = ()
    """Oldest first."""
    sets: tuple[ReadingSet, ...] = ()
    """In entry order."""
    fittings: tuple[Fitting, ...] = ()
    in_question: frozenset[str] = frozenset()
    """Ids of the sets with a question that was never answered."""

    def bounds_at(self, corner: Corner, quantity: Quantity) -> tuple[tuple[Measure, Bound], ...]:
        """Return what the readings of a quantity will be held against, safety first.

        A lining has one bound for each datum that a limit is on file for.
        """
        brake = self.vehicle.brakes[corner.axle - 1]
        return tuple(
            (measure, bound)
            for measure in Measure
            if quantity in measure.facts.quantities and BRAKE_OF[measure.facts.part] is brake
            for bound in self._bounds(corner, measure)
        )

    def _bounds(self, corner: Corner, measure: Measure) -> Iterator[Bound]:
        facts = measure.facts
        if facts.which_pad is None:
            yield bound_for(facts.limit, corner, self.limits, self.confirmations)
            return
        found = [
            bound_for(
                facts.limit,
                corner,
                self.limits,
                self.confirmations,
                which_pad=facts.which_pad,
                datum=datum,
            )
            for datum in Datum
        ]
        if found[0].state is BoundState.MISSING:
            yield found[0]
        else:
            yield from (each for each in found if each.state is not BoundState.OTHER_DATUM)

    def machine_to_at(self, corner: Corner, quantity: Quantity) -> Bound | None:
        """Return what bounds a size after refinishing; None where nothing is on file."""
        kind = _MACHINE_TO.get(quantity)
        if kind is None:
            return None
        bound = bound_for(kind, corner, self.limits, self.confirmations)
        return None if bound.state is BoundState.MISSING else bound

    def is_marked(self, corner: Corner, kind: LimitKind) -> bool:
        """Whether the figure cast on the part of that corner is on file."""
        return any(limit.kind is kind and limit.corner == corner for limit in self.limits)

    def last_at(self, corner: Corner, quantity: Quantity) -> LastKnown | None:
        """Return the newest reading of a quantity; None where nothing at all is known."""
        order = {visit.id: n for n, visit in enumerate(self.visits)}
        read = [
            each
            for each in self.sets
            if each.corner == corner
            and each.quantity is quantity
            and each.measured_nm
            and each.visit_id in order
        ]
        # Within a visit, as left comes after as found, in whatever order they were typed.
        read.sort(key=lambda each: (order[each.visit_id], each.stage is Stage.AS_LEFT))
        newest = read[-1] if read else None
        since = [
            fitting
            for fitting in self.fittings
            if fitting.visit_id in order
            and fitting.position is self._position(corner, quantity)
            and corner in (fitting.corner, fitting.from_corner)
            and (newest is None or _comes_after(fitting, newest, order))
        ]
        since.sort(key=lambda each: order[each.visit_id])
        if newest is None and not since:
            return None
        return LastKnown(
            reading=newest,
            visit=self.visits[order[newest.visit_id]] if newest else None,
            is_in_question=newest is not None and newest.id in self.in_question,
            since=since[-1] if since else None,
        )

    def _position(self, corner: Corner, quantity: Quantity) -> Position:
        """Return the part that is read; runout and scoring are those of the rotor or drum."""
        is_drum = self.vehicle.brakes[corner.axle - 1] is AxleBrake.DRUM
        return quantity.position or (Position.DRUM if is_drum else Position.ROTOR)


def _comes_after(fitting: Fitting, reading: ReadingSet, order: Mapping[str, int]) -> bool:
    """Whether a part was changed after it was read."""
    if fitting.visit_id != reading.visit_id:
        return order[fitting.visit_id] > order[reading.visit_id]
    if reading.stage is Stage.AS_FOUND:
        return True
    return (
        fitting.recorded_at is not None
        and reading.recorded_at is not None
        and fitting.recorded_at > reading.recorded_at
    )
