"""Looking at every row of a store: its seal, its place in the chain, and whether any is gone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table
from sqlalchemy.exc import DBAPIError

from brakelog.store.owners import OWNERS, REPEATS, is_repeated, repeat_owner
from brakelog.store.seals import add_totals, chain_start, form_of, next_link, total_text
from brakelog.store.statements import quoted
from brakelog.store.tables import DERIVED, EVIDENCE, NAMES, draft_entries, import_keys, reading_sets

ROWS_AT_ONCE = 2_000
"""Rows in memory at a time; assumption: some megabytes. [-]"""
MOST_OF_A_TABLE = 20
"""Faults of one table that are listed; the others are counted."""
SEALED_ONLY = (*NAMES, draft_entries, *DERIVED)
"""Tables whose rows are sealed but stand in no chain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainEnd:
    """How long the chain of a site is, and its last link: it stands for all that came before."""

    site: str
    entries: int
    link: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Audit:
    """What a look at every row has found."""

    rows: int
    """Rows that were looked at. [-]"""
    chains: tuple[ChainEnd, ...]
    faults: tuple[str, ...]


def audit(connection: Connection) -> Audit:
    """Read every row and say which are not as they were written.

    Parameters
    ----------
    connection : Connection
        In a transaction of a store of this program's schema.
    """
    return _Auditor(connection).result()


