"""Whether the rows that a judgement rests on are those that were written, and all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
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
            refuse_over(list(Look(self).faults_of(vehicle_ids)))


def refuse_over(faults: Sequence[str]) -> None:
    """Do nothing where there are no faults.

    Raises
    ------
    StoreError
        With the first of them.
    """
    if faults:
        more = f" and {len(faults) - MOST_NAMED} more" if len(faults) > MOST_NAMED else ""
        raise StoreError(
            "the record was changed outside of the program, or damaged: "
            + "; ".join(faults[:MOST_NAMED])
            + more,
            hint="nothing is judged on it: run brakelog store check, then restore a backup",
        )


class Look:
    """One look at some rows: their seals, and whether all of them are there."""

    def __init__(self, store: Transactions) -> None:
        self._connection = store._connection
        self._ledger = store._ledger
        self.faults: list[str] = []
        """What was found to be wrong so far."""

    def faults_of(self, vehicle_ids: Sequence[str]) -> Iterator[str]:
        """Yield what is wrong with the rows that some vehicles are judged by."""
        revisions = self.owned(vehicles, "key", vehicle_ids)
        moves = self.owned(corrections, "to_vehicle", vehicle_ids)
        visit_ids = {row["id"] for row in self.owned(visits, "vehicle_id", vehicle_ids)}
        moved = {row["target_id"] for row in moves if row["kind"] == "move visit"}
        found = {row["id"] for row in self.rows(visits, "id", moved - visit_ids)}
        for id in sorted(moved - visit_ids - found, key=str):
            yield f"visit {id} is missing"
        visit_ids |= moved
        targets, agreed = set(visit_ids), set[str]()
        for table in _OF_VISITS:
            rows = self.owned(table, "visit_id", visit_ids)
            if table in _CORRECTED:
                targets.update(row["id"] for row in rows)
            elif table is agreements:
                agreed.update(row["id"] for row in rows)
        sheets = {row["sheet_id"] for row in revisions if row["sheet_id"] is not None}
        bounds = {row["id"] for row in self.owned(limits, "vehicle_id", vehicle_ids)}
        for table in _OF_SHEETS:
            rows = self.owned(table, "key" if table is limit_sheets else "sheet_id", sheets)
            if table is limits:
                bounds.update(row["id"] for row in rows)
        self.owned(limit_confirmations, "limit_id", bounds)
        self._need_by_id(visits, visit_ids)
        self._need_replaced(bounds)
        self.owned(corrections, "target_id", targets | bounds)
        for table in _OF_THE_SHOP:
            self.owned(table, OWNERS[table][0], None)
        self.rows(people, "id", None)
        named = self.rows(vehicle_identities, "vehicle_id", vehicle_ids)
        owners = {row["customer_id"] for row in named if row["customer_id"] is not None}
        self.rows(customers, "id", owners)
        self.rows(complaints, "visit_id", visit_ids)
        self.rows(draft_entries, "visit_id", visit_ids)
        self.rows(agreement_names, "agreement_id", agreed)
        yield from self.faults

    def _need_by_id(self, table: Table, ids: Iterable[str]) -> None:
        """Rows that are judged are found by their ids too: another index, which may be damaged."""
        wanted = set(ids)
        found = {id for (id,) in self.fetch(f"SELECT id FROM {table.name}", "id", wanted)}
        self.faults += [
            f"{table.name} {id[:12]} is not found by its id"
            for id in sorted(wanted - found, key=str)
        ]

    def _need_replaced(self, ids: Iterable[str]) -> None:
        """A limit that was replaced must not hold again because an index does not say so."""
        bounds = set(ids)
        rows = self.fetch(f"SELECT replaces FROM {limits.name}", "id", bounds)
        replaced = {old for (old,) in rows if old is not None}
        found = {
            old for (old,) in self.fetch(f"SELECT replaces FROM {limits.name}", "replaces", bounds)
        }
        self.faults += [
            f"the limit that replaces {id[:12]} is not found"
            for id in sorted(replaced - found, key=str)
        ]

    def owned(self, table: Table, owner: str, owners: Iterable[str] | None) -> list[dict[str, Any]]:
        """Return the rows of some owners, or of all; what is wrong with them is kept in mind."""
        rows = self.rows(table, owner, owners)
        kept = self.fetch(tallies_of(table.name), "owner", owners)
        asked = None if owners is None else set(owners)
        self.compare(
            table.name,
            ((mine, row["checksum"]) for row in rows if (mine := row[owner]) is not None),
            kept,
            lambda each: asked is None or each in asked,
        )
        return rows

    def compare(
        self,
        kind: str,
        there: Iterable[tuple[str, str | None]],
        kept: Iterable[Sequence[Any]],
        is_asked: Callable[[str], bool],
    ) -> None:
        """Keep in mind where tallies are not those of the rows that are there.

        Parameters
        ----------
        kind : str
            Of the tallies.
        there : iterable of tuple
            The owner and the seal of each row; no seal where it was found to be broken, which has
            been named already.
        kept : iterable of sequence
            The tallies on file: owner, number of rows, and their sum.
        is_asked : callable
            Tells of an owner whether its rows were looked at, for what waits to be tallied in a
            transaction that writes.
        """
        tallies: dict[str, list[int]] = defaultdict(lambda: [0, 0])
        for owner, checksum in there:
            if checksum:
                # What is damaged may be no text.
                tally = tallies[str(owner)]
                tally[0] += 1
                tally[1] = add_totals(tally[1], int(checksum, 16))
        wanted = {
            str(owner): [entries if type(entries) is int else -1, _number(total)]
            for owner, entries, total in kept
        }
        for waiting, (count, total) in self._ledger.waiting(kind).items():
            if is_asked(waiting):
                so_far = wanted.setdefault(waiting, [0, 0])
                so_far[0] += count
                so_far[1] = add_totals(so_far[1], total)
        for each in sorted({*tallies, *wanted}):
            known, found = wanted.get(each, [0, 0]), tallies.get(each, [0, 0])
            if known != found:
                self.faults.append(_uneven(kind, each, known[0], found[0]))

    def rows(self, table: Table, owner: str, owners: Iterable[str] | None) -> list[dict[str, Any]]:
        """Return rows without asking for a tally; a broken seal is kept in mind, and taken away."""
        form = form_of(table, self._connection.dialect)
        names = ("checksum", *form.sealed)
        rows = []
        for values in self.fetch(f"SELECT {quoted(names)} FROM {table.name}", owner, owners):
            row = dict(zip(names, values, strict=True))
            if not form.is_sealed(row["checksum"], values[1:]):
                self.faults.append(f"{_called(table, row)} does not match its seal")
                row["checksum"] = None
            rows.append(row)
        return rows

    def fetch(
        self, beginning: str, owner: str, owners: Iterable[str] | None
    ) -> Iterator[Sequence[Any]]:
        """Yield what a question finds for some owners, or for all."""
        if owners is None:
            yield from self._connection.exec_driver_sql(beginning)
            return
        also = "AND" if " WHERE " in beginning else "WHERE"
        for statement, values in values_in(
            self._connection, f'{beginning} {also} "{owner}"', owners
        ):
            # All at once: one by one they take three times as long, and these are not many.
            yield from self._connection.exec_driver_sql(statement, values).all()


def tallies_of(kind: str) -> str:
    """Return the beginning of the question for the tallies of a kind."""
    return f"SELECT owner, entries, total FROM row_tallies WHERE kind = '{kind}'"


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
