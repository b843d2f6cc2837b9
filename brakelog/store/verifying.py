"""Whether the rows that a judgement rests on are those that were written, and all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from sqlalchemy import Table

from brakelog.errors import StoreError
from brakelog.store.faults import translated
from brakelog.store.owners import OWNERS
from brakelog.store.seals import add_totals, form_of
from brakelog.store.statements import quoted, values_in
from brakelog.store.tables import (
    agreement_names,
    agreements,
    answers,
    closing_answers,
    complaints,
    corrections,
    customers,
    draft_entries,
    findings,
    fittings,
    gauges,
    limit_confirmations,
    limit_sheets,
    limits,
    odometer_corrections,
    people,
    reading_sets,
    sheet_traits,
    shop_settings,
    torques,
    torques_left,
    vehicle_identities,
    vehicles,
    verdicts,
    visit_facts,
    visits,
)
from brakelog.store.transaction import Transactions

MOST_NAMED = 5
"""Faults that a refusal names; ``store check`` names all."""
_OF_VISITS = (
    visit_facts,
    reading_sets,
    findings,
    fittings,
    answers,
    odometer_corrections,
    closing_answers,
    torques_left,
    agreements,
    verdicts,
)
_CORRECTED = (reading_sets, findings, fittings)
_OF_SHEETS = (limit_sheets, limits, torques, sheet_traits)
_OF_THE_SHOP = (shop_settings, gauges)


class Verifying(Transactions):
    """Checks the seals of what belongs to some vehicles, and that nothing of it is missing."""

    def need_intact(self, vehicle_ids: Sequence[str]) -> None:
        """Do nothing where every row that these vehicles are judged by is as it was written.

        The vehicles, their visits with all that was entered for them, corrections, the limits of
        their sheets and their own, gauges, the shop's settings, people, names and drafts.

        Raises
        ------
        StoreError
            With the rows that are not, and what rows are missing.
        """
        with self.reading(), translated():
            faults = list(_Look(self).faults(vehicle_ids))
        if faults:
            more = f" and {len(faults) - MOST_NAMED} more" if len(faults) > MOST_NAMED else ""
            raise StoreError(
                "the record was changed outside of the program, or damaged: "
                + "; ".join(faults[:MOST_NAMED])
                + more,
                hint="nothing is judged on it: run brakelog store check, then restore a backup",
            )


class _Look:
    """One look at the rows of some vehicles."""

    def __init__(self, store: Verifying) -> None:
        self._connection = store._connection
        self._ledger = store._ledger
        self._faults: list[str] = []

    def faults(self, vehicle_ids: Sequence[str]) -> Iterator[str]:
        revisions = self._owned(vehicles, "key", vehicle_ids)
        moves = self._owned(corrections, "to_vehicle", vehicle_ids)
        visit_ids = {row["id"] for row in self._owned(visits, "vehicle_id", vehicle_ids)}
        moved = {row["target_id"] for row in moves if row["kind"] == "move visit"}
        found = {row["id"] for row in self._rows(visits, "id", moved - visit_ids)}
        for id in sorted(moved - visit_ids - found):
            yield f"visit {id} is missing"
        visit_ids |= moved
        targets, agreed = set(visit_ids), set[str]()
        for table in _OF_VISITS:
            rows = self._owned(table, "visit_id", visit_ids)
            if table in _CORRECTED:
                targets.update(row["id"] for row in rows)
            elif table is agreements:
                agreed.update(row["id"] for row in rows)
        sheets = {row["sheet_id"] for row in revisions if row["sheet_id"] is not None}
        bounds = {row["id"] for row in self._owned(limits, "vehicle_id", vehicle_ids)}
        for table in _OF_SHEETS:
            rows = self._owned(table, "key" if table is limit_sheets else "sheet_id", sheets)
            if table is limits:
                bounds.update(row["id"] for row in rows)
        self._owned(limit_confirmations, "limit_id", bounds)
        self._need_by_id(visits, visit_ids)
        self._need_replaced(bounds)
        self._owned(corrections, "target_id", targets | bounds)
        for table in _OF_THE_SHOP:
            self._owned(table, OWNERS[table][0], None)
        self._rows(people, "id", None)
        named = self._rows(vehicle_identities, "vehicle_id", vehicle_ids)
        owners = {row["customer_id"] for row in named if row["customer_id"] is not None}
        self._rows(customers, "id", owners)
        self._rows(complaints, "visit_id", visit_ids)
        self._rows(draft_entries, "visit_id", visit_ids)
        self._rows(agreement_names, "agreement_id", agreed)
        yield from self._faults

    def _need_by_id(self, table: Table, ids: Iterable[str]) -> None:
        """Rows that are judged are found by their ids too: another index, which may be damaged."""
        wanted = set(ids)
        found = {id for (id,) in self._fetch(f"SELECT id FROM {table.name}", "id", wanted)}
        self._faults += [
            f"{table.name} {id[:12]} is not found by its id" for id in sorted(wanted - found)
        ]

    def _need_replaced(self, ids: Iterable[str]) -> None:
        """A limit that was replaced must not hold again because an index does not say so."""
        bounds = set(ids)
        rows = self._fetch(f"SELECT replaces FROM {limits.name}", "id", bounds)
        replaced = {old for (old,) in rows if old is not None}
        found = {
            old for (old,) in self._fetch(f"SELECT replaces FROM {limits.name}", "replaces", bounds)
        }
        self._faults += [
            f"the limit that replaces {id[:12]} is not found" for id in sorted(replaced - found)
        ]

    def _owned(
        self, table: Table, owner: str, owners: Iterable[str] | None
    ) -> list[dict[str, Any]]:
        """Return the rows of some owners, or of all; what is wrong with them is kept in mind."""
        rows = self._rows(table, owner, owners)
        tallies: dict[str, list[int]] = defaultdict(lambda: [0, 0])
        for row in rows:
            # A row whose seal is broken has been named already.
            if row["checksum"] and (mine := row[owner]) is not None:
                tally = tallies[mine]
                tally[0] += 1
                tally[1] = add_totals(tally[1], int(row["checksum"], 16))
        beginning = f"SELECT owner, entries, total FROM row_tallies WHERE kind = '{table.name}'"
        wanted = {
            kept: [entries, _number(total)]
            for kept, entries, total in self._fetch(beginning, "owner", owners)
        }
        asked = None if owners is None else set(owners)
        # In a transaction that writes, some of it waits to be tallied.
        for waiting, (count, total) in self._ledger.waiting(table.name).items():
            if asked is None or waiting in asked:
                so_far = wanted.setdefault(waiting, [0, 0])
                so_far[0] += count
                so_far[1] = add_totals(so_far[1], total)
        for each in sorted({*tallies, *wanted}):
            known, there = wanted.get(each, [0, 0]), tallies.get(each, [0, 0])
            if known != there:
                self._faults.append(_uneven(table.name, each, known[0], there[0]))
        return rows

    def _rows(self, table: Table, owner: str, owners: Iterable[str] | None) -> list[dict[str, Any]]:
        form = form_of(table, self._connection.dialect)
        names = ("checksum", *form.sealed)
        rows = []
        for values in self._fetch(f"SELECT {quoted(names)} FROM {table.name}", owner, owners):
            row = dict(zip(names, values, strict=True))
            if not form.is_sealed(row["checksum"], values[1:]):
                self._faults.append(f"{_called(table, row)} does not match its seal")
                row["checksum"] = None
            rows.append(row)
        return rows

    def _fetch(
        self, beginning: str, owner: str, owners: Iterable[str] | None
    ) -> Iterator[Sequence[Any]]:
        if owners is None:
            yield from self._connection.exec_driver_sql(beginning)
            return
        also = "AND" if " WHERE " in beginning else "WHERE"
        for statement, values in values_in(
            self._connection, f'{beginning} {also} "{owner}"', owners
        ):
            yield from self._connection.exec_driver_sql(statement, values)


def _number(total: Any) -> int:
    """Return a total; one that is damaged is none that rows come to."""
    try:
        return int(total, 16)
    except (TypeError, ValueError):
        return -1


def _called(table: Table, row: dict[str, Any]) -> str:
    name = next((row[key] for key in ("id", "vehicle_id", "visit_id") if row.get(key)), "")
    return f"{table.name} {str(name)[:12]}".strip()


def _uneven(table: str, owner: str, known: int, there: int) -> str:
    if there < known:
        return f"{known - there} of {known} rows of {table} are missing ({owner[:12]})"
    if there > known:
        return f"{there - known} rows of {table} too many ({owner[:12]})"
    return f"rows of {table} are not those that were written ({owner[:12]})"
