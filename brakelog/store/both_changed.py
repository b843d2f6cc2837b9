"""Where both of two stores have changed the same thing since they parted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Table

from brakelog.store.merge_plan import Plan, Settled
from brakelog.store.raw_rows import RawRow, RawRows, columns_of
from brakelog.store.tables import (
    agreements,
    answers,
    closing_answers,
    corrections,
    gauges,
    limit_confirmations,
    limit_sheets,
    limits,
    odometer_corrections,
    sheet_traits,
    torques,
    torques_left,
    vehicles,
    visit_facts,
)
from brakelog.store.transaction import in_chunks

STANDS_IN: Mapping[Table, tuple[str, ...]] = {
    limit_sheets: ("key",),
    vehicles: ("key",),
    gauges: ("key",),
    visit_facts: ("visit_id", "kind"),
    limit_confirmations: ("limit_id",),
    torques: ("sheet_id", "axle", "fastener"),
    sheet_traits: ("sheet_id", "axle", "name"),
    answers: ("visit_id", "question_key"),
    odometer_corrections: ("visit_id",),
    closing_answers: ("visit_id", "checked", "axle", "corner", "part"),
    torques_left: ("visit_id", "axle", "corner", "fastener"),
    agreements: ("visit_id",),
    corrections: ("target_id",),
}
"""Tables where a later row stands in for an earlier one about the same thing, and the columns that
say what it is about."""

_STAMPS = frozenset(
    {
        *("row", "id", "site", "recorded_at", "recorded_by", "reason", "person_id"),
        *("checksum", "chain_prev", "chain_link"),
    }
)
"""Columns that say who wrote a row, where, when and why, not what it says."""
_ADDS_UP = "looked_over"
"""The one kind of fact of a visit that stands beside others."""


class BothChanged:
    """Finds it, and puts into a plan what is refused or written once more."""

    def __init__(self, here: RawRows, other: RawRows, plan: Plan, settled: Settled) -> None:
        self._here = here
        self._other = other
        self._plan = plan
        self._settled = settled

    def look(self) -> None:
        """Look at everything of which a later row stands in for an earlier one."""
        self._stood_in()
        self._limits()

    def _stood_in(self) -> None:
        for table, about in STANDS_IN.items():
            there: dict[tuple[Any, ...], list[RawRow]] = defaultdict(list)
            for some in in_chunks(self._plan.ids[table]):
                for row in self._other.rows_with(table, "id", some):
                    if table is not visit_facts or row["kind"] != _ADDS_UP:
                        there[tuple(row[name] for name in about)].append(row)
            owners = list(dict.fromkeys(group[0] for group in there))
            here: dict[tuple[Any, ...], list[RawRow]] = defaultdict(list)
            for row in sorted(
                self._here.rows_with(table, about[0], owners), key=lambda row: row["row"]
            ):
                group = tuple(row[name] for name in about)
                if group in there:
                    here[group].append(row)
            ids = [row["id"] for rows in here.values() for row in rows]
            known = {id for id, _ in self._other.seals_of(table, ids)}
            for group, rows in here.items():
                mine = [row for row in rows if row["id"] not in known]
                if not mine or _say_the_same(table, mine[-1], there[group]):
                    continue
                if table is corrections:
                    self._corrected(mine, there[group])
                elif self._settled.keeps_ours:
                    self._plan.again[table] += [row["id"] for row in mine]
                else:
                    self._plan.refuse(
                        f"{table.name} {_about(mine[-1])} was changed on both sides",
                        "--ours keeps what is here",
                    )

    def _corrected(self, mine: Sequence[RawRow], theirs: Sequence[RawRow]) -> None:
        """Two replacements of one set would both hold: only one side may have one that does."""
        what = f"{mine[-1]['kind']} of {mine[-1]['target_id'][:12]} was done on both sides"
        lives = [
            id for row in theirs if (id := _standing_replacement(self._other, row)) is not None
        ]
        if lives:
            self._plan.refuse(
                what,
                f"drop it in the other store (brakelog amend drop {lives[0][:12]}), then --ours",
            )
        elif not self._settled.keeps_ours:
            self._plan.refuse(what, "--ours keeps what is here")
        else:
            self._plan.again[corrections] += [
                row["id"] for row in mine if row["kind"] == "move visit"
            ]

    def _limits(self) -> None:
        """Where both have followed or withdrawn a limit, only one side may have one that holds."""
        theirs: dict[str, list[str]] = defaultdict(list)
        for some in in_chunks(self._plan.ids[limits]):
            for row in self._other.rows_with(limits, "id", some, "id", "replaces"):
                if row["replaces"] is not None:
                    theirs[row["replaces"]].append(row["id"])
        for some in in_chunks(self._plan.ids[corrections]):
            for row in self._other.rows_with(corrections, "id", some, "kind", "target_id"):
                if row["kind"] == "withdraw limit":
                    theirs[row["target_id"]] += []
        mine = [
            (row["id"], row[column], table)
            for table, column in ((limits, "replaces"), (corrections, "target_id"))
            for row in self._here.rows_with(table, column, list(theirs), "id", column)
        ]
        known = {
            id
            for table in (limits, corrections)
            for id, _ in self._other.seals_of(table, [id for id, _, of in mine if of is table])
        }
        followed = {target for id, target, table in mine if id not in known and table is limits}
        touched = {target for id, target, _ in mine if id not in known}
        for target in sorted(touched):
            if target not in followed and not theirs[target]:
                continue
            what = f"limit {target[:12]} was followed or withdrawn on both sides"
            lives = [id for id in theirs[target] if not _is_followed(self._other, id)]
            if lives:
                self._plan.refuse(
                    what,
                    f"withdraw it in the other store (brakelog limits withdraw {lives[0][:12]}),"
                    " then --ours",
                )
            elif not self._settled.keeps_ours:
                self._plan.refuse(what, "--ours keeps what is here")


def _say_the_same(table: Table, mine: RawRow, theirs: Sequence[RawRow]) -> bool:
    """Return whether the newest rows of both sides say the same, whoever wrote them and when."""
    newest = max(theirs, key=lambda row: row["row"])
    if mine.get("replacement_id") is not None or newest.get("replacement_id") is not None:
        return False
    return all(mine[name] == newest[name] for name in columns_of(table) if name not in _STAMPS)


def _standing_replacement(store: RawRows, correction: Mapping[str, Any]) -> str | None:
    """Return the id of the set that holds in the end of an amendment; None where none does."""
    id = correction["replacement_id"]
    while id is not None:
        later = list(store.rows_with(corrections, "target_id", [id], "replacement_id", "row"))
        if not later:
            return str(id)
        id = min(later, key=lambda row: row["row"])["replacement_id"]
    return None


def _is_followed(store: RawRows, limit_id: str) -> bool:
    """Return whether a limit does not hold any more."""
    return any(True for _ in store.rows_with(limits, "replaces", [limit_id], "id")) or any(
        True for _ in store.rows_with(corrections, "target_id", [limit_id], "id")
    )


def _about(row: Mapping[str, Any]) -> str:
    name = next((row[key] for key in ("tag", "name") if row.get(key)), "")
    id = next((row[key] for key in ("key", "visit_id", "limit_id", "sheet_id") if row.get(key)), "")
    return str(name or id[:12])