class _Auditor:
    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = 0
        self._faults: list[str] = []
        self._of_table: dict[str, int] = defaultdict(int)
        self._before: dict[str, int] = defaultdict(int)
        self._after: dict[str, int] = defaultdict(int)
        self._count: dict[str, int] = defaultdict(int)

    def result(self) -> Audit:
        for table in EVIDENCE:
            self._guarded(table, self._evidence)
        for table in SEALED_ONLY:
            self._guarded(table, self._sealed)
        self._guarded(import_keys, self._tallied)
        chains = self._chains()
        self._faults += [
            f"{table}: {count - MOST_OF_A_TABLE} more like that"
            for table, count in self._of_table.items()
            if count > MOST_OF_A_TABLE
        ]
        return Audit(rows=self._rows, chains=chains, faults=tuple(self._faults))

    def _guarded(self, table: Table, look: Any) -> None:
        """A page that cannot be read ends one table, not the audit."""
        try:
            look(table)
        except (DBAPIError, UnicodeDecodeError) as error:
            said = getattr(error, "orig", error)
            self._say(table, f"cannot be read to its end: {said}")

    def _say(self, table: Table, fault: str) -> None:
        self._of_table[table.name] += 1
        if self._of_table[table.name] <= MOST_OF_A_TABLE:
            self._faults.append(f"{table.name}: {fault}")

    def _pages(self, table: Table, names: Sequence[str]) -> Iterator[Sequence[Sequence[Any]]]:
        result = self._connection.exec_driver_sql(
            f"SELECT {quoted(names)} FROM {table.name}",
            execution_options={"stream_results": True},
        )
        # Straight from the driver of a file, since a million rows are read here; from a server the
        # first rows have been fetched already.
        is_file = self._connection.dialect.name == "sqlite"
        fetch = result.cursor.fetchmany if is_file else result.fetchmany
        try:
            while page := fetch(ROWS_AT_ONCE):
                self._rows += len(page)
                yield page
        finally:
            result.close()

    def _sealed(self, table: Table) -> None:
        form = form_of(table, self._connection.dialect)
        for page in self._pages(table, ("checksum", *form.sealed)):
            for checksum, *values in page:
                if checksum != _sum(form.checksum_of, values):
                    name = _name(dict(zip(form.sealed, values, strict=True)))
                    self._say(table, f"{name} does not match its seal")

    def _tallied(self, table: Table) -> None:
        """Look at rows that have no seals: those of a kind come to what was tallied."""
        form = form_of(table, self._connection.dialect)
        kind_at = form.sealed.index("kind")
        tallies: dict[str, list[int]] = defaultdict(lambda: [0, 0])
        for page in self._pages(table, form.sealed):
            for values in page:
                tally = tallies[values[kind_at]]
                tally[0] += 1
                tally[1] += int(_sum(form.checksum_of, values) or "0", 16)
        self._compare(table, table.name, tallies)

    def _evidence(self, table: Table) -> None:
        form = form_of(table, self._connection.dialect)
        places = [1 + form.sealed.index(column) for column in OWNERS[table]]
        site_at, id_at = 1 + form.sealed.index("site"), 1 + form.sealed.index("id")
        tallies: dict[str, list[int]] = {}
        again_at = 1 + form.sealed.index("again_nm") if table is reading_sets else 0
        repeats: dict[str, list[int]] = defaultdict(lambda: [0, 0])
        broken = 0
        checksum_of = form.checksum_of
        for page in self._pages(table, ("checksum", *form.sealed, "chain_prev", "chain_link")):
            for row in page:
                checksum = row[0]
                if checksum is None:
                    self._say(table, f"{row[id_at]} was not written by this program: no seal")
                    continue
                if _sum(checksum_of, row[1:-2]) != checksum:
                    broken += 1
                    what = dict(zip(form.sealed, row[1:-2], strict=True))
                    self._say(table, f"{_name(what)} does not match its seal")
                if not _is_link(row[-2], checksum, row[-1]):
                    broken += 1
                    self._say(table, f"{row[id_at]} is not linked to the row before it")
                    continue
                # What is damaged may be no text.
                site = str(row[site_at])
                self._before[site] = add_totals(self._before[site], int(row[-2], 16))
                self._after[site] = add_totals(self._after[site], int(row[-1], 16))
                self._count[site] += 1
                value = int(checksum, 16)
                for place in places:
                    if (owner := row[place]) is not None:
                        tally = tallies.get(owner)
                        if tally is None:
                            tallies[owner] = [1, value]
                        else:
                            tally[0] += 1
                            tally[1] += value
                if again_at and row[again_at] is not None:
                    stored = dict(zip(form.sealed, row[1:-2], strict=True))
                    if is_repeated(stored):
                        repeated = repeats[repeat_owner(stored)]
                        repeated[0] += 1
                        repeated[1] += value
        # Where a row is named already, its owner's tally says nothing new.
        if not broken:
            self._compare(table, table.name, tallies)
            if again_at:
                self._compare(table, REPEATS, repeats)

    def _compare(self, table: Table, kind: str, tallies: dict[str, list[int]]) -> None:
        kept = self._connection.exec_driver_sql(
            f"SELECT owner, entries, total FROM row_tallies WHERE kind = '{kind}'"
        )
        for owner, entries, total in kept:
            count, sum_there = tallies.pop(owner, [0, 0])
            whose = str(owner)[:12]
            if type(entries) is not int:
                self._say(table, f"the number of rows of {whose} is none")
            elif count < entries:
                self._say(table, f"{entries - count} of {entries} rows of {whose} are gone")
            elif count > entries:
                self._say(table, f"{count - entries} rows of {whose} too many")
            elif total != f"{add_totals(sum_there, 0):064x}":
                self._say(table, f"the rows of {whose} are not those that were written")
        for owner in tallies:
            self._say(table, f"no tally was kept of the rows of {str(owner)[:12]}")

    def _chains(self) -> tuple[ChainEnd, ...]:
        heads = {
            str(site): ChainEnd(site=str(site), entries=entries, link=str(link))
            for site, link, entries in self._connection.exec_driver_sql(
                "SELECT site, link, entries FROM chain_heads ORDER BY site"
            )
        }
        for site in sorted({*heads, *self._count}):
            head = heads.get(site, ChainEnd(site=site, entries=0, link=chain_start(site)))
            if head.entries != self._count[site]:
                self._faults.append(
                    f"chain of {site}: {self._count[site]} rows where {head.entries} were written"
                )
            # Every link but the last is the one before of exactly one row.
            start, end = int(chain_start(site), 16), _number(head.link)
            if add_totals(self._before[site], end) != add_totals(self._after[site], start):
                self._faults += [f"chain of {site}: {fault}" for fault in self._breaks(site, head)]
        return tuple(heads.values())

    def _breaks(self, site: str, head: ChainEnd) -> Iterator[str]:
        """Name where a chain is broken; only asked once it is known to be."""
        followed: dict[str, str] = {head.link: "the end of the chain"}
        links = {chain_start(site)}
        for table in EVIDENCE:
            for page in self._pages(table, ("site", "id", "chain_prev", "chain_link")):
                for at, id, previous, link in page:
                    if at == site and previous is not None:
                        followed[previous] = f"{table.name} {id}"
                        links.add(link)
        gone = [name for link, name in followed.items() if link not in links]
        for name in gone[:MOST_OF_A_TABLE]:
            yield f"what stood before {name} is gone or was changed"
        if not gone:
            yield "rows follow each other that did not"


def _sum(checksum_of: Any, values: Sequence[Any]) -> str:
    """Return the sum; what no program could have written has none."""
    try:
        return str(checksum_of(values))
    except (TypeError, UnicodeEncodeError, ValueError):
        return ""


def _is_link(previous: Any, checksum: str, link: Any) -> bool:
    try:
        int(previous, 16)
        int(checksum, 16)
        return bool(next_link(previous, checksum) == link)
    except (TypeError, ValueError):
        return False


def _number(link: str) -> int:
    try:
        number = int(link, 16)
    except ValueError:
        return -1
    # One bit makes a capital of a small letter, which is the same digit and another text.
    return number if total_text(number) == link else -1


def _name(row: dict[str, Any]) -> str:
    """Return what a row can be found by: its id, and for a reading where it was taken."""
    id = next((row[key] for key in ("id", "vehicle_id", "visit_id", "name") if row.get(key)), "row")
    place = [str(row[key]) for key in ("corner", "quantity", "kind", "tag") if row.get(key)]
    when = str(row.get("recorded_at", ""))[:16]
    said = ", ".join([*place, *([when] if when else [])])
    return f"{id} ({said})" if said else str(id)
