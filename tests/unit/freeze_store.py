"""Writes the frozen store of the newest schema; run once, when a schema is new, and never again.

``python tests/unit/freeze_store.py`` refuses to write over a dump that is there.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

from brakelog.store.opening import open_store
from brakelog.store.tables import APPLICATION_ID, SCHEMA_HEAD, SCHEMA_NUMBER
from tests.unit.store_examples import counted_ids, fill, ticking_clock

DUMPS = Path(__file__).resolve().parents[2] / "fixtures" / "schema"


def dump_of(path: Path) -> str:
    """Return a store as statements that make the same one again."""
    head = (
        f"-- A store of revision {SCHEMA_HEAD} with a row in every table, as released. "
        "Never change it:\n-- later programs must be able to upgrade it.\n"
        f"PRAGMA application_id = {APPLICATION_ID};\nPRAGMA user_version = {SCHEMA_NUMBER};\n"
    )
    with closing(sqlite3.connect(path)) as raw:
        return head + "\n".join(raw.iterdump()) + "\n"


def main() -> None:
    """Write the dump."""
    target = DUMPS / f"{SCHEMA_HEAD}.sql"
    if target.exists():
        sys.exit(f"{target.name} is there already: a frozen store is never changed")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "store.sqlite"
        with open_store(path, clock=ticking_clock(), new_id=counted_ids()) as store:
            fill(store)
        target.write_text(dump_of(path), encoding="utf-8")


if __name__ == "__main__":
    main()
