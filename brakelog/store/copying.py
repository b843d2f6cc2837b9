"""Whole copies of a file that may be in use: consistent, checked, and on disk."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path
from urllib.parse import quote

from brakelog.errors import StoreError

_WAIT_MS = 30_000
"""How long to wait for another program's transaction. [ms]"""


def copy_into(source: Path, target: Path) -> None:
    """Write a copy of a store over a file, in one transaction of the target.

    The copy is one moment of the source, whoever writes to it meanwhile. Where this is stopped
    halfway the target is what it was.

    Raises
    ------
    StoreError
        Where either cannot be read or written, or the target is in use for too long.
    """
    # Not read-only: what a program that was killed has left half done is rolled back first.
    address = f"file:{quote(str(source.resolve()))}?mode=rw"
    try:
        with (
            closing(sqlite3.connect(address, uri=True, timeout=_WAIT_MS / 1000)) as reader,
            closing(sqlite3.connect(target, isolation_level=None)) as writer,
        ):
            writer.execute(f"PRAGMA busy_timeout = {_WAIT_MS}")
            writer.execute("PRAGMA synchronous = FULL")
            writer.execute("PRAGMA fullfsync = ON")
            writer.execute("PRAGMA journal_mode = TRUNCATE")
            # The copying itself would wait for another program without end.
            writer.execute("BEGIN IMMEDIATE")
            writer.execute("ROLLBACK")
            reader.backup(writer)
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise StoreError(
            f"{source} cannot be copied to {target}: {error}",
            hint="check the disk and its free space, and close other programs",
        ) from error


def new_copy(source: Path, target: Path, need_sound: Callable[[Path], None] | None = None) -> None:
    """Leave a copy under a name that is free, or nothing: checked, readable by the owner only.

    Parameters
    ----------
    source : Path
        The store.
    target : Path
        The name of the copy.
    need_sound : callable, optional
        Raises ``StoreError`` where the copy is not fit to have its name; without it the pages and
        references are looked at.

    Raises
    ------
    StoreError
        Where it cannot be written, or is not sound.
    FileExistsError
        Where the name is taken.
    """
    if target.exists():
        raise FileExistsError(target)
    scratch = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        os.close(os.open(scratch, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        copy_into(source, scratch)
        (need_sound or _need_sound)(scratch)
        sync_file(scratch)
        # A link, not a renaming: it never takes the place of another file.
        _name(scratch, target)
        sync_folder(target.parent)
    except FileExistsError:
        raise
    except OSError as error:
        raise StoreError(
            f"no copy can be written to {target}: {error.strerror}", hint="name another folder"
        ) from error
    finally:
        for left in (scratch, scratch.with_name(f"{scratch.name}-journal")):
            with suppress(OSError):
                left.unlink()


def _name(scratch: Path, target: Path) -> None:
    try:
        os.link(scratch, target)
    except (OSError, NotImplementedError) as error:
        if isinstance(error, FileExistsError):
            raise
        # Some file systems have no links; there nobody else makes a file of this name meanwhile.
        scratch.replace(target)


def _need_sound(path: Path) -> None:
    try:
        with closing(sqlite3.connect(path)) as copy:
            said = [text for (text,) in copy.execute("PRAGMA quick_check(1)")]
            if said == ["ok"]:
                stray = copy.execute("PRAGMA foreign_key_check").fetchone()
                if stray is not None:
                    said = [f"{stray[0]} points at a row that is not there"]
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        said = [" ".join(str(error).split())]
    if said != ["ok"]:
        raise StoreError(
            f"the store itself is damaged ({said[0]}): no copy of it was kept",
            hint="run brakelog store check; earlier backups are untouched",
        )


def sync_file(path: Path) -> None:
    """Make what was written to a file survive a power cut."""
    with path.open("rb+") as written:
        os.fsync(written.fileno())


def sync_folder(folder: Path) -> None:
    """Make the names in a folder survive a power cut, where the system lets a folder be synced."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
