"""The rows of a sheet, some at a time; a long one is read by a process beside this one."""

from __future__ import annotations

import os
import signal
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from io import BufferedReader
from multiprocessing import current_process, get_context, resource_tracker
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, NamedTuple, TextIO, TypeAlias

from brakelog.errors import StoreError
from brakelog.intake.reading_row import BesideSaid, ReadingRow, VisitSaid
from brakelog.intake.rows import FORMS_TO_FILE, Row
from brakelog.intake.sheet import RowRead, open_rows
from brakelog.intake.words import WORDS_KNOWN
from brakelog.workshop.collecting import seldom_collected

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

ROWS_AT_ONCE = 4_000
"""Rows that are filed together. With those that wait to be written, two pages are in memory. [-]"""
VALUES_AT_ONCE = 50_000
"""Values that end a page too, so that one of long profiles is no larger than of usual rows; so
many, and what is made of them, hold some ten megabytes. [-]"""
LONG = 20_000_000
"""Size from which a file is read by another process: some three hundred thousand rows. To start one
costs as much as it saves in some fifty thousand. [bytes]"""

Page: TypeAlias = list[RowRead[Row]]
_FileId: TypeAlias = tuple[int, int]
_Packed: TypeAlias = tuple[str, int, int, str, tuple[str, ...]]
"""A row of readings: where it stands, the places of what it shares, its key and its values."""


@contextmanager
def pages_of(
    stream: BinaryIO | TextIO, name: str, kind: str | None
) -> Iterator[tuple[str, Iterator[Page]]]:
    """Hand out the kind of a sheet and its rows, a page at a time.

    Parameters
    ----------
    stream, name, kind
        As for ``open_rows``.

    Raises
    ------
    BadSheet, InvalidInput
        As ``open_rows`` does.
    StoreError
        Where the process that reads was stopped.
    """
    path = _long_file(stream)
    if path is not None:
        with _read_beside(path, _id_of(stream.fileno()), name, kind) as read:
            if read is not None:
                yield read
                return
    with open_rows(stream, name, kind, FORMS_TO_FILE) as (found, rows):
        yield found, _paged(rows)


def _paged(read: Iterable[RowRead[Row]]) -> Iterator[Page]:
    """Yield the rows of a sheet, a few at a time."""
    page: Page = []
    values = 0
    for each in read:
        page.append(each)
        if isinstance(each.row, ReadingRow):
            values += len(each.row.tokens)
        if len(page) >= ROWS_AT_ONCE or values >= VALUES_AT_ONCE:
            yield page
            page, values = [], 0
    if page:
        yield page


def _long_file(stream: BinaryIO | TextIO) -> Path | None:
    """Return the file behind a stream where another process should read it."""
    # Of a stream of texts nobody knows here how they stand in the file.
    if not isinstance(stream, BufferedReader) or not isinstance(stream.name, (str, Path)):
        return None
    # A process that was started by another one may not start others.
    if (os.cpu_count() or 1) == 1 or current_process().daemon:
        return None
    found = os.fstat(stream.fileno())
    is_long = stat.S_ISREG(found.st_mode) and found.st_size >= LONG
    return Path(stream.name).absolute() if is_long and stream.tell() == 0 else None


def _id_of(number: int) -> _FileId:
    found = os.fstat(number)
    return found.st_dev, found.st_ino


@contextmanager
def _read_beside(
    path: Path, file_id: _FileId, name: str, kind: str | None
) -> Iterator[tuple[str, Iterator[Page]] | None]:
    """Have a file read by another process; None where it has to be read here.

    So it has where no process can be started, or where the file does not go by its name any more.
    """
    # Started afresh: a copy of this process would share its connection to the store.
    context = get_context("spawn")
    try:
        ours, theirs = context.Pipe(duplex=False)
    except OSError:
        yield None
        return
    reader = context.Process(target=_read, args=(theirs, path, file_id, name, kind), daemon=True)
    try:
        found = _received(ours, name) if _is_started(reader, theirs) else None
        yield None if found is None else (str(found), _unpacked(ours, name))
    finally:
        ours.close()
        if reader.pid is not None:
            # It reads, and nothing else: there is nothing that it should still put in order.
            reader.kill()
            reader.join()


