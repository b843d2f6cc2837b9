"""Open the store, make it where there is none, and refuse what is not one."""

from __future__ import annotations

import enum
import os
import sqlite3
import stat
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from brakelog.errors import BrakelogError, StoreError, StoreOutdated, StoreTooNew, clip
from brakelog.store.address import Address, ServerAddress
from brakelog.store.connection import WAIT_S, make_engine
from brakelog.store.copying import sync_folder
from brakelog.store.faults import in_short, translate
from brakelog.store.migrating import migrate
from brakelog.store.store import Store
from brakelog.store.tables import APPLICATION_ID, SCHEMA_NUMBER, metadata
from brakelog.store.triggers import TRIGGERS

_SMALLEST_PAGE = 512
"""No database is smaller (SQLite file format, section 1.3.2). [bytes]"""


class _State(enum.Enum):
    EMPTY = "empty"
    FOREIGN = "another program's"
    OLDER = "older"
    HEAD = "as wanted"
    NEWER = "newer"


def _now() -> datetime:
    return datetime.now(UTC)


class _Ids:
    """Makes random UUIDs (RFC 9562, version 4) in hexadecimal, whose first bits count up.

    Those made one after another stand one behind another in an index, from one end of it to the
    other, so that an import goes through its pages in their order. With ids that are random from
    the first bit on each row goes to another page. Nobody needs them to be hard to guess.
    """

    def __init__(self) -> None:
        self._place = int.from_bytes(os.urandom(4), "big")

    def __call__(self) -> str:
        self._place += 1
        place = self._place & _PLACES - 1
        number = place << _BITS_BEHIND | int.from_bytes(os.urandom(16), "big") >> _PLACE_BITS
        return f"{number & ~_UUID_MARKS | _UUID_RANDOM:032x}"


_PLACE_BITS = 18
"""Bits that count: after a quarter of a million ids it is gone through an index once. [-]"""
_PLACES, _BITS_BEHIND = 1 << _PLACE_BITS, 128 - _PLACE_BITS
_UUID_MARKS = 0xF << 76 | 0x3 << 62
"""The bits of a UUID that say its version and its variant (RFC 9562, section 4)."""
_UUID_RANDOM = 0x4 << 76 | 0x2 << 62
"""The same of one that is random."""
_new_id = _Ids()


def open_store(
    path: Address,
    *,
    wait_s: float = WAIT_S,
    create: bool = True,
    clock: Callable[[], datetime] = _now,
    new_id: Callable[[], str] = _new_id,
) -> Store:
    """Open the store at an address; a missing or empty file or site becomes a new store.

    Parameters
    ----------
    path : Path or ServerAddress
        The file, or the site on a server.
    wait_s : float
        How long to wait for another program. [s]
    create : bool
        False to refuse a file or a site that is not there.
    clock : callable
        Gives the time that rows are recorded at. [UTC]
    new_id : callable
        Gives a new global id at every call.

    Raises
    ------
    StoreError
        Where it cannot be opened or made, is not a store, or is damaged.
    StoreOutdated, StoreTooNew
        Where another version of the program wrote it.
    """
    if isinstance(path, ServerAddress):
        from brakelog.store.postgres_opening import open_server

        return open_server(path, wait_s=wait_s, create=create, clock=clock, new_id=new_id)
    if not _has_content(path):
        if not create:
            raise _not_there(path)
        _make(path, wait_s)
    engine = make_engine(path, wait_s=wait_s)
    try:
        connection = engine.connect()
        try:
            state = _look(connection, path)
            if state is _State.EMPTY and create:
                _make(path, wait_s)
                state = _look(connection, path)
            _refuse(state, path)
        except BaseException:
            connection.close()
            raise
    except (DBAPIError, sqlite3.Error, UnicodeDecodeError) as error:
        raise _at_open(error, path) from error
    return Store(path, connection, clock=clock, new_id=new_id)


def upgrade_store(path: Path, *, wait_s: float = WAIT_S) -> Path | None:
    """Bring an older store to the newest schema; a copy is left beside it first.

    Returns
    -------
    Path or None
        The copy; None where there was nothing to do.

    Raises
    ------
    StoreError
        Where it cannot be done; the store is then as it was.
    """
    if not _has_content(path):
        raise _not_there(path)

    def is_older(connection: Connection) -> bool:
        state = _state_of(connection)
        if state in (_State.HEAD, _State.OLDER):
            return state is _State.OLDER
        _refuse(state, path)
        return False

    try:
        return migrate(path, is_older, wait_s=wait_s, back_up=True)
    except StoreError as error:
        cause = error.__cause__
        if isinstance(cause, (DBAPIError, sqlite3.Error)):
            raise _at_open(cause, path) from cause
        raise


def store_exists(address: Address, *, wait_s: float = WAIT_S) -> bool:
    """Tell whether there is a store, or what is taken for one, without making it.

    Raises
    ------
    StoreError
        Where a server cannot be asked.
    """
    if isinstance(address, ServerAddress):
        from brakelog.store.postgres_opening import server_has

        return server_has(address, wait_s=wait_s)
    return address.exists()


