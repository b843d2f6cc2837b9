"""Sheets of readings: many visits of many vehicles, one reading set a row."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from brakelog.errors import InvalidInput
from brakelog.intake.cells import Cells
from brakelog.intake.check import check_reading
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, LookedOver, ReadingEntry
from brakelog.intake.tokens import join_units
from brakelog.intake.visit_cells import parse_odometer, read_day
from brakelog.intake.words import parse_stage, parse_yes_no
from brakelog.lengths import LengthUnit
from brakelog.record.corner import Corner, Side, parse_corner
from brakelog.record.quantity import Quantity, parse_quantity
from brakelog.record.reading import Stage

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
_NAMES = ("gauge", "by")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading set of one visit as listed; names are not looked up yet."""

    source: str
    vehicle: str
    day: date
    odometer: str
    corner: Corner
    quantity: Quantity | None
    """None in a row that only says that the corner was looked over."""
    tokens: tuple[str, ...]
    """One text per value, in the order taken."""
    stage: Stage
    options: Mapping[str, str] = field(default_factory=dict)
    """What was said beside the values, by its word in a typed line."""
    odometer_out: str = ""
    complaint: str = ""
    looked_over: bool = False


def read_reading(cells: Cells) -> ReadingRow:
    """Return the reading of one row, checked as far as the sheet alone allows."""
    row = read_unchecked(cells)
    if row.quantity is not None and not cells.problems:
        cells.attempt(lambda: check_alone(row), None)
    return row


def read_unchecked(cells: Cells) -> ReadingRow:
    """Return the reading of one row whose values are checked when it is filed."""
    row = ReadingRow(
        source=cells.source,
        vehicle=cells.name("vehicle"),
        day=read_day(cells),
        odometer=cells.needed("odometer", parse_odometer, ""),
        odometer_out=cells.maybe("odometer_out", parse_odometer, ""),
        complaint=cells.note("complaint"),
        corner=cells.needed("corner", parse_corner, Corner(axle=1, side=Side.LEFT)),
        quantity=cells.maybe("quantity", parse_quantity, None),
        tokens=tuple(
            cells.maybe("values", lambda text: join_units(text.split()), []),
        ),
        stage=cells.maybe("stage", parse_stage, Stage.AS_FOUND),
        options={word: cells[column] for column, word in OPTION_OF.items() if cells[column]},
        looked_over=cells.maybe("looked_over", parse_yes_no, False),
    )
    if cells["quantity"] or cells["values"]:
        if not cells["quantity"] or not cells["values"]:
            cells.refuse("quantity and values belong together, and one of them is empty")
    elif not row.looked_over:
        cells.refuse("the row has neither a quantity nor looked_over")
    elif row.options:
        cells.refuse(f"{next(iter(row.options))} is filled and there are no values")
    return row


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
    if row.quantity is None:
        return None
    return check_reading(
        source=row.source,
        corner=row.corner,
        quantity=row.quantity,
        tokens=row.tokens,
        options=row.options,
        context=context if context.stage is row.stage else replace(context, stage=row.stage),
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
    if row.looked_over:
        context.brake_of(row.corner)
        found = (*found, LookedOver(source=row.source, corner=row.corner))
    return found


def check_alone(row: ReadingRow) -> None:
    """Refuse what is wrong whatever the gauges and people on file are.

    Where the unit depends on them, only what is wrong in every unit.

    Raises
    ------
    InvalidInput
        With what is wrong.
    """
    options = {name: text for name, text in row.options.items() if name not in _NAMES}
    bare = replace(row, options=options)
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
