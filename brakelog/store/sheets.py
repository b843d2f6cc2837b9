"""Limit sheets, the torques on them, and how a sheet is found by its name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, Select, exists, select

from brakelog.errors import Conflict, clip
from brakelog.record.limit import Torque
from brakelog.record.trait import Trait
from brakelog.store.names import name_key, need_name, need_named, not_found
from brakelog.store.tables import limit_sheets, sheet_traits, torques
from brakelog.store.transaction import Transactions


class Sheets(Transactions):
    """Limit sheets and torques."""

    def sheets(self) -> list[str]:
        """Return the names of the sheets, sorted."""
        return [row.name for row in self._all(_newest().order_by(limit_sheets.c.name_key))]

    def add_sheet(self, name: str, note: str = "") -> None:
        """Begin a sheet.

        Raises
        ------
        Conflict
            Where a sheet has that name.
        """
        with self.writing():
            key = need_name(name, "name of the sheet")
            if self._first(_newest().where(limit_sheets.c.name_key == key)):
                raise Conflict(
                    f"a sheet named {clip(name)!r} is on file already", hint="choose another name"
                )
            id = self.new_id()
            row = {"id": id, "key": id, "name": name, "name_key": key, "note": note}
            self._record(limit_sheets, [row])

    def rename_sheet(self, name: str, new_name: str) -> None:
        """Give a sheet another name; what points at it goes on pointing at it.

        Raises
        ------
        NotFound
            Where there is no such sheet.
        Conflict
            Where another sheet has the new name.
        """
        with self.writing():
            sheet = self._sheet(name)
            key = need_name(new_name, "name of the sheet")
            other = self._first(_newest().where(limit_sheets.c.name_key == key))
            if other is not None and other.key != sheet.key:
                raise Conflict(
                    f"a sheet named {clip(new_name)!r} is on file already",
                    hint="choose another name",
                )
            row = {"key": sheet.key, "name": new_name, "name_key": key, "note": sheet.note}
            self._record(limit_sheets, [row])

    def torques_of_sheet(self, name: str) -> list[Torque]:
        """Return the torques of a sheet; the newest of an axle and fastener counts.

        Raises
        ------
        NotFound
            Where there is no such sheet.
        """
        with self.reading():
            sheet = self._sheet(name)
            rows = self._all(
                select(torques).where(torques.c.sheet_id == sheet.key).order_by(torques.c.row)
            )
        newest = {(row.axle, name_key(row.fastener)): row for row in rows}
        return [_torque(row, sheet.name) for row in newest.values()]

    def add_torques(self, new: Sequence[Torque]) -> None:
        """Put torques on their sheets.

        Raises
        ------
        NotFound
            Where there is no such sheet.
        """
        with self.writing():
            ids = {name: self._sheet_id(name) for name in {torque.sheet for torque in new}}
            self._record(
                torques,
                [
                    {
                        "id": torque.id,
                        "sheet_id": ids[torque.sheet],
                        "axle": torque.axle,
                        "fastener": torque.fastener,
                        "figure": torque.figure,
                        "source": torque.source,
                    }
                    for torque in new
                ],
            )

    def traits_of_sheet(self, name: str) -> list[Trait]:
        """Return the traits of a sheet; the newest of an axle and name counts.

        Raises
        ------
        NotFound
            Where there is no such sheet.
        """
        with self.reading():
            sheet = self._sheet(name)
            rows = self._all(
                select(sheet_traits)
                .where(sheet_traits.c.sheet_id == sheet.key)
                .order_by(sheet_traits.c.row)
            )
        newest = {(row.axle, row.name): row for row in rows}
        return [
            Trait(
                id=row.id,
                sheet=sheet.name,
                axle=row.axle,
                name=row.name,
                value=row.value,
                source=row.source,
            )
            for row in newest.values()
        ]

    def add_traits(self, new: Sequence[Trait]) -> None:
        """Put traits on their sheets.

        Raises
        ------
        NotFound
            Where there is no such sheet.
        """
        with self.writing():
            ids = {name: self._sheet_id(name) for name in {trait.sheet for trait in new}}
            self._record(
                sheet_traits,
                [
                    {
                        "id": trait.id,
                        "sheet_id": ids[trait.sheet],
                        "axle": trait.axle,
                        "name": trait.name,
                        "value": trait.value,
                        "source": trait.source,
                    }
                    for trait in new
                ],
            )

    def _sheet(self, name: str) -> Row[Any]:
        row = self._first(_newest().where(limit_sheets.c.name_key == name_key(name)))
        if row is None:
            raise not_found("sheet", name, self.sheets(), command="brakelog limits list")
        need_named(name_key(name), name_key(row.name))
        return row

    def _sheet_id(self, name: str) -> str:
        return str(self._sheet(name).key)


def _newest() -> Select[Any]:
    later = limit_sheets.alias("later")
    return select(limit_sheets).where(
        ~exists().where(later.c.key == limit_sheets.c.key, later.c.row > limit_sheets.c.row)
    )


def _torque(row: Row[Any], sheet: str) -> Torque:
    return Torque(
        id=row.id,
        sheet=sheet,
        axle=row.axle,
        fastener=row.fastener,
        figure=row.figure,
        source=row.source,
    )
