"""A whole store put down somewhere else, every row as it stands; an export put on file."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from brakelog.errors import Conflict
from brakelog.store.address import Address
from brakelog.store.filling import Filling
from brakelog.store.merge_plan import Merged, Settled
from brakelog.store.merging import Merging
from brakelog.store.opening import open_store, store_exists
from brakelog.store.raw_rows import WHOLE_STORE, RawRows
from brakelog.store.store import Store
from brakelog.workshop.export_reading import Export, open_export, rows_of
from brakelog.workshop.exporting import has_learned


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What became of an export."""

    rows: int
    """Rows that were added. [-]"""
    merged: Merged | None
    """None where the store was empty and now is the one that was exported."""


def move_store(source: Store, target: Address, *, wait_s: float) -> int:
    """Put a whole store down in an empty one; return the number of its rows.

    The source stays as it is. The target gets an event that says where its rows are from. What
    the source had learned of wear is learned again, so that verdicts stay the same.

    Raises
    ------
    Conflict
        Where the target is the source, or is not empty.
    StoreError
        Where a row is not as it was written, or the target cannot be written.
    """
    need_another(source, target)
    is_new = not store_exists(target, wait_s=wait_s)
    came_from = "a file" if isinstance(source.path, Path) else "a server"
    try:
        with source.reading(), open_store(target, wait_s=wait_s) as store, store.writing():
            whole = RawRows(source)
            rows = Filling(store).fill(whole.sealed_rows, whole.chain_ends())
            store.note_event("moved", "", f"{rows} rows from {came_from}")
            learned = has_learned(source)
    except BaseException:
        if is_new and isinstance(target, Path):
            with suppress(OSError):
                target.unlink()
        raise
    if learned:
        with open_store(target, wait_s=wait_s) as store:
            _learn(store)
    return rows


def merge_store(
    store: Store, other: Address, *, wait_s: float, is_dry: bool, settled: Settled
) -> Merged:
    """Add what another store has and this one has not; see ``Merging.merge``.

    Raises
    ------
    Conflict
        Where the other store is this one, or cannot be merged.
    StoreError
        Where either store is damaged, or the other one is not there.
    """
    need_another(store, other)
    with open_store(other, wait_s=wait_s, create=False) as source:
        return Merging(store).merge(RawRows(source), is_dry=is_dry, settled=settled)


def take_in(store: Store, folder: Path, *, is_dry: bool, settled: Settled) -> TakenIn:
    """Put an export on file: into an empty store as it was, into another by merging.

    Raises
    ------
    BadSheet, InvalidInput, NotFound
        Where no export lies in the folder, or it is not as it was written.
    Conflict
        Where it cannot be merged.
    """
    export = open_export(folder)
    if RawRows(store).is_blank():
        if is_dry:
            return TakenIn(rows=_count(export), merged=None)
        rows = _fill(store, export)
        if export.learned:
            _learn(store)
        return TakenIn(rows=rows, merged=None)
    # Merging looks rows up by their ids, which sheets cannot; nobody else may read the scratch.
    with (
        TemporaryDirectory(prefix="brakelog-") as scratch,
        open_store(Path(scratch) / "export.sqlite") as other,
    ):
        _fill(other, export)
        merged = Merging(store).merge(RawRows(other), is_dry=is_dry, settled=settled)
    return TakenIn(rows=merged.rows, merged=merged)


def need_another(store: Store, other: Address) -> None:
    """Do nothing where an address is not that of a store itself.

    Raises
    ------
    Conflict
        Where it is.
    """
    mine = store.path
    if isinstance(mine, Path) and isinstance(other, Path):
        is_same = other.exists() and mine.samefile(other)
    else:
        is_same = str(mine) == str(other)
    if is_same:
        raise Conflict("that is the store itself", hint="name another one")


def _fill(store: Store, export: Export) -> int:
    with store.writing():
        return Filling(store).fill(lambda table: rows_of(export, table), export.chains)


def _learn(store: Store) -> None:
    """Work out part lives, experience and outlook of a store that has none of them yet."""
    from brakelog.workshop.fleet import refresh

    refresh(store, lambda what, done, total: None)


def _count(export: Export) -> int:
    return sum(1 for table in WHOLE_STORE for _ in export.rows(table))
