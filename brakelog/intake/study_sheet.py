"""Sheets of gauge studies; they are worked out, not put on file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import BinaryIO, TextIO

from brakelog.errors import InvalidInput, Problem
from brakelog.intake.cells import Cells
from brakelog.intake.problems import bad_input
from brakelog.intake.rows import SheetForm
from brakelog.intake.sheet import read_form
from brakelog.intake.words import parse_unit
from brakelog.lengths import LengthUnit, TypedLength, parse_length
from brakelog.metrology.study import StudyReading, gaps

KIND = "gauge study"
COLUMNS = ("part", "appraiser", "trial", "value", "unit")
REQUIRED = ("part", "appraiser", "trial", "value")
MOST_READINGS = 10_000
"""Readings of one study. Assumption: nobody reads a hundred parts ten times with ten people."""
_OUTCOME = "nothing was worked out"
_FALLBACK = TypedLength(nm=0, text="0", unit=LengthUnit.MM, last_digit_nm=1, unit_typed=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyRow:
    """One reading as listed."""

    source: str
    part: str
    appraiser: str
    trial: str
    value: TypedLength


@dataclass(frozen=True, slots=True, kw_only=True)
class StudySheet:
    """The readings of one study, crossed and balanced."""

    readings: tuple[StudyReading, ...]
    unit: LengthUnit
    """The unit of the first reading."""


def template() -> str:
    """Return the header line of an empty sheet.

    >>> template()
    'part,appraiser,trial,value,unit\\n'
    """
    return ",".join(COLUMNS) + "\n"


def read_study(stream: BinaryIO | TextIO, name: str) -> StudySheet:
    """Return the readings of a sheet.

    Parameters
    ----------
    stream : BinaryIO or TextIO
        As for the other sheets.
    name : str
        Name of the file, for messages.

    Raises
    ------
    BadSheet
        With every problem found: cells that cannot be read, a reading that is there twice, a
        reading that is missing.
    InvalidInput
        Where it is no sheet at all, or too long a one.
    """
    problems: list[Problem] = []
    forms = {KIND: SheetForm(columns=COLUMNS, required=REQUIRED, read=read_study_row)}
    _, rows = read_form(stream, name, KIND, forms, collect=problems, outcome=_OUTCOME)
    if len(rows) > MOST_READINGS:
        raise InvalidInput(
            f"{name} has more than {MOST_READINGS} readings", hint="is it one study?"
        )
    problems.extend(_repeated(rows))
    readings = tuple(_one_spelling(rows))
    if not problems:
        # A row that cannot be read would leave a gap that is none.
        problems = [Problem(source=name, message=text) for text in gaps(readings)]
    if problems:
        raise bad_input(problems, name, _OUTCOME)
    return StudySheet(readings=readings, unit=rows[0].value.unit)


def read_study_row(cells: Cells) -> StudyRow:
    """Return the reading of one row."""
    # A unit that cannot be read is one problem; the value is not complained of as well.
    unit = cells.maybe("unit", parse_unit, LengthUnit.MM) if cells["unit"] else None
    return StudyRow(
        source=cells.source,
        part=cells.name("part"),
        appraiser=cells.name("appraiser"),
        trial=cells.name("trial"),
        value=cells.needed(
            "value", lambda text: parse_length(text, declared=unit, signed=True), _FALLBACK
        ),
    )


def _repeated(rows: Iterable[StudyRow]) -> Iterator[Problem]:
    first: dict[tuple[str, str, str], str] = {}
    for row in rows:
        key = (row.part.casefold(), row.appraiser.casefold(), row.trial.casefold())
        if key in first:
            line = first[key].rpartition(":")[2]
            yield Problem(
                source=row.source,
                message=f"part {row.part}, appraiser {row.appraiser}, trial {row.trial} "
                f"is there already, on line {line}",
            )
        first.setdefault(key, row.source)


def _one_spelling(rows: Iterable[StudyRow]) -> Iterator[StudyReading]:
    """Written in capital or small letters, a name is the same; the first spelling stands."""
    spelled: dict[str, str] = {}
    for row in rows:
        yield StudyReading(
            part=spelled.setdefault(row.part.casefold(), row.part),
            appraiser=spelled.setdefault(row.appraiser.casefold(), row.appraiser),
            trial=spelled.setdefault(row.trial.casefold(), row.trial),
            value_nm=row.value.nm,
        )
