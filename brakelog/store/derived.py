"""What is computed from the evidence and kept: it can be thrown away and computed again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, Select, Table, delete, func, literal_column, select

from brakelog.errors import StoreError
from brakelog.store.faults import translated
from brakelog.store.seals import form_of
from brakelog.store.statements import marks_for
from brakelog.store.tables import (
    derived_due,
    derived_experience,
    derived_lives,
    derived_marks,
)
from brakelog.store.touching import Touching
from brakelog.store.transaction import in_chunks
from brakelog.wear.experience import Experience, WearKind
from brakelog.wear.experiences import Group

DOCUMENTS_AT_ONCE = 500
"""Documents in memory while all of them are read; assumption: of a few kilobytes each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExperienceRow:
    """What one group of part lives has taught, and how much there was to learn from."""

    group: Group
    experience: Experience
    lives: int
    """Part lives in the group. [-]"""
    visits: int
    """Visits in which they were read. [-]"""
    vehicles: int
    """Vehicles that they were lived on. [-]"""


class Derived(Touching):
    """Part lives and outlooks as documents, what the shop has learned, and marks.

    The store does not read the documents. Those of a vehicle go together with the marks that say
    how far into the evidence they go: write both in one transaction. Nothing in these tables is
    evidence, and what is missing or too old is computed again.
    """

    def derived_marks(self) -> dict[str, str]:
        """Return the marks that were kept, by name."""
        with self.reading():
            rows = self._intact(derived_marks, select(derived_marks))
            self._need_whole(derived_marks, len(rows))
        return {row.name: row.value for row in rows}

    def keep_marks(self, marks: Mapping[str, str]) -> None:
        """Set some marks; those that are not named stay.

        Raises
        ------
        StoreError
            Where nothing can be written.
        """
        self._put(derived_marks, marks)

    def keep_lives(self, documents: Mapping[str, str]) -> None:
        """Keep the part lives of vehicles, over what was kept of them; the others stay.

        Parameters
        ----------
        documents : mapping
            By the id of the vehicle. One that has nothing left keeps an empty document.

        Raises
        ------
        Conflict
            Where a vehicle is not on file.
        StoreError
            Where nothing can be written.
        """
        self._put(derived_lives, documents)

    def keep_due(self, documents: Mapping[str, str]) -> None:
        """Keep the outlook of vehicles, as ``keep_lives`` does."""
        self._put(derived_due, documents)

    def lives_documents(
        self, vehicle_ids: Iterable[str] | None = None
    ) -> Iterator[tuple[str, str]]:
        """Yield vehicles with their part lives, in no order; a few at a time are in memory.

        Nothing is open between two of them, so the loop may write. Who needs all of them as of
        one moment opens ``reading`` around it.

        Parameters
        ----------
        vehicle_ids : iterable of str, optional
            Only these; where one has no document, it is left out.
        """
        return self._documents(derived_lives, vehicle_ids)

    def due_documents(self, vehicle_ids: Iterable[str] | None = None) -> Iterator[tuple[str, str]]:
        """Yield vehicles with their outlook, as ``lives_documents`` does."""
        return self._documents(derived_due, vehicle_ids)

    def keep_experience(self, rows: Iterable[ExperienceRow]) -> None:
        """Keep what the shop has learned, in place of all that was kept of it.

        Raises
        ------
        Conflict
            Where two rows are of one group.
        StoreError
            Where nothing can be written.
        """
        with self.writing():
            self._change(delete(derived_experience))
            self._insert(derived_experience, [_columns(row) for row in rows])

    def experience_rows(self) -> list[ExperienceRow]:
        """Return what the shop has learned, from the widest group of a kind to the narrowest."""
        table = derived_experience.c
        with self.reading():
            rows = self._intact(
                derived_experience,
                select(derived_experience).order_by(
                    table.kind, table.axle, table.vehicle_class, table.model
                ),
            )
            self._need_whole(derived_experience, len(rows))
        return [_experience_row(row) for row in rows]

    def _put(self, table: Table, texts: Mapping[str, str]) -> None:
        """Write texts by key, over what was there."""
        if not texts:
            return
        key, text, seal = (column.name for column in table.columns)
        with self.writing(), translated():
            self._connection.exec_driver_sql(
                f"INSERT INTO {table.name} ({key}, {text}, {seal})"
                f" VALUES ({marks_for(self._connection.dialect, 3)})"
                f" ON CONFLICT ({key}) DO UPDATE SET {text} = excluded.{text},"
                f" {seal} = excluded.{seal}",
                [
                    (sealed[key], sealed[text], sealed[seal])
                    for name, value in texts.items()
                    for sealed in [self._sealed(table, {key: name, text: value})]
                ],
            )

    def _documents(
        self, table: Table, vehicle_ids: Iterable[str] | None
    ) -> Iterator[tuple[str, str]]:
        key = table.c.vehicle_id
        if vehicle_ids is not None:
            for ids in in_chunks(vehicle_ids):
                rows = self._intact(table, select(table).where(key.in_(ids)))
                yield from ((row.vehicle_id, row.document) for row in rows)
            return
        # SQLite's rows in the order of the file, each page begun where the one before ended.
        is_file = self._dialect.name == "sqlite"
        place: Any = literal_column("rowid") if is_file else key.label("place")
        page = select(table, place.label("place")).order_by(place).limit(DOCUMENTS_AT_ONCE)
        last: Any = 0 if is_file else ""
        while rows := self._intact(table, page.where(place > last)):
            yield from ((row.vehicle_id, row.document) for row in rows)
            last = rows[-1].place

    def _intact(self, table: Table, statement: Select[Any]) -> Sequence[Row[Any]]:
        """Return rows of a derived table, each with the seal that it was written with.

        Raises
        ------
        StoreError
            Where one was changed behind the program's back, or by a fault of the disk.
        """
        form = form_of(table, self._dialect)
        rows = self._all(statement)
        for row in rows:
            if not form.is_sealed(row.checksum, (row._mapping[name] for name in form.sealed)):
                raise _damaged(table)
        return rows

    def _need_whole(self, table: Table, count: int) -> None:
        """Do nothing where a table has so many rows, by its index and without it.

        Raises
        ------
        StoreError
            Where one of the two has lost a row.
        """
        by_index = self._first(select(func.count()).select_from(table))
        without = self._all(select(table.c.checksum))
        if by_index is None or not count == by_index[0] == len(without):
            raise _damaged(table)