def _has_content(path: Path) -> bool:
    try:
        if path.is_dir():
            raise StoreError(f"{path} is a folder", hint="name a file with --store")
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise StoreError(f"{path} is no file", hint="name a file with --store")
        size = found.st_size
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        raise StoreError(
            f"{path} cannot be opened: {error.strerror}", hint="check who may read it"
        ) from error
    if 0 < size < _SMALLEST_PAGE:
        # SQLite takes a file of one byte for an empty one and would write over it.
        raise StoreError(f"{path} is not a brakelog store", hint="name another file with --store")
    return size > 0


def _make(path: Path, wait_s: float) -> None:
    """Make a new store; safe where several programs do it at once, or one was stopped halfway."""
    try:
        made = [folder for folder in path.absolute().parents if not folder.exists()]
        path.absolute().parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        for folder in (path.absolute().parent, *(folder.parent for folder in made)):
            sync_folder(folder)
    except OSError as error:
        raise StoreError(
            f"no store can be made at {path}: {error.strerror}",
            hint="name another file with --store",
        ) from error

    def is_empty(connection: Connection) -> bool:
        return _state_of(connection) is _State.EMPTY

    migrate(path, is_empty, wait_s=wait_s, back_up=False)


def _look(connection: Connection, path: Path) -> _State:
    """Look at header and list of tables in one read, or another program's commit falls between."""
    driver = connection.connection
    driver.cursor().execute("BEGIN")
    try:
        state = _state_of(connection)
        if state is _State.HEAD:
            _look_for_missing(connection)
            _look_for_end(connection, path)
        return state
    finally:
        driver.rollback()


def _state_of(connection: Connection) -> _State:
    """Look at the header alone, and at the list of tables where it is blank."""
    cursor = connection.connection.cursor()
    try:
        application = cursor.execute("PRAGMA application_id").fetchone()[0]
        number = cursor.execute("PRAGMA user_version").fetchone()[0]
        if application == 0 and number == 0:
            some = cursor.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchone()
            return _State.FOREIGN if some else _State.EMPTY
    finally:
        cursor.close()
    if application != APPLICATION_ID:
        return _State.FOREIGN
    if number == SCHEMA_NUMBER:
        return _State.HEAD
    return _State.OLDER if number < SCHEMA_NUMBER else _State.NEWER


def _not_there(path: Path) -> StoreError:
    return StoreError(
        f"there is no store at {path}",
        hint="name another file with --store; one is made when something is put on file",
    )


def _refuse(state: _State, path: Path) -> None:
    if state is _State.EMPTY:
        raise _not_there(path)
    if state is _State.FOREIGN:
        raise StoreError(
            f"{path} is not a brakelog store: it belongs to another program",
            hint="name another file with --store",
        )
    if state is _State.OLDER:
        raise StoreOutdated(
            f"{path} was written by an older brakelog", hint="brakelog store upgrade"
        )
    if state is _State.NEWER:
        raise StoreTooNew(f"{path} was written by a newer brakelog", hint="update brakelog")


_EXPECTED = frozenset(
    [("table", name) for name in (*metadata.tables, "alembic_version")]
    + [("trigger", name) for name in TRIGGERS]
)


def _look_for_missing(connection: Connection) -> None:
    cursor = connection.connection.cursor()
    try:
        statements = {
            (kind, name): sql
            for kind, name, sql in cursor.execute(
                "SELECT type, name, sql FROM sqlite_schema"
                " WHERE type IN ('table', 'trigger', 'view')"
            )
        }
    finally:
        cursor.close()
    missing = sorted(_EXPECTED - statements.keys())
    if missing:
        kind, name = missing[0]
        more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
        raise StoreError(
            f"the store is damaged: missing {kind} {name}{more}",
            hint="run brakelog store check; restore a backup",
        )
    for (kind, name), sql in statements.items():
        # Another trigger runs whenever a row is written, and a view takes part in it.
        if kind == "view" or (kind == "trigger" and sql != TRIGGERS.get(name)):
            raise StoreError(
                f"the store was changed by another program: {kind} {clip(str(name))}",
                hint="run brakelog store check; restore a backup",
            )


def _look_for_end(connection: Connection, path: Path) -> None:
    """SQLite itself takes a last page that is cut short for a whole one."""
    cursor = connection.connection.cursor()
    try:
        pages = cursor.execute("PRAGMA page_count").fetchone()[0]
        page_size = cursor.execute("PRAGMA page_size").fetchone()[0]
        journal = cursor.execute("PRAGMA journal_mode").fetchone()[0]
    finally:
        cursor.close()
    # Where another program has turned the write-ahead journal on, the last pages may be in there.
    if journal != "wal" and path.stat().st_size < pages * page_size:
        raise StoreError(
            f"{path} is damaged: its end is missing",
            hint="run brakelog store check; restore a backup",
        )


def _at_open(error: BaseException, path: Path) -> BrakelogError:
    """Return the error with the path in it; what has no header was never a store."""
    cause = getattr(error, "orig", error)
    code = getattr(cause, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_NOTADB:
        return StoreError(f"{path} is not a brakelog store", hint="name another file with --store")
    if code == sqlite3.SQLITE_CORRUPT:
        return StoreError(
            f"{path} is damaged: {in_short(cause)}",
            hint="run brakelog store check; restore a backup",
        )
    return translate(error)
