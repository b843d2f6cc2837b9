"""What was exported, read again: every row is looked at before any of them is used."""

from __future__ import annotations

import csv
import hashlib
import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from brakelog.errors import BadSheet, InvalidInput, NotFound, Problem, StoreError
from brakelog.store.auditing import ChainEnd
from brakelog.store.raw_rows import (
    WHOLE_STORE,
    Chains,
    RawRow,
    called,
    columns_of,
    fault_of,
    number_columns,
)
from brakelog.store.tables import EVIDENCE, SAME_TABLES_SINCE, SCHEMA_NUMBER
from brakelog.workshop.export_cells import from_cell
from brakelog.workshop.exporting import FORMAT, MANIFEST, ONE_FILE

if TYPE_CHECKING:
    from sqlalchemy import Table

MOST_PROBLEMS = 50
"""Rows that are named; after them nobody reads on."""
_AS_WRITTEN = "take the export as it was written, or make a new one"


class _Bad(Exception):
    """One thing that is wrong, and where."""

    def __init__(self, source: str, message: str) -> None:
        super().__init__(message)
        self.problem = Problem(source=source, message=message)


class Export(Protocol):
    """An export that lies in a folder."""

    @property
    def chains(self) -> tuple[ChainEnd, ...]:
        """Where the chains ended."""

    @property
    def learned(self) -> bool:
        """Whether the store had worked out anything of its evidence."""

    def rows(self, table: Table) -> Iterator[tuple[str, RawRow]]:
        """Yield where a row stands, and the row."""

    def fault(self, table: Table, count: int) -> str:
        """Return what is wrong with a table of which so many rows were read."""


def is_export(path: Path) -> bool:
    """Return whether a folder holds an export."""
    return path.is_dir() and any((path / name).is_file() for name in (MANIFEST, ONE_FILE))


def open_export(folder: Path) -> Export:
    """Return what lies in a folder, once every row of it has proved to be as it was written.

    Raises
    ------
    NotFound
        Where no export lies there.
    BadSheet
        With every row that is not as it was written.
    InvalidInput
        Where it was written by another version, or its list of contents is wrong.
    """
    if not is_export(folder):
        raise NotFound(
            f"no export lies in {folder}: neither {MANIFEST} nor {ONE_FILE} is there",
            hint="brakelog export DIR writes one",
        )
    try:
        export: Export = (
            _sheets(folder) if (folder / MANIFEST).is_file() else _one_file(folder / ONE_FILE)
        )
        _check(export, folder)
    except OSError as error:
        raise StoreError(f"{folder} cannot be read: {error.strerror}") from error
    return export


def rows_of(export: Export, table: Table) -> Iterator[RawRow]:
    """Yield the rows of a table.

    Raises
    ------
    InvalidInput
        Where the export has changed since it was opened.
    """
    try:
        for _, row in export.rows(table):
            yield row
    except _Bad as bad:
        raise InvalidInput(str(bad.problem), hint=_AS_WRITTEN) from bad


