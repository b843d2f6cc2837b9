"""Every row is sealed, every row of evidence chained, and the rows of each owner tallied.

Rows that are there already are sealed as they stand, in the order in which they were recorded; an
event says when that was, so that nobody takes a seal for older than it is. What is personal can be
forgotten from now on: the two append-only tables that hold words of customers may be emptied, and
nothing else about them changed. What was worked out is thrown away: it had no seals.
"""

import hashlib
import json
import uuid
from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

SCHEMA_NUMBER = 4
EVENTS = [
    "customer forgotten",
    "merged",
    "moved",
    "names added",
    "names changed",
    "restored",
    "sealed",
]
OWNERS = {
    "shop_settings": ("site",),
    "limit_sheets": ("key",),
    "vehicles": ("key",),
    "gauges": ("key",),
    "visits": ("vehicle_id",),
    "visit_facts": ("visit_id",),
    "reading_sets": ("visit_id",),
    "findings": ("visit_id",),
    "fittings": ("visit_id",),
    "corrections": ("target_id", "to_vehicle"),
    "limits": ("sheet_id", "vehicle_id"),
    "limit_confirmations": ("limit_id",),
    "torques": ("sheet_id",),
    "verdicts": ("visit_id",),
    "sheet_traits": ("sheet_id",),
    "answers": ("visit_id",),
    "odometer_corrections": ("visit_id",),
    "closing_answers": ("visit_id",),
    "torques_left": ("visit_id",),
    "agreements": ("visit_id",),
    "events": ("site",),
}
SEALED_ONLY = {
    "people": "row",
    "customers": "row",
    "vehicle_identities": "vehicle_id",
    "complaints": "row",
    "agreement_names": "row",
    "draft_entries": "seq",
}
DERIVED = ("derived_lives", "derived_due", "derived_experience", "derived_marks")
FORGETTABLE = {
    "complaints": (("text",), ("row", "visit_id", "recorded_at")),
    "agreement_names": (("who", "number"), ("row", "agreement_id", "recorded_at")),
}
NOT_SEALED = {"row", "seq", "checksum", "chain_prev", "chain_link"}
ROWS_AT_ONCE = 1_000


def whole() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def text() -> sa.types.TypeEngine[str]:
    """On a server texts are ordered by their characters alone, whatever its language is."""
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def numbered(name: str) -> sa.Column[int]:
    return sa.Column(name, whole(), sa.Identity(), nullable=False)


def stamps() -> list[sa.schema.SchemaItem]:
    return [
        numbered("row"),
        sa.Column("id", text(), nullable=False),
        sa.Column("site", text(), nullable=False),
        sa.Column("recorded_at", text(), nullable=False),
        sa.Column("recorded_by", text(), nullable=True),
        sa.Column("checksum", text(), nullable=True),
        sa.Column("chain_prev", text(), nullable=True),
        sa.Column("chain_link", text(), nullable=True),
        sa.PrimaryKeyConstraint("row"),
        sa.UniqueConstraint("id"),
        sa.ForeignKeyConstraint(["recorded_by"], ["people.id"]),
        sa.CheckConstraint('"row" > 0', name="row_over_0"),
        sa.CheckConstraint("id <> ''", name="id_not_empty"),
        sa.CheckConstraint("site <> ''", name="site_not_empty"),
        sa.CheckConstraint(
            "recorded_at LIKE '____-__-__T__:__:__.______Z'", name="recorded_at_utc"
        ),
    ]


def no_update(table: str, when: str = "") -> None:
    op.execute(
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table}\n{when}"
        f"BEGIN\n  SELECT RAISE(ABORT, '{table} is append-only: no row is ever changed');\nEND"
    )


def append_only(table: str) -> None:
    no_update(table)
    op.execute(
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table}\n"
        f"BEGIN\n  SELECT RAISE(ABORT, '{table} is append-only: no row is ever deleted');\nEND"
    )
    op.execute(
        f"CREATE TRIGGER {table}_no_overwrite BEFORE INSERT ON {table}\n"
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id)"
        f" OR EXISTS (SELECT 1 FROM {table} WHERE row = NEW.row)\n"
        f"BEGIN\n  SELECT RAISE(ABORT, '{table} is append-only: that row is there already');\nEND"
    )


