"""What a transaction adds to the chains and to the tallies, until it is written with it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Dialect, Table

from brakelog.store.owners import OWNERS, REPEATED_BY, REPEATS, is_repeated, repeat_owner
from brakelog.store.seals import add_totals, chain_start, form_of, next_link, total_from, total_text
from brakelog.store.statements import marks_for, values_in
from brakelog.store.tables import reading_sets

ENTRIES_HELD = 20_000
"""Tallied rows in memory before they are written; assumption: some megabytes. [-]"""


def _told_by(table: Table) -> frozenset[str]:
    """Return the columns that say which chain and which tallies a row goes into."""
    repeats = REPEATED_BY if table is reading_sets else ()
    return frozenset(("site", *OWNERS[table], *repeats))


@dataclass(frozen=True, slots=True)
class Mark:
    """How far a ledger had come."""

    entries: int
    heads: Mapping[str, tuple[str, int]]


class Ledger:
    """The chains of the sites and the tallies of the owners, for one transaction.

    The caller holds the only transaction that may write, so that a head that was read stays the
    newest.

    Parameters
    ----------
    reach : callable
        Gives the connection as soon as it is free; rows can be sealed before that.
    dialect : Dialect
        Of the connection.
    """

    def __init__(self, reach: Callable[[], Connection], dialect: Dialect) -> None:
        self._reach = reach
        self._dialect = dialect
        self._heads: dict[str, tuple[str, int]] = {}
        self._entries: list[tuple[str, str, str]] = []

    def chained(
        self, table: Table, sealed: Iterable[tuple[list[Any], str]]
    ) -> Iterator[tuple[Any, ...]]:
        """Yield rows as they are to be stored, each linked to the one before.

        What is yielded are the values of ``Form.written``.

        Parameters
        ----------
        table : Table
            Of evidence.
        sealed : iterable of list and str
            The values and the seal of whole rows, from ``Form.sealed_values``; those of one site
            become neighbours in its chain.
        """
        form = form_of(table, self._dialect)
        names = tuple(_told_by(table))
        told_by = [form.sealed.index(name) for name in names]
        for values, checksum in sealed:
            told = dict(zip(names, map(values.__getitem__, told_by), strict=True))
            values += (checksum, *self._linked(table, told, checksum))
            yield tuple(values)

    def link(self, table: Table, stored: dict[str, Any], checksum: str) -> dict[str, Any]:
        """Return a row as it is stored with its seal and its place at the end of the chain."""
        previous, link = self._linked(table, stored, checksum)
        return {**stored, "checksum": checksum, "chain_prev": previous, "chain_link": link}

    def _linked(self, table: Table, stored: Mapping[str, Any], checksum: str) -> tuple[str, str]:
        """Return the link before a row and its own, the new end of the chain; tallies it too."""
        site = stored["site"]
        previous, count = self._head(site)
        link = next_link(previous, checksum)
        self._heads[site] = (link, count + 1)
        self._tally(table, stored, checksum)
        return previous, link

    def tally(self, kind: str, owner: str, checksum: str) -> None:
        """Tally a row that is in no chain."""
        self._entries.append((kind, owner, checksum))

    def take(self, table: Table, row: Mapping[str, Any]) -> None:
        """Tally a row that keeps the seal and the links that it has; ``end`` closes its chain."""
        self._tally(table, row, row["checksum"])

    def end(self, site: str, link: str, entries: int) -> None:
        """Set where a chain ends whose rows have their links already."""
        self._heads[site] = (link, entries)

    def _tally(self, table: Table, row: Mapping[str, Any], checksum: str) -> None:
        for column in OWNERS[table]:
            if (owner := row[column]) is not None:
                self._entries.append((table.name, owner, checksum))
        if table is reading_sets and is_repeated(row):
            self._entries.append((REPEATS, repeat_owner(row), checksum))

    def waiting(self, kind: str) -> dict[str, tuple[int, int]]:
        """Return what is still to be added to the tallies of a table: count and total, by owner."""
        found: dict[str, tuple[int, int]] = {}
        for table, owner, checksum in self._entries:
            if table == kind:
                count, total = found.get(owner, (0, 0))
                found[owner] = (count + 1, add_totals(total, int(checksum, 16)))
        return found

    def mark(self) -> Mark:
        """Return how far it has come."""
        return Mark(len(self._entries), dict(self._heads))

    def back_to(self, mark: Mark) -> None:
        """Forget what came after a mark."""
        del self._entries[mark.entries :]
        self._heads = dict(mark.heads)

    def forget(self) -> None:
        """Forget everything: the transaction is over."""
        self._entries.clear()
        self._heads.clear()

    @property
    def is_long(self) -> bool:
        """Whether so much is held that it should be written."""
        return len(self._entries) >= ENTRIES_HELD

    def write_long(self) -> None:
        """Write the tallies that are held, where they are many."""
        if self.is_long:
            self._write_tallies()

    def write(self) -> None:
        """Write what is held into the transaction."""
        for site, (link, count) in self._heads.items():
            self._reach().exec_driver_sql(
                "INSERT INTO chain_heads (site, link, entries)"
                f" VALUES ({marks_for(self._dialect, 3)})"
                " ON CONFLICT (site) DO UPDATE SET link = excluded.link,"
                " entries = excluded.entries",
                (site, link, count),
            )
        self._write_tallies()

    def _write_tallies(self) -> None:
        added: dict[str, dict[str, list[int]]] = defaultdict(dict)
        for kind, owner, checksum in self._entries:
            owners = added[kind]
            if (so_far := owners.get(owner)) is None:
                so_far = owners[owner] = [0, 0]
            so_far[0] += 1
            so_far[1] += int(checksum, 16)
        self._entries.clear()
        for kind, owners in added.items():
            self.add(kind, owners)

    def add(self, kind: str, owners: Mapping[str, Sequence[int]]) -> None:
        """Add to tallies at once: of each owner so many rows, and the sum of their seals."""
        kept = {owner: (count, total) for owner, count, total in self._tallies(kind, owners)}
        written = []
        for owner, (count, total) in owners.items():
            before, there = kept.get(owner, (0, "0"))
            total_there = add_totals(total, total_from(there))
            written.append((kind, owner, before + count, total_text(total_there)))
        if written:
            self._reach().exec_driver_sql(
                "INSERT INTO row_tallies (kind, owner, entries, total)"
                f" VALUES ({marks_for(self._dialect, 4)})"
                " ON CONFLICT (kind, owner) DO UPDATE SET entries = excluded.entries,"
                " total = excluded.total",
                written,
            )

    def _tallies(self, kind: str, owners: Iterable[str]) -> Iterator[tuple[str, int, str]]:
        connection = self._reach()
        for statement, values in values_in(
            connection,
            f"SELECT owner, entries, total FROM row_tallies WHERE kind = '{kind}' AND owner",
            owners,
        ):
            for row in connection.exec_driver_sql(statement, values):
                yield row[0], row[1], row[2]

    def _head(self, site: str) -> tuple[str, int]:
        if site not in self._heads:
            found = (
                self._reach()
                .exec_driver_sql(
                    "SELECT link, entries FROM chain_heads"
                    f" WHERE site = {marks_for(self._dialect, 1)}",
                    (site,),
                )
                .first()
            )
            self._heads[site] = (found[0], found[1]) if found else (chain_start(site), 0)
        return self._heads[site]
