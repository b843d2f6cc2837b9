"""Sheets: CSV files of vehicles, limits, gauges, readings, findings and fittings."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, BinaryIO, Generic, NamedTuple, TextIO, TypeVar, cast

from brakelog.errors import BadSheet, InvalidInput, Problem, clip
from brakelog.intake.cell import clean
from brakelog.intake.cells import Cells
from brakelog.intake.header import Header, read_header
from brakelog.intake.problems import MOST_PROBLEMS, bad_input
from brakelog.intake.row_key import row_key
from brakelog.intake.rows import FORMS, Row, SheetForm

SHEET_KINDS = tuple(FORMS)
_R = TypeVar("_R")
LONGEST_LINE = 100_000
"""Characters of a line. Assumption: no row of ours is longer."""
LONGEST_CELL = 20_000
"""Characters of a cell. Assumption: 500 values need less; a lost closing quote needs more."""
MOST_ROWS = 2_000_000
"""Assumption: ten years of a chain of shops are less. [-]"""
ROWS_COMPARED = 200_000
"""Rows of a sheet that later ones are compared with, lest one is listed twice: some 30 MB. What
comes later is told apart when it is filed: a row that is on file is not added again. [-]"""
MOST_LINES = 2_500_000
"""Lines, blank ones too: a file of line breaks without end is no sheet."""
LARGEST = 500_000_000
"""Characters of a sheet, and bytes of its file. Assumption: twice what so many rows need."""


class RowRead(NamedTuple, Generic[_R]):
    """One filled row of a sheet: what it says, or what is wrong with it."""

    row: _R | None
    key: str
    """Stands for what the row says; empty where it cannot be read."""
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One sheet, every row of which can be read."""

    kind: str
    rows: tuple[Row, ...]


def template(kind: str) -> str:
    """Return the header line of an empty sheet.

    Raises
    ------
    InvalidInput
        Where there is no such kind.

    Examples
    --------
    >>> template("findings")
    'vehicle,date,odometer,corner,finding,part,stage,note,by,fixed\\n'
    """
    if kind not in FORMS:
        raise InvalidInput(f"{kind!r} is not a kind of sheet", hint=", ".join(FORMS))
    return ",".join(FORMS[kind].columns) + "\n"


def read_sheet(
    stream: BinaryIO | TextIO,
    name: str,
    kind: str | None = None,
    *,
    collect: list[Problem] | None = None,
) -> Sheet:
    """Return the rows of a sheet.

    Parameters
    ----------
    stream : BinaryIO or TextIO
        UTF-8 with or without a byte order mark; comma, semicolon or tab between the cells. A
        text stream should be opened with ``newline=""``.
    name : str
        Name of the file, for messages.
    kind : str, optional
        One of ``SHEET_KINDS``; found from the header where not given.
    collect : list of Problem, optional
        Where given, problems of single rows are added to it and the other rows returned, so that
        the caller can report its own together with them.

    Raises
    ------
    BadSheet
        With every problem found, at most ``MOST_PROBLEMS`` of them.
    InvalidInput
        Where it is no sheet at all: empty, no text, a line or cell without end.
    """
    found, rows = read_form(stream, name, kind, FORMS, collect=collect)
    return Sheet(kind=found, rows=rows)


def read_form(
    stream: BinaryIO | TextIO,
    name: str,
    kind: str | None,
    forms: Mapping[str, SheetForm[_R]],
    *,
    collect: list[Problem] | None = None,
    outcome: str = "nothing was imported",
) -> tuple[str, tuple[_R, ...]]:
    """Return the kind and the rows of a sheet of any forms; otherwise as ``read_sheet``.

    Parameters
    ----------
    stream, name, kind, collect
        As for ``read_sheet``.
    forms : mapping of str to SheetForm
        The kinds that the sheet may have.
    outcome : str
        What a sheet with problems leads to, for the message.
    """
    rows: list[_R] = []
    problems: list[Problem] = []
    with open_rows(stream, name, kind, forms, outcome=outcome) as (found, read):
        for each in read:
            problems += each.problems
            if each.row is not None:
                rows.append(each.row)
            if len(problems) >= MOST_PROBLEMS:
                break
    if problems and collect is None:
        raise bad_input(problems, name, outcome)
    if collect is not None:
        collect.extend(problems)
    return found, tuple(rows)


@contextmanager
def open_rows(
    stream: BinaryIO | TextIO,
    name: str,
    kind: str | None,
    forms: Mapping[str, SheetForm[_R]],
    *,
    outcome: str = "nothing was imported",
) -> Iterator[tuple[str, Iterator[RowRead[_R]]]]:
    """Hand out the kind of a sheet and its rows one by one; none stays in memory.

    Parameters
    ----------
    stream, name, kind, forms, outcome
        As for ``read_form``.

    Raises
    ------
    BadSheet
        Where the header has problems, or quotes do not match.
    InvalidInput
        Where it is no sheet at all: empty, no text, too large, a line or cell without end.
    """
    text, wrapper = _as_text(stream)
    try:
        feed = _Feed(text, name)
        header = _header(feed, name, kind, forms, outcome)
        yield header.kind, _rows(feed, header, name, forms[header.kind])
    except UnicodeDecodeError as error:
        raise _not_text(name) from error
    finally:
        if wrapper is not None:
            wrapper.detach()


def _as_text(stream: BinaryIO | TextIO) -> tuple[TextIO, io.TextIOWrapper | None]:
    if isinstance(stream.read(0), str):
        return cast(TextIO, stream), None
    wrapper = io.TextIOWrapper(cast(BinaryIO, stream), encoding="utf-8", newline="")
    return wrapper, wrapper


