"""Which vehicles the evidence since a mark touches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import CompoundSelect, Row, Select, exists, func, select, union, union_all

from brakelog.store.tables import (
    EVIDENCE,
    corrections,
    gauges,
    limits,
    reading_sets,
    vehicles,
    visits,
)
from brakelog.store.touches import TOUCHES, Touch
from brakelog.store.transaction import Transactions

_NO_MATTER = frozenset(
    {
        *("row", "id", "site", "recorded_at", "recorded_by", "checksum", "chain_prev"),
        *("chain_link", "tag", "tag_key", "checked_on", "check_every_months", "note"),
    }
)
"""Columns of a gauge that change nothing of what a reading with it would prove."""


class Touching(Transactions):
    """How far the evidence goes, and whom what came later is about."""

    def evidence_marks(self) -> dict[str, int]:
        """Return the highest row of each table of evidence, by its name; 0 where it is empty."""
        row = self._first(
            select(
                *(
                    select(func.coalesce(func.max(table.c.row), 0))
                    .scalar_subquery()
                    .label(table.name)
                    for table in EVIDENCE
                )
            )
        )
        return {} if row is None else dict(row._mapping)

    def vehicles_touched(self, since: Mapping[str, int]) -> set[str] | None:
        """Return the vehicles whose part lives or outlook may have changed since some marks.

        Plates, VINs, customers, names of people, complaints and what is typed but not filed are
        no evidence: nothing of them may stand in what is derived.

        Parameters
        ----------
        since : mapping
            What ``evidence_marks`` gave then; read both in one transaction. A table that is not
            among them is taken to be new.

        Returns
        -------
        set of str or None
            Their ids; None for every vehicle, and where it cannot be told.
        """
        with self.reading():
            now = self.evidence_marks()
            if not since or any(mark > now.get(name, -1) for name, mark in since.items()):
                return None
            marks = {name: since.get(name, 0) for name in now}
            touches = [
                touch(marks[table.name])
                for table, touch in TOUCHES.items()
                if now[table.name] > marks[table.name]
            ]
            if now["gauges"] > marks["gauges"] and self._gauges_differ(marks["gauges"]):
                return None
            if any(touch.everybody for touch in touches):
                return None
            if any(now[name] > marks[name] for name in ("reading_sets", "corrections")):
                touches.append(self._touched_by_repeats(marks))
            query = _vehicles_of(touches)
            return set() if query is None else {row[0] for row in self._all(query)}

    def _gauges_differ(self, mark: int) -> bool:
        """Whether a gauge above the mark would settle other readings than those of before.

        What no gauge of the shop could settle is judged otherwise than what one could, and that
        holds for every vehicle. That a gauge was checked is no such change.
        """
        new = select(gauges.c.key).where(gauges.c.row > mark)
        rows = self._all(select(gauges).where(gauges.c.key.in_(new)).order_by(gauges.c.row))
        before: dict[str, Row[Any]] = {}
        for row in rows:
            if row.row > mark and (row.key not in before or _worth(row) != _worth(before[row.key])):
                return True
            before[row.key] = row
        return False

    def _touched_by_repeats(self, marks: Mapping[str, int]) -> Touch:
        """Return whom points that were read twice touch, beside the vehicles they are of.

        A gauge is as good as all that it read twice up to the last reading of a visit. So a
        repeat that came, or that holds no more, touches the visits with that gauge that were
        read later. Those are none as a rule for a repeat that came; but a clock may be set back.
        """
        changed = self._all(_changed_repeats(marks["reading_sets"], marks["corrections"]))
        return Touch(
            visits=tuple(
                _visits_with(row.key, row.first, upto=marks["reading_sets"]) for row in changed
            )
        )


def _worth(gauge: Row[Any]) -> dict[str, Any]:
    return {name: value for name, value in gauge._mapping.items() if name not in _NO_MATTER}


def _changed_repeats(sets_mark: int, corrections_mark: int) -> Select[Any]:
    """Return the query for each gauge whose repeats changed, and the time of the first change."""

    def targets(*kinds: str) -> Select[Any]:
        return select(corrections.c.target_id).where(
            corrections.c.row > corrections_mark, corrections.c.kind.in_(kinds)
        )

    changed = union_all(
        *(
            select(reading_sets.c.gauge_id, reading_sets.c.recorded_at).where(
                where, reading_sets.c.again_nm.is_not(None), reading_sets.c.gauge_id.is_not(None)
            )
            for where in (
                reading_sets.c.row > sets_mark,
                reading_sets.c.id.in_(targets("amend", "void set")),
                reading_sets.c.visit_id.in_(targets("void visit")),
            )
        )
    ).subquery()
    return (
        select(gauges.c.key, func.min(changed.c.recorded_at).label("first"))
        .join(gauges, gauges.c.id == changed.c.gauge_id)
        .group_by(gauges.c.key)
    )


def _visits_with(gauge_key: str, since: datetime, *, upto: int) -> Select[Any]:
    """Return the query for visits with a gauge in which anything was read since a time.

    Only rows up to a mark: the visits of those above it are touched in any case.
    """
    revisions = select(gauges.c.id).where(gauges.c.key == gauge_key)
    used = reading_sets.alias("used")
    return select(reading_sets.c.visit_id).where(
        reading_sets.c.recorded_at >= since,
        # A sum, so that rows are found by their time and not by their number.
        reading_sets.c.row + 0 <= upto,
        exists().where(used.c.visit_id == reading_sets.c.visit_id, used.c.gauge_id.in_(revisions)),
    )


def _vehicles_of(touches: Sequence[Touch]) -> CompoundSelect[Any] | None:
    """Return the query for the vehicles that the touches lead to; None where they lead nowhere."""
    found = [query for touch in touches for query in touch.vehicles]
    on_sheets = [query for touch in touches for query in touch.sheets]
    touched_limits = [query for touch in touches for query in touch.limits]
    touched_visits = [query for touch in touches for query in touch.visits]
    if touched_limits:
        where = limits.c.id.in_(_ids(touched_limits, "touched_limits"))
        found.append(select(limits.c.vehicle_id).where(where, limits.c.vehicle_id.is_not(None)))
        on_sheets.append(select(limits.c.sheet_id).where(where, limits.c.sheet_id.is_not(None)))
    if on_sheets:
        found.append(_vehicles_with(_ids(on_sheets, "touched_sheets")))
    if touched_visits:
        ids = _ids(touched_visits, "touched_visits")
        found.append(select(visits.c.vehicle_id).where(visits.c.id.in_(ids)))
        # Whoever ever had the visit: it may have been moved on from the one it was moved to.
        moved = corrections.c.kind == "move visit"
        found.append(
            select(corrections.c.to_vehicle).where(moved, corrections.c.target_id.in_(ids))
        )
    return union(*found) if found else None


def _ids(queries: Sequence[Select[Any]], name: str) -> Select[Any]:
    """Return one query for all the ids, which is answered once however often it is used."""
    return select(union(*queries).cte(name).c[0])


def _vehicles_with(sheets: Select[Any]) -> Select[Any]:
    """Return the query for the vehicles that use the sheets now.

    One that used a sheet before has a newer revision, which touches it by itself.
    """
    later = vehicles.alias("later")
    return select(vehicles.c.key).where(
        vehicles.c.sheet_id.in_(sheets),
        ~exists().where(later.c.key == vehicles.c.key, later.c.row > vehicles.c.row),
    )
