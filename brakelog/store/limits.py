"""Service limits as printed: never changed, only followed by another or withdrawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from sqlalchemy import Row, Select, exists, select

from brakelog.errors import Conflict, InvalidInput, NotFound
from brakelog.lengths import TypedLength
from brakelog.record.limit import Confirmation, Limit
from brakelog.record.vehicle import Vehicle
from brakelog.store.corrections import Corrections
from brakelog.store.tables import corrections, limit_confirmations, limit_sheets, limits
from brakelog.store.transaction import in_chunks
from brakelog.store.vehicles import Vehicles


class Limits(Corrections, Vehicles):
    """Limits, and the decisions which figure of one holds."""

    def limits_of_sheet(self, name: str) -> list[Limit]:
        """Return the limits that stand on a sheet now, in order of entry.

        Raises
        ------
        NotFound
            Where there is no such sheet.
        """
        with self.reading():
            sheet_id = self._sheet_id(name)
            rows = self._all(
                _current().where(limits.c.sheet_id == sheet_id, limits.c.vehicle_id.is_(None))
            )
        return [_limit(row) for row in rows]

    def limits_for(self, vehicle: Vehicle) -> list[Limit]:
        """Return the limits of the vehicle's sheet, then the marks cast on its own parts.

        Raises
        ------
        NotFound
            Where there is no such sheet.
        """
        with self.reading():
            on_sheet = [] if vehicle.sheet is None else self.limits_of_sheet(vehicle.sheet)
            return on_sheet + self.marks_of_vehicles([vehicle.id])

    def marks_of_vehicles(self, vehicle_ids: Sequence[str]) -> list[Limit]:
        """Return the marks cast on the parts of some vehicles, in order of entry."""
        return [
            _limit(row) for row in self._all(_current().where(limits.c.vehicle_id.in_(vehicle_ids)))
        ]

    def limit_by_id(self, id: str) -> Limit:
        """Return a limit, whether it still holds or not.

        Raises
        ------
        NotFound
            Where there is none.
        """
        row = self._first(_select().where(limits.c.id == id))
        if row is None:
            raise NotFound(f"no limit has the id {id}", hint="brakelog limits show SHEET")
        return _limit(row)

    def full_limit_id(self, text: str) -> str:
        """Return the id that a text is the beginning of; see ``_full_id``."""
        return self._full_id(limits.c.id, text, "limit")

    def add_limits(
        self, new: Sequence[Limit], replaces: Mapping[str, str] = MappingProxyType({})
    ) -> None:
        """Put limits on file.

        Parameters
        ----------
        new : sequence of Limit
            The limits.
        replaces : mapping
            By the id of a new limit, the id of the one that it follows.

        Raises
        ------
        NotFound
            Where a sheet, a vehicle or a followed limit is not on file.
        Conflict
            Where a followed limit does not hold any more.
        """
        with self.writing():
            self._need_vehicles(limit.vehicle_id for limit in new if limit.vehicle_id)
            strangers = set(replaces) - {limit.id for limit in new}
            if strangers:
                raise InvalidInput(f"{sorted(strangers)[0]} replaces a limit but is not added")
            if len(set(replaces.values())) < len(replaces):
                raise Conflict("two limits cannot replace the same one")
            for old_id in replaces.values():
                self._need_current_limit(old_id)
            names = {limit.sheet for limit in new if limit.sheet is not None}
            sheet_ids = {name: self._sheet_id(name) for name in names}
            self._record(
                limits,
                [
                    _row(limit, sheet_ids.get(limit.sheet or ""), replaces.get(limit.id))
                    for limit in new
                ],
            )

    def withdraw_limit(self, id: str, reason: str) -> None:
        """Take a limit out of force without another in its place.

        Raises
        ------
        NotFound
            Where there is none.
        Conflict
            Where it does not hold any more.
        """
        with self.writing():
            self._need_current_limit(id)
            self._correct("withdraw limit", id, reason)

    def confirmations_of(self, limit_ids: Iterable[str]) -> list[Confirmation]:
        """Return the newest decision for each of the limits that has one, oldest first."""
        rows: list[Row[Any]] = []
        with self.reading():
            for ids in in_chunks(limit_ids):
                rows += self._all(
                    select(limit_confirmations)
                    .where(limit_confirmations.c.limit_id.in_(ids))
                    .order_by(limit_confirmations.c.row)
                )
        rows.sort(key=lambda row: row.row)
        newest: dict[str, Row[Any]] = {}
        for row in rows:
            newest.pop(row.limit_id, None)
            newest[row.limit_id] = row
        return [
            Confirmation(
                id=row.id,
                limit_id=row.limit_id,
                figure=row.figure,
                person_id=row.person_id,
                reason=row.reason,
                over=row.over_limits,
            )
            for row in newest.values()
        ]

    def add_confirmation(self, confirmation: Confirmation) -> None:
        """Record which figure of a limit holds.

        Raises
        ------
        NotFound
            Where the limit is not on file.
        InvalidInput
            Where it has no such figure.
        """
        with self.writing():
            limit = self.limit_by_id(confirmation.limit_id)
            if not 0 <= confirmation.figure < len(limit.figures):
                raise InvalidInput(f"the limit has no figure {confirmation.figure}")
            self._record(
                limit_confirmations,
                [
                    {
                        "id": confirmation.id,
                        "limit_id": confirmation.limit_id,
                        "figure": confirmation.figure,
                        "person_id": confirmation.person_id,
                        "reason": confirmation.reason,
                        "over_limits": confirmation.over,
                    }
                ],
            )

    def _need_current_limit(self, id: str) -> None:
        self.limit_by_id(id)
        if self._first(_current().where(limits.c.id == id)) is None:
            raise Conflict(
                "that limit has been replaced or withdrawn", hint="replace the one that holds now"
            )


def _select() -> Select[Any]:
    sheet = limit_sheets.alias("sheet")
    name = (
        select(sheet.c.name)
        .where(sheet.c.key == limits.c.sheet_id)
        .order_by(sheet.c.row.desc())
        .limit(1)
        .scalar_subquery()
    )
    return select(limits, name.label("sheet")).order_by(limits.c.row)


def _current() -> Select[Any]:
    later = limits.alias("later")
    return _select().where(
        ~exists().where(later.c.replaces == limits.c.id),
        ~exists().where(
            corrections.c.target_id == limits.c.id, corrections.c.kind == "withdraw limit"
        ),
    )


def _row(limit: Limit, sheet_id: str | None, replaces: str | None) -> dict[str, Any]:
    if not 1 <= len(limit.figures) <= 2:
        raise InvalidInput("a limit has one figure or two")
    second = limit.figures[1] if len(limit.figures) > 1 else None
    return {
        "id": limit.id,
        "kind": limit.kind,
        "axle": limit.axle,
        "sheet_id": sheet_id,
        "vehicle_id": limit.vehicle_id,
        "corner": limit.corner,
        **_figure_columns(limit.figures[0], 1),
        **_figure_columns(second, 2),
        "source": limit.source,
        "out_when": limit.out_when,
        "datum": limit.datum,
        "which_pad": limit.which_pad,
        "points": limit.points,
        "radius_nm": limit.radius_nm,
        "source_date": limit.source_date,
        "note": limit.note,
        "replaces": replaces,
    }


def _figure_columns(figure: TypedLength | None, place: int) -> dict[str, Any]:
    return {
        f"typed_{place}": figure and figure.text,
        f"nm_{place}": figure and figure.nm,
        f"unit_{place}": figure and figure.unit,
        f"last_digit_nm_{place}": figure and figure.last_digit_nm,
        f"unit_typed_{place}": figure and figure.unit_typed,
    }


def _limit(row: Row[Any]) -> Limit:
    figures = [_figure(row, 1)]
    if row.typed_2 is not None:
        figures.append(_figure(row, 2))
    return Limit(
        id=row.id,
        kind=row.kind,
        figures=tuple(figures),
        source=row.source,
        axle=row.axle,
        sheet=row.sheet,
        vehicle_id=row.vehicle_id,
        corner=row.corner,
        out_when=row.out_when,
        datum=row.datum,
        which_pad=row.which_pad,
        points=row.points,
        radius_nm=row.radius_nm,
        source_date=row.source_date,
        note=row.note,
    )


def _figure(row: Row[Any], place: int) -> TypedLength:
    columns = row._mapping
    return TypedLength(
        nm=columns[f"nm_{place}"],
        text=columns[f"typed_{place}"],
        unit=columns[f"unit_{place}"],
        last_digit_nm=columns[f"last_digit_nm_{place}"],
        unit_typed=columns[f"unit_typed_{place}"],
    )
