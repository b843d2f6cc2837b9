"""What a gauge read twice, of which its scatter is taken: all of it, or nothing.

It is found by an index of its own, and mostly belongs to vehicles that nobody looks at now. A
damaged index would hide some of it without a word, and the scatter would be that of the rest. The
tallies by gauge and time are found in another way, and say how much there must be.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from itertools import islice
from typing import Any, TypeAlias

from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite

from brakelog.store.column_types import JsonIntegers, UtcTime
from brakelog.store.owners import REPEATS, repeat_owner
from brakelog.store.seals import form_of
from brakelog.store.statements import marks_for, quoted
from brakelog.store.tables import corrections, reading_sets
from brakelog.store.transaction import Transactions
from brakelog.store.verifying import Look, refuse_over, tallies_of

_FILE = SQLiteDialect_pysqlite()
_TIMES = UtcTime().result_processor(_FILE, None)
_LISTS = JsonIntegers().result_processor(_FILE, None)
"""Read what is stored, which is the same under every database, and refuse what is none of it."""

FIRST, LAST = "", "~"
"""Texts before and after every time on record."""
PAGE = 2_000
"""Sets of which the tallies are compared together; assumption: some megabytes. [-]"""
Repeat: TypeAlias = tuple[datetime, tuple[int, int]]
"""When recorded, and the first and the second reading of point 1. [nm]"""
_NEEDED = ("id", "visit_id", "gauge_id", "recorded_at", "values_nm", "again_nm")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_TICK = timedelta(microseconds=1)


class Repeats:
    """Very many repeats, oldest first, in little room: a shop has hundreds of thousands."""

    def __init__(self, repeats: Iterable[Repeat]) -> None:
        self._ticks, self._first, self._second = array("q"), array("q"), array("q")
        for at, (first, second) in repeats:
            self._ticks.append((at - _EPOCH) // _TICK)
            self._first.append(first)
            self._second.append(second)
        # Of one import they bear one time; in the same order whoever asks.
        rows = sorted(zip(self._ticks, self._first, self._second, strict=True))
        for column, values in zip(
            (self._ticks, self._first, self._second), zip(*rows, strict=True), strict=False
        ):
            column[:] = array("q", values)

    def newest(self, until: datetime, most: int) -> tuple[tuple[int, int], ...]:
        """Return the newest pairs up to a time, oldest first. [nm]"""
        end = bisect_right(self._ticks, (until - _EPOCH) // _TICK)
        part = slice(max(0, end - most), end)
        return tuple(zip(self._first[part], self._second[part], strict=True))


def every_repeat(store: Transactions, gauge_id: str) -> Iterator[Repeat]:
    """Yield the first points that one revision of a gauge read twice, some at a time.

    Seals are not looked at here: who asks for everything looks at each row with its vehicle.

    Raises
    ------
    StoreError
        At the end, where there are more or fewer of them than were written.
    """
    look = _Look(store, gauge_id, LAST)
    since = FIRST
    while since <= LAST:
        until = look.end_of_page(since)
        yield from look.held(since, until)
        # After it and before every later time: they are of one length.
        since = f"{until} "
    refuse_over(look.faults)


def newest_repeats(
    store: Transactions, gauge_id: str, *, until: datetime | None, most: int
) -> list[Repeat]:
    """Return the newest of them up to a time: so many at least, where there are.

    Raises
    ------
    StoreError
        Where one is not as it was written, or where there are more or fewer than were written.
    """
    look = _Look(store, gauge_id, UtcTime().put(until) or LAST, looks_at_seals=True)
    found = look.newest(most)
    refuse_over(look.faults)
    return found


class _Look(Look):
    def __init__(
        self, store: Transactions, gauge_id: str, until: str, *, looks_at_seals: bool = False
    ) -> None:
        super().__init__(store)
        self._gauge_id = gauge_id
        self._until = until
        self._put = marks_for(self._connection.dialect, 1)
        self._form = form_of(reading_sets, self._connection.dialect)
        self._names = self._form.sealed if looks_at_seals else _NEEDED
        self._looks_at_seals = looks_at_seals

    def end_of_page(self, since: str) -> str:
        """Return the time of the last tally of a page; damage makes it longer, never endless."""
        kept = self._connection.exec_driver_sql(
            f"{self._tallied()} ORDER BY owner LIMIT 1 OFFSET {PAGE - 1}",
            self._ends(since, self._until),
        )
        ends = [str(owner)[len(self._gauge_id) + 1 :] for owner, _, _ in kept]
        return ends[0] if ends and since < ends[0] < self._until else self._until

    def newest(self, most: int) -> list[Repeat]:
        """Return the newest sets that hold: so many at least, where there are."""
        wanted = most
        while True:
            since = self._time_of(wanted)
            held = list(self.held(since, self._until))
            if len(held) >= most or since == FIRST or self.faults:
                return held
            # Some of them do not hold any more.
            wanted *= 2

    def _time_of(self, wanted: int) -> str:
        """Return the time since when so many sets were written, as the tallies have it."""
        kept = self._connection.exec_driver_sql(
            f"{self._tallied()} ORDER BY owner DESC LIMIT {wanted}",
            self._ends(FIRST, self._until),
        )
        count = 0
        for owner, entries, _ in kept:
            count += entries
            if count >= wanted:
                return str(owner[len(self._gauge_id) + 1 :])
        return FIRST

    def held(self, since: str, until: str) -> Iterator[Repeat]:
        """Yield the sets that hold; whether all were found is kept in mind at the end."""
        there: list[tuple[str, str | None]] = []
        written = self._written(since, until)
        while rows := list(islice(written, PAGE)):
            there += ((repeat_owner(row), row["checksum"]) for row in rows)
            gone = self._gone({row[key] for row in rows for key in ("id", "visit_id")})
            for row in rows:
                at, values = _TIMES(row["recorded_at"]), _LISTS(row["values_nm"])
                holds = gone.isdisjoint((row["id"], row["visit_id"]))
                if holds and at is not None and values and values[0] is not None:
                    yield at, (values[0], int(row["again_nm"]))
        first, last = self._ends(since, until)
        self.compare(
            REPEATS,
            there,
            self._connection.exec_driver_sql(self._tallied(), (first, last)),
            lambda owner: first <= owner <= last,
        )

    def _ends(self, since: str, until: str) -> tuple[str, str]:
        return f"{self._gauge_id} {since}", f"{self._gauge_id} {until}"

    def _tallied(self) -> str:
        return f"{tallies_of(REPEATS)} AND owner >= {self._put} AND owner <= {self._put}"

    def _written(self, since: str, until: str) -> Iterator[dict[str, Any]]:
        """Yield every set that was written, whether it still holds or not."""
        names = ("checksum", *self._names)
        found = self._connection.exec_driver_sql(
            f"SELECT {quoted(names)} FROM reading_sets WHERE gauge_id = {self._put}"
            f" AND again_nm IS NOT NULL AND recorded_at >= {self._put}"
            f" AND recorded_at <= {self._put}",
            (self._gauge_id, since, until),
        )
        for values in found:
            row = dict(zip(names, values, strict=True))
            if self._looks_at_seals and not self._form.is_sealed(row["checksum"], values[1:]):
                self.faults.append(f"reading_sets {str(row['id'])[:12]} does not match its seal")
                row["checksum"] = None
            yield row

    def _gone(self, targets: Iterable[str]) -> set[str]:
        """Return what does not hold any more: sets that were corrected, visits that are void."""
        rows = self.owned(corrections, "target_id", targets)
        kinds = ("amend", "void set", "void visit")
        return {row["target_id"] for row in rows if row["kind"] in kinds}
