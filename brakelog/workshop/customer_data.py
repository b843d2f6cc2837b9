"""Everything that is on file about one customer, for whoever asks for it."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brakelog.lengths import decimal_mm
from brakelog.record.agreement import Agreement
from brakelog.record.issued import IssuedVerdict
from brakelog.record.vehicle import Vehicle
from brakelog.record.visit import Visit
from brakelog.store.raw_rows import RawRow, RawRows
from brakelog.store.store import Store
from brakelog.store.tables import complaints, findings, fittings, reading_sets
from brakelog.workshop.exporting import new_file, new_folder
from brakelog.workshop.forgetting import to_forget

if TYPE_CHECKING:
    from sqlalchemy import Table

FORMAT = "brakelog.customer/1"
ONE_FILE = "customer.json"


def customer_data(store: Store, tag: str) -> dict[str, Any]:
    """Return what is on file about a customer and their vehicles, as ``brakelog.customer/1``.

    Raises
    ------
    NotFound
        Where nobody goes by that tag.
    """
    with store.reading():
        found = to_forget(store, tag)
        reader = _Reader(store)
        return {
            "format": FORMAT,
            "customer": {
                "id": found.customer.id,
                "tag": found.customer.tag,
                "name": found.customer.name,
                "contact": found.customer.contact or None,
            },
            "vehicles": [reader.vehicle(each) for each in found.vehicles],
        }


def write_customer_data(document: dict[str, Any], folder: Path) -> int:
    """Write the document and the sheet of every verdict into a new folder; return the files.

    Raises
    ------
    Conflict
        Where something is in the folder already.
    StoreError
        Where it cannot be written.
    """

    def fill(scratch: Path) -> None:
        with new_file(scratch / ONE_FILE) as stream:
            text = json.dumps(document, ensure_ascii=False, indent=2)
            stream.write(f"{text}\n".encode())
        number = 0
        for vehicle in document["vehicles"]:
            for visit in vehicle["visits"]:
                for verdict in visit["verdicts"]:
                    number += 1
                    name = f"verdict-{number:04d}-{visit['date']}.txt"
                    with new_file(scratch / name) as stream:
                        stream.write((verdict["sheet"] or verdict["document"]).encode())

    new_folder(folder, fill)
    return len(list(folder.iterdir()))


class _Reader:
    """Reads what belongs to vehicles."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._raw = RawRows(store)
        self._people = {person.id: person.tag for person in store.people()}

    def vehicle(self, vehicle: Vehicle) -> dict[str, Any]:
        store = self._store
        visits = store.visits_of(vehicle.id, include_void=True)
        ids = [visit.id for visit in visits]
        rows = {
            table: self._rows(table, ids)
            for table in (reading_sets, findings, fittings, complaints)
        }
        holding = {
            one.id
            for some in (
                store.reading_sets_of_vehicle(vehicle.id),
                store.findings_of_vehicle(vehicle.id),
                store.fittings_of_vehicle(vehicle.id),
            )
            for one in some
        }
        return {
            "id": vehicle.id,
            "tag": vehicle.tag,
            "description": vehicle.description,
            "plate": vehicle.plate or None,
            "vin": vehicle.vin or None,
            "brakes": [brake.value for brake in vehicle.brakes],
            "visits": [self._visit(visit, rows, holding) for visit in visits],
        }

    def _rows(self, table: Table, visit_ids: Sequence[str]) -> dict[str, list[RawRow]]:
        found: dict[str, list[RawRow]] = defaultdict(list)
        rows = self._raw.rows_with(table, "visit_id", visit_ids)
        for row in sorted(rows, key=lambda row: row["row"]):
            found[row["visit_id"]].append(row)
        return found

    def _visit(
        self, visit: Visit, rows: dict[Table, dict[str, list[RawRow]]], holding: set[str]
    ) -> dict[str, Any]:
        id = visit.id
        return {
            "id": id,
            "date": visit.day.isoformat(),
            "odometer": visit.odometer_text,
            "odometer_unit": visit.odometer_unit.value,
            "void": visit.void_reason,
            "by": self._people.get(visit.person_id or ""),
            "complaints": [row["text"] for row in rows[complaints][id] if row["text"]],
            "readings": [self._reading(row, holding) for row in rows[reading_sets][id]],
            "findings": [_finding(row, holding) for row in rows[findings][id]],
            "fittings": [_fitting(row, holding) for row in rows[fittings][id]],
            "agreements": [_agreement(each) for each in self._store.agreements_of(id)],
            "verdicts": list(_verdicts(self._store.verdicts_of_visit(id))),
        }

    def _reading(self, row: RawRow, holding: set[str]) -> dict[str, Any]:
        return {
            "id": row["id"],
            "corner": row["corner"],
            "quantity": row["quantity"],
            "stage": row["stage"],
            "typed": json.loads(row["typed"]),
            "unit": row["unit"],
            "values_mm": [
                None if value is None else decimal_mm(value)
                for value in json.loads(row["values_nm"])
            ],
            "recorded_at": _moment(row),
            "by": self._people.get(row["person_id"] or ""),
            "holds": row["id"] in holding,
        }


def _finding(row: RawRow, holding: set[str]) -> dict[str, Any]:
    return {
        "id": row["id"],
        "corner": row["corner"],
        "stage": row["stage"],
        "part": row["part"],
        "kind": row["kind"],
        "put_right": bool(row["put_right"]),
        "note": row["note"],
        "recorded_at": _moment(row),
        "holds": row["id"] in holding,
    }


def _fitting(row: RawRow, holding: set[str]) -> dict[str, Any]:
    return {
        "id": row["id"],
        "date": row["day"],
        "corner": row["corner"],
        "position": row["position"],
        "event": row["event"],
        "size_typed": row["size_typed"],
        "note": row["note"],
        "recorded_at": _moment(row),
        "holds": row["id"] in holding,
    }


def _agreement(each: Agreement) -> dict[str, Any]:
    return {
        "consent": each.consent.value,
        "items": [str(item) for item in each.items],
        "date": each.day.isoformat(),
        "time": each.time,
        "how": each.how.value,
        "cost": each.cost,
        "note": each.note,
        "who": each.who,
        "number": each.number,
    }


def _verdicts(issued: Iterable[IssuedVerdict]) -> Iterable[dict[str, Any]]:
    for each in issued:
        yield {
            "issued_at": None if each.recorded_at is None else each.recorded_at.isoformat(),
            "stage": each.stage.value,
            "document": each.document,
            "sheet": each.sheet,
        }


def _moment(row: RawRow) -> str:
    return str(row["recorded_at"]).replace("Z", "+00:00")
