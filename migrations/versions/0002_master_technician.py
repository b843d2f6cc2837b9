"""Room for what a master technician adds to the numbers.

Reading sets say how far a rotor was turned on its hub and whether it has a lip; limit sheets say
what kind of brake it is; answers to questions, corrected odometers and the closing of a job are
evidence of their own; an issued verdict keeps the sheet that was handed out. Columns are added in
place, because a table of evidence is never rebuilt where that can be avoided.
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

SCHEMA_NUMBER = 2
NEW_EVIDENCE = (
    "sheet_traits",
    "answers",
    "odometer_corrections",
    "closing_answers",
    "torques_left",
    "agreements",
)
CORNERS = [
    *("L3", "L4", "L5", "L6", "L7", "L8", "L9", "LF", "LR"),
    *("R3", "R4", "R5", "R6", "R7", "R8", "R9", "RF", "RR"),
]
CHECKS = [
    "right-part",
    "runout-cure",
    "shoes-set",
    "wear-sensor",
    "tightened",
    "parking-brake",
    "fluid-level",
    "pedal-firm",
    "road-test",
    "no-leak",
    "lamps-off",
    "bedding-in",
    "cause-proven",
]


def whole() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def text() -> sa.types.TypeEngine[str]:
    """On a server texts are ordered by their characters alone, whatever its language is."""
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def numbered(name: str) -> sa.Column[int]:
    return sa.Column(name, whole(), sa.Identity(), nullable=False)


def one_of(column: str, words: list[str]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IN ({listed})", name=f"{column}_one_of_{len(words)}")


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


def append_only(table: str, identity: tuple[str, ...] = ("id", "row")) -> None:
    taken = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} WHERE {column} = NEW.{column})" for column in identity
    )
    for name, when, why in (
        ("no_update", "BEFORE UPDATE", "no row is ever changed"),
        ("no_delete", "BEFORE DELETE", "no row is ever deleted"),
        ("no_overwrite", "BEFORE INSERT", "that row is there already"),
    ):
        only = f"WHEN {taken}\n" if name == "no_overwrite" else ""
        op.execute(
            f"CREATE TRIGGER {table}_{name} {when} ON {table}\n{only}"
            f"BEGIN\n  SELECT RAISE(ABORT, '{table} is append-only: {why}');\nEND"
        )


def upgrade() -> None:
    is_file = op.get_bind().dialect.name == "sqlite"
    whole_number = "INTEGER" if is_file else "BIGINT"
    op.execute(
        f"ALTER TABLE reading_sets ADD COLUMN rotor_index {whole_number}"
        " CONSTRAINT ck_reading_sets_rotor_index_from_0 CHECK (rotor_index >= 0)"
    )
    op.execute(
        "ALTER TABLE reading_sets ADD COLUMN lip INTEGER"
        " CONSTRAINT ck_reading_sets_lip_0_or_1 CHECK (lip IN (0, 1))"
    )
    op.execute(
        "ALTER TABLE reading_sets ADD COLUMN in_groove INTEGER"
        " CONSTRAINT ck_reading_sets_in_groove_0_or_1 CHECK (in_groove IN (0, 1))"
    )
    op.create_index(
        "ix_reading_sets_repeats",
        "reading_sets",
        ["gauge_id", "row"],
        sqlite_where=sa.text("again_nm IS NOT NULL"),
        postgresql_where=sa.text("again_nm IS NOT NULL"),
    )
    op.execute("ALTER TABLE verdicts ADD COLUMN sheet TEXT" + ("" if is_file else ' COLLATE "C"'))
    op.create_table(
        "sheet_traits",
        *stamps(),
        sa.Column("sheet_id", text(), nullable=False),
        sa.Column("axle", whole(), nullable=False),
        sa.Column("name", text(), nullable=False),
        sa.Column("value", text(), nullable=False),
        sa.Column("source", text(), nullable=False),
        sa.CheckConstraint("axle >= 0", name="axle_from_0"),
        sa.CheckConstraint("name <> ''", name="name_not_empty"),
        sa.ForeignKeyConstraint(["sheet_id"], ["limit_sheets.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "sheet_traits", ["sheet_id"])
    op.create_table(
        "answers",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("question_key", text(), nullable=False),
        sa.Column("said", text(), nullable=False),
        sa.Column("note", text(), nullable=False),
        one_of("said", ["right", "wrong"]),
        sa.CheckConstraint("question_key <> ''", name="question_key_not_empty"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "answers", ["visit_id"])
    op.create_table(
        "odometer_corrections",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("odometer_mm", whole(), nullable=False),
        sa.Column("odometer_text", text(), nullable=False),
        sa.Column("odometer_unit", text(), nullable=False),
        sa.Column("reason", text(), nullable=False),
        sa.CheckConstraint("odometer_mm >= 0", name="odometer_mm_from_0"),
        one_of("odometer_unit", ["km", "mi"]),
        sa.CheckConstraint("trim(reason) <> ''", name="reason_not_blank"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "odometer_corrections", ["visit_id"])
    op.create_table(
        "closing_answers",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("checked", text(), nullable=False),
        sa.Column("said", text(), nullable=False),
        sa.Column("axle", whole(), nullable=True),
        sa.Column("corner", text(), nullable=True),
        sa.Column("part", text(), nullable=True),
        sa.Column("note", text(), nullable=False),
        sa.Column("person_id", text(), nullable=True),
        one_of("checked", CHECKS),
        sa.CheckConstraint("axle >= 1", name="axle_from_1"),
        one_of("corner", CORNERS),
        one_of("part", ["rotor", "pads", "drum", "shoes"]),
        sa.CheckConstraint("said <> ''", name="said_not_empty"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "closing_answers", ["visit_id"])
    op.create_table(
        "torques_left",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("axle", whole(), nullable=False),
        sa.Column("corner", text(), nullable=True),
        sa.Column("fastener", text(), nullable=False),
        sa.Column("figure", text(), nullable=False),
        sa.Column("person_id", text(), nullable=True),
        sa.CheckConstraint("axle >= 1", name="axle_from_1"),
        one_of("corner", CORNERS),
        sa.CheckConstraint("fastener <> ''", name="fastener_not_empty"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "torques_left", ["visit_id"])
    op.create_table(
        "agreements",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("consent", text(), nullable=False),
        sa.Column("items", text(), nullable=False),
        sa.Column("day", text(), nullable=False),
        sa.Column("time", text(), nullable=False),
        sa.Column("how", text(), nullable=False),
        sa.Column("cost", text(), nullable=False),
        sa.Column("note", text(), nullable=False),
        sa.Column("person_id", text(), nullable=True),
        one_of("consent", ["agreed", "declined"]),
        sa.CheckConstraint("items LIKE '[%]'", name="items_list"),
        sa.CheckConstraint("day LIKE '____-__-__'", name="day_iso"),
        one_of("how", ["signed", "in-person", "phone", "mail", "message"]),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "agreements", ["visit_id"])
    op.create_table(
        "agreement_names",
        numbered("row"),
        sa.Column("agreement_id", text(), nullable=False),
        sa.Column("recorded_at", text(), nullable=False),
        sa.Column("who", text(), nullable=False),
        sa.Column("number", text(), nullable=False),
        sa.CheckConstraint('"row" > 0', name="row_over_0"),
        sa.CheckConstraint(
            "recorded_at LIKE '____-__-__T__:__:__.______Z'", name="recorded_at_utc"
        ),
        sa.PrimaryKeyConstraint("row"),
        sa.ForeignKeyConstraint(["agreement_id"], ["agreements.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "agreement_names", ["agreement_id"])
    if is_file:
        for table in NEW_EVIDENCE:
            append_only(table)
        append_only("agreement_names", ("row",))
        op.execute(f"PRAGMA user_version = {SCHEMA_NUMBER}")


def downgrade() -> None:
    raise NotImplementedError("migrations go forward only: restore the backup instead")
