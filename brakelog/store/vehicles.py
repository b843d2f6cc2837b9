"""Vehicles: revisions of one row, with plate, VIN and customer kept apart."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from sqlalchemy import Row, Select, exists, func, or_, select

from brakelog.errors import Conflict, NotFound, StoreError, clip
from brakelog.record.vehicle import Vehicle
from brakelog.store.events import Events
from brakelog.store.faults import translated
from brakelog.store.names import name_key, need_name, need_named, not_found, plate_key
from brakelog.store.nouns import need_texts
from brakelog.store.sealed_rows import sealed_rows
from brakelog.store.sheets import Sheets
from brakelog.store.tables import limit_sheets, row_tallies, vehicle_identities, vehicles
from brakelog.store.transaction import in_chunks


class Vehicles(Sheets, Events):
    """The vehicles of the shop."""

    def vehicles(self) -> list[Vehicle]:
        """Return every vehicle as it stands now, by tag."""
        with self.reading():
            rows = self._all(_newest().order_by(vehicles.c.tag_key))
            self._need_all(len(rows))
        return [_vehicle(row) for row in rows]

    def vehicle(self, name: str) -> Vehicle:
        """Return the vehicle that a tag, a plate or a VIN names; case does not count.

        Raises
        ------
        NotFound
            With the tags that come close.
        Conflict
            Where it names more than one.
        """
        with self.reading():
            found = self._vehicles_tagged(name) or self._named(name)
            if not found:
                known = [text for other in self.vehicles() for text in (other.tag, other.plate)]
                raise not_found("vehicle", name, known, command="brakelog vehicle list")
        if len(found) > 1:
            tags = ", ".join(vehicle.tag for vehicle in found)
            raise Conflict(
                f"{clip(name)!r} names more than one vehicle", hint=f"type one of {tags}"
            )
        return found[0]

    def vehicles_tagged(self, names: Iterable[str]) -> dict[str, Vehicle]:
        """Return those of the names that are the tag of one vehicle, each with its vehicle.

        A name that is left out may still be one that ``vehicle`` knows, or that it refuses.
        """
        keys = {name: name_key(name) for name in names}
        found: dict[str, list[Vehicle]] = {}
        with self.reading():
            for some in in_chunks({key for key in keys.values() if key}):
                for row in self._all(_newest().where(vehicles.c.tag_key.in_(some))):
                    found.setdefault(name_key(row.tag), []).append(_vehicle(row))
        return {name: found[key][0] for name, key in keys.items() if len(found.get(key, ())) == 1}

    def vehicles_by_ids(self, ids: Iterable[str]) -> list[Vehicle]:
        """Return the vehicles with those ids, as they stand now; by tag."""
        found = [
            _vehicle(row)
            for some in in_chunks(ids)
            for row in self._all(_newest().where(vehicles.c.key.in_(some)))
        ]
        return sorted(found, key=lambda vehicle: name_key(str(vehicle.tag)))

    def vehicle_tags(self) -> dict[str, str]:
        """Return the tag of every vehicle as it stands now, by its id.

        Raises
        ------
        StoreError
            Where one is not as it was written: a list would name another vehicle.
        """
        with self.reading(), translated():
            rows = sealed_rows(self._connection, vehicles, "key", "tag")
            tags: dict[str, str] = dict(rows)
            self._need_all(len(tags))
        return tags

    def vehicle_by_id(self, id: str) -> Vehicle:
        """Return the vehicle with an id, as it stands now.

        Raises
        ------
        NotFound
            Where there is none.
        """
        row = self._first(_newest().where(vehicles.c.key == id))
        if row is None:
            raise NotFound(f"no vehicle has the id {id}")
        return _vehicle(row)

    def add_vehicle(self, vehicle: Vehicle) -> None:
        """Put a vehicle on file.

        Raises
        ------
        Conflict
            Where the tag is taken, as a tag or as a plate.
        NotFound
            Where there is no such sheet.
        """
        with self.writing():
            self._need_free(vehicle)
            self._record(vehicles, [{"id": vehicle.id, **self._revision(vehicle)}])
            self._insert(vehicle_identities, [_identity(vehicle)])

    def change_vehicle(self, vehicle: Vehicle) -> None:
        """Make the vehicle with that id read like this from now on.

        Raises
        ------
        NotFound
            Where there is no such vehicle or sheet.
        Conflict
            Where the tag is taken.
        """
        with self.writing():
            before = self.vehicle_by_id(vehicle.id)
            self._need_free(vehicle)
            revision = self._revision(vehicle)
            if revision != self._revision(before):
                self._record(vehicles, [revision])
            identity = _identity(vehicle)
            if identity != _identity(before):
                self._rewrite(vehicle_identities, "vehicle_id", identity)
                self.note_event("names changed", vehicle.id, vehicle_identities.name)

    def _vehicles_tagged(self, name: str) -> list[Vehicle]:
        """No tag is another vehicle's plate or VIN, so a tag that fits settles it."""
        tag = name_key(name)
        rows = self._all(_newest().where(vehicles.c.tag_key == tag)) if tag else []
        for row in rows:
            need_named(tag, name_key(row.tag))
        return [_vehicle(row) for row in rows]

    def _named(self, name: str) -> list[Vehicle]:
        plate = plate_key(name)
        if not name_key(name):
            return []
        # Two questions, so that each is answered from an index.
        by_tag = self._vehicles_tagged(name)
        by_plate = self._all(
            _newest()
            .where(
                or_(
                    vehicle_identities.c.plate_key == plate,
                    vehicle_identities.c.vin_key == plate,
                )
            )
            .order_by(vehicles.c.tag_key)
        )
        for row in by_plate:
            need_named(plate, plate_key(row.plate), plate_key(row.vin))
        found = [*by_tag, *(_vehicle(row) for row in by_plate)]
        return list({vehicle.id: vehicle for vehicle in found}.values())

    def _need_free(self, vehicle: Vehicle) -> None:
        """A tag must name one vehicle only, or a reading could land on the wrong one."""
        key = need_name(vehicle.tag, "tag")
        for other in self._named(vehicle.tag):
            if other.id != vehicle.id:
                how = "tagged" if name_key(other.tag) == key else "registered"
                raise Conflict(
                    f"a vehicle {how} {clip(vehicle.tag)!r} is on file already",
                    hint=f"choose another tag, or use {other.tag}",
                )
        for word in (vehicle.plate, vehicle.vin):
            same = self._first(_newest().where(vehicles.c.tag_key == name_key(word)))
            if word.strip() and same is not None and same.key != vehicle.id:
                raise Conflict(
                    f"{clip(word)!r} is the tag of another vehicle already",
                    hint=f"change the tag of {same.tag} first",
                )

    def _revision(self, vehicle: Vehicle) -> dict[str, Any]:
        sheet_id = None if vehicle.sheet is None else self._sheet_id(vehicle.sheet)
        return {
            "key": vehicle.id,
            "tag": vehicle.tag,
            "tag_key": need_name(vehicle.tag, "tag"),
            "description": vehicle.description,
            "brakes": vehicle.brakes,
            "odometer_unit": vehicle.odometer_unit,
            "sheet_id": sheet_id,
        }

    def _need_all(self, count: int) -> None:
        """Do nothing where so many vehicles are on file; what is being written is not counted yet.

        Raises
        ------
        StoreError
            Where there are more or fewer: a list must not leave one out silently.
        """
        if self._writes:
            return
        tallied = select(func.count()).where(row_tallies.c.kind == vehicles.name)
        row = self._first(tallied)
        if row is not None and row[0] != count:
            raise StoreError(
                f"the store is damaged: it has {row[0]} vehicles, and {count} can be found",
                hint="run brakelog store check; restore a backup",
            )

    def _need_vehicles(self, ids: Iterable[str]) -> None:
        wanted = set(ids)
        with self.reading():
            for some in in_chunks(wanted):
                found = select(vehicles.c.key).where(vehicles.c.key.in_(some))
                wanted -= {row.key for row in self._all(found)}
        for id in sorted(wanted):
            raise NotFound(f"no vehicle has the id {id}")


