"""Sheets of findings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from brakelog.intake.cells import Cells
from brakelog.intake.context import Context
from brakelog.intake.entry import FindingEntry, LookedOver
from brakelog.intake.finding import check_finding, parse_kind, parse_part
from brakelog.intake.line import LOOKED_OVER
from brakelog.intake.visit_cells import parse_odometer, read_day
from brakelog.intake.words import parse_stage, parse_yes_no
from brakelog.record.corner import Corner, Side, parse_corner
from brakelog.record.finding import FindingKind
from brakelog.record.quantity import Part
from brakelog.record.reading import Stage

COLUMNS = (
    "vehicle",
    "date",
    "odometer",
    "corner",
    "finding",
    "part",
    "stage",
    "note",
    "by",
    "fixed",
)
REQUIRED = ("vehicle", "date", "odometer", "corner", "finding")


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """One finding of one visit as listed; names are not looked up yet."""

    source: str
    vehicle: str
    day: date
    odometer: str
    corner: Corner
    finding: FindingKind | None
    """None where the row says that the corner was looked over."""
    stage: Stage
    part: Part | None = None
    note: str = ""
    by: str = ""
    fixed: bool = False


def read_finding_row(cells: Cells) -> FindingRow:
    """Return the finding of one row."""
    is_looked_over = "-".join(cells["finding"].lower().split()) == LOOKED_OVER
    row = FindingRow(
        source=cells.source,
        vehicle=cells.name("vehicle"),
        day=read_day(cells),
        odometer=cells.needed("odometer", parse_odometer, ""),
        corner=cells.needed("corner", parse_corner, Corner(axle=1, side=Side.LEFT)),
        finding=None if is_looked_over else cells.needed("finding", parse_kind, FindingKind.OTHER),
        stage=cells.maybe("stage", parse_stage, Stage.AS_FOUND),
        part=cells.maybe("part", parse_part, None),
        note=cells.note("note"),
        by=cells.name_if_any("by"),
        fixed=cells.maybe("fixed", parse_yes_no, False),
    )
    if is_looked_over:
        cells.must_be_empty(("part", "note", "fixed"), "does not belong to looked-over")
    elif not cells.problems:
        cells.attempt(lambda: _entry(replace(row, by=""), Context()), None)
    return row


def finding_entry(row: FindingRow, context: Context) -> FindingEntry | LookedOver:
    """Return what the row says; its own stage holds, not the context's.

    Raises
    ------
    InvalidInput
        Where the person is unknown, or the part does not fit the vehicle's brakes.
    """
    return _entry(row, context)


def _entry(row: FindingRow, context: Context) -> FindingEntry | LookedOver:
    if row.finding is None:
        context.brake_of(row.corner)
        return LookedOver(source=row.source, corner=row.corner)
    said = {
        "part": row.part.value if row.part else "",
        "by": row.by,
        "fixed": "yes" if row.fixed else "",
    }
    return check_finding(
        source=row.source,
        corner=row.corner,
        kind=row.finding,
        note=row.note,
        options={name: text for name, text in said.items() if text},
        context=replace(context, stage=row.stage),
    )
