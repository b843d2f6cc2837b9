"""Backups of a store, and the way back."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from glob import escape
from pathlib import Path

from brakelog.errors import Conflict, InvalidInput, StoreError, StoreTooNew
from brakelog.store.checking import StoreHealth, check_store
from brakelog.store.copying import copy_into, new_copy, sync_file, sync_folder
from brakelog.store.tables import SCHEMA_NUMBER

KEPT = 7
"""Backups that are kept unless somebody says otherwise: a week of days, assumption."""
UNFINISHED_S = 86_400
"""Age from which an unfinished copy is nobody's any more; assumption: no copy takes a day. [s]"""
_MOMENT = r"(\d{8}T\d{6}Z)(?:-(\d+))?"
"""A second, and which one of that second where there are several."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """A backup that was made."""

    path: Path
    rows: int
    """Rows in it whose seals were looked at. [-]"""
    removed: tuple[Path, ...]
    """Older backups that made room."""


def back_up(path: Path, folder: Path | None = None, *, keep: int = KEPT, now: datetime) -> Backup:
    """Leave a checked copy of a store in a folder, and remove the oldest beyond a number.

    Parameters
    ----------
    path : Path
        The store; others may go on writing.
    folder : Path, optional
        Where backups are kept: ``backups`` beside the store.
    keep : int
        Backups of this store that stay, this one among them; at least 1. [-]
    now : datetime
        What the name of the copy says. [UTC]

    Raises
    ------
    InvalidInput
        Where none would be kept.
    StoreError
        Where the store is missing or damaged, or the copy cannot be written; older backups are
        then untouched.
    """
    if keep < 1:
        raise InvalidInput("at least one backup is kept", hint="--keep 1 or more")
    folder = path.parent / "backups" if folder is None else folder
    _make_folder(folder)
    rows = 0

    def need_sound(copy: Path) -> None:
        # Before it has its name: what bears one has been looked at.
        nonlocal rows
        health = check_store(copy)
        rows = health.rows
        if health.faults:
            raise StoreError(
                f"the store itself is damaged ({health.faults[0]}): no copy of it was kept",
                hint="run brakelog store check; earlier backups are untouched",
            )

    target = _copy_of(path, folder, now, "backup", need_sound)
    _remove_unfinished(path, folder, now)
    removed = backups_of(path, folder)[:-keep]
    for old in removed:
        old.unlink(missing_ok=True)
    sync_folder(folder)
    return Backup(path=target, rows=rows, removed=tuple(removed))


def backups_of(path: Path, folder: Path | None = None) -> list[Path]:
    """Return the backups of a store in a folder, oldest first."""
    folder = path.parent / "backups" if folder is None else folder
    return [each for _, each in sorted(_copies(path, folder, "backup"))]


def _remove_unfinished(path: Path, folder: Path, now: datetime) -> None:
    """Remove what copies that were killed halfway have left: they hold names and readings too."""
    for each in folder.glob(f".{escape(path.name)}.*.part*"):
        with suppress(OSError):
            if now.timestamp() - each.stat().st_mtime > UNFINISHED_S:
                each.unlink()


def restore(path: Path, backup: Path, *, now: datetime) -> tuple[StoreHealth, Path | None]:
    """Put a backup in the place of a store; what was there is kept beside it.

    Returns
    -------
    StoreHealth
        What the backup looks like from inside.
    Path or None
        What was there before; None where nothing was.

    Raises
    ------
    StoreError
        Where the backup is not sound, or something cannot be written: the store is then what it
        was.
    StoreTooNew
        Where a newer program wrote the backup.
    """
    if path.exists() and backup.exists() and path.samefile(backup):
        raise Conflict("that file is the store itself", hint="name a backup")
    health = check_store(backup)
    if health.faults:
        raise StoreError(
            f"{backup} is not sound: {health.faults[0]}",
            hint="nothing was changed; take an older backup",
        )
    if health.schema > SCHEMA_NUMBER:
        raise StoreTooNew(f"{backup} was written by a newer brakelog", hint="update brakelog")
    kept = _keep(path, now) if path.exists() else None
    _make_folder(path.parent)
    try:
        if kept is None:
            new_copy(backup, path)
        else:
            copy_into(backup, path)
            sync_file(path)
    except StoreError as error:
        if kept is None or not _is_damage(error):
            _forget(kept)
            raise
        # What is there is no database any more: no transaction can be had on it.
        try:
            _replace(path, backup, now)
        except StoreError:
            _forget(kept)
            raise
    return health, kept


def _forget(kept: Path | None) -> None:
    """Leave no copy of a store that is still in its place."""
    if kept is not None:
        with suppress(OSError):
            kept.unlink()


def _is_damage(error: StoreError) -> bool:
    """Tell whether it is the store that cannot be read, and not a disk that cannot be written."""
    cause = error.__cause__
    if isinstance(cause, sqlite3.Error):
        code = getattr(cause, "sqlite_errorcode", 0) & 0xFF
        return code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
    return cause is None


def _keep(path: Path, now: datetime) -> Path:
    """Keep what is there, byte for byte where it is no sound store."""
    try:
        return _copy_of(path, path.parent, now, "replaced")
    except StoreError as damage:
        if not _is_damage(damage):
            raise
        target = _free_name(path, path.parent, now, "replaced")
        try:
            shutil.copyfile(path, target)
            target.chmod(0o600)
            sync_file(target)
            sync_folder(target.parent)
        except OSError as error:
            _forget(target)
            raise StoreError(
                f"what is there cannot be kept at {target}: {error.strerror}",
                hint="nothing was changed",
            ) from error
    return target


def _replace(path: Path, backup: Path, now: datetime) -> None:
    scratch = path.with_name(f"{path.name}.{_stamp(now)}.restoring")
    new_copy(backup, scratch)
    try:
        # A journal of the broken file must never be played back into the new one.
        path.with_name(f"{path.name}-journal").unlink(missing_ok=True)
        scratch.replace(path)
        sync_folder(path.parent)
    except OSError as error:
        scratch.unlink(missing_ok=True)
        raise StoreError(
            f"{path} cannot be replaced: {error.strerror}", hint="close other programs"
        ) from error


def _copy_of(
    path: Path,
    folder: Path,
    now: datetime,
    ending: str,
    need_sound: Callable[[Path], None] | None = None,
) -> Path:
    """Leave a copy under the first name of this second that is free."""
    while True:
        target = _free_name(path, folder, now, ending)
        try:
            new_copy(path, target, need_sound)
        except FileExistsError:
            # Another program took the name since it was free.
            continue
        return target


def _free_name(path: Path, folder: Path, now: datetime, ending: str) -> Path:
    """Return the name of a copy that comes after all of its second.

    Not the first that is free: an older copy may have made room, and its name would count as old.
    """
    stamp = _stamp(now)
    taken = [which for (when, which), _ in _copies(path, folder, ending) if when == stamp]
    which = f"-{max(taken) + 1}" if taken else ""
    return folder / f"{path.name}.{stamp}{which}.{ending}"


def _copies(path: Path, folder: Path, ending: str) -> list[tuple[tuple[str, int], Path]]:
    """Return when copies of a store were made, which of that second they are, and their names."""
    mine = re.compile(rf"{re.escape(path.name)}\.{_MOMENT}\.{ending}")
    if not folder.is_dir():
        return []
    return [
        ((match[1], int(match[2] or 1)), each)
        for each in folder.iterdir()
        if (match := mine.fullmatch(each.name))
    ]


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as error:
        raise StoreError(
            f"{folder} cannot be made: {error.strerror}", hint="name another folder"
        ) from error


def _stamp(now: datetime) -> str:
    return now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
