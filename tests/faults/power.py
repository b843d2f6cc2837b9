"""A power cut that is simulated: what was written and not synced may be there, in part or not.

The statements are those of the program, run again by another binding of SQLite whose file system
writes down every write and every sync.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import apsw
from sqlalchemy import event

from brakelog.store.opening import open_store
from brakelog.store.store import Store

Said: TypeAlias = tuple[str, list[Any]]
"""A statement, and the values that it was run with, once for each."""
SECTOR = 512
"""What a disk writes whole, or not at all. [bytes]"""


@dataclass(frozen=True, slots=True)
class Done:
    """One thing that was done to a file, or, without a name, that a commit has returned."""

    what: str
    """write, truncate, sync or commit."""
    name: str = ""
    offset: int = 0
    data: bytes = b""


class Disk(apsw.VFS):
    """The file system below, with everything written down."""

    def __init__(self) -> None:
        self.done: list[Done] = []
        super().__init__("written-down", "")

    def xOpen(self, name: str | apsw.URIFilename | None, flags: list[int]) -> apsw.VFSFile:  # noqa: N802
        return _File(self.done, name, flags)


class _File(apsw.VFSFile):
    def __init__(
        self, done: list[Done], name: str | apsw.URIFilename | None, flags: list[int]
    ) -> None:
        self._done = done
        self._name = Path(
            name.filename() if isinstance(name, apsw.URIFilename) else name or ""
        ).name
        super().__init__("", name, flags)

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802
        super().xWrite(data, offset)
        self._done.append(Done("write", self._name, offset, bytes(data)))

    def xTruncate(self, newsize: int) -> None:  # noqa: N802
        super().xTruncate(newsize)
        self._done.append(Done("truncate", self._name, newsize))

    def xSync(self, flags: int) -> None:  # noqa: N802
        super().xSync(flags)
        self._done.append(Done("sync", self._name))


def statements_of(
    store: Path, work: Callable[[Store], object]
) -> tuple[list[Said], dict[str, str]]:
    """Return every statement that the program runs for some work, and its settings."""
    said: list[Said] = []

    def keep(_connection: object, _cursor: object, statement: str, values: Any, *rest: Any) -> None:
        is_many = rest[-1]
        said.append((statement, list(values) if is_many else [values]))

    with open_store(store) as opened:
        settings = opened.durability()
        event.listen(opened._connection, "after_cursor_execute", keep)
        event.listen(opened._connection, "commit", lambda _: said.append(("COMMIT", [()])))
        work(opened)
    return said, settings


def replayed(store: Path, statements: Iterable[Said], settings: dict[str, str]) -> list[Done]:
    """Run statements on a store, and return what was done to its files."""
    disk = Disk()
    connection = apsw.Connection(str(store), vfs="written-down")
    for name, value in settings.items():
        connection.execute(f"PRAGMA {name} = {value}").fetchall()
    disk.done.clear()
    has_written = False
    for statement, values in statements:
        connection.executemany(statement, values).fetchall()
        has_written = has_written or statement == "BEGIN IMMEDIATE"
        if statement == "COMMIT" and has_written:
            disk.done.append(Done("commit"))
            has_written = False
    connection.close()
    return disk.done


def after_a_cut(
    before: bytes, done: Sequence[Done], name: str, draw: random.Random
) -> dict[str, bytes]:
    """Return the files as they may be after the power was cut behind the last thing done.

    What was synced is there; of what was not, each sector is there or not, in any order.
    """
    files = {name: bytearray(before)}
    for each, is_safe in zip(done, _safe(done), strict=True):
        content = files.setdefault(each.name, bytearray()) if each.name else None
        if content is None or each.what == "sync":
            continue
        if each.what == "truncate":
            if is_safe or draw.random() < 0.5:
                del content[each.offset :]
            continue
        for start in range(0, len(each.data), SECTOR):
            if is_safe or draw.random() < 0.5:
                part = each.data[start : start + SECTOR]
                _put(content, each.offset + start, part)
    return {name: bytes(content) for name, content in files.items()}


def _safe(done: Sequence[Done]) -> list[bool]:
    """Return for each thing done whether a sync of its file came after it."""
    synced: set[str] = set()
    safe = []
    for each in reversed(done):
        if each.what == "sync":
            synced.add(each.name)
        safe.append(each.name in synced)
    return safe[::-1]


def _put(content: bytearray, offset: int, data: bytes) -> None:
    if len(content) < offset:
        content.extend(bytes(offset - len(content)))
    content[offset : offset + len(data)] = data
