"""The keys of imported rows are tallied, and what each gauge read twice.

No table changes. A store is of a new number all the same: an older program would add rows without
their tallies, and the store would look damaged. What is there is tallied as it stands.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

SCHEMA_NUMBER = 5
IMPORTED = "import_keys"
REPEATS = "repeats"
ROWS_AT_ONCE = 1_000


def upgrade() -> None:
    tally(IMPORTED, imported())
    tally(REPEATS, repeated())
    if op.get_bind().dialect.name == "sqlite":
        op.execute(f"PRAGMA user_version = {SCHEMA_NUMBER}")


def imported() -> Iterator[tuple[str, str]]:
    """Yield the kind of sheet and the seal of every key: there is no column to keep one in."""
    for key, kind, target in rows_of("SELECT key, kind, target_id FROM import_keys"):
        parts = [IMPORTED, "key", key, "kind", kind, "target_id", target]
        text = json.dumps(parts, ensure_ascii=False, separators=(",", ":"))
        yield kind, hashlib.sha256(text.encode()).hexdigest()


def repeated() -> Iterator[tuple[str, str]]:
    """Yield gauge and time, and the seal, of every set whose first point was read twice."""
    asked = (
        "SELECT gauge_id, recorded_at, checksum FROM reading_sets"
        " WHERE again_nm IS NOT NULL AND gauge_id IS NOT NULL"
    )
    for gauge, recorded_at, checksum in rows_of(asked):
        yield f"{gauge} {recorded_at}", checksum


def rows_of(asked: str) -> Iterator[tuple[str, ...]]:
    rows = op.get_bind().exec_driver_sql(asked)
    while page := rows.fetchmany(ROWS_AT_ONCE):
        for row in page:
            yield tuple(row)


def tally(kind: str, rows: Iterable[tuple[str, str]]) -> None:
    tallies: dict[str, tuple[int, int]] = defaultdict(lambda: (0, 0))
    for owner, checksum in rows:
        entries, total = tallies[owner]
        tallies[owner] = (entries + 1, (total + number(checksum)) % (1 << 256))
    names = ("kind", "owner", "entries", "total")
    listed = [
        {"kind": kind, "owner": owner, "entries": entries, "total": f"{total:064x}"}
        for owner, (entries, total) in tallies.items()
    ]
    table = sa.table("row_tallies", *(sa.column(name) for name in names))
    for start in range(0, len(listed), ROWS_AT_ONCE):
        op.bulk_insert(table, listed[start : start + ROWS_AT_ONCE])


def number(checksum: str | None) -> int:
    """A seal that is damaged is none: the row is named for it, now and later."""
    try:
        return int(checksum or "", 16)
    except ValueError:
        return 0


def downgrade() -> None:
    raise NotImplementedError("migrations go forward only: restore the backup instead")
