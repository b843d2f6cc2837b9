"""Fittings: the events in the lives of the parts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import exists, select

from brakelog.errors import Conflict, NotFound
from brakelog.record.fitting import Fitting
from brakelog.store.nouns import field_names, noun_maker
from brakelog.store.tables import corrections, fittings
from brakelog.store.visits import Visits, visit_ids_of

_COLUMNS = tuple(fittings.c[name] for name in field_names(Fitting))
_fitting = noun_maker(Fitting)
"""Makes one of a row that was read by ``_COLUMNS``."""


class Fittings(Visits):
    """The fittings of the visits."""

    def fittings_of_vehicle(self, vehicle_id: str) -> list[Fitting]:
        """Return the fittings that hold now, by day, then odometer, then entry."""
        return self.fittings_of_vehicles([vehicle_id])

    def fittings_of_vehicles(self, vehicle_ids: Sequence[str]) -> list[Fitting]:
        """Return the same of some vehicles, at most as many as one statement can name."""
        with self.reading():
            standing = self._standing_visits(vehicle_ids)
            is_void = exists().where(corrections.c.target_id == fittings.c.id)
            rows = self._all(
                select(*_COLUMNS)
                .where(fittings.c.visit_id.in_(visit_ids_of(vehicle_ids)), ~is_void)
                .order_by(fittings.c.day, fittings.c.odometer_mm, fittings.c.row)
            )
        return [_fitting(row) for row in rows if row.visit_id in standing]

    def add_fittings(self, new: Sequence[Fitting]) -> None:
        """Put fittings on file.

        Raises
        ------
        NotFound
            Where a visit is not on file.
        Conflict
            Where a visit is void.
        """
        with self.writing():
            self._need_live_visits(fitting.visit_id for fitting in new)
            self._record(fittings, [_row(fitting) for fitting in new])

    def full_fitting_id(self, text: str) -> str:
        """Return the id that a text is the beginning of; see ``_full_id``."""
        return self._full_id(fittings.c.id, text, "fitting")

    def void_fitting(self, id: str, reason: str) -> None:
        """Take a fitting out of the history; it is kept.

        Raises
        ------
        NotFound
            Where there is none.
        Conflict
            Where it does not hold any more.
        InvalidInput
            Where the reason is empty.
        """
        with self.writing():
            row = self._first(select(fittings.c.visit_id).where(fittings.c.id == id))
            if row is None:
                raise NotFound(f"no fitting has the id {id}")
            self._need_live_visits([row.visit_id])
            if self._corrections_of(id):
                raise Conflict("that fitting is void already")
            self._correct("void fitting", id, reason)


def _row(fitting: Fitting) -> dict[str, Any]:
    return {
        "id": fitting.id,
        "visit_id": fitting.visit_id,
        "day": fitting.day,
        "odometer_mm": fitting.odometer_mm,
        "corner": fitting.corner,
        "position": fitting.position,
        "event": fitting.event,
        "basis": fitting.basis,
        "size_nm": fitting.size_nm,
        "size_typed": fitting.size_typed,
        "from_corner": fitting.from_corner,
        "person_id": fitting.person_id,
        "note": fitting.note,
    }