def _check(export: Export, folder: Path) -> None:
    problems: list[Problem] = []
    chains = Chains()
    for table in WHOLE_STORE:
        before, count = len(problems), 0
        try:
            for source, row in export.rows(table):
                count += 1
                if fault := fault_of(table, row):
                    problems.append(Problem(source=source, message=f"{called(table, row)} {fault}"))
                elif table in EVIDENCE:
                    chains.add(row)
        except _Bad as bad:
            problems.append(bad.problem)
        if len(problems) == before and (said := export.fault(table, count)):
            problems.append(Problem(source=table.name, message=said))
        if len(problems) > MOST_PROBLEMS:
            break
    if not problems and set(chains.ends()) != set(export.chains):
        problems.append(
            Problem(source=folder.name, message="the chains do not end where they ended")
        )
    if problems:
        raise BadSheet(
            f"{folder} is not as it was written: nothing was imported",
            tuple(problems),
            hint=_AS_WRITTEN,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sheets:
    """One sheet for each table."""

    folder: Path
    chains: tuple[ChainEnd, ...]
    learned: bool
    listed: Mapping[str, tuple[int, str]]

    def rows(self, table: Table) -> Iterator[tuple[str, RawRow]]:
        name = f"{table.name}.csv"
        columns, numbers = columns_of(table), number_columns(table)
        with (self.folder / name).open(encoding="utf-8", newline="") as stream, _any_length():
            reader = csv.reader(stream, strict=True)
            line = 1
            try:
                if tuple(next(reader, ())) != columns:
                    raise _Bad(f"{name}:1", f"the header is not {','.join(columns)}")
                line = reader.line_num + 1
                for cells in reader:
                    if len(cells) != len(columns):
                        raise _Bad(f"{name}:{line}", f"{len(cells)} cells, not {len(columns)}")
                    row = {
                        column: from_cell(cell, is_number=column in numbers)
                        for column, cell in zip(columns, cells, strict=True)
                    }
                    yield f"{name}:{line}", row
                    line = reader.line_num + 1
            except (csv.Error, UnicodeDecodeError, InvalidInput) as error:
                raise _Bad(f"{name}:{line}", str(error)) from error

    def fault(self, table: Table, count: int) -> str:
        rows, wanted = self.listed[table.name]
        if count != rows:
            return f"{count} rows, where {rows} were written"
        with (self.folder / f"{table.name}.csv").open("rb") as stream:
            digest = hashlib.file_digest(stream, "sha256").hexdigest()
        return "" if digest == wanted else "the sheet is not the one that was written"


@dataclass(frozen=True, slots=True, kw_only=True)
class _OneFile:
    """One file, each row on a line by itself."""

    path: Path
    chains: tuple[ChainEnd, ...]
    learned: bool
    listed: Mapping[str, int]
    first: Mapping[str, int]
    """By table, the place in the file where its rows begin. [bytes]"""

    def rows(self, table: Table) -> Iterator[tuple[str, RawRow]]:
        columns = set(columns_of(table))
        with self.path.open("rb") as stream:
            stream.seek(self.first[table.name])
            for number, line in enumerate(stream, 1):
                if line.startswith(b"]"):
                    return
                source = f"{table.name}, row {number} of {self.path.name}"
                row = _object(line, source)
                if row.keys() != columns:
                    raise _Bad(source, "its keys are not the columns of the table")
                yield source, row
        raise _Bad(table.name, "its end is missing")

    def fault(self, table: Table, count: int) -> str:
        wanted = self.listed[table.name]
        return "" if count == wanted else f"{count} rows, where {wanted} were written"


def _object(line: bytes, source: str) -> RawRow:
    try:
        row = json.loads(line.strip().removesuffix(b","))
    except (ValueError, RecursionError) as error:
        raise _Bad(source, f"no row stands on the line: {error}") from error
    if not isinstance(row, dict):
        raise _Bad(source, "no row stands on the line")
    return row


def _sheets(folder: Path) -> _Sheets:
    head = _read_head((folder / MANIFEST).read_bytes(), MANIFEST)
    try:
        listed = {
            str(each["table"]): (int(each["rows"]), str(each["sha256"])) for each in head["sheets"]
        }
    except (LookupError, TypeError, ValueError) as error:
        raise _no_manifest(MANIFEST) from error
    _need_tables(listed, MANIFEST)
    for name in listed:
        if not (folder / f"{name}.csv").is_file():
            raise InvalidInput(f"{name}.csv is missing in {folder}", hint=_AS_WRITTEN)
    return _Sheets(
        folder=folder,
        chains=_chains(head, MANIFEST),
        learned=head.get("learned") is True,
        listed=listed,
    )


def _one_file(path: Path) -> _OneFile:
    """Find where the rows of each table begin; they are not read yet."""
    head: list[bytes] = []
    first: dict[str, int] = {}
    is_head = True
    with path.open("rb") as stream:
        place = 0
        for line in stream:
            place += len(line)
            if is_head and line == b'"tables": {\n':
                is_head = False
            elif is_head:
                head.append(line)
            elif line.endswith(b'": [\n'):
                first[line[1:-5].decode("ascii", "replace")] = place
    if is_head:
        raise _no_manifest(path.name)
    document = _read_head(b"".join(head).rstrip().removesuffix(b",") + b"}", path.name)
    try:
        listed = {str(name): int(count) for name, count in document["rows"].items()}
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        raise _no_manifest(path.name) from error
    _need_tables(listed, path.name)
    _need_tables(first, path.name)
    return _OneFile(
        path=path,
        chains=_chains(document, path.name),
        learned=document.get("learned") is True,
        listed=listed,
        first=first,
    )


def _read_head(data: bytes, name: str) -> dict[str, Any]:
    try:
        head = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise _no_manifest(name) from error
    if not isinstance(head, dict) or head.get("format") != FORMAT:
        raise _no_manifest(name)
    if head.get("schema") not in range(SAME_TABLES_SINCE, SCHEMA_NUMBER + 1):
        raise InvalidInput(
            f"the export was written for schema {head.get('schema')!r}, and this program's is"
            f" {SCHEMA_NUMBER}",
            hint="import it with the brakelog that wrote it; then brakelog store upgrade",
        )
    return head


def _chains(head: Mapping[str, Any], name: str) -> tuple[ChainEnd, ...]:
    try:
        return tuple(
            ChainEnd(site=str(each["site"]), entries=int(each["rows"]), link=str(each["link"]))
            for each in head["chains"]
        )
    except (LookupError, TypeError, ValueError) as error:
        raise _no_manifest(name) from error


def _need_tables(found: Mapping[str, Any], name: str) -> None:
    if found.keys() != {table.name for table in WHOLE_STORE}:
        raise InvalidInput(
            f"{name} does not list the tables of a store, each once", hint=_AS_WRITTEN
        )


def _no_manifest(name: str) -> InvalidInput:
    return InvalidInput(f"{name} is no {FORMAT} as it was written", hint=_AS_WRITTEN)


@contextmanager
def _any_length() -> Iterator[None]:
    """Let cells be as long as they are; the usual limit is for sheets that people typed."""
    before = csv.field_size_limit(min(sys.maxsize, 2**31 - 1))
    try:
        yield
    finally:
        csv.field_size_limit(before)
