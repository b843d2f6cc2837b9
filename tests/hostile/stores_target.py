"""The store opener: on real stores with bytes, tables or triggers changed, and on anything else."""

from __future__ import annotations

import atexit
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from functools import cache
from pathlib import Path

from brakelog.errors import BrakelogError
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from tests.hostile.parts import is_said_shortly, split
from tests.unit.store_examples import fill

WORDS = (
    *("SQLite format 3\x00", "CREATE TABLE", "CREATE TRIGGER", "CREATE VIEW", "table", "trigger"),
    *("PK\x03\x04", "\x1f\x8b\x08", "%PDF-1.7", "\x7fELF", "\xff\xff\xff\xff", "\x00\x00\x00\x00"),
)
_CHANGES = (
    "CREATE VIEW extra AS SELECT load_extension('x')",
    "CREATE TRIGGER extra AFTER INSERT ON people BEGIN SELECT load_extension('x'); END",
    "CREATE TRIGGER worse AFTER INSERT ON people BEGIN DELETE FROM visits; END",
    "CREATE TABLE extra (id TEXT)",
    "ALTER TABLE people RENAME TO persons; CREATE VIEW people AS SELECT * FROM persons",
    "ALTER TABLE people RENAME COLUMN name TO called",
    "ALTER TABLE visits ADD COLUMN extra TEXT",
    "ALTER TABLE gauges RENAME TO instruments",
    "DROP TABLE people",
    "PRAGMA application_id = 0",
    "PRAGMA application_id = 1",
    "PRAGMA user_version = 0",
    "PRAGMA user_version = 99999",
    "PRAGMA user_version = -1",
    "PRAGMA user_version = 1",
    "PRAGMA journal_mode = WAL",
    "PRAGMA auto_vacuum = FULL; VACUUM",
    "PRAGMA page_size = 65536; VACUUM",
    "PRAGMA encoding = 'UTF-16'; VACUUM",
    "UPDATE alembic_version SET version_num = 'x'",
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = NULL WHERE name = 'people'",
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = 'x' WHERE type = 'trigger'",
    "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET rootpage = 2 WHERE type = 'table'",
    "PRAGMA writable_schema = ON; DELETE FROM sqlite_schema WHERE type = 'index'",
)
"""What another program may have done to a store, one statement after the other."""
MOST_BYTES_CHANGED = 64


@cache
def _folder() -> Path:
    """A folder in memory where there is one; a case is then half a millisecond of copying."""
    memory = Path("/dev/shm")
    usable = memory.is_dir() and os.access(memory, os.W_OK)
    folder = Path(tempfile.mkdtemp(prefix="hostile-", dir=memory if usable else None))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


@cache
def _real() -> bytes:
    """A real store with a row in every table."""
    path = _folder() / "real.sqlite"
    with open_store(path) as store:
        fill(store)
    return path.read_bytes()


@cache
def _changed(change: int) -> bytes:
    """The real store after one of the changes."""
    path = _folder() / "changed.sqlite"
    path.write_bytes(_real())
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        for statement in _CHANGES[change].split("; "):
            with suppress(sqlite3.Error):
                raw.execute(statement)
    return path.read_bytes()


def seeds() -> list[bytes]:
    """Every change by itself; bytes changed in the header and everywhere; other files."""
    changes = [bytes([way, number]) for number in range(len(_CHANGES)) for way in (0, 4)]
    bytes_changed = [bytes([1, 0, 0, at, 255]) for at in range(100)]
    bytes_changed += [bytes([5, at >> 8, at & 255, 7, 0]) for at in range(0, 1_800, 30)]
    cut = [bytes([2, 0, size, 0]) for size in (1, 4, 16, 64, 255)]
    files = (b"", b"PK\x03\x04" + bytes(600), b"\x1f\x8b\x08" + bytes(600), b"SQLite format 3\x00")
    # Bytes that are no text, in what the database says of itself.
    bytes_changed.append(bytes([0, 0, 0, 9, 195, 195, 191, 191, 195, 191, 195, 191, 12]))
    return [*changes, *bytes_changed, *cut, *(b"\x03" + each for each in files)]


def check(data: bytes) -> None:
    """Open the file that the bytes describe; it is refused, or it answers."""
    path = _folder() / "case.sqlite"
    _drop(path)
    path.write_bytes(_file_of(data))
    try:
        with open_store(path, wait_s=0.0, create=False) as store:
            assert all(count >= 0 for count in store.counts().values())
            if data[:1] and data[0] & 4:
                _answers(store)
    except BrakelogError as error:
        is_said_shortly(error)
    finally:
        _drop(path)


def _drop(path: Path) -> None:
    for ending in ("", "-journal", "-wal", "-shm"):
        path.with_name(path.name + ending).unlink(missing_ok=True)


def _file_of(data: bytes) -> bytes:
    way, rest = split(data)
    match way & 3:
        case 0:
            number, rest = split(rest)
            content = bytearray(_changed(number % len(_CHANGES)))
        case 1:
            content = bytearray(_real())
        case 2:
            length = len(_real())
            kept, rest = int.from_bytes(rest[:3], "big"), rest[3:]
            content = bytearray(_real()[: kept % length])
        case _:
            return rest
    for at, value in _bytes_changed(rest):
        if content:
            content[at % len(content)] = value
    return bytes(content)


def _bytes_changed(data: bytes) -> Iterator[tuple[int, int]]:
    for start in range(0, min(len(data) - 3, 4 * MOST_BYTES_CHANGED), 4):
        yield int.from_bytes(data[start : start + 3], "big"), data[start + 3]


def _answers(store: Store) -> None:
    """Ask for the rows; what is damaged is said, never handed out."""
    store.shop()
    store.people()
    store.gauges()
    for vehicle in store.vehicles():
        store.visits_of(vehicle.id)
        store.reading_sets_of_vehicle(vehicle.id)
        store.findings_of_vehicle(vehicle.id)
        store.fittings_of_vehicle(vehicle.id)
        store.limits_for(vehicle)
