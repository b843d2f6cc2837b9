"""Everything in the store, written into a folder: one sheet for each table, or one file of JSON."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import shutil
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC
from pathlib import Path
from tempfile import mkdtemp
from typing import TYPE_CHECKING, Any, BinaryIO, TypeAlias

from brakelog import __version__
from brakelog.errors import Conflict, StoreError
from brakelog.store.copying import sync_file, sync_folder
from brakelog.store.raw_rows import WHOLE_STORE, RawRows, columns_of
from brakelog.store.store import Store
from brakelog.store.tables import SCHEMA_NUMBER
from brakelog.workshop.export_cells import to_cell

if TYPE_CHECKING:
    from sqlalchemy import Table

FORMAT = "brakelog.export/1"
MANIFEST = "manifest.json"
ONE_FILE = "export.json"
_Write: TypeAlias = Callable[[RawRows, Mapping[str, Any], Path], int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What was written."""

    folder: Path
    files: int
    rows: int


def export_store(store: Store, folder: Path, *, as_json: bool = False) -> Exported:
    """Write everything in the store into a folder that is new or empty.

    The folder is there whole, or not at all; only its owner may read it.

    Raises
    ------
    Conflict
        Where something is in the folder already.
    StoreError
        Where a row is not as it was written, or nothing can be written there.
    """
    write: _Write = _write_one_file if as_json else _write_sheets
    rows = 0

    def fill(scratch: Path) -> None:
        nonlocal rows
        with store.reading():
            raw = RawRows(store)
            rows = write(raw, _head(store, raw), scratch)

    new_folder(folder, fill)
    return Exported(folder=folder, files=len(list(folder.iterdir())), rows=rows)


def has_learned(store: Store) -> bool:
    """Return whether anything was worked out of the evidence, such as how fast parts wear here."""
    try:
        return bool(store.derived_marks())
    except StoreError:
        return True


def new_folder(folder: Path, fill: Callable[[Path], None]) -> None:
    """Leave a folder under a name that is free, or an empty one: whole, on disk, or not at all.

    Raises
    ------
    Conflict
        Where something is in it already.
    StoreError
        Where it cannot be written.
    """
    place = folder.absolute()
    _need_free(place)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        scratch = Path(mkdtemp(prefix=f".{place.name}.", suffix=".part", dir=place.parent))
    except OSError as error:
        raise _unwritable(folder, error) from error
    try:
        fill(scratch)
        for file in scratch.iterdir():
            sync_file(file)
        sync_folder(scratch)
        _need_free(place)
        with suppress(FileNotFoundError):
            place.rmdir()
        scratch.rename(place)
        sync_folder(place.parent)
    except OSError as error:
        raise _unwritable(folder, error) from error
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _unwritable(folder: Path, error: OSError) -> StoreError:
    return StoreError(f"{folder} cannot be written: {error.strerror}", hint="name another folder")


def _need_free(folder: Path) -> None:
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise Conflict(f"{folder} is there already", hint="name a folder that is new or empty")
    if folder.is_dir() and any(folder.iterdir()):
        raise Conflict(f"{folder} is not empty", hint="name a folder that is new or empty")


def new_file(path: Path) -> BinaryIO:
    """Open a new file that only its owner may read."""
    return os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb")


def _write_sheets(store: RawRows, head: Mapping[str, Any], folder: Path) -> int:
    sheets = [_write_sheet(store, table, folder) for table in WHOLE_STORE]
    document = {**head, "sheets": sheets}
    with new_file(folder / MANIFEST) as stream:
        text = json.dumps(document, ensure_ascii=False, indent=2)
        stream.write(f"{text}\n".encode())
    return sum(int(sheet["rows"]) for sheet in sheets)


def _write_sheet(store: RawRows, table: Table, folder: Path) -> dict[str, Any]:
    path = folder / f"{table.name}.csv"
    names = columns_of(table)
    rows = 0
    with new_file(path) as binary:
        summed = _Summed(binary)
        writer = csv.writer(summed, lineterminator="\r\n")
        writer.writerow(names)
        for row in store.sealed_rows(table):
            writer.writerow([to_cell(row[name]) for name in names])
            rows += 1
        digest = summed.digest.hexdigest()
    return {"table": table.name, "file": path.name, "rows": rows, "sha256": digest}


def _write_one_file(store: RawRows, head: Mapping[str, Any], folder: Path) -> int:
    counts = store.row_counts()
    with new_file(folder / ONE_FILE) as stream:
        for line in _lines(store, {**head, "rows": counts}):
            stream.write(line.encode())
    return sum(counts.values())


def _lines(store: RawRows, head: Mapping[str, Any]) -> Iterable[str]:
    """Yield the document so that each row stands on a line by itself."""
    for name, value in head.items():
        yield f"{'{' if name == 'format' else ','}\n{_json(name)}: {_json(value)}"
    yield ',\n"tables": {'
    for number, table in enumerate(WHOLE_STORE):
        yield f"{',' if number else ''}\n{_json(table.name)}: ["
        for count, row in enumerate(store.sealed_rows(table)):
            yield f"{',' if count else ''}\n{_json(row)}"
        yield "\n]"
    yield "\n}\n}\n"


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _head(store: Store, raw: RawRows) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "program": __version__,
        "schema": SCHEMA_NUMBER,
        "learned": has_learned(store),
        "exported_at": store.now().astimezone(UTC).isoformat(),
        "chains": [
            {"site": end.site, "rows": end.entries, "link": end.link} for end in raw.chain_ends()
        ],
    }


class _Summed:
    """A file whose sum is taken while it is written."""

    def __init__(self, target: BinaryIO) -> None:
        self._target = target
        self.digest = hashlib.sha256()

    def write(self, text: str, /) -> int:
        """Write a text as UTF-8."""
        data = text.encode()
        self.digest.update(data)
        return self._target.write(data)
