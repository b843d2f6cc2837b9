"""What another store has and this one has not, added to this one: a laptop comes home.

A row keeps its id, its place and time, and its seal; it is linked anew at the end of the chain
here. Nothing here is ever changed or taken away by it but a name that only the other side has
changed. What the two sides do not agree about is refused, never guessed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import timedelta

from sqlalchemy import Table

from brakelog.store.both_changed import BothChanged
from brakelog.store.clashes import Clashes
from brakelog.store.events import Events
from brakelog.store.faults import translated
from brakelog.store.forgetting import is_forgotten
from brakelog.store.imports import tally_imports
from brakelog.store.merge_plan import Merged, Plan, Settled
from brakelog.store.raw_rows import RawRow, RawRows, pages
from brakelog.store.seals import form_of
from brakelog.store.tables import (
    EVIDENCE,
    agreement_names,
    agreements,
    complaints,
    customers,
    draft_entries,
    events,
    import_keys,
    people,
    shop_settings,
    vehicle_identities,
)
from brakelog.store.transaction import in_chunks

TAKEN_OVER = tuple(table for table in EVIDENCE if table is not shop_settings)
"""Evidence that is merged. Settings are each shop's own."""

CLOCKS_DIFFER = timedelta(days=1)
"""How far the clocks of two machines may be apart; assumption: farther, one of them is wrong."""
_OF_NAMES = ("names changed", "customer forgotten")
"""Events after which a name is another one."""


