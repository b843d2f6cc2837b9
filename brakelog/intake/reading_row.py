"""Sheets of readings: many visits of many vehicles, one reading set a row."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import ClassVar

from brakelog.errors import InvalidInput
from brakelog.intake.cells import Cells
from brakelog.intake.check import check_reading
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, LookedOver, ReadingEntry
from brakelog.intake.tokens import split_values
from brakelog.intake.visit_cells import parse_odometer, read_day
from brakelog.intake.words import WORDS_KNOWN, parse_stage, parse_yes_no
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, Side, parse_corner
from brakelog.record.quantity import Quantity, parse_quantity
from brakelog.record.reading import Stage

VISITS_KNOWN = 256
"""Visits whose cells are kept in mind; a sheet lists the rows of one close together. [-]"""
COLUMNS = (
    "vehicle",
    "date",
    "odometer",
    "odometer_out",
    "complaint",
    "corner",
    "quantity",
    "values",
    "again",
    "unit",
    "gauge",
    "by",
    "stage",
    "tips",
    "datum",
    "temperature",
    "zero_error",
    "radius",
    "nuts",
    "bearing",
    "back",
    "rotor_index",
    "lip",
    "in_groove",
    "looked_over",
)
REQUIRED = ("vehicle", "date", "odometer", "corner", "quantity", "values")
OPTION_OF = {
    "again": "again",
    "unit": "unit",
    "gauge": "gauge",
    "by": "by",
    "tips": "tips",
    "datum": "datum",
    "temperature": "temp",
    "zero_error": "zero",
    "radius": "radius",
    "nuts": "nuts",
    "bearing": "bearing",
    "back": "back",
    "rotor_index": "index",
    "lip": "lip",
    "in_groove": "groove",
}
"""The columns that say something beside the values, and their word in a typed line."""
VISIT_COLUMNS = ("vehicle", "date", "odometer", "odometer_out", "complaint")
"""The columns in which the rows of one visit say the same."""
BESIDE_COLUMNS = ("corner", "quantity", "stage", "looked_over", *OPTION_OF)
"""The columns in which a sheet says the same over and over, whatever was measured when."""
_NAMES = ("gauge", "by")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VisitSaid:
    """What a row says of its visit; rows of one visit share one of these."""

    vehicle: str
    day: date
    odometer: str
    odometer_out: str = ""
    complaint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BesideSaid:
    """What a row says beside its visit and its values; rows that say the same share one."""

    corner: Corner
    quantity: Quantity | None
    """None in a row that only says that the corner was looked over."""
    stage: Stage
    options: Mapping[str, str]
    """What was said beside the values, by its word in a typed line."""
    looked_over: bool = False


@dataclass(slots=True, kw_only=True, eq=False)
class ReadingRow:
    """One reading set of one visit as listed; names are not looked up yet.

    Nobody changes one; it is not frozen because a sheet has millions, and that costs each of them
    as much as reading its values.
    """

    SHARED: ClassVar[Mapping[str, type]] = {"visit": VisitSaid, "beside": BesideSaid}

    source: str
    visit: VisitSaid
    beside: BesideSaid
    tokens: tuple[str, ...]
    """One text per value, in the order taken."""


def read_reading(cells: Cells) -> ReadingRow:
    """Return the reading of one row, checked as far as the sheet alone allows."""
    row = read_unchecked(cells)
    if row.beside.quantity is not None and not cells.problems:
        cells.attempt(lambda: check_alone(row), None)
    return row


def read_unchecked(cells: Cells) -> ReadingRow:
    """Return the reading of one row whose values are checked when it is filed."""
    visit = _known_visit(cells.texts_of(VISIT_COLUMNS)) or _visit(cells)
    known = _known(cells.texts_of(BESIDE_COLUMNS))
    corner, quantity = (known.corner, known.quantity) if known else _where(cells)
    no_tokens: tuple[str, ...] = ()
    tokens = cells.maybe("values", split_values, no_tokens)
    beside = known or _beside(cells, corner, quantity)
    row = ReadingRow(source=cells.source, visit=visit, beside=beside, tokens=tokens)
    if cells["quantity"] or cells["values"]:
        if not cells["quantity"] or not cells["values"]:
            cells.refuse("quantity and values belong together, and one of them is empty")
    elif not beside.looked_over:
        cells.refuse("the row has neither a quantity nor looked_over")
    elif beside.options:
        cells.refuse(f"{next(iter(beside.options))} is filled and there are no values")
    return row


@lru_cache(maxsize=VISITS_KNOWN)
def _known_visit(texts: tuple[str | None, ...]) -> VisitSaid | None:
    """Return what the cells of ``VISIT_COLUMNS`` say; None where something is wrong with one."""
    cells = _cells_of(VISIT_COLUMNS, texts)
    found = _visit(cells)
    return None if cells.problems else found


def _visit(cells: Cells) -> VisitSaid:
    return VisitSaid(
        vehicle=cells.name("vehicle"),
        day=read_day(cells),
        odometer=cells.needed("odometer", parse_odometer, ""),
        odometer_out=cells.maybe("odometer_out", parse_odometer, ""),
        complaint=cells.note("complaint"),
    )


def _cells_of(columns: tuple[str, ...], texts: tuple[str | None, ...]) -> Cells:
    return Cells("", {name: text for name, text in zip(columns, texts, strict=True) if text})


@lru_cache(maxsize=WORDS_KNOWN)
def _known(texts: tuple[str | None, ...]) -> BesideSaid | None:
    """Return what the cells of ``BESIDE_COLUMNS`` say; None where something is wrong with one."""
    cells = _cells_of(BESIDE_COLUMNS, texts)
    found = _beside(cells, *_where(cells))
    return None if cells.problems else found


def _where(cells: Cells) -> tuple[Corner, Quantity | None]:
    return (
        cells.needed("corner", parse_corner, Corner(axle=1, side=Side.LEFT)),
        cells.maybe("quantity", parse_quantity, None),
    )


def _beside(cells: Cells, corner: Corner, quantity: Quantity | None) -> BesideSaid:
    return BesideSaid(
        corner=corner,
        quantity=quantity,
        stage=cells.maybe("stage", parse_stage, Stage.AS_FOUND),
        options={word: cells[column] for column, word in OPTION_OF.items() if cells[column]},
        looked_over=cells.maybe("looked_over", parse_yes_no, False),
    )


def reading_entry(row: ReadingRow, context: Context) -> ReadingEntry | None:
    """Return the reading set of the row; None where the row only says looked over.

    Parameters
    ----------
    row : ReadingRow
        As read from the sheet; its own stage holds, not the context's.
    context : Context
        Gauges, people and declared unit.

    Raises
    ------
    InvalidInput
        Where a gauge or person is unknown, or the unit cannot be told.
    """
    said = row.beside
    if said.quantity is None:
        return None
    return check_reading(
        source=row.source,
        corner=said.corner,
        quantity=said.quantity,
        tokens=row.tokens,
        options=said.options,
        context=context if context.stage is said.stage else replace(context, stage=said.stage),
    )


def row_entries(row: ReadingRow, context: Context) -> tuple[Entry, ...]:
    """Return everything that the row says: the reading set, and looked over.

    Raises
    ------
    InvalidInput
        As ``reading_entry`` does.
    """
    entry = reading_entry(row, context)
    found: tuple[Entry, ...] = () if entry is None else (entry,)
    if row.beside.looked_over:
        context.brake_of(row.beside.corner)
        found = (*found, LookedOver(source=row.source, corner=row.beside.corner))
    return found


def check_alone(row: ReadingRow) -> None:
    """Refuse what is wrong whatever the gauges and people on file are.

    Where the unit depends on them, only what is wrong in every unit.

    Raises
    ------
    InvalidInput
        With what is wrong.
    """
    said = row.beside
    options = {name: text for name, text in said.options.items() if name not in _NAMES}
    bare = replace(row, beside=replace(said, options=options))
    if "unit" in options:
        reading_entry(bare, Context())
        return
    first: InvalidInput | None = None
    for unit in LengthUnit:
        try:
            reading_entry(bare, Context(declared=unit))
        except InvalidInput as error:
            first = first or error
        else:
            return
    if first is not None:
        raise first