def _not_text(name: str) -> InvalidInput:
    return InvalidInput(f"{name} is not UTF-8 text", hint="save the sheet as CSV UTF-8")


def too_large(name: str) -> InvalidInput:
    """Return the error for a file that is too large for a sheet."""
    return InvalidInput(
        f"{clip(name)} is too large for a sheet",
        hint=f"split it: at most {LARGEST // 1_000_000} MB and {MOST_ROWS} rows",
    )


class _Feed:
    """Lines for the CSV reader, which refuse what has no end; counts as it goes."""

    def __init__(self, stream: TextIO, name: str) -> None:
        self._stream = stream
        self._name = name
        self.number = 0
        self.size = 0
        self.row_size = 0
        """Characters handed out since the last row was complete."""

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        # No more of a line is read than it takes to see that it is too long.
        text = self._stream.readline(LONGEST_LINE + 2)
        if not text:
            raise StopIteration
        number = self.number = self.number + 1
        if len(text) > LONGEST_LINE and len(text.rstrip("\r\n")) > LONGEST_LINE:
            raise InvalidInput(
                f"{self._name}:{number}: the line has more than {LONGEST_LINE} characters",
                hint="is it a sheet?",
            )
        if number == 1:
            text = text.removeprefix("\ufeff")
        if "\x00" in text or "\ufffd" in text:
            # A zero byte, or the sign that stands for bytes that could not be read.
            raise _not_text(self._name)
        size = len(text)
        self.size += size
        if number > MOST_LINES or self.size > LARGEST:
            raise too_large(self._name)
        self.row_size += size
        if self.row_size > LONGEST_LINE:
            raise InvalidInput(
                f"{self._name}:{number}: a row has more than {LONGEST_LINE} characters",
                hint="a closing quote may be missing above",
            )
        return text


def _header(
    feed: _Feed, name: str, kind: str | None, forms: Mapping[str, SheetForm[_R]], outcome: str
) -> Header:
    first = next((line for line in feed if line.strip(" ,;\t\r\n")), None)
    if first is None:
        raise InvalidInput(f"{name} is empty", hint="the first line names the columns")
    header = read_header(first, f"{name}:{feed.number}", kind, forms)
    if header.problems:
        raise bad_input(list(header.problems), name, outcome)
    return header


def _rows(feed: _Feed, header: Header, name: str, form: SheetForm[_R]) -> Iterator[RowRead[_R]]:
    first_seen: dict[bytes, int] = {}
    count = 0
    read = _reader(header, form)
    for number, texts in _records(feed, header.delimiter, name):
        count += 1
        if count > MOST_ROWS:
            raise too_large(name)
        row, wrong = read(texts, f"{name}:{number}")
        if row is None:
            yield RowRead(row=None, key="", problems=tuple(wrong))
            continue
        key = row_key(header.kind, row)
        earlier = first_seen.get(mark := bytes.fromhex(key))
        if earlier is not None:
            said = f"listed twice, first on line {earlier}"
            wrong = [Problem(source=f"{name}:{number}", message=said)]
            yield RowRead(row=None, key=key, problems=tuple(wrong))
            continue
        if len(first_seen) < ROWS_COMPARED:
            first_seen[mark] = number
        yield RowRead(row, key)
    if not count:
        raise InvalidInput(f"{name} has a header and no rows", hint="fill in a row")


def _records(feed: _Feed, delimiter: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Yield every filled row with the number of its first line."""
    reader = csv.reader(feed, delimiter=delimiter, strict=True)
    while True:
        feed.row_size = 0
        number = feed.number + 1
        try:
            texts = next(reader, None)
        except csv.Error as error:
            raise BadSheet(
                f"{name} cannot be read as a sheet from line {number} on",
                (Problem(source=f"{name}:{number}", message=f"quotes do not match: {error}"),),
                hint="check the quotes in that line",
            ) from error
        if texts is None:
            return
        if any(map(str.strip, texts)):
            yield number, texts


def _reader(
    header: Header, form: SheetForm[_R]
) -> Callable[[list[str], str], tuple[_R | None, Sequence[Problem]]]:
    """Return what reads a row of the sheet: in full, where not most of it was read before."""
    # Only a form whose rows it reads has one.
    known: Any = form.known(header.columns) if form.known else None
    if known is None:
        return lambda texts, source: _read_row(texts, header, source, form)

    def read(texts: list[str], source: str) -> tuple[_R | None, Sequence[Problem]]:
        if (same := known.read(texts, source)) is not None:
            return same, ()
        row, wrong = _read_row(texts, header, source, form)
        if row is not None:
            known.learn(texts, row)
        return row, wrong

    return read


def _read_row(
    texts: list[str], header: Header, source: str, form: SheetForm[_R]
) -> tuple[_R | None, list[Problem]]:
    if max(map(len, texts)) > LONGEST_CELL:
        return None, [
            Problem(source=source, message=f"a cell has more than {LONGEST_CELL} characters")
        ]
    columns = header.columns
    if len(texts) > len(columns) and any(map(str.strip, texts[len(columns) :])):
        message = f"{len(texts)} cells in a row of a sheet with {len(columns)} columns"
        return None, [Problem(source=source, message=message)]
    filled: dict[str, str] = {}
    for column, text in zip(columns, texts, strict=False):
        if body := clean(text):
            filled[column] = body
    if "" in filled:
        return None, [Problem(source=source, message="a cell is filled in a column without a name")]
    cells = Cells(source, filled)
    row = form.read(cells)
    return (None, cells.problems) if cells.problems else (row, [])
