"""What every byte of a file of SQLite is for, by its file format (sqlite.org/fileformat2.html).

Sections of that document stand beside what they are about. Only sound files are read with it: it
is asked where a bit lies that is about to be turned.
"""

from __future__ import annotations

import enum
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path


class Room(enum.Enum):
    """What a byte is for."""

    HEADER = "header of the file"
    HEAD = "head of a page"
    POINTER = "pointer to a cell"
    CELL = "cell"
    OVERFLOW = "rest of a long row"
    FREE_LIST = "list of free room"
    NOTHING = "nothing"


HELD = frozenset(Room) - {Room.NOTHING}
STRUCTURE = frozenset({Room.HEADER, Room.HEAD, Room.POINTER, Room.FREE_LIST})
"""What leads to rows, and is none of them."""

_INNER_INDEX, _INNER_TABLE, _LEAF_INDEX, _LEAF_TABLE = 2, 5, 10, 13
_FILE_HEADER = 100
_RESERVED = range(72, 92)
"""Bytes of the header of the file that are kept for later versions (section 1.3)."""


class Pages:
    """What each byte of a sound file is for, and which table or index it belongs to."""

    def __init__(self, path: Path) -> None:
        self._content = content = path.read_bytes()
        self.size = int.from_bytes(content[16:18], "big")
        self._usable = self.size - content[20]
        self.room = [Room.NOTHING] * len(content)
        self._trees: dict[int, str] = {}
        self.kinds: dict[str, range] = {}
        """The bytes of the first row of each tree that say of what kind each value is."""
        self._free_pages()
        with closing(sqlite3.connect(path)) as raw:
            roots = raw.execute("SELECT name, rootpage FROM sqlite_schema WHERE rootpage > 0")
            listed = [("sqlite_schema", 1), *roots.fetchall()]
        for name, root in listed:
            self._tree(name, root)
        self._mark(range(_FILE_HEADER), Room.HEADER)
        self._mark(_RESERVED, Room.NOTHING)

    def tree_of(self, place: int) -> str:
        """Return the table or index that a byte belongs to, or that it is of a free page."""
        return self._trees.get(place // self.size + 1, "free page")

    def places(self, wanted: frozenset[Room]) -> list[int]:
        """Return all bytes that are for one of some things."""
        return [place for place, room in enumerate(self.room) if room in wanted]

    def share(self, wanted: frozenset[Room]) -> float:
        """Return how much of the file is for one of some things. [-]"""
        return len(self.places(wanted)) / len(self.room)

    def _mark(self, places: range, room: Room) -> None:
        self.room[places.start : places.stop] = [room] * len(places)

    def _whole(self, at: int, size: int) -> int:
        return int.from_bytes(self._content[at : at + size], "big")

    def _start(self, page: int) -> int:
        return (page - 1) * self.size

    def _free_pages(self) -> None:
        """Only the trunks of the list of free pages hold anything (section 1.5)."""
        trunk = self._whole(32, 4)
        while trunk:
            start = self._start(trunk)
            self._mark(range(start, start + 8 + 4 * self._whole(start + 4, 4)), Room.FREE_LIST)
            trunk = self._whole(start, 4)

    def _tree(self, name: str, root: int) -> None:
        waiting = [root]
        while waiting:
            page = waiting.pop()
            self._trees[page] = name
            waiting += self._page(name, page)

    def _page(self, name: str, page: int) -> Iterator[int]:
        """Mark a page of a tree (section 1.6), and yield the pages below it."""
        start = self._start(page)
        head = start + (_FILE_HEADER if page == 1 else 0)
        kind, count = self._content[head], self._whole(head + 3, 2)
        is_inner = kind in (_INNER_INDEX, _INNER_TABLE)
        first = head + (12 if is_inner else 8)
        self._mark(range(head, first), Room.HEAD)
        self._mark(range(first, first + 2 * count), Room.POINTER)
        for pointer in range(first, first + 2 * count, 2):
            at = start + self._whole(pointer, 2)
            if is_inner:
                yield self._whole(at, 4)
            self._cell(name, kind, at)
        if is_inner:
            yield self._whole(head + 8, 4)
        free = self._whole(head + 1, 2)
        while free:
            self._mark(range(start + free, start + free + 4), Room.FREE_LIST)
            free = self._whole(start + free, 2)

    def _cell(self, name: str, kind: int, at: int) -> None:
        end = at + 4 if kind in (_INNER_INDEX, _INNER_TABLE) else at
        if kind == _INNER_TABLE:
            _, end = self._varint(end)
            self._mark(range(at, end), Room.CELL)
            return
        payload, end = self._varint(end)
        if kind == _LEAF_TABLE:
            _, end = self._varint(end)
        length, first = self._varint(end)
        self.kinds.setdefault(name, range(first, end + length))
        here = self._here(kind, payload)
        end += here
        if here < payload:
            self._overflow(name, self._whole(end, 4), payload - here)
            end += 4
        self._mark(range(at, end), Room.CELL)

    def _here(self, kind: int, payload: int) -> int:
        """Return how much of a row stands in its own page. [bytes]"""
        usable = self._usable
        most = usable - 35 if kind == _LEAF_TABLE else (usable - 12) * 64 // 255 - 23
        if payload <= most:
            return payload
        least = (usable - 12) * 32 // 255 - 23
        fitting = least + (payload - least) % (usable - 4)
        return fitting if fitting <= most else least

    def _overflow(self, name: str, page: int, left: int) -> None:
        while page:
            self._trees[page] = name
            start = self._start(page)
            here = min(left, self._usable - 4)
            self._mark(range(start, start + 4 + here), Room.OVERFLOW)
            left -= here
            page = self._whole(start, 4)

    def _varint(self, at: int) -> tuple[int, int]:
        value = 0
        for count in range(8):
            value = value << 7 | self._content[at + count] & 0x7F
            if self._content[at + count] < 0x80:
                return value, at + count + 1
        return value << 8 | self._content[at + 8], at + 9
