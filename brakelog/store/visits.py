"""Visits, assembled from what was entered at once and what was learnt later."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

from sqlalchemy import Row, Select, or_, select

from brakelog.errors import Conflict, NotFound
from brakelog.lengths import DistanceUnit
from brakelog.record.corner import Corner, parse_corner
from brakelog.record.visit import Visit
from brakelog.store.corrections import Corrections
from brakelog.store.faults import translated
from brakelog.store.statements import values_in
from brakelog.store.tables import (
    complaints,
    corrections,
    odometer_corrections,
    visit_facts,
    visits,
)
from brakelog.store.vehicles import Vehicles

_NOTE = " note="
"""Stands between an odometer out as typed and what was said about it."""
_FACTS = tuple(
    visit_facts.c[name] for name in ("visit_id", "kind", "value", "typed", "recorded_at")
)
_corner = cache(parse_corner)


class Visits(Corrections, Vehicles):
    """The visits of the vehicles."""

    def visits_of(self, vehicle_id: str, include_void: bool = False) -> list[Visit]:
        """Return the visits that belong to a vehicle, by day, then odometer, then entry.

        Parameters
        ----------
        vehicle_id : str
            The vehicle; visits moved to it count, visits moved away do not.
        include_void : bool
            Whether void visits are among them, marked by their reason.
        """
        return self.visits_of_vehicles([vehicle_id], include_void)[vehicle_id]

    def visits_of_vehicles(
        self, vehicle_ids: Sequence[str], include_void: bool = False
    ) -> dict[str, list[Visit]]:
        """Return the visits of some vehicles, as ``visits_of`` does, by vehicle.

        Parameters
        ----------
        vehicle_ids : sequence of str
            The vehicles; at most as many as can be bound to one statement.
        include_void : bool
            Whether void visits are among them.
        """
        with self.reading():
            found = self._assembled(visit_ids_of(vehicle_ids))
        mine: dict[str, list[Visit]] = {id: [] for id in vehicle_ids}
        for visit in sorted(found, key=lambda visit: (visit.day, visit.odometer_mm)):
            if visit.vehicle_id in mine and (include_void or visit.void_reason is None):
                mine[visit.vehicle_id].append(visit)
        return mine

    def visit(self, id: str) -> Visit:
        """Return a visit, void or not.

        Raises
        ------
        NotFound
            Where there is none.
        """
        with self.reading():
            found = self._assembled(select(visits.c.id).where(visits.c.id == id))
        if not found:
            raise NotFound(f"no visit has the id {id}")
        return found[0]

    def add_visit(self, visit: Visit) -> None:
        """Put a visit on file, with all that is known of it already.

        Raises
        ------
        NotFound
            Where the vehicle is not on file.
        Conflict
            Where it claims to be void or moved already.
        """
        self.add_visits([visit])

    def add_visits(self, new: Sequence[Visit]) -> None:
        """Put visits on file, as ``add_visit`` does: all of them or none."""
        if any(each.void_reason is not None or each.moved_from is not None for each in new):
            raise Conflict(
                "a new visit is neither void nor moved", hint="add it first, then void or move it"
            )
        with self.writing():
            self._need_vehicles(visit.vehicle_id for visit in new)
            self._record(visits, [_row(visit) for visit in new])
            for visit in new:
                out = visit.odometer_out_mm
                self.add_visit_facts(
                    visit.id,
                    odometer_out=None if out is None else (out, visit.odometer_out_text),
                    looked_over=visit.looked_over,
                    next_distance_mm=visit.next_distance_mm,
                    next_months=visit.next_months,
                )
                if visit.complaint:
                    self.add_complaint(visit.id, visit.complaint)

    def add_visit_facts(
        self,
        visit_id: str,
        *,
        odometer_out: tuple[int, str] | None = None,
        odometer_out_note: str = "",
        looked_over: Iterable[Corner] = (),
        next_distance_mm: int | None = None,
        next_months: int | None = None,
        takes_odometer_out_back: bool = False,
    ) -> None:
        """Add what was learnt of a visit later; the newest of a kind counts, corners add up.

        Parameters
        ----------
        visit_id : str
            The visit.
        odometer_out : tuple of int and str, optional
            The odometer when the vehicle left [mm], and the text typed for it.
        odometer_out_note : str
            Why it is far above the odometer in; kept behind what was typed.
        looked_over : iterable of Corner
            Corners where there was nothing to find.
        next_distance_mm : int, optional
            Distance to the next planned visit. [mm]
        next_months : int, optional
            Time to the next planned visit. [months]
        takes_odometer_out_back : bool
            Whether the odometer out is not known any more; a row of its own says so.

        Raises
        ------
        NotFound
            Where the visit is not on file.
        """
        facts: list[tuple[str, str, str]] = []
        if takes_odometer_out_back:
            facts.append(("odometer_out", "", ""))
        if odometer_out is not None:
            typed = odometer_out[1] + (f"{_NOTE}{odometer_out_note}" if odometer_out_note else "")
            facts.append(("odometer_out", str(odometer_out[0]), typed))
        facts += [("looked_over", code, "") for code in sorted({c.code for c in looked_over})]
        if next_distance_mm is not None:
            facts.append(("next_distance", str(next_distance_mm), ""))
        if next_months is not None:
            facts.append(("next_months", str(next_months), ""))
        if not facts:
            return
        with self.writing():
            self._need_visits([visit_id])
            self._record(
                visit_facts,
                [
                    {"visit_id": visit_id, "kind": kind, "value": value, "typed": typed}
                    for kind, value, typed in facts
                ],
            )

    def add_complaint(self, visit_id: str, text: str) -> None:
        """Record what the customer complains of; the newest text counts.

        Raises
        ------
        NotFound
            Where the visit is not on file.
        """
        with self.writing():
            self._need_visits([visit_id])
            row = {"visit_id": visit_id, "recorded_at": self.now(), "text": text}
            self._insert(complaints, [row])

    def correct_odometer(
        self, visit_id: str, odometer_mm: int, text: str, unit: DistanceUnit, reason: str
    ) -> None:
        """Put another odometer in the place of a visit's own, which is kept.

        Raises
        ------
        NotFound
            Where the visit is not on file.
        Conflict
            Where it is void.
        """
        with self.writing():
            self._need_live_visits([visit_id])
            row = {
                "visit_id": visit_id,
                "odometer_mm": odometer_mm,
                "odometer_text": text,
                "odometer_unit": unit,
                "reason": reason,
            }
            self._record(odometer_corrections, [row])

    def void_visit(self, visit_id: str, reason: str) -> None:
        """Take a visit, and all that was entered for it, out of the vehicle's history.

        Raises
        ------
        NotFound
            Where there is none.
        Conflict
            Where it is void already.
        """
        with self.writing():
            self._need_live_visits([visit_id])
            self._correct("void visit", visit_id, reason)

    def move_visit(self, visit_id: str, to_vehicle_id: str, reason: str) -> None:
        """Give a visit, and all that was entered for it, to the vehicle it was really for.

        Raises
        ------
        NotFound
            Where the visit or the vehicle is not on file.
        Conflict
            Where the visit is void, or belongs to that vehicle already.
        """
        with self.writing():
            self._need_vehicles([to_vehicle_id])
            self._need_live_visits([visit_id])
            if self.visit(visit_id).vehicle_id == to_vehicle_id:
                raise Conflict("the visit belongs to that vehicle already")
            self._correct("move visit", visit_id, reason, to_vehicle=to_vehicle_id)

    def _standing_visits(self, vehicle_ids: Sequence[str]) -> set[str]:
        """Return the ids of the visits that belong to the vehicles and are not void."""
        rows = self._all(
            select(visits.c.id, visits.c.vehicle_id, corrections.c.kind, corrections.c.to_vehicle)
            .outerjoin(corrections, corrections.c.target_id == visits.c.id)
            .where(visits.c.id.in_(visit_ids_of(vehicle_ids)))
            .order_by(corrections.c.row)
        )
        owners: dict[str, str | None] = {}
        for row in rows:
            corrected = {"move visit": row.to_vehicle, "void visit": None}
            owners[row.id] = corrected.get(row.kind, row.vehicle_id)
        mine = set(vehicle_ids)
        return {id for id, owner in owners.items() if owner in mine}

    def _need_visits(self, ids: Iterable[str]) -> None:
        wanted = set(ids)
        with self.reading(), translated():
            beginning = "SELECT id FROM visits WHERE id"
            for statement, values in values_in(self._connection, beginning, list(wanted)):
                found = self._connection.exec_driver_sql(statement, values)
                wanted.difference_update(row[0] for row in found)
        for id in sorted(wanted):
            raise NotFound(f"no visit has the id {id}")

    def _need_live_visits(self, ids: Iterable[str]) -> None:
        wanted = set(ids)
        with self.reading():
            self._need_visits(wanted)
            beginning = "SELECT 1 FROM corrections WHERE kind = 'void visit' AND target_id"
            for statement, values in values_in(self._connection, beginning, wanted):
                with translated():
                    void = self._connection.exec_driver_sql(statement, values).first()
                if void is not None:
                    raise Conflict("the visit is void", hint="enter it for another visit")

    def _assembled(self, ids: Select[Any]) -> list[Visit]:
        rows = self._all(select(visits).where(visits.c.id.in_(ids)).order_by(visits.c.row))
        learnt: dict[str, list[Row[Any]]] = defaultdict(list)
        facts = select(*_FACTS).where(visit_facts.c.visit_id.in_(ids)).order_by(visit_facts.c.row)
        for fact in self._all(facts):
            learnt[fact.visit_id].append(fact)
        said = {
            row.visit_id: row.text
            for row in self._all(
                select(complaints).where(complaints.c.visit_id.in_(ids)).order_by(complaints.c.row)
            )
        }
        corrected: dict[str, list[Row[Any]]] = defaultdict(list)
        for correction in self._corrections_of(ids):
            corrected[correction.target_id].append(correction)
        odometers = {
            row.visit_id: row
            for row in self._all(
                select(odometer_corrections)
                .where(odometer_corrections.c.visit_id.in_(ids))
                .order_by(odometer_corrections.c.row)
            )
        }
        return [
            _visit(
                row,
                learnt[row.id],
                said.get(row.id, ""),
                corrected[row.id],
                odometers.get(row.id, row),
            )
            for row in rows
        ]


def _row(visit: Visit) -> dict[str, Any]:
    return {
        "id": visit.id,
        "vehicle_id": visit.vehicle_id,
        "day": visit.day,
        "odometer_mm": visit.odometer_mm,
        "odometer_text": visit.odometer_text,
        "odometer_unit": visit.odometer_unit,
        "person_id": visit.person_id,
    }


def visit_ids_of(vehicle_ids: Sequence[str]) -> Select[Any]:
    """Return the query for every visit that was ever the vehicles', moved away or void included."""
    moved_here = select(corrections.c.target_id).where(
        corrections.c.to_vehicle.in_(vehicle_ids), corrections.c.kind == "move visit"
    )
    return select(visits.c.id).where(
        or_(visits.c.vehicle_id.in_(vehicle_ids), visits.c.id.in_(moved_here))
    )


