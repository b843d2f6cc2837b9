"""Emptying what is personal, and finding where it is still named."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Table, update

from brakelog.store.faults import translated
from brakelog.store.raw_rows import RawRows, number_columns
from brakelog.store.seals import form_of
from brakelog.store.tables import EVIDENCE, agreement_names, agreements, complaints, draft_entries
from brakelog.store.transaction import Transactions

SHORTEST = 3
"""Characters that a name must have to be looked for; assumption: shorter ones are everywhere."""
FORGOTTEN = "forgotten-"
"""What the tag of a customer begins with whom nobody knows any more."""
_NEVER_NAMES = frozenset(
    {
        *("id", "site", "recorded_at", "recorded_by", "checksum", "chain_prev", "chain_link"),
        *("visit_id", "vehicle_id", "person_id", "target_id", "replacement_id", "policy"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mention:
    """A row of evidence in which something personal is written out."""

    table: str
    id: str
    columns: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Emptied:
    """Rows whose words were emptied, and the words, to look for them elsewhere."""

    rows: int
    words: tuple[str, ...]


def is_forgotten(customer: Mapping[str, Any]) -> bool:
    """Return whether a row of customers is of somebody who was forgotten."""
    return str(customer["tag"]).startswith(FORGOTTEN)


class Forgetting:
    """Takes what is personal out of an open store, as far as the record allows."""

    def __init__(self, store: Transactions) -> None:
        self._store = store
        self._raw = RawRows(store)
        self._connection = store._connection
        self.is_clean = not self.is_file
        """Whether nothing that was there before can stand in unused space of the file."""

    @property
    def is_file(self) -> bool:
        """Whether the store is a file."""
        return self._connection.dialect.name == "sqlite"

    @contextmanager
    def wiping(self) -> Iterator[None]:
        """Let what is written over leave nothing behind in a file, while the block lasts.

        When the block has ended well the file is written anew, so that what earlier changes left
        in unused space goes too.
        """
        if not self.is_file:
            yield
            return
        driver: Any = self._connection.connection.driver_connection
        with translated():
            driver.execute("PRAGMA secure_delete = ON")
        yield
        # What was asked for is done by now; somebody who reads meanwhile only puts this off.
        with suppress(sqlite3.Error):
            driver.execute("VACUUM")
            self.is_clean = True

    def empty_complaints(self, visit_ids: Sequence[str]) -> Emptied:
        """Empty what customers complained of at some visits."""
        return self._empty(complaints, "visit_id", visit_ids, ("text",))

    def empty_agreement_names(self, visit_ids: Sequence[str]) -> Emptied:
        """Empty who agreed or declined at some visits, and the number called."""
        ids = [row["id"] for row in self._raw.rows_with(agreements, "visit_id", visit_ids, "id")]
        return self._empty(agreement_names, "agreement_id", ids, ("who", "number"))

    def _empty(
        self, table: Table, owner: str, owners: Sequence[str], columns: Sequence[str]
    ) -> Emptied:
        form = form_of(table, self._connection.dialect)
        words: list[str] = []
        rows = 0
        for row in list(self._raw.rows_with(table, owner, owners)):
            said = [row[name] for name in columns if row[name]]
            if not said:
                continue
            rows += 1
            words += said
            empty = dict.fromkeys(columns, "")
            sealed = {**empty, "checksum": form.checksum({**row, **empty})}
            with translated():
                self._connection.execute(
                    update(form.raw).where(form.raw.c.row == row["row"]).values(sealed)
                )
        return Emptied(rows=rows, words=tuple(words))

    def mentions(self, names: Iterable[str]) -> list[Mention]:
        """Return the rows of evidence, and what is typed and not filed, that write out a name.

        Neither case nor blanks count. A name is found only as it is written in full.
        """
        wanted = {found for name in names if len(found := _plain(name)) >= SHORTEST}
        if not wanted:
            return []
        return [
            mention
            for table in (*EVIDENCE, draft_entries)
            for mention in self._mentions_in(table, wanted)
        ]

    def _mentions_in(self, table: Table, wanted: set[str]) -> Iterator[Mention]:
        texts = [
            column.name
            for column in table.columns
            if column.name not in _NEVER_NAMES | number_columns(table)
            and not column.name.endswith("_key")
        ]
        id = "id" if "id" in table.c else "visit_id"
        for row in self._raw.raw_rows(table, id, *texts):
            found = tuple(
                name
                for name in texts
                if row[name] and any(each in _plain(row[name]) for each in wanted)
            )
            if found:
                yield Mention(table=table.name, id=row[id], columns=found)


def _plain(text: str) -> str:
    return "".join(text.split()).casefold()
