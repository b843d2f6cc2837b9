"""The journal: every change of the record, with who, when and why, out of the evidence itself."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import CompoundSelect, Select, Table, literal, null, or_, select, union_all

from brakelog.record.journal import Change
from brakelog.store.seals import form_of
from brakelog.store.statements import values_in
from brakelog.store.tables import (
    EVIDENCE,
    corrections,
    findings,
    fittings,
    limits,
    reading_sets,
    vehicles,
)
from brakelog.store.transaction import Transactions
from brakelog.store.visits import visit_ids_of

_ABOUT = ("corner", "quantity", "position", "event", "kind", "stage", "name", "tag", "checked")
"""Columns that say what a row is about, where a table has them."""


def _ids_of(vehicle_id: str) -> CompoundSelect[Any]:
    """Return the query for the ids of all that a correction of a vehicle's record can name."""
    mine = visit_ids_of([vehicle_id])
    return union_all(
        mine,
        *(
            select(table.c.id).where(table.c.visit_id.in_(mine))
            for table in (reading_sets, findings, fittings)
        ),
        select(limits.c.id).where(limits.c.vehicle_id == vehicle_id),
    )


class Journal(Transactions):
    """Reads all tables of evidence as one list."""

    def changes(
        self,
        *,
        most: int,
        since: datetime | None = None,
        vehicle_id: str | None = None,
    ) -> list[Change]:
        """Return the newest changes, oldest first.

        Parameters
        ----------
        most : int
            How many at most. [-]
        since : datetime, optional
            None before. [UTC]
        vehicle_id : str, optional
            Only what was entered for this vehicle, moved visits included.
        """
        with self.reading():
            parts = [
                part
                for table in EVIDENCE
                if (part := self._changes_in(table, since, vehicle_id)) is not None
            ]
            whole = union_all(*parts).subquery()
            newest = select(whole).order_by(
                whole.c.recorded_at.desc(), whole.c.place.desc(), whole.c.row.desc()
            )
            rows = list(reversed(self._all(newest.limit(most))))
            owners = self._vehicles_of({row.visit_id for row in rows if row.visit_id})
        return [
            Change(
                recorded_at=datetime.fromisoformat(row.recorded_at),
                person_id=row.recorded_by,
                site=row.site,
                table=row.table_name,
                id=row.id,
                about=tuple(text for name in _ABOUT if (text := getattr(row, f"about_{name}"))),
                vehicle_id=row.vehicle_id or owners.get(row.visit_id),
                why=row.why or "",
                link=row.chain_link or "",
            )
            for row in rows
        ]

    def _changes_in(
        self, table: Table, since: datetime | None, vehicle_id: str | None
    ) -> Select[Any] | None:
        raw = form_of(table, self._dialect).raw.c
        names = {column.name for column in table.columns}
        vehicle = next(
            (raw[name] for name in ("vehicle_id", "to_vehicle") if name in names), null()
        )
        if table is vehicles:
            vehicle = raw.key
        part = select(
            raw.recorded_at,
            raw.recorded_by,
            raw.site,
            literal(table.name).label("table_name"),
            literal(EVIDENCE.index(table)).label("place"),
            raw.row,
            raw.id,
            raw.chain_link,
            (raw.visit_id if "visit_id" in names else null()).label("visit_id"),
            vehicle.label("vehicle_id"),
            (raw.reason if "reason" in names else null()).label("why"),
            *((raw[name] if name in names else null()).label(f"about_{name}") for name in _ABOUT),
        )
        if since is not None:
            stamp = since.isoformat(timespec="microseconds").replace("+00:00", "Z")
            part = part.where(raw.recorded_at >= stamp)
        if vehicle_id is None:
            return part
        if "visit_id" in names:
            return part.where(raw.visit_id.in_(visit_ids_of([vehicle_id])))
        if table.name == "visits":
            return part.where(raw.id.in_(visit_ids_of([vehicle_id])))
        if table is corrections:
            return part.where(or_(vehicle == vehicle_id, raw.target_id.in_(_ids_of(vehicle_id))))
        return part.where(vehicle == vehicle_id)

    def _vehicles_of(self, visit_ids: Iterable[str]) -> dict[str, str]:
        found: dict[str, str] = {}
        for statement, values in values_in(
            self._connection, "SELECT id, vehicle_id FROM visits WHERE id", visit_ids
        ):
            rows = self._connection.exec_driver_sql(statement, values)
            found.update((id, vehicle_id) for id, vehicle_id in rows)
        return found