def upgrade() -> None:
    is_file = op.get_bind().dialect.name == "sqlite"
    for table in (*SEALED_ONLY, *DERIVED):
        order = "" if is_file else ' COLLATE "C"'
        op.execute(f"ALTER TABLE {table} ADD COLUMN checksum TEXT{order}")
    op.create_table(
        "events",
        *stamps(),
        sa.Column("kind", text(), nullable=False),
        sa.Column("target_id", text(), nullable=False),
        sa.Column("reason", text(), nullable=False),
        sa.CheckConstraint(
            "kind IN ({})".format(", ".join(f"'{kind}'" for kind in EVENTS)),
            name=f"kind_one_of_{len(EVENTS)}",
        ),
        sa.CheckConstraint("trim(reason) <> ''", name="reason_not_blank"),
        sqlite_strict=True,
    )
    op.create_table(
        "chain_heads",
        sa.Column("site", text(), nullable=False),
        sa.Column("link", text(), nullable=False),
        sa.Column("entries", whole(), nullable=False),
        sa.PrimaryKeyConstraint("site"),
        sa.CheckConstraint("entries >= 0", name="entries_from_0"),
        sqlite_strict=True,
    )
    op.create_table(
        "row_tallies",
        sa.Column("kind", text(), nullable=False),
        sa.Column("owner", text(), nullable=False),
        sa.Column("entries", whole(), nullable=False),
        sa.Column("total", text(), nullable=False),
        sa.PrimaryKeyConstraint("kind", "owner"),
        sa.CheckConstraint("entries >= 0", name="entries_from_0"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    for table in DERIVED:
        op.execute(f"DELETE FROM {table}")
    if not is_file:
        # No store of an older schema was ever on a server: there is nothing to seal.
        append_only_on_a_server()
        return
    for table in OWNERS:
        if table != "events":
            op.execute(f"DROP TRIGGER {table}_no_update")
    for table in FORGETTABLE:
        op.execute(f"DROP TRIGGER {table}_no_update")
    seal_everything()
    for table in OWNERS:
        if table != "events":
            no_update(table)
    append_only("events")
    for table, (emptied, kept) in FORGETTABLE.items():
        words = " OR ".join(f"NEW.\"{column}\" <> ''" for column in emptied)
        others = " OR ".join(f'NEW."{column}" IS NOT OLD."{column}"' for column in kept)
        no_update(table, f"WHEN {words} OR {others}\n")
    op.execute(f"PRAGMA user_version = {SCHEMA_NUMBER}")


def append_only_on_a_server() -> None:
    op.execute(
        """\
CREATE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION USING ERRCODE = 'restrict_violation',
    MESSAGE = TG_TABLE_NAME || ' is append-only: no row is ever '
      || CASE TG_OP WHEN 'UPDATE' THEN 'changed' ELSE 'deleted' END;
END
$$"""
    )
    for table in (*OWNERS, *FORGETTABLE, "import_keys"):
        unless = ""
        if table in FORGETTABLE:
            emptied, kept = FORGETTABLE[table]
            words = [f"NEW.\"{column}\" <> ''" for column in emptied]
            words += [f'NEW."{column}" IS DISTINCT FROM OLD."{column}"' for column in kept]
            unless = f" WHEN ({' OR '.join(words)})"
        for name, when in (
            ("no_update", f"UPDATE ON {table} FOR EACH ROW{unless}"),
            ("no_delete", f"DELETE ON {table} FOR EACH ROW"),
            ("no_truncate", f"TRUNCATE ON {table} FOR EACH STATEMENT"),
        ):
            op.execute(
                f"CREATE TRIGGER {table}_{name} BEFORE {when} EXECUTE FUNCTION append_only()"
            )


def seal_everything() -> None:
    connection = op.get_bind()
    for table, key in SEALED_ONLY.items():
        for place, checksum in list(sums_of(table, key)):
            connection.exec_driver_sql(
                f'UPDATE {table} SET checksum = ? WHERE "{key}" = ?', (checksum, place)
            )
    order: list[tuple[str, int, int]] = []
    for number, table in enumerate(OWNERS):
        rows = connection.exec_driver_sql(f'SELECT recorded_at, "row" FROM {table}')
        order += [(recorded_at, number, row) for recorded_at, row in rows]
    if not order:
        return
    order.sort()
    chain = Chain()
    tables = list(OWNERS)
    for start in range(0, len(order), ROWS_AT_ONCE):
        page = order[start : start + ROWS_AT_ONCE]
        wanted: dict[int, list[int]] = defaultdict(list)
        for _, number, row in page:
            wanted[number].append(row)
        found = {
            (number, row): stored
            for number, rows in wanted.items()
            for row, stored in rows_of(tables[number], rows)
        }
        for _, number, row in page:
            table = tables[number]
            checksum, previous, link = chain.add(table, found[number, row])
            connection.exec_driver_sql(
                f'UPDATE {table} SET checksum = ?, chain_prev = ?, chain_link = ? WHERE "row" = ?',
                (checksum, previous, link, row),
            )
    chain.close(len(order))


class Chain:
    """The chain of each site, and the tallies of each owner."""

    def __init__(self) -> None:
        self.heads: dict[str, tuple[str, int]] = {}
        self.tallies: dict[tuple[str, str], tuple[int, int]] = defaultdict(lambda: (0, 0))

    def add(self, table: str, stored: dict[str, object]) -> tuple[str, str, str]:
        site = str(stored["site"])
        start = hashlib.sha256(f"brakelog chain of {site}".encode()).hexdigest()
        previous, count = self.heads.get(site, (start, 0))
        checksum = checksum_of(table, stored)
        link = hashlib.sha256(f"{previous}{checksum}".encode("ascii")).hexdigest()
        self.heads[site] = (link, count + 1)
        for column in OWNERS[table]:
            owner = stored[column]
            if owner is not None:
                entries, total = self.tallies[table, str(owner)]
                self.tallies[table, str(owner)] = (
                    entries + 1,
                    (total + int(checksum, 16)) % (1 << 256),
                )
        return checksum, previous, link

    def close(self, count: int) -> None:
        connection = op.get_bind()
        site = max(self.heads, key=lambda each: self.heads[each][1])
        event: dict[str, object] = {
            "id": uuid.uuid4().hex,
            "site": site,
            "recorded_at": datetime.now(UTC).isoformat(timespec="microseconds")[:26] + "Z",
            "kind": "sealed",
            "target_id": "",
            "reason": f"{count} rows that were there before were sealed as they stood",
        }
        event["checksum"], event["chain_prev"], event["chain_link"] = self.add("events", event)
        names = ", ".join(event)
        connection.exec_driver_sql(
            f"INSERT INTO events ({names}) VALUES ({', '.join('?' * len(event))})",
            tuple(event.values()),
        )
        for site, (link, entries) in self.heads.items():
            connection.exec_driver_sql(
                "INSERT INTO chain_heads (site, link, entries) VALUES (?, ?, ?)",
                (site, link, entries),
            )
        for (kind, owner), (entries, total) in self.tallies.items():
            connection.exec_driver_sql(
                "INSERT INTO row_tallies (kind, owner, entries, total) VALUES (?, ?, ?, ?)",
                (kind, owner, entries, f"{total:064x}"),
            )


def sums_of(table: str, key: str) -> Iterator[tuple[object, str]]:
    rows = op.get_bind().exec_driver_sql(f"SELECT * FROM {table}")
    for row in rows.mappings().all():
        yield row[key], checksum_of(table, dict(row))


def rows_of(table: str, rows: list[int]) -> Iterator[tuple[int, dict[str, object]]]:
    listed = ", ".join(str(row) for row in rows)
    found = op.get_bind().exec_driver_sql(f'SELECT * FROM {table} WHERE "row" IN ({listed})')
    for stored in found.mappings().all():
        yield stored["row"], dict(stored)


def checksum_of(table: str, stored: dict[str, object]) -> str:
    parts: list[object] = [table]
    for name in sorted(stored):
        if name not in NOT_SEALED and stored[name] is not None:
            parts += [name, stored[name]]
    text = json.dumps(parts, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def downgrade() -> None:
    raise NotImplementedError("migrations go forward only: restore the backup instead")
