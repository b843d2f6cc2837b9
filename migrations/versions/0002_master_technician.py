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


def one_of(column: str, words: list[str]) -> sa.CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return sa.CheckConstraint(f"{column} IN ({listed})", name=f"{column}_one_of_{len(words)}")


def stamps() -> list[sa.schema.SchemaItem]:
    return [
        sa.Column("row", whole(), nullable=False),
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("site", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.Text(), nullable=False),
        sa.Column("recorded_by", sa.Text(), nullable=True),
        sa.Column("checksum", sa.Text(), nullable=True),
        sa.Column("chain_prev", sa.Text(), nullable=True),
        sa.Column("chain_link", sa.Text(), nullable=True),
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
    op.execute(
        "ALTER TABLE reading_sets ADD COLUMN rotor_index INTEGER"
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
    op.execute("ALTER TABLE verdicts ADD COLUMN sheet TEXT")
    op.create_table(
        "sheet_traits",
        *stamps(),
        sa.Column("sheet_id", sa.Text(), nullable=False),
        sa.Column("axle", whole(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.CheckConstraint("axle >= 0", name="axle_from_0"),
        sa.CheckConstraint("name <> ''", name="name_not_empty"),
        sa.ForeignKeyConstraint(["sheet_id"], ["limit_sheets.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "sheet_traits", ["sheet_id"])
    op.create_table(
        "answers",
        *stamps(),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("question_key", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        one_of("said", ["right", "wrong"]),
        sa.CheckConstraint("question_key <> ''", name="question_key_not_empty"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "answers", ["visit_id"])
    op.create_table(
        "odometer_corrections",
        *stamps(),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("odometer_mm", whole(), nullable=False),
        sa.Column("odometer_text", sa.Text(), nullable=False),
        sa.Column("odometer_unit", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
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
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("checked", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("axle", whole(), nullable=True),
        sa.Column("corner", sa.Text(), nullable=True),
        sa.Column("part", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Text(), nullable=True),
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
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("axle", whole(), nullable=False),
        sa.Column("corner", sa.Text(), nullable=True),
        sa.Column("fastener", sa.Text(), nullable=False),
        sa.Column("figure", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Text(), nullable=True),
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
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("consent", sa.Text(), nullable=False),
        sa.Column("items", sa.Text(), nullable=False),
        sa.Column("day", sa.Text(), nullable=False),
        sa.Column("time", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("cost", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Text(), nullable=True),
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
        sa.Column("row", whole(), nullable=False),
        sa.Column("agreement_id", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.CheckConstraint('"row" > 0', name="row_over_0"),
        sa.CheckConstraint(
            "recorded_at LIKE '____-__-__T__:__:__.______Z'", name="recorded_at_utc"
        ),
        sa.PrimaryKeyConstraint("row"),
        sa.ForeignKeyConstraint(["agreement_id"], ["agreements.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "agreement_names", ["agreement_id"])
    if op.get_bind().dialect.name == "sqlite":
        for table in NEW_EVIDENCE:
            append_only(table)
        append_only("agreement_names", ("row",))
        op.execute(f"PRAGMA user_version = {SCHEMA_NUMBER}")


def downgrade() -> None:
    raise NotImplementedError("migrations go forward only: restore the backup instead")
