"""The kinds of sheet there are, with their columns and what a row becomes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from brakelog.intake import (
    finding_row,
    fitting_row,
    gauge_row,
    limit_row,
    reading_row,
    vehicle_row,
)
from brakelog.intake.cells import Cells
from brakelog.intake.known_rows import KnownRows

Row = (
    vehicle_row.VehicleRow
    | limit_row.LimitRow
    | limit_row.TorqueRow
    | gauge_row.GaugeRow
    | reading_row.ReadingRow
    | finding_row.FindingRow
    | fitting_row.FittingRow
)


R_co = TypeVar("R_co", covariant=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetForm(Generic[R_co]):
    """The columns of one kind of sheet."""

    columns: tuple[str, ...]
    required: tuple[str, ...]
    read: Callable[[Cells], R_co]
    known: Callable[[Sequence[str]], KnownRows] | None = None
    """What reads rows that say little new, by the columns of a sheet; for sheets of readings."""


FORMS: Mapping[str, SheetForm[Row]] = {
    "vehicles": SheetForm(
        columns=vehicle_row.COLUMNS, required=vehicle_row.REQUIRED, read=vehicle_row.read_vehicle
    ),
    "limits": SheetForm(
        columns=limit_row.COLUMNS, required=limit_row.REQUIRED, read=limit_row.read_limit
    ),
    "gauges": SheetForm(
        columns=gauge_row.COLUMNS, required=gauge_row.REQUIRED, read=gauge_row.read_gauge
    ),
    "readings": SheetForm(
        columns=reading_row.COLUMNS, required=reading_row.REQUIRED, read=reading_row.read_reading
    ),
    "findings": SheetForm(
        columns=finding_row.COLUMNS,
        required=finding_row.REQUIRED,
        read=finding_row.read_finding_row,
    ),
    "fittings": SheetForm(
        columns=fitting_row.COLUMNS, required=fitting_row.REQUIRED, read=fitting_row.read_fitting
    ),
}

FORMS_TO_FILE: Mapping[str, SheetForm[Row]] = {
    **FORMS,
    "readings": replace(FORMS["readings"], read=reading_row.read_unchecked, known=KnownRows),
}
"""The same for rows that are filed at once: what filing checks anyway is not checked twice."""