def _is_started(reader: BaseProcess, theirs: Connection) -> bool:
    """Start the process; False where the machine has no room for one more."""
    try:
        with _no_interrupt_reaches():
            reader.start()
    except OSError:
        return False
    finally:
        theirs.close()
    return True


@contextmanager
def _no_interrupt_reaches() -> Iterator[None]:
    """Keep an interrupt from the process that is started: this one stops it when it has to."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # The first process of a program has a helper started before it, after which the interpreter
    # lets interrupts through again, whatever was set.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


# In this process


class _Sent(NamedTuple):
    """A page on its way: what rows share goes once, and once for many pages where it comes back."""

    visits: list[VisitSaid]
    forgets: bool
    """Whether what was sent for earlier pages is forgotten."""
    besides: list[BesideSaid]
    """What comes on top of what was sent before."""
    rows: list[_Packed | RowRead[Row]]


def _unpacked(ours: Connection, name: str) -> Iterator[Page]:
    besides: list[BesideSaid] = []
    while (sent := _received(ours, name)) is not None:
        assert isinstance(sent, _Sent)
        if sent.forgets:
            besides.clear()
        besides += sent.besides
        visits = sent.visits
        page: Page = []
        for each in sent.rows:
            if isinstance(each, RowRead):
                page.append(each)
                continue
            source, visit, beside, key, tokens = each
            row = ReadingRow(
                source=source, visit=visits[visit], beside=besides[beside], tokens=tokens
            )
            page.append(RowRead(row, key))
        yield page


def _received(ours: Connection, name: str) -> object:
    """Return the next thing that was sent, and raise it where it is an error."""
    try:
        found: object = ours.recv()
    except (EOFError, OSError):
        # The end of what was sent, or the middle of it.
        raise StoreError(
            f"{name} was not read to its end: the process that read it was stopped",
            hint="import it again; nothing of it was put on file",
        ) from None
    if isinstance(found, Exception):
        raise found
    return found


# In the process beside it


def _read(theirs: Connection, path: Path, file_id: _FileId, name: str, kind: str | None) -> None:
    """Read a file and send what it says: its kind, its pages, and nothing at the end."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Whoever wanted the rows may be gone.
    with suppress(BrokenPipeError):
        try:
            _send_pages(theirs, path, file_id, name, kind)
            theirs.send(None)
        except BrokenPipeError:
            raise
        except Exception as error:
            theirs.send(error)


def _send_pages(
    theirs: Connection, path: Path, file_id: _FileId, name: str, kind: str | None
) -> None:
    try:
        stream = path.open("rb")
        is_same = _id_of(stream.fileno()) == file_id
    except OSError:
        return
    with stream:
        if not is_same:
            return
        with seldom_collected(), open_rows(stream, name, kind, FORMS_TO_FILE) as (found, rows):
            theirs.send(found)
            packing = _Packing()
            for page in _paged(rows):
                theirs.send(packing.packed(page))


class _Packing:
    """Makes pages ready to be sent."""

    def __init__(self) -> None:
        self._besides: dict[BesideSaid, int] = {}

    def packed(self, page: Page) -> _Sent:
        """Return a page as it is sent."""
        forgets = len(self._besides) >= WORDS_KNOWN
        if forgets:
            self._besides.clear()
        known = len(self._besides)
        visits: dict[VisitSaid, int] = {}
        rows: list[_Packed | RowRead[Row]] = []
        for each in page:
            row = each.row
            if not isinstance(row, ReadingRow):
                rows.append(each)
                continue
            visit = visits.setdefault(row.visit, len(visits))
            beside = self._besides.setdefault(row.beside, len(self._besides))
            rows.append((row.source, visit, beside, each.key, row.tokens))
        return _Sent([*visits], forgets, [*self._besides][known:], rows)
