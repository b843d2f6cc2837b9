"""Drafts: what has been typed for a corner that is not finished; the only rows that go away."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Row, and_, delete, func, select

from brakelog.record.corner import Corner
from brakelog.record.draft import DraftEntry, Unfiled
from brakelog.record.reading import Stage
from brakelog.store.tables import draft_entries
from brakelog.store.transaction import in_chunks
from brakelog.store.visits import Visits


class Drafts(Visits):
    """What is being typed."""

    def draft_entries(self, visit_id: str) -> list[DraftEntry]:
        """Return what is typed for a visit and not finished, in the order typed."""
        rows = self._all(
            select(draft_entries)
            .where(draft_entries.c.visit_id == visit_id)
            .order_by(draft_entries.c.seq)
        )
        return [_entry(row) for row in rows]

    def unfiled_of(self, visit_ids: Iterable[str]) -> dict[str, tuple[Unfiled, ...]]:
        """Return how much is typed and not finished, for the visits where anything is."""
        found: dict[str, tuple[Unfiled, ...]] = {}
        names = ("visit_id", "stage", "person_id", "unit")
        place = [draft_entries.c[name] for name in names]
        with self.reading():
            for ids in in_chunks(visit_ids):
                rows = self._all(
                    select(*place, func.count().label("entries"))
                    .where(draft_entries.c.visit_id.in_(ids))
                    .group_by(*place)
                    .order_by(func.min(draft_entries.c.seq))
                )
                for row in rows:
                    one = Unfiled(
                        stage=row.stage,
                        person_id=row.person_id,
                        unit=row.unit,
                        entries=row.entries,
                    )
                    found[row.visit_id] = (*found.get(row.visit_id, ()), one)
        return found

    def put_draft_entry(self, visit_id: str, entry: DraftEntry) -> None:
        """Keep an entry; one with the same corner, stage and key is typed over.

        Raises
        ------
        NotFound
            Where the visit is not on file.
        Conflict
            Where the visit is void.
        """
        with self.writing():
            self._need_live_visits([visit_id])
            self._change(
                delete(draft_entries).where(
                    _at(visit_id, entry.corner, entry.stage),
                    draft_entries.c.key == entry.key,
                )
            )
            self._insert(
                draft_entries,
                [
                    {
                        "visit_id": visit_id,
                        "corner": entry.corner,
                        "stage": entry.stage,
                        "key": entry.key,
                        "typed": entry.typed,
                        "unit": entry.unit,
                        "gauge_id": entry.gauge_id,
                        "person_id": entry.person_id,
                        "at": self.now(),
                    }
                ],
            )

    def drop_draft_entry(self, visit_id: str, corner: Corner, stage: Stage, key: str) -> None:
        """Take back one answer; does nothing where there is none."""
        self._change(
            delete(draft_entries).where(_at(visit_id, corner, stage), draft_entries.c.key == key)
        )

    def clear_draft(self, visit_id: str, corner: Corner, stage: Stage) -> None:
        """Forget the entries of a corner, once they are evidence or given up."""
        self._change(delete(draft_entries).where(_at(visit_id, corner, stage)))


def _at(visit_id: str, corner: Corner, stage: Stage) -> Any:
    return and_(
        draft_entries.c.visit_id == visit_id,
        draft_entries.c.corner == corner,
        draft_entries.c.stage == stage,
    )


def _entry(row: Row[Any]) -> DraftEntry:
    return DraftEntry(
        key=row.key,
        typed=row.typed,
        unit=row.unit,
        corner=row.corner,
        stage=row.stage,
        gauge_id=row.gauge_id,
        person_id=row.person_id,
    )
