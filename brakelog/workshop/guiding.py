"""In the bay: guided entry, with every accepted answer on disk before the next is asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from brakelog.errors import InvalidInput
from brakelog.intake.entry import ReadingEntry
from brakelog.intake.guided import Guided
from brakelog.intake.outcome import (
    Accepted,
    Blank,
    Changed,
    CornerReady,
    Outcome,
    Refused,
    Reopened,
    WentBack,
)
from brakelog.intake.question import Question
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, walking_order
from brakelog.record.draft import DraftEntry
from brakelog.record.limit import Limit, LimitKind
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import BRAKE_OF, AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.review.question import Question as Doubted
from brakelog.store.store import Store
from brakelog.workshop.answering import questions_about
from brakelog.workshop.bay import context_of, file_entries, reading_set
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
        check_corners(self.vehicle, corners)
        self._context = context_of(store, self.vehicle, unit=unit, stage=stage)
        with store.writing(by=self._person_id):
            self.visit = open_visit(store, self.vehicle, typed, person_id=self._person_id)
        draft = [
            entry
            for entry in store.draft_entries(self.visit.id)
            if entry.stage is stage and (not corners or entry.corner in corners)
        ]
        self.resumed = len(draft)
        self._sets_before = {each.id for each in store.reading_sets_of_visit(self.visit.id)}
        self.raised: tuple[Doubted, ...] = ()
        """What the readings asked about themselves after the last answer."""
        self._shown: set[str] = set()
        self._known = {(entry.corner, entry.key): entry.typed for entry in draft}
        self._context = replace(
            self._context,
            earlier_gauges=store.gauges_by_ids({e.gauge_id for e in draft if e.gauge_id}),
        )
        self._guided = Guided(
            brakes=self.vehicle.brakes,
            context=self._context,
            draft=draft,
            filed=self._not_asked(corners, {entry.corner for entry in draft}),
            person=by,
            points_wanted=points_wanted(store.limits_for(self.vehicle)),
            previous=_previous(store, self.vehicle, self.visit),
            datum=_last_datum(store.reading_sets_of_visit(self.visit.id), stage),
        )

    @property
    def question(self) -> Question | None:
        """What is asked next; None when everything is filed."""
        return self._guided.question

    def answer(self, text: str) -> Outcome:
        """Take an answer; what is acknowledged by the outcome is on disk when this returns.

        A corner that somebody else is entering at the same time is refused, so that neither
        types over the other.
        """
        with self._store.writing(by=self._person_id):
            asked = self.question
            if asked is not None and not text.strip().lower().startswith(("corner", "stop", "?")):
                other = self._somebody_else_at(asked.corner)
                if other:
                    return Refused(message=other, hint="corner and its name goes to another")
                if self._sets_at(asked.corner) - self._sets_before:
                    self._guided.pass_over(asked.corner)
                    return Changed(message=f"somebody else has filed {asked.corner} by now")
            outcome = self._guided.answer(text)
            self._keep(outcome)
            self.raised = self._raised(asked, outcome)
        return outcome

    def _raised(self, asked: Question | None, outcome: Outcome) -> tuple[Doubted, ...]:
        """Return what the readings ask about themselves once a quantity is complete; each once."""
        if asked is None or not isinstance(outcome, (Accepted, Blank)):
            return ()
        now = self.question
        if now is not None and now.key.partition(":")[0] == asked.key.partition(":")[0]:
            return ()
        entries = self._guided.entries_so_far(asked.corner)
        typed = [
            reading_set(
                each,
                f"typed:{each.corner}:{each.quantity.value}",
                self.visit.id,
                self._context,
                self._person_id,
            )
            for each in entries
            if isinstance(each, ReadingEntry)
        ]
        found = questions_about(self._store, self.visit.id, typed, stage=self._stage)
        new = tuple(each for each in found if each.key not in self._shown)
        self._shown |= {each.key for each in new}
        return new

    def _keep(self, outcome: Outcome) -> None:
        match outcome:
            case Accepted(entry=entry, also=also):
                self._put(entry)
                if also is not None:
                    self._put(also)
            case Blank(entries=entries):
                for entry in entries:
                    self._put(entry)
            case WentBack(corner=corner, key=key):
                self._store.drop_draft_entry(self.visit.id, corner, self._stage, key)
                self._known.pop((corner, key), None)
            case Reopened(corner=corner, keys=keys):
                self._shown.clear()
                for key in keys:
                    self._store.drop_draft_entry(self.visit.id, corner, self._stage, key)
                    self._known.pop((corner, key), None)
            case CornerReady(corner=corner, entries=entries):
                file_entries(
                    self._store, self.visit, entries, self._context, person_id=self._person_id
                )
                self._store.clear_draft(self.visit.id, corner, self._stage)
                self._known = {at: text for at, text in self._known.items() if at[0] != corner}
                self.visit = self._store.visit(self.visit.id)
            case _:
                pass

    def _put(self, entry: DraftEntry) -> None:
        self._store.put_draft_entry(self.visit.id, entry)
        self._known[entry.corner, entry.key] = entry.typed

    def _somebody_else_at(self, corner: Corner) -> str:
        """Return what somebody else has done at a corner since this session looked, if anything."""
        mine = {key: text for (at, key), text in self._known.items() if at == corner}
        now = {
            entry.key: entry.typed
            for entry in self._store.draft_entries(self.visit.id)
            if entry.corner == corner and entry.stage is self._stage
        }
        return f"somebody else is entering {corner}" if now != mine else ""

    def _sets_at(self, corner: Corner) -> set[str]:
        return {
            each.id
            for each in self._store.reading_sets_of_visit(self.visit.id)
            if each.corner == corner and each.stage is self._stage
        }

    def _not_asked(self, corners: tuple[Corner, ...], begun: set[Corner]) -> set[Corner]:
        """Corners that are filed already, or were not asked for; never one that is half entered.

        One of which only something else is on file than the sizes of its parts, such as a runout,
        has not been asked for these.
        """
        read: dict[Corner, set[Position | None]] = {}
        for each in self._store.reading_sets_of_visit(self.visit.id):
            if each.stage is self._stage:
                read.setdefault(each.corner, set()).add(each.quantity.position)
        order = walking_order(len(self.vehicle.brakes))
        filed = {
            corner
            for corner in order
            if read.get(corner, set()) >= _SIZES[self.vehicle.brakes[corner.axle - 1]]
        }
        unwanted = {corner for corner in order if corners and corner not in corners}
        return (filed - begun) | unwanted


_SIZES = {
    brake: frozenset(position for position in Position if BRAKE_OF[position.part] is brake)
    for brake in AxleBrake
}
"""The parts whose sizes are read at a corner, by its brake."""


def check_corners(vehicle: Vehicle, corners: Iterable[Corner]) -> None:
    """Refuse a corner that the vehicle does not have.

    Raises
    ------
    InvalidInput
        With the corners that it has.
    """
    order = walking_order(len(vehicle.brakes))
    for corner in corners:
        if corner not in order:
            raise InvalidInput(
                f"{vehicle.tag} has no corner {corner}",
                hint="corners: " + " ".join(each.code for each in order),
            )


def points_wanted(limits: Iterable[Limit]) -> dict[int, int]:
    """Return the number of rotor points that the maker wants, by axle."""
    wanted: dict[int, int] = {}
    for limit in limits:
        is_rotor = limit.kind in (LimitKind.ROTOR_DISCARD, LimitKind.THICKNESS_VARIATION)
        if is_rotor and limit.points:
            wanted[limit.axle] = max(limit.points, wanted.get(limit.axle, 0))
    return wanted


def _last_datum(sets: Iterable[ReadingSet], stage: Stage) -> Datum:
    """What the lining of a visit that was filed last was measured from.

    Whoever takes a visit up again goes on with the same gauge and habit.
    """
    filed = [each.datum for each in sets if each.stage is stage and each.datum is not None]
    return filed[-1] if filed else Datum.LINING


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