class Merging(RawRows):
    """Takes over into one store what another has."""

    def __init__(self, store: Events) -> None:
        super().__init__(store)
        self._events = store

    def merge(self, other: RawRows, *, is_dry: bool, settled: Settled) -> Merged:
        """Add every row of evidence, every name and every import that is not here yet.

        Merging the same store twice adds nothing the second time. Settings and answers of guided
        entry that are not filed stay where they are.

        Parameters
        ----------
        other : RawRows
            The other store; it is only read.
        is_dry : bool
            Whether nothing is written, and only told what would be.
        settled : Settled
            What was decided about what the two sides do not agree about.

        Raises
        ------
        Conflict
            Where the two sides do not agree; nothing is written then.
        StoreError
            Where either store is damaged.
        """
        with other.reading():
            if is_dry:
                with self.reading():
                    return self._result(self._planned(other, settled))
            with self._store.writing():
                plan = self._planned(other, settled)
                result = self._result(plan)
                self._carry_out(other, plan)
                if result.rows or result.names_taken:
                    self._events.note_event("merged", "", f"{result.rows} rows of another store")
                    with translated():
                        self._ledger.write()
                    self.need_sound("what would have been written")
                return result

    def _planned(self, other: RawRows, settled: Settled) -> Plan:
        self.need_sound("this store")
        other.need_sound("the other store")
        plan = Plan()
        for table in TAKEN_OVER:
            plan.ids[table] = list(self._missing(other, table, plan))
        plan.settings = sum(1 for _ in other.absent_from(self, shop_settings))
        self._plan_names(other, plan)
        self._plan_words(other, plan)
        self._plan_keys(other, plan, settled)
        BothChanged(self, other, plan, settled).look()
        for what, hint in Clashes(self, other, plan.ids, plan.rewritten).found():
            plan.refuse(what, hint)
        self._plan_future(other, plan, settled)
        plan.drafts = other.row_counts()[draft_entries.name]
        plan.need_agreed()
        return plan

    def _missing(self, other: RawRows, table: Table, plan: Plan) -> Iterator[str]:
        """Yield the ids that are only there; an id that is here with another seal is a conflict."""
        for page in pages(other.ids_and_seals(table)):
            here = dict(self.seals_of(table, [id for id, _ in page]))
            for id, checksum in page:
                if id not in here:
                    yield id
                elif here[id] != checksum:
                    plan.refuse(
                        f"{table.name} {id[:12]} is another row here",
                        "one of the two was changed outside of the program: brakelog store check"
                        " on both, then restore a backup",
                    )

    # Names

    def _plan_names(self, other: RawRows, plan: Plan) -> None:
        """A name that differs is taken over only where nobody has changed it here meanwhile."""
        changed_there = self._renamed(other, plan.ids[events])
        changed_here = self._renamed(self, list(self.absent_from(other, events)))
        forgotten: set[str] = set()
        for table, key in ((people, "id"), (customers, "id"), (vehicle_identities, "vehicle_id")):
            for page in pages(other.raw_rows(table)):
                keys = [row[key] for row in page]
                here = {row[key]: row for row in self.rows_with(table, key, keys)}
                for row in page:
                    mine = here.get(row[key])
                    if mine is None:
                        plan.names[table].append(row)
                    elif mine["checksum"] == row["checksum"]:
                        continue
                    elif table is customers and is_forgotten(row) and not is_forgotten(mine):
                        # What they said here would stay: only forgetting them here empties that.
                        plan.kept += 1
                        plan.forgotten.add(str(mine["tag"]))
                        forgotten.add(row[key])
                    elif mine.get("customer_id") in forgotten:
                        plan.kept += 1
                    elif row[key] in changed_there and row[key] not in changed_here:
                        plan.rewritten[table].append(row)
                    else:
                        plan.kept += 1

    def _renamed(self, store: RawRows, ids: Sequence[str]) -> set[str]:
        """Return whose names were changed, by some events."""
        rows = store.rows_with(events, "id", ids, "kind", "target_id")
        return {row["target_id"] for row in rows if row["kind"] in _OF_NAMES}

    def _plan_words(self, other: RawRows, plan: Plan) -> None:
        """Add words of customers that are not here; those that were emptied here stay empty."""
        for table, owner in ((complaints, "visit_id"), (agreement_names, "agreement_id")):
            for page in pages(other.raw_rows(table)):
                owners = list(dict.fromkeys(row[owner] for row in page))
                here = {
                    (row[owner], row["recorded_at"])
                    for row in self.rows_with(table, owner, owners, owner, "recorded_at")
                }
                plan.names[table] += [
                    row for row in page if (row[owner], row["recorded_at"]) not in here
                ]

    def _plan_keys(self, other: RawRows, plan: Plan, settled: Settled) -> None:
        doubled: dict[str, int] = defaultdict(int)
        # What is here already was accepted when it was merged.
        new = {id for ids in plan.ids.values() for id in ids}
        for page in pages(other.raw_rows(import_keys)):
            keys = [row["key"] for row in page]
            here = {row["key"]: row for row in self.rows_with(import_keys, "key", keys)}
            for row in page:
                mine = here.get(row["key"])
                if mine is None:
                    plan.keys.append(row)
                elif mine["target_id"] != row["target_id"] and row["target_id"] in new:
                    doubled[row["kind"]] += 1
        plan.doubled = sum(doubled.values())
        if doubled and not settled.takes_doubled:
            for kind, count in doubled.items():
                plan.refuse(
                    f"{count} rows of a sheet of {kind} were imported on both sides",
                    "void there what is doubled (brakelog amend drop), then merge with"
                    " --take-doubled",
                )

    def _plan_future(self, other: RawRows, plan: Plan, settled: Settled) -> None:
        """No row is recorded before one that is here: a time to come would hold for all after."""
        if settled.takes_future:
            return
        latest = form_of(events, self._connection.dialect).stored(
            {"recorded_at": self._store.now() + CLOCKS_DIFFER}
        )["recorded_at"]
        newest = max(
            (
                str(row["recorded_at"])
                for table, ids in plan.ids.items()
                for some in in_chunks(ids)
                for row in other.rows_with(table, "id", some, "recorded_at")
            ),
            default="",
        )
        if newest > latest:
            plan.refuse(
                f"rows of the other store are from {newest[:10]}, which is yet to come: its clock"
                " was wrong",
                "--wrong-clock takes them, and what is recorded here until then is dated after"
                " them",
            )

    # Writing

    def _carry_out(self, other: RawRows, plan: Plan) -> None:
        # Before there are rows of another clock.
        self._store._moment()
        for table in (people, customers):
            self._add_names(table, plan)
        for table in TAKEN_OVER:
            for some in in_chunks(plan.ids[table]):
                rows = sorted(other.rows_with(table, "id", some), key=lambda row: row["row"])
                self._link_all(table, rows)
            self._say_again(table, plan.again[table])
        for table in (vehicle_identities, complaints, agreement_names):
            self._add_names(table, plan)
        self.put(import_keys, plan.keys)
        with translated():
            tally_imports(self._ledger, form_of(import_keys, self._connection.dialect), plan.keys)

    def _link_all(self, table: Table, rows: Sequence[RawRow]) -> None:
        """Add rows with the seals that they have, at the end of the chain of their site."""
        form = form_of(table, self._connection.dialect)
        linked = [
            self._ledger.link(table, {name: row[name] for name in form.sealed}, row["checksum"])
            for row in rows
        ]
        if linked:
            with translated():
                self._connection.execute(form.insertion(), linked)
                self._ledger.write_long()

    def _add_names(self, table: Table, plan: Plan) -> None:
        self.put(table, plan.names[table])
        key = "vehicle_id" if table is vehicle_identities else "id"
        for row in plan.rewritten[table]:
            self.put_over(table, key, row)

    def _say_again(self, table: Table, ids: Sequence[str]) -> None:
        """Write rows of this store once more, as new rows, so that they hold from now on."""
        form = form_of(table, self._connection.dialect)
        stamp = form_of(events, self._connection.dialect).stored(
            {"recorded_at": self._store._moment()}
        )
        for some in in_chunks(ids):
            rows = sorted(self.rows_with(table, "id", some), key=lambda row: row["row"])
            for row in rows:
                stored = {name: row[name] for name in form.sealed} | {
                    "id": self._store.new_id(),
                    "site": self._store._at_site(),
                    "recorded_at": stamp["recorded_at"],
                    "recorded_by": self._store._by,
                }
                self._link_all(table, [{**stored, "checksum": form.checksum(stored)}])
                if table is agreements:
                    self._name_again(row["id"], stored["id"])

    def _name_again(self, agreement_id: str, new_id: str) -> None:
        form = form_of(agreement_names, self._connection.dialect)
        for row in list(self.rows_with(agreement_names, "agreement_id", [agreement_id])):
            name = {**row, "agreement_id": new_id}
            self.put(agreement_names, [{**name, "checksum": form.checksum(name)}])

    def _result(self, plan: Plan) -> Merged:
        added = {table.name: len(ids) for table, ids in plan.ids.items()}
        added |= {table.name: len(rows) for table, rows in plan.names.items()}
        added[import_keys.name] = len(plan.keys)
        return Merged(
            added={name: count for name, count in added.items() if count},
            restated=sum(len(ids) for ids in plan.again.values()),
            names_taken=sum(len(rows) for rows in plan.rewritten.values()),
            names_kept=plan.kept,
            settings_left=plan.settings,
            drafts_left=plan.drafts,
            doubled=plan.doubled,
            forgotten_there=tuple(sorted(plan.forgotten)),
        )