def _visit(
    row: Row[Any],
    facts: Sequence[Row[Any]],
    complaint: str,
    corrected: Sequence[Row[Any]],
    odometer: Row[Any],
) -> Visit:
    newest = {fact.kind: fact for fact in facts}
    out = newest.get("odometer_out")
    owner, void_reason = row.vehicle_id, None
    for correction in corrected:
        if correction.kind == "move visit":
            owner = correction.to_vehicle
        elif correction.kind == "void visit":
            void_reason = correction.reason
    return Visit(
        id=row.id,
        vehicle_id=owner,
        day=row.day,
        odometer_mm=odometer.odometer_mm,
        odometer_text=odometer.odometer_text,
        odometer_unit=odometer.odometer_unit,
        odometer_was="" if odometer is row else row.odometer_text,
        person_id=row.person_id,
        odometer_out_mm=_number(out),
        odometer_out_text=out.typed.partition(_NOTE)[0] if out else "",
        odometer_out_note=out.typed.partition(_NOTE)[2] if out else "",
        odometer_out_at=out.recorded_at if out else None,
        complaint=complaint,
        looked_over=frozenset(_corner(fact.value) for fact in facts if fact.kind == "looked_over"),
        next_distance_mm=_number(newest.get("next_distance")),
        next_months=_number(newest.get("next_months")),
        void_reason=void_reason,
        moved_from=row.vehicle_id if owner != row.vehicle_id else None,
    )


def _number(fact: Row[Any] | None) -> int | None:
    return int(fact.value) if fact and fact.value else None
