"""The record of a vehicle by place: sets, fittings and visits, found without searching."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.record.visit import Visit

_Spot: TypeAlias = tuple[Corner, Position]


class Placed:
    """The record of a vehicle, put in order once.

    Parameters
    ----------
    visits : tuple of Visit
        All visits, oldest first.
    sets : tuple of ReadingSet
        All reading sets, in entry order.
    fittings : tuple of Fitting
        All fittings, in entry order.
    """

    __slots__ = ("_changed", "_events", "_order", "_sets", "fittings", "sets", "visits")

    def __init__(
        self,
        visits: tuple[Visit, ...],
        sets: tuple[ReadingSet, ...],
        fittings: tuple[Fitting, ...],
    ) -> None:
        self.visits = visits
        self.sets = sets
        self.fittings = fittings
        self._order: dict[str, int] | None = None
        self._sets: dict[tuple[Corner, Quantity], tuple[ReadingSet, ...]] | None = None
        self._events: dict[_Spot, tuple[Fitting, ...]] | None = None
        self._changed: dict[str, frozenset[_Spot]] | None = None

    def is_of(
        self,
        visits: tuple[Visit, ...],
        sets: tuple[ReadingSet, ...],
        fittings: tuple[Fitting, ...],
    ) -> bool:
        """Whether it is the order of just this record."""
        return self.sets is sets and self.fittings is fittings and self.visits is visits

    @property
    def order(self) -> Mapping[str, int]:
        """The number of each visit by its id, counted from the oldest."""
        if self._order is None:
            self._order = {visit.id: n for n, visit in enumerate(self.visits)}
        return self._order

    def sets_of(self, corner: Corner, quantity: Quantity) -> tuple[ReadingSet, ...]:
        """Return the reading sets of every visit at one place, in entry order."""
        if self._sets is None:
            groups: dict[tuple[Corner, Quantity], list[ReadingSet]] = {}
            for each in self.sets:
                groups.setdefault((each.corner, each.quantity), []).append(each)
            self._sets = {place: tuple(sets) for place, sets in groups.items()}
        return self._sets.get((corner, quantity), ())

    def events_at(self, corner: Corner, position: Position) -> tuple[Fitting, ...]:
        """Return what was fitted at one place or taken away from it, in entry order.

        Where a visit did both, as when two parts changed places, the fitting alone counts: what
        was taken away is the part that it took the place of.
        """
        if self._events is None:
            groups: dict[_Spot, list[Fitting]] = {}
            fitted = {(each.visit_id, each.corner, each.position) for each in self.fittings}
            for each in self.fittings:
                groups.setdefault((each.corner, each.position), []).append(each)
                away = each.from_corner
                if (
                    away is not None
                    and away != each.corner
                    and (each.visit_id, away, each.position) not in fitted
                ):
                    groups.setdefault((away, each.position), []).append(each)
            self._events = {spot: tuple(events) for spot, events in groups.items()}
        return self._events.get((corner, position), ())

    def changed_in(self, visit: Visit) -> frozenset[_Spot]:
        """Return where something was fitted in a visit, or taken from."""
        if self._changed is None:
            spots: dict[str, set[_Spot]] = {}
            for each in self.fittings:
                here = spots.setdefault(each.visit_id, set())
                here.add((each.corner, each.position))
                if each.from_corner is not None:
                    here.add((each.from_corner, each.position))
            self._changed = {visit_id: frozenset(here) for visit_id, here in spots.items()}
        return self._changed.get(visit.id, frozenset())
