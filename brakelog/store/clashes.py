"""Names that would lead to two things once two stores are one: tags, plates, VINs, sheets."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from sqlalchemy import Table

from brakelog.errors import clip
from brakelog.store.names import plate_key
from brakelog.store.tables import (
    customers,
    gauges,
    limit_sheets,
    people,
    vehicle_identities,
    vehicles,
)

if TYPE_CHECKING:
    from brakelog.store.raw_rows import RawRow, RawRows

_REVISED = {
    vehicles: (
        "tag",
        "vehicle",
        "if it is another vehicle, change its tag there (brakelog vehicle change TAG --tag NEW);"
        " if it is the same one, do that too, merge, then give its visits to the one here"
        " (brakelog amend move)",
    ),
    gauges: (
        "tag",
        "gauge",
        "change its tag there (brakelog gauge change TAG --tag NEW), then merge",
    ),
    limit_sheets: (
        "name",
        "limit sheet",
        "change its name there (brakelog limits rename SHEET NEW), then merge",
    ),
}
"""For each table of revisions, the column with the name, what it is, and how to settle it."""
_PEOPLE = {
    people: ("person", "change the tag there (brakelog people change TAG --tag NEW), then merge"),
    customers: (
        "customer",
        "change the tag there (brakelog people change TAG --customer --tag NEW), then merge",
    ),
}


class Clashes:
    """Finds them before anything is written, among what would hold afterwards."""

    def __init__(
        self,
        here: RawRows,
        there: RawRows,
        added: Mapping[Table, Sequence[str]],
        rewritten: Mapping[Table, Sequence[RawRow]],
    ) -> None:
        self._here = here
        self._there = there
        self._added = {table: set(ids) for table, ids in added.items()}
        self._rewritten = rewritten

    def found(self) -> Iterator[tuple[str, str]]:
        """Yield each clash, and how to settle it."""
        for table, (column, what, hint) in _REVISED.items():
            yield from self._revised(table, column, what, hint)
        for table, (what, hint) in _PEOPLE.items():
            yield from self._tags(table, what, hint)
        yield from self._plates()

    def _revised(
        self, table: Table, column: str, what: str, hint: str
    ) -> Iterator[tuple[str, str]]:
        for key, name in self._shared(self._newest(table, column), f"{column}_key"):
            del key
            yield f"another {what} is called {clip(name)!r} here", hint

    def _newest(self, table: Table, column: str) -> dict[str, dict[str, Any]]:
        """Return the revision of each thing that would hold afterwards."""
        names = ("id", "key", column, f"{column}_key")
        newest = {row["key"]: row for row in self._here.raw_rows(table, *names)}
        for row in self._there.raw_rows(table, *names):
            if row["id"] in self._added[table]:
                newest[row["key"]] = {**row, "is_theirs": True}
        return newest

    @staticmethod
    def _shared(things: Mapping[str, Mapping[str, Any]], column: str) -> Iterator[tuple[str, str]]:
        """Yield the names that two things have, one of which is of the other side."""
        by_name: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
        for thing in things.values():
            by_name[thing[column]].append(thing)
        for key, several in by_name.items():
            if len(several) > 1 and any(each.get("is_theirs") for each in several):
                yield key, str(several[-1][column.removesuffix("_key")])

    def _tags(self, table: Table, what: str, hint: str) -> Iterator[tuple[str, str]]:
        names = ("id", "tag", "tag_key")
        holding = {row["id"]: row for row in self._here.raw_rows(table, *names)}
        changed = {row["id"] for row in self._rewritten.get(table, ())}
        for row in self._there.raw_rows(table, *names):
            if row["id"] not in holding or row["id"] in changed:
                holding[row["id"]] = {**row, "is_theirs": True}
        for _, tag in self._shared(holding, "tag_key"):
            yield f"another {what} has the tag {clip(tag)!r} here", hint

    def _plates(self) -> Iterator[tuple[str, str]]:
        """A plate or a VIN that leads to two vehicles, or to one whose tag is another's plate."""
        tags = self._newest(vehicles, "tag")
        names = ("vehicle_id", "plate", "plate_key", "vin", "vin_key")
        holding = {
            row["vehicle_id"]: row for row in self._here.raw_rows(vehicle_identities, *names)
        }
        changed = {row["vehicle_id"] for row in self._rewritten.get(vehicle_identities, ())}
        for row in self._there.raw_rows(vehicle_identities, *names):
            if row["vehicle_id"] not in holding or row["vehicle_id"] in changed:
                holding[row["vehicle_id"]] = {**row, "is_theirs": True}
        called: dict[str, set[str]] = defaultdict(set)
        theirs: set[str] = set()
        shown: dict[str, str] = {}
        for id, row in holding.items():
            tag = tags.get(id, {})
            if row.get("is_theirs") or tag.get("is_theirs"):
                theirs.add(id)
            for text in (row["plate"], row["vin"], tag.get("tag", "")):
                if text.strip():
                    called[plate_key(text)].add(id)
                    shown[plate_key(text)] = text
        same_tags = {plate_key(tag) for _, tag in self._shared(tags, "tag_key")}
        for key, ids in called.items():
            if len(ids) > 1 and ids & theirs and key not in same_tags:
                yield (
                    f"{clip(shown[key])!r} would lead to {len(ids)} vehicles",
                    "if it is the same vehicle, take plate and VIN off it there (brakelog vehicle"
                    ' change TAG --plate "" --vin ""), merge, then give its visits to the one here'
                    " (brakelog amend move)",
                )
