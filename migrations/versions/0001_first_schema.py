"""The first schema.

Evidence shares its first eight columns, room for a checksum and for a chain over the rows of one
site among them, so that both can come later without rebuilding a table. Three triggers per table
keep it append-only. The header of the file says whose it is and which schema it has.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

APPLICATION_ID = 0x42724C67
SCHEMA_NUMBER = 1

CORNERS = [
    *("L3", "L4", "L5", "L6", "L7", "L8", "L9", "LF", "LR"),
    *("R3", "R4", "R5", "R6", "R7", "R8", "R9", "RF", "RR"),
]
APPEND_ONLY = {
    "shop_settings": ("id", "row"),
    "limit_sheets": ("id", "row"),
    "vehicles": ("id", "row"),
    "gauges": ("id", "row"),
    "visits": ("id", "row"),
    "visit_facts": ("id", "row"),
    "reading_sets": ("id", "row"),
    "findings": ("id", "row"),
    "fittings": ("id", "row"),
    "corrections": ("id", "row"),
    "limits": ("id", "row"),
    "limit_confirmations": ("id", "row"),
    "torques": ("id", "row"),
    "verdicts": ("id", "row"),
    "complaints": ("row",),
    "import_keys": ("key",),
}


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


def append_only(table: str, identity: tuple[str, ...]) -> None:
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
    op.create_table(
        "customers",
        numbered("row"),
        sa.Column("id", text(), nullable=False),
        sa.Column("tag", text(), nullable=False),
        sa.Column("tag_key", text(), nullable=False),
        sa.Column("name", text(), nullable=False),
        sa.Column("contact", text(), nullable=False),
        sa.PrimaryKeyConstraint("row"),
        sa.UniqueConstraint("id"),
        sa.UniqueConstraint("tag_key"),
        sqlite_strict=True,
    )
    op.create_table(
        "import_keys",
        sa.Column("key", text(), nullable=False),
        sa.Column("kind", text(), nullable=False),
        sa.Column("target_id", text(), nullable=False),
        sa.PrimaryKeyConstraint("key"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "people",
        numbered("row"),
        sa.Column("id", text(), nullable=False),
        sa.Column("tag", text(), nullable=False),
        sa.Column("tag_key", text(), nullable=False),
        sa.Column("name", text(), nullable=False),
        sa.Column("role", text(), nullable=False),
        sa.PrimaryKeyConstraint("row"),
        sa.UniqueConstraint("id"),
        sa.UniqueConstraint("tag_key"),
        sqlite_strict=True,
    )
    op.create_table(
        "gauges",
        *stamps(),
        sa.Column("key", text(), nullable=False),
        sa.Column("tag", text(), nullable=False),
        sa.Column("tag_key", text(), nullable=False),
        sa.Column("kind", text(), nullable=False),
        sa.Column("unit", text(), nullable=False),
        sa.Column("resolution_nm", whole(), nullable=False),
        sa.Column("resolution_text", text(), nullable=False),
        sa.Column("used_for", text(), nullable=False),
        sa.Column("tips", text(), nullable=True),
        sa.Column("error_limit_nm", whole(), nullable=True),
        sa.Column("checked_on", text(), nullable=True),
        sa.Column("check_every_months", whole(), nullable=True),
        sa.Column("note", text(), nullable=False),
        one_of(
            "kind",
            [
                "micrometer",
                "calliper",
                "dial indicator",
                "drum gauge",
                "depth gauge",
                "stepped gauge",
                "by eye",
            ],
        ),
        one_of("unit", ["mm", "in", "thou", "um"]),
        sa.CheckConstraint("resolution_nm >= 0", name="resolution_nm_from_0"),
        one_of("tips", ["pointed", "flat", "calliper"]),
        sa.CheckConstraint("error_limit_nm >= 0", name="error_limit_nm_from_0"),
        sa.CheckConstraint("checked_on LIKE '____-__-__'", name="checked_on_iso"),
        sa.CheckConstraint("check_every_months >= 0", name="check_every_months_from_0"),
        sa.ForeignKeyConstraint(["key"], ["gauges.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "gauges", ["key", "row"])
    op.create_index(None, "gauges", ["tag_key"])
    op.create_table(
        "limit_sheets",
        *stamps(),
        sa.Column("key", text(), nullable=False),
        sa.Column("name", text(), nullable=False),
        sa.Column("name_key", text(), nullable=False),
        sa.Column("note", text(), nullable=False),
        sa.ForeignKeyConstraint(["key"], ["limit_sheets.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "limit_sheets", ["key", "row"])
    op.create_index(None, "limit_sheets", ["name_key"])
    op.create_table(
        "shop_settings",
        *stamps(),
        sa.Column("name", text(), nullable=False),
        sa.Column("value", text(), nullable=False),
        sa.CheckConstraint("name <> ''", name="name_not_empty"),
        sqlite_strict=True,
    )
    op.create_index(None, "shop_settings", ["name", "row"])
    op.create_table(
        "torques",
        *stamps(),
        sa.Column("sheet_id", text(), nullable=False),
        sa.Column("axle", whole(), nullable=False),
        sa.Column("fastener", text(), nullable=False),
        sa.Column("figure", text(), nullable=False),
        sa.Column("source", text(), nullable=False),
        sa.CheckConstraint("axle >= 1", name="axle_from_1"),
        sa.ForeignKeyConstraint(["sheet_id"], ["limit_sheets.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "torques", ["sheet_id"])
    op.create_table(
        "vehicles",
        *stamps(),
        sa.Column("key", text(), nullable=False),
        sa.Column("tag", text(), nullable=False),
        sa.Column("tag_key", text(), nullable=False),
        sa.Column("description", text(), nullable=False),
        sa.Column("brakes", text(), nullable=False),
        sa.Column("odometer_unit", text(), nullable=False),
        sa.Column("sheet_id", text(), nullable=True),
        sa.CheckConstraint("brakes LIKE 'd%'", name="brakes_begin_with_d"),
        one_of("odometer_unit", ["km", "mi"]),
        sa.ForeignKeyConstraint(["key"], ["vehicles.id"]),
        sa.ForeignKeyConstraint(["sheet_id"], ["limit_sheets.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "vehicles", ["key", "row"])
    op.create_index(None, "vehicles", ["tag_key"])
    op.create_table(
        "corrections",
        *stamps(),
        sa.Column("kind", text(), nullable=False),
        sa.Column("target_id", text(), nullable=False),
        sa.Column("replacement_id", text(), nullable=True),
        sa.Column("to_vehicle", text(), nullable=True),
        sa.Column("reason", text(), nullable=False),
        sa.CheckConstraint("trim(reason) <> ''", name="reason_not_blank"),
        sa.CheckConstraint(
            "(kind = 'amend') = (replacement_id IS NOT NULL)", name="replacement_for_amend"
        ),
        sa.CheckConstraint(
            "(kind = 'move visit') = (to_vehicle IS NOT NULL)", name="to_vehicle_for_move"
        ),
        one_of(
            "kind",
            [
                "amend",
                "void visit",
                "move visit",
                "void set",
                "void finding",
                "void fitting",
                "withdraw limit",
            ],
        ),
        sa.ForeignKeyConstraint(["to_vehicle"], ["vehicles.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "corrections", ["replacement_id"])
    op.create_index(None, "corrections", ["target_id"])
    op.create_index(None, "corrections", ["to_vehicle"])
    op.create_table(
        "limits",
        *stamps(),
        sa.Column("kind", text(), nullable=False),
        sa.Column("axle", whole(), nullable=False),
        sa.Column("sheet_id", text(), nullable=True),
        sa.Column("vehicle_id", text(), nullable=True),
        sa.Column("corner", text(), nullable=True),
        sa.Column("typed_1", text(), nullable=False),
        sa.Column("nm_1", whole(), nullable=False),
        sa.Column("unit_1", text(), nullable=False),
        sa.Column("last_digit_nm_1", whole(), nullable=False),
        sa.Column("unit_typed_1", sa.Integer(), nullable=False),
        sa.Column("typed_2", text(), nullable=True),
        sa.Column("nm_2", whole(), nullable=True),
        sa.Column("unit_2", text(), nullable=True),
        sa.Column("last_digit_nm_2", whole(), nullable=True),
        sa.Column("unit_typed_2", sa.Integer(), nullable=True),
        sa.Column("source", text(), nullable=False),
        sa.Column("out_when", text(), nullable=True),
        sa.Column("datum", text(), nullable=True),
        sa.Column("which_pad", text(), nullable=False),
        sa.Column("points", whole(), nullable=True),
        sa.Column("radius_nm", whole(), nullable=True),
        sa.Column("source_date", text(), nullable=True),
        sa.Column("note", text(), nullable=False),
        sa.Column("replaces", text(), nullable=True),
        sa.CheckConstraint(
            "sheet_id IS NOT NULL OR vehicle_id IS NOT NULL", name="on_sheet_or_vehicle"
        ),
        sa.CheckConstraint(
            "(typed_2 IS NULL) = (nm_2 IS NULL) AND (typed_2 IS NULL) = (unit_2 IS NULL)"
            " AND (typed_2 IS NULL) = (last_digit_nm_2 IS NULL)"
            " AND (typed_2 IS NULL) = (unit_typed_2 IS NULL)",
            name="second_figure_whole",
        ),
        one_of(
            "kind",
            [
                "rotor-new",
                "rotor-machine-to",
                "rotor-discard",
                "variation",
                "runout",
                "scoring",
                "hub-runout",
                "pad-new",
                "pad-minimum",
                "drum-new",
                "drum-machine-to",
                "drum-discard",
                "out-of-round",
                "bell-mouth",
                "shoe-new",
                "shoe-minimum",
            ],
        ),
        sa.CheckConstraint("axle >= 1", name="axle_from_1"),
        one_of("corner", CORNERS),
        sa.CheckConstraint("nm_1 >= 0", name="nm_1_from_0"),
        one_of("unit_1", ["mm", "in", "thou", "um"]),
        sa.CheckConstraint("last_digit_nm_1 >= 0", name="last_digit_nm_1_from_0"),
        sa.CheckConstraint("unit_typed_1 IN (0, 1)", name="unit_typed_1_0_or_1"),
        sa.CheckConstraint("nm_2 >= 0", name="nm_2_from_0"),
        one_of("unit_2", ["mm", "in", "thou", "um"]),
        sa.CheckConstraint("last_digit_nm_2 >= 0", name="last_digit_nm_2_from_0"),
        sa.CheckConstraint("unit_typed_2 IN (0, 1)", name="unit_typed_2_0_or_1"),
        one_of("out_when", ["below", "at or below", "above", "at or above"]),
        one_of("datum", ["lining", "with plate"]),
        one_of("which_pad", ["both", "inner", "outer", "leading", "trailing"]),
        sa.CheckConstraint("points >= 1", name="points_from_1"),
        sa.CheckConstraint("radius_nm >= 0", name="radius_nm_from_0"),
        sa.CheckConstraint("source_date LIKE '____-__-__'", name="source_date_iso"),
        sa.ForeignKeyConstraint(["sheet_id"], ["limit_sheets.id"]),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicles.id"]),
        sa.ForeignKeyConstraint(["replaces"], ["limits.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "limits", ["replaces"])
    op.create_index(None, "limits", ["sheet_id"])
    op.create_index(None, "limits", ["vehicle_id"])
    op.create_table(
        "vehicle_identities",
        sa.Column("vehicle_id", text(), nullable=False),
        sa.Column("plate", text(), nullable=False),
        sa.Column("plate_key", text(), nullable=False),
        sa.Column("vin", text(), nullable=False),
        sa.Column("vin_key", text(), nullable=False),
        sa.Column("customer_id", text(), nullable=True),
        sa.PrimaryKeyConstraint("vehicle_id"),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicles.id"]),
        sa.ForeignKeyConstraint(["customer_id"], ["customers.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "vehicle_identities", ["customer_id"])
    op.create_index(None, "vehicle_identities", ["plate_key"])
    op.create_index(None, "vehicle_identities", ["vin_key"])
    op.create_table(
        "visits",
        *stamps(),
        sa.Column("vehicle_id", text(), nullable=False),
        sa.Column("day", text(), nullable=False),
        sa.Column("odometer_mm", whole(), nullable=False),
        sa.Column("odometer_text", text(), nullable=False),
        sa.Column("odometer_unit", text(), nullable=False),
        sa.Column("person_id", text(), nullable=True),
        sa.CheckConstraint("day LIKE '____-__-__'", name="day_iso"),
        sa.CheckConstraint("odometer_mm >= 0", name="odometer_mm_from_0"),
        one_of("odometer_unit", ["km", "mi"]),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicles.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "visits", ["vehicle_id"])
    op.create_table(
        "complaints",
        numbered("row"),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("recorded_at", text(), nullable=False),
        sa.Column("text", text(), nullable=False),
        sa.CheckConstraint('"row" > 0', name="row_over_0"),
        sa.CheckConstraint(
            "recorded_at LIKE '____-__-__T__:__:__.______Z'", name="recorded_at_utc"
        ),
        sa.PrimaryKeyConstraint("row"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "complaints", ["visit_id"])
    op.create_table(
        "draft_entries",
        numbered("seq"),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("corner", text(), nullable=False),
        sa.Column("stage", text(), nullable=False),
        sa.Column("key", text(), nullable=False),
        sa.Column("typed", text(), nullable=False),
        sa.Column("unit", text(), nullable=False),
        sa.Column("gauge_id", text(), nullable=True),
        sa.Column("person_id", text(), nullable=True),
        sa.Column("at", text(), nullable=False),
        sa.UniqueConstraint("visit_id", "corner", "stage", "key"),
        one_of("corner", CORNERS),
        one_of("stage", ["as found", "as left"]),
        one_of("unit", ["mm", "in", "thou", "um"]),
        sa.CheckConstraint("at LIKE '____-__-__T__:__:__.______Z'", name="at_utc"),
        sa.PrimaryKeyConstraint("seq"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sa.ForeignKeyConstraint(["gauge_id"], ["gauges.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sqlite_strict=True,
    )
    op.create_table(
        "findings",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("corner", text(), nullable=False),
        sa.Column("stage", text(), nullable=False),
        sa.Column("kind", text(), nullable=False),
        sa.Column("part", text(), nullable=False),
        sa.Column("note", text(), nullable=False),
        sa.Column("put_right", sa.Integer(), nullable=False),
        sa.Column("person_id", text(), nullable=True),
        sa.Column("corrects", text(), nullable=True),
        sa.CheckConstraint("put_right IN (0, 1)", name="put_right_0_or_1"),
        one_of("corner", CORNERS),
        one_of("stage", ["as found", "as left"]),
        one_of(
            "kind",
            [
                "crack",
                "hot-spots",
                "deep-pitting",
                "vane-rust",
                "delamination",
                "lining-crack",
                "soaked",
                "chunked",
                "metal-contact",
                "loose-rivets",
                "heavy-rust",
                "blueing",
                "stuck-slide",
                "stuck-piston",
                "hardware-missing",
                "leak",
                "lip",
                "other",
            ],
        ),
        one_of("part", ["rotor", "pads", "drum", "shoes"]),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sa.ForeignKeyConstraint(["corrects"], ["findings.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "findings", ["visit_id"])
    op.create_table(
        "fittings",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("day", text(), nullable=False),
        sa.Column("odometer_mm", whole(), nullable=False),
        sa.Column("corner", text(), nullable=False),
        sa.Column("position", text(), nullable=False),
        sa.Column("event", text(), nullable=False),
        sa.Column("basis", text(), nullable=False),
        sa.Column("size_nm", whole(), nullable=True),
        sa.Column("size_typed", text(), nullable=False),
        sa.Column("from_corner", text(), nullable=True),
        sa.Column("person_id", text(), nullable=True),
        sa.Column("note", text(), nullable=False),
        sa.CheckConstraint("day LIKE '____-__-__'", name="day_iso"),
        sa.CheckConstraint("odometer_mm >= 0", name="odometer_mm_from_0"),
        one_of("corner", CORNERS),
        one_of("position", ["rotor", "pad-in", "pad-out", "drum", "shoe-lead", "shoe-trail"]),
        one_of("event", ["new", "used", "refinished", "moved", "removed"]),
        one_of("basis", ["measured", "nominal", "unknown"]),
        sa.CheckConstraint("size_nm >= 0", name="size_nm_from_0"),
        one_of("from_corner", CORNERS),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "fittings", ["visit_id"])
    op.create_table(
        "limit_confirmations",
        *stamps(),
        sa.Column("limit_id", text(), nullable=False),
        sa.Column("figure", whole(), nullable=False),
        sa.Column("person_id", text(), nullable=True),
        sa.Column("reason", text(), nullable=False),
        sa.Column("over_limits", text(), nullable=False),
        sa.CheckConstraint("figure >= 0", name="figure_from_0"),
        sa.ForeignKeyConstraint(["limit_id"], ["limits.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "limit_confirmations", ["limit_id"])
    op.create_table(
        "reading_sets",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("corner", text(), nullable=False),
        sa.Column("quantity", text(), nullable=False),
        sa.Column("stage", text(), nullable=False),
        sa.Column("values_nm", text(), nullable=False),
        sa.Column("typed", text(), nullable=False),
        sa.Column("unit", text(), nullable=False),
        sa.Column("datum", text(), nullable=True),
        sa.Column("again_nm", whole(), nullable=True),
        sa.Column("again_typed", text(), nullable=False),
        sa.Column("gauge_id", text(), nullable=True),
        sa.Column("tips", text(), nullable=True),
        sa.Column("person_id", text(), nullable=True),
        sa.Column("temperature_dc", whole(), nullable=True),
        sa.Column("zero_error_nm", whole(), nullable=False),
        sa.Column("radius_nm", whole(), nullable=True),
        sa.Column("fasteners_fitted", whole(), nullable=True),
        sa.Column("fasteners_of", whole(), nullable=True),
        sa.Column("bearing_checked", sa.Integer(), nullable=True),
        sa.Column("returned_to_start", sa.Integer(), nullable=True),
        sa.Column("corrects", text(), nullable=True),
        sa.CheckConstraint("values_nm LIKE '[%]'", name="values_nm_list"),
        sa.CheckConstraint("typed LIKE '[%]'", name="typed_list"),
        one_of("corner", CORNERS),
        one_of(
            "quantity",
            [
                "rotor",
                "runout",
                "scoring",
                "hub-runout",
                "pad-in",
                "pad-out",
                "drum-open",
                "drum-closed",
                "shoe-lead",
                "shoe-trail",
            ],
        ),
        one_of("stage", ["as found", "as left"]),
        one_of("unit", ["mm", "in", "thou", "um"]),
        one_of("datum", ["lining", "with plate"]),
        one_of("tips", ["pointed", "flat", "calliper"]),
        sa.CheckConstraint("temperature_dc >= -2732", name="temperature_dc_from_minus_2732"),
        sa.CheckConstraint("radius_nm >= 0", name="radius_nm_from_0"),
        sa.CheckConstraint("fasteners_fitted >= 0", name="fasteners_fitted_from_0"),
        sa.CheckConstraint("fasteners_of >= 0", name="fasteners_of_from_0"),
        sa.CheckConstraint("bearing_checked IN (0, 1)", name="bearing_checked_0_or_1"),
        sa.CheckConstraint("returned_to_start IN (0, 1)", name="returned_to_start_0_or_1"),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sa.ForeignKeyConstraint(["gauge_id"], ["gauges.id"]),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"]),
        sa.ForeignKeyConstraint(["corrects"], ["reading_sets.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "reading_sets", ["visit_id"])
    op.create_table(
        "verdicts",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("stage", text(), nullable=False),
        sa.Column("format", text(), nullable=False),
        sa.Column("document", text(), nullable=False),
        sa.Column("policy", text(), nullable=False),
        one_of("stage", ["as found", "as left"]),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "verdicts", ["visit_id"])
    op.create_table(
        "visit_facts",
        *stamps(),
        sa.Column("visit_id", text(), nullable=False),
        sa.Column("kind", text(), nullable=False),
        sa.Column("value", text(), nullable=False),
        sa.Column("typed", text(), nullable=False),
        one_of("kind", ["odometer_out", "looked_over", "next_distance", "next_months"]),
        sa.ForeignKeyConstraint(["visit_id"], ["visits.id"]),
        sqlite_strict=True,
    )
    op.create_index(None, "visit_facts", ["visit_id"])
    if op.get_bind().dialect.name == "sqlite":
        for table, identity in APPEND_ONLY.items():
            append_only(table, identity)
        op.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        op.execute(f"PRAGMA user_version = {SCHEMA_NUMBER}")


def downgrade() -> None:
    raise NotImplementedError("migrations go forward only: restore the backup instead")
