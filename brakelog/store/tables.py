"""The tables, as the newest migration leaves them.

Evidence is append-only and outlives everything else: nothing in it is updated or deleted, and
a correction is a row of its own. Names of people and of customers, plates and complaints stand
in tables of their own, so that evidence can be chained and handed on without them. What is
computed from the evidence stands in tables whose names begin with ``derived``, and may go away.
Every row of evidence is sealed and chained (``seals``, ``ledger``); other rows are sealed only.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import (
    REAL,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.types import TypeEngine

from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.agreement import Consent, How
from brakelog.record.answer import Said
from brakelog.record.closing import Check
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.gauge import GaugeKind, Tips
from brakelog.record.limit import LimitKind, OutWhen, WhichPad
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.store.column_types import (
    BrakesText,
    ExactInteger,
    JsonIntegers,
    JsonTexts,
    QuantitiesText,
)
from brakelog.store.columns import (
    Piece,
    corner,
    day,
    flag,
    moment,
    one_of,
    points_at,
    text,
    whole,
    words,
)

SCHEMA_HEAD = "0005"
"""The newest revision under migrations/; a test keeps the two equal."""
SCHEMA_NUMBER = 5
"""The same as a number, kept in the header of the file (``user_version``)."""
SAME_TABLES_SINCE = 4
"""The oldest number whose tables have the same columns: what was exported of them can be read."""
APPLICATION_ID = 0x42724C67
"""The four bytes ``BrLg`` in the header of the file, by which a store is told from other files."""

FACT_KINDS = ("odometer_out", "looked_over", "next_distance", "next_months")
CORRECTION_KINDS = (
    "amend",
    "void visit",
    "move visit",
    "void set",
    "void finding",
    "void fitting",
    "withdraw limit",
)

EVENT_KINDS = (
    "customer forgotten",
    "merged",
    "moved",
    "names added",
    "names changed",
    "restored",
    "sealed",
)

_REAL: TypeEngine[float] = REAL().with_variant(Double(), "postgresql")
"""A float of 64 bits under either name."""

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _row() -> Column[Any]:
    return Column("row", ExactInteger, primary_key=True)


def _table(name: str, *pieces: Piece | Index | UniqueConstraint | Iterable[Piece]) -> Table:
    flat: list[Any] = []
    for piece in pieces:
        if isinstance(piece, (Column, CheckConstraint, Index, UniqueConstraint)):
            flat.append(piece)
        else:
            flat.extend(piece)
    return Table(name, metadata, *flat, sqlite_strict=True)


def _evidence(name: str, *pieces: Piece | Index | UniqueConstraint | Iterable[Piece]) -> Table:
    """Return an append-only table: its own columns after those that all evidence has."""
    return _table(
        name,
        _row(),
        text("id", unique=True),
        text("site"),
        moment("recorded_at"),
        points_at("people", "recorded_by", null=True),
        text("checksum", null=True),
        text("chain_prev", null=True),
        text("chain_link", null=True),
        CheckConstraint('"row" > 0', name="row_over_0"),
        CheckConstraint("id <> ''", name="id_not_empty"),
        CheckConstraint("site <> ''", name="site_not_empty"),
        *pieces,
    )


people = _table(
    "people",
    _row(),
    text("id", unique=True),
    text("tag"),
    text("tag_key", unique=True),
    text("name"),
    text("role"),
    text("checksum", null=True),
)
customers = _table(
    "customers",
    _row(),
    text("id", unique=True),
    text("tag"),
    text("tag_key", unique=True),
    text("name"),
    text("contact"),
    text("checksum", null=True),
)
shop_settings = _evidence(
    "shop_settings",
    text("name"),
    text("value"),
    CheckConstraint("name <> ''", name="name_not_empty"),
    Index(None, "name", "row"),
)
limit_sheets = _evidence(
    "limit_sheets",
    points_at("limit_sheets", "key"),
    text("name"),
    text("name_key", index=True),
    text("note"),
    Index(None, "key", "row"),
)
vehicles = _evidence(
    "vehicles",
    points_at("vehicles", "key"),
    text("tag"),
    text("tag_key", index=True),
    text("description"),
    Column("brakes", BrakesText, nullable=False),
    CheckConstraint("brakes LIKE 'd%'", name="brakes_begin_with_d"),
    one_of("odometer_unit", DistanceUnit),
    points_at("limit_sheets", "sheet_id", null=True),
    Index(None, "key", "row"),
)
vehicle_identities = _table(
    "vehicle_identities",
    Column("vehicle_id", Text, ForeignKey("vehicles.id"), primary_key=True),
    text("plate"),
    text("plate_key", index=True),
    text("vin"),
    text("vin_key", index=True),
    points_at("customers", "customer_id", null=True, index=True),
    text("checksum", null=True),
)
gauges = _evidence(
    "gauges",
    points_at("gauges", "key"),
    text("tag"),
    text("tag_key", index=True),
    one_of("kind", GaugeKind),
    one_of("unit", LengthUnit),
    whole("resolution_nm", least=0),
    text("resolution_text"),
    Column("used_for", QuantitiesText, nullable=False),
    one_of("tips", Tips, null=True),
    whole("error_limit_nm", null=True, least=0),
    day("checked_on", null=True),
    whole("check_every_months", null=True, least=0),
    text("note"),
    Index(None, "key", "row"),
)
visits = _evidence(
    "visits",
    points_at("vehicles", "vehicle_id", index=True),
    day("day"),
    whole("odometer_mm", least=0),
    text("odometer_text"),
    one_of("odometer_unit", DistanceUnit),
    points_at("people", "person_id", null=True),
)
visit_facts = _evidence(
    "visit_facts",
    points_at("visits", "visit_id", index=True),
    words("kind", FACT_KINDS),
    text("value"),
    text("typed"),
)
complaints = _table(
    "complaints",
    _row(),
    points_at("visits", "visit_id", index=True),
    moment("recorded_at"),
    text("text"),
    CheckConstraint('"row" > 0', name="row_over_0"),
    text("checksum", null=True),
)
reading_sets = _evidence(
    "reading_sets",
    points_at("visits", "visit_id", index=True),
    corner("corner"),
    one_of("quantity", Quantity),
    one_of("stage", Stage),
    Column("values_nm", JsonIntegers, nullable=False),
    CheckConstraint("values_nm LIKE '[%]'", name="values_nm_list"),
    Column("typed", JsonTexts, nullable=False),
    CheckConstraint("typed LIKE '[%]'", name="typed_list"),
    one_of("unit", LengthUnit),
    one_of("datum", Datum, null=True),
    whole("again_nm", null=True),
    text("again_typed"),
    points_at("gauges", "gauge_id", null=True),
    one_of("tips", Tips, null=True),
    points_at("people", "person_id", null=True),
    whole("temperature_dc", null=True, least=-2732),
    whole("zero_error_nm"),
    whole("radius_nm", null=True, least=0),
    whole("fasteners_fitted", null=True, least=0),
    whole("fasteners_of", null=True, least=0),
    flag("bearing_checked", null=True),
    flag("returned_to_start", null=True),
    points_at("reading_sets", "corrects", null=True),
    whole("rotor_index", null=True, least=0),
    flag("lip", null=True),
    flag("in_groove", null=True),
    Index(None, "recorded_at"),
)
Index(
    "ix_reading_sets_repeats",
    reading_sets.c.gauge_id,
    reading_sets.c.recorded_at,
    sqlite_where=reading_sets.c.again_nm.is_not(None),
    postgresql_where=reading_sets.c.again_nm.is_not(None),
)
findings = _evidence(
    "findings",
    points_at("visits", "visit_id", index=True),
    corner("corner"),
    one_of("stage", Stage),
    one_of("kind", FindingKind),
    one_of("part", Part),
    text("note"),
    flag("put_right"),
    points_at("people", "person_id", null=True),
    points_at("findings", "corrects", null=True),
)
fittings = _evidence(
    "fittings",
    points_at("visits", "visit_id", index=True),
    day("day"),
    whole("odometer_mm", least=0),
    corner("corner"),
    one_of("position", Position),
    one_of("event", FittingEvent),
    one_of("basis", SizeBasis),
    whole("size_nm", null=True, least=0),
    text("size_typed"),
    corner("from_corner", null=True),
    points_at("people", "person_id", null=True),
    text("note"),
)
corrections = _evidence(
    "corrections",
    words("kind", CORRECTION_KINDS),
    text("target_id", index=True),
    text("replacement_id", null=True, index=True),
    Column("to_vehicle", Text, ForeignKey("vehicles.id"), nullable=True, index=True),
    text("reason"),
    CheckConstraint("trim(reason) <> ''", name="reason_not_blank"),
    CheckConstraint(
        "(kind = 'amend') = (replacement_id IS NOT NULL)", name="replacement_for_amend"
    ),
    CheckConstraint("(kind = 'move visit') = (to_vehicle IS NOT NULL)", name="to_vehicle_for_move"),
)
limits = _evidence(
    "limits",
    one_of("kind", LimitKind),
    whole("axle", least=1),
    points_at("limit_sheets", "sheet_id", null=True, index=True),
    points_at("vehicles", "vehicle_id", null=True, index=True),
    corner("corner", null=True),
    text("typed_1"),
    whole("nm_1", least=0),
    one_of("unit_1", LengthUnit),
    whole("last_digit_nm_1", least=0),
    flag("unit_typed_1"),
    text("typed_2", null=True),
    whole("nm_2", null=True, least=0),
    one_of("unit_2", LengthUnit, null=True),
    whole("last_digit_nm_2", null=True, least=0),
    flag("unit_typed_2", null=True),
    text("source"),
    one_of("out_when", OutWhen, null=True),
    one_of("datum", Datum, null=True),
    one_of("which_pad", WhichPad),
    whole("points", null=True, least=1),
    whole("radius_nm", null=True, least=0),
    day("source_date", null=True),
    text("note"),
    points_at("limits", "replaces", null=True, index=True),
    CheckConstraint("sheet_id IS NOT NULL OR vehicle_id IS NOT NULL", name="on_sheet_or_vehicle"),
    CheckConstraint(
        "(typed_2 IS NULL) = (nm_2 IS NULL) AND (typed_2 IS NULL) = (unit_2 IS NULL)"
        " AND (typed_2 IS NULL) = (last_digit_nm_2 IS NULL)"
        " AND (typed_2 IS NULL) = (unit_typed_2 IS NULL)",
        name="second_figure_whole",
    ),
)
limit_confirmations = _evidence(
    "limit_confirmations",
    points_at("limits", "limit_id", index=True),
    whole("figure", least=0),
    points_at("people", "person_id", null=True),
    text("reason"),
    Column("over_limits", JsonTexts, nullable=False),
)
torques = _evidence(
    "torques",
    points_at("limit_sheets", "sheet_id", index=True),
    whole("axle", least=1),
    text("fastener"),
    text("figure"),
    text("source"),
)
verdicts = _evidence(
    "verdicts",
    points_at("visits", "visit_id", index=True),
    one_of("stage", Stage),
    text("format"),
    text("document"),
    text("policy"),
    text("sheet", null=True),
)
sheet_traits = _evidence(
    "sheet_traits",
    points_at("limit_sheets", "sheet_id", index=True),
    whole("axle", least=0),
    text("name"),
    text("value"),
    text("source"),
    CheckConstraint("name <> ''", name="name_not_empty"),
)
answers = _evidence(
    "answers",
    points_at("visits", "visit_id", index=True),
    text("question_key"),
    one_of("said", Said),
    text("note"),
    CheckConstraint("question_key <> ''", name="question_key_not_empty"),
)
odometer_corrections = _evidence(
    "odometer_corrections",
    points_at("visits", "visit_id", index=True),
    whole("odometer_mm", least=0),
    text("odometer_text"),
    one_of("odometer_unit", DistanceUnit),
    text("reason"),
    CheckConstraint("trim(reason) <> ''", name="reason_not_blank"),
)
closing_answers = _evidence(
    "closing_answers",
    points_at("visits", "visit_id", index=True),
    one_of("checked", Check),
    text("said"),
    whole("axle", null=True, least=1),
    corner("corner", null=True),
    one_of("part", Part, null=True),
    text("note"),
    points_at("people", "person_id", null=True),
    CheckConstraint("said <> ''", name="said_not_empty"),
)
torques_left = _evidence(
    "torques_left",
    points_at("visits", "visit_id", index=True),
    whole("axle", least=1),
    corner("corner", null=True),
    text("fastener"),
    text("figure"),
    points_at("people", "person_id", null=True),
    CheckConstraint("fastener <> ''", name="fastener_not_empty"),
)
agreements = _evidence(
    "agreements",
    points_at("visits", "visit_id", index=True),
    one_of("consent", Consent),
    Column("items", JsonTexts, nullable=False),
    CheckConstraint("items LIKE '[%]'", name="items_list"),
    day("day"),
    text("time"),
    one_of("how", How),
    text("cost"),
    text("note"),
    points_at("people", "person_id", null=True),
)
agreement_names = _table(
    "agreement_names",
    _row(),
    points_at("agreements", "agreement_id", index=True),
    moment("recorded_at"),
    text("who"),
    text("number"),
    CheckConstraint('"row" > 0', name="row_over_0"),
    text("checksum", null=True),
)
events = _evidence(
    "events",
    words("kind", EVENT_KINDS),
    text("target_id"),
    text("reason"),
    CheckConstraint("trim(reason) <> ''", name="reason_not_blank"),
)
import_keys = Table(
    "import_keys",
    metadata,
    Column("key", Text, primary_key=True),
    text("kind"),
    text("target_id"),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)
draft_entries = _table(
    "draft_entries",
    Column("seq", ExactInteger, primary_key=True),
    points_at("visits", "visit_id"),
    corner("corner"),
    one_of("stage", Stage),
    text("key"),
    text("typed"),
    one_of("unit", LengthUnit),
    points_at("gauges", "gauge_id", null=True),
    points_at("people", "person_id", null=True),
    moment("at"),
    UniqueConstraint("visit_id", "corner", "stage", "key"),
    text("checksum", null=True),
)

derived_lives = _table(
    "derived_lives",
    Column("vehicle_id", Text, ForeignKey("vehicles.id"), primary_key=True),
    text("document"),
    text("checksum", null=True),
)
derived_due = _table(
    "derived_due",
    Column("vehicle_id", Text, ForeignKey("vehicles.id"), primary_key=True),
    text("document"),
    text("checksum", null=True),
)
derived_experience = _table(
    "derived_experience",
    Column("kind", Text, primary_key=True),
    Column("axle", ExactInteger, primary_key=True),
    Column("vehicle_class", Text, primary_key=True),
    Column("model", Text, primary_key=True),
    Column("log_rate", _REAL, nullable=False),
    Column("log_sd", _REAL, nullable=False),
    Column("process_c", _REAL, nullable=False),
    Column("lives_behind", _REAL, nullable=False),
    Column("widened", _REAL, nullable=False),
    whole("lives", least=0),
    whole("visits", least=0),
    whole("vehicles", least=0),
    text("source"),
    text("checksum", null=True),
)
derived_marks = _table(
    "derived_marks",
    Column("name", Text, primary_key=True),
    text("value"),
    text("checksum", null=True),
)

chain_heads = _table(
    "chain_heads",
    Column("site", Text, primary_key=True),
    text("link"),
    whole("entries", least=0),
)
row_tallies = Table(
    "row_tallies",
    metadata,
    Column("kind", Text, primary_key=True),
    Column("owner", Text, primary_key=True),
    *whole("entries", least=0),
    text("total"),
    sqlite_strict=True,
    sqlite_with_rowid=False,
)

EVIDENCE = (
    shop_settings,
    limit_sheets,
    vehicles,
    gauges,
    visits,
    visit_facts,
    reading_sets,
    findings,
    fittings,
    corrections,
    limits,
    limit_confirmations,
    torques,
    verdicts,
    sheet_traits,
    answers,
    odometer_corrections,
    closing_answers,
    torques_left,
    agreements,
    events,
)
"""The tables of evidence, each after those that it points at."""

DERIVED = (derived_lives, derived_due, derived_experience, derived_marks)
"""The tables of what is computed from the evidence; emptied, they are filled again."""

NAMES = (people, customers, vehicle_identities, complaints, agreement_names)
"""The tables of what is personal: sealed, but in no chain, so that it can be forgotten."""
