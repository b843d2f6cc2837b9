"""Room for what is computed from the evidence, so that it need not be computed again.

The part lives and the outlook of each vehicle, what the shop has learned of wear, and how far
into the evidence that goes. No triggers: these rows are written over and can all be thrown away.
Reading sets are found by their time, and those that a gauge read twice by gauge and time, because
what a gauge repeats is counted up to a time.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

SCHEMA_NUMBER = 3


def whole() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def text() -> sa.types.TypeEngine[str]:
    """On a server texts are ordered by their characters alone, whatever its language is."""
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def real() -> sa.types.TypeEngine[float]:
    return sa.REAL().with_variant(sa.Double(), "postgresql")


def document_by_vehicle(table: str) -> None:
    op.create_table(
        table,
        sa.Column("vehicle_id", text(), nullable=False),
        sa.Column("document", text(), nullable=False),
        sa.PrimaryKeyConstraint("vehicle_id"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicles.id"]),
        sqlite_strict=True,
    )


def upgrade() -> None:
    document_by_vehicle("derived_lives")
    document_by_vehicle("derived_due")
    op.create_table(
        "derived_experience",
        sa.Column("kind", text(), nullable=False),
        sa.Column("axle", whole(), nullable=False),
        sa.Column("vehicle_class", text(), nullable=False),
        sa.Column("model", text(), nullable=False),
        sa.Column("log_rate", real(), nullable=False),
        sa.Column("log_sd", real(), nullable=False),
        sa.Column("process_c", real(), nullable=False),
        sa.Column("lives_behind", real(), nullable=False),
        sa.Column("widened", real(), nullable=False),
        sa.Column("lives", whole(), nullable=False),
        sa.Column("visits", whole(), nullable=False),
        sa.Column("vehicles", whole(), nullable=False),
        sa.Column("source", text(), nullable=False),
        sa.PrimaryKeyConstraint("kind", "axle", "vehicle_class", "model"),
        sa.CheckConstraint("lives >= 0", name="lives_from_0"),
        sa.CheckConstraint("visits >= 0", name="visits_from_0"),
        sa.CheckConstraint("vehicles >= 0", name="vehicles_from_0"),
        sqlite_strict=True,
    )
    op.create_table(
        "derived_marks",
        sa.Column("name", text(), nullable=False),
        sa.Column("value", text(), nullable=False),
        sa.PrimaryKeyConstraint("name"),
        sqlite_strict=True,
    )
    op.create_index(None, "reading_sets", ["recorded_at"])
    op.drop_index("ix_reading_sets_repeats", table_name="reading_sets")
    op.create_index(
        "ix_reading_sets_repeats",
        "reading_sets",
        ["gauge_id", "recorded_at"],
        sqlite_where=sa.text("again_nm IS NOT NULL"),
        postgresql_where=sa.text("again_nm IS NOT NULL"),
    )
    if op.get_bind().dialect.name == "sqlite":
        op.execute(f"PRAGMA user_version = {SCHEMA_NUMBER}")


def downgrade() -> None:
    raise NotImplementedError("migrations go forward only: restore the backup instead")