@cache
def _newest() -> Select[Any]:
    later = vehicles.alias("later")
    later_sheet = limit_sheets.alias("later_sheet")
    sheet = (
        select(later_sheet.c.name)
        .where(later_sheet.c.key == vehicles.c.sheet_id)
        .order_by(later_sheet.c.row.desc())
        .limit(1)
        .scalar_subquery()
    )
    return (
        select(vehicles, vehicle_identities, sheet.label("sheet"))
        .join(vehicle_identities, vehicle_identities.c.vehicle_id == vehicles.c.key)
        .where(~exists().where(later.c.key == vehicles.c.key, later.c.row > vehicles.c.row))
    )


def _identity(vehicle: Vehicle) -> dict[str, Any]:
    return {
        "vehicle_id": vehicle.id,
        "plate": vehicle.plate,
        "plate_key": plate_key(vehicle.plate),
        "vin": vehicle.vin,
        "vin_key": plate_key(vehicle.vin),
        "customer_id": vehicle.customer_id,
    }


def _vehicle(row: Row[Any]) -> Vehicle:
    need_texts(row)
    return Vehicle(
        id=row.key,
        tag=row.tag,
        description=row.description,
        brakes=row.brakes,
        odometer_unit=row.odometer_unit,
        sheet=row.sheet,
        plate=row.plate,
        vin=row.vin,
        customer_id=row.customer_id,
    )