def _damaged(table: Table) -> StoreError:
    return StoreError(
        f"what was worked out before is damaged ({table.name})",
        hint="brakelog due --rebuild works it out again; then brakelog store check",
    )


def _columns(row: ExperienceRow) -> dict[str, Any]:
    return {
        "kind": row.group.kind.value,
        "axle": row.group.axle,
        "vehicle_class": row.group.vehicle_class,
        "model": row.group.model,
        "log_rate": row.experience.log_rate,
        "log_sd": row.experience.log_sd,
        "process_c": row.experience.process_c,
        "lives_behind": row.experience.lives_behind,
        "widened": row.experience.widened,
        "lives": row.lives,
        "visits": row.visits,
        "vehicles": row.vehicles,
        "source": row.experience.source,
    }


def _experience_row(row: Row[Any]) -> ExperienceRow:
    return ExperienceRow(
        group=Group(
            kind=WearKind(row.kind),
            axle=row.axle,
            vehicle_class=row.vehicle_class,
            model=row.model,
        ),
        experience=Experience(
            log_rate=row.log_rate,
            log_sd=row.log_sd,
            process_c=row.process_c,
            lives_behind=row.lives_behind,
            source=row.source,
            widened=row.widened,
        ),
        lives=row.lives,
        visits=row.visits,
        vehicles=row.vehicles,
    )
