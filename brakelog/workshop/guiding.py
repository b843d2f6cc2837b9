"""In the bay: guided entry, with every accepted answer on disk before the next is asked."""

from __future__ import annotations

from brakelog.errors import InvalidInput
from brakelog.intake.guided import Guided
from brakelog.intake.outcome import Accepted, Blank, CornerReady, Outcome, WentBack
from brakelog.intake.question import Question
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, walking_order
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Stage
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.store.store import Store
from brakelog.workshop.bay import context_of, file_entries
from brakelog.workshop.visiting import VisitTyped, open_visit


class GuidedVisit:
    """Guided entry of one visit, backed by the store.

    Answers are kept as a draft beside the reading sets and filed corner by corner, so that an
    interrupted visit is taken up where it stopped.
    """

    def __init__(
        self,
        store: Store,
        vehicle_name: str,
        typed: VisitTyped,
        *,
        unit: LengthUnit | None,
        stage: Stage = Stage.AS_FOUND,
        by: str | None = None,
        corners: tuple[Corner, ...] = (),
    ) -> None:
        self._store = store
        self._person_id = store.person(by).id if by else None
        self._stage = stage
        self.vehicle = store.vehicle(vehicle_name)
        self._check_corners(corners)
        self._context = context_of(store, self.vehicle, unit=unit, stage=stage)
        with store.writing(by=self._person_id):
            self.visit = open_visit(store, self.vehicle, typed, person_id=self._person_id)
        draft = store.draft_entries(self.visit.id)
        self.resumed = sum(1 for entry in draft if entry.stage is stage)
        self._guided = Guided(
            brakes=self.vehicle.brakes,
            context=self._context,
            draft=draft,
            filed=self._not_asked(corners),
            person=by,
            points_wanted=_points_wanted(store, self.vehicle),
            previous=_previous(store, self.vehicle, self.visit),
        )

    @property
    def question(self) -> Question | None:
        """What is asked next; None when everything is filed."""
        return self._guided.question

    def answer(self, text: str) -> Outcome:
        """Take an answer; what is acknowledged by the outcome is on disk when this returns."""
        outcome = self._guided.answer(text)
        match outcome:
            case Accepted(entry=entry):
                self._store.put_draft_entry(self.visit.id, entry)
            case Blank(entries=entries):
                with self._store.writing(by=self._person_id):
                    for entry in entries:
                        self._store.put_draft_entry(self.visit.id, entry)
            case WentBack(corner=corner, key=key):
                self._store.drop_draft_entry(self.visit.id, corner, self._stage, key)
            case CornerReady(corner=corner, entries=entries):
                with self._store.writing(by=self._person_id):
                    file_entries(
                        self._store, self.visit, entries, self._context, person_id=self._person_id
                    )
                    self._store.clear_draft(self.visit.id, corner, self._stage)
                self.visit = self._store.visit(self.visit.id)
            case _:
                pass
        return outcome

    def _check_corners(self, corners: tuple[Corner, ...]) -> None:
        order = walking_order(len(self.vehicle.brakes))
        for corner in corners:
            if corner not in order:
                raise InvalidInput(
                    f"{self.vehicle.tag} has no corner {corner}",
                    hint="corners: " + " ".join(each.code for each in order),
                )

    def _not_asked(self, corners: tuple[Corner, ...]) -> set[Corner]:
        """Corners that are filed already, or were not asked for."""
        filed = {
            each.corner
            for each in self._store.reading_sets_of_visit(self.visit.id)
            if each.stage is self._stage
        }
        order = walking_order(len(self.vehicle.brakes))
        unwanted = {corner for corner in order if corners and corner not in corners}
        return filed | unwanted


def _points_wanted(store: Store, vehicle: Vehicle) -> dict[int, int]:
    """Return the number of rotor points that the maker wants, by axle."""
    wanted: dict[int, int] = {}
    for limit in store.limits_for(vehicle):
        is_rotor = limit.kind in (LimitKind.ROTOR_DISCARD, LimitKind.THICKNESS_VARIATION)
        if is_rotor and limit.points:
            wanted[limit.axle] = max(limit.points, wanted.get(limit.axle, 0))
    return wanted


def _previous(store: Store, vehicle: Vehicle, visit: Visit) -> dict[tuple[Corner, Quantity], str]:
    """Return what the visits before had, the deciding value as typed, to show beside a question."""
    order = {each.id: n for n, each in enumerate(store.visits_of(vehicle.id))}
    before = order[visit.id]
    found: dict[tuple[Corner, Quantity], str] = {}
    for each in store.reading_sets_of_vehicle(vehicle.id):
        if order.get(each.visit_id, before) >= before or not each.measured_nm:
            continue
        largest = each.quantity in (
            Quantity.RUNOUT,
            Quantity.SCORING,
            Quantity.DRUM_OPEN,
            Quantity.DRUM_CLOSED,
        )
        value = (max if largest else min)(each.measured_nm)
        text = each.typed[each.values_nm.index(value)]
        found[each.corner, each.quantity] = text
    return found
