"""One row of what a sheet can hold, typed as a command instead; the same checks for both."""

from __future__ import annotations

from collections.abc import Mapping

from brakelog.errors import BadSheet, InvalidInput
from brakelog.intake.cells import Cells
from brakelog.intake.rows import FORMS, Row

SOURCE = "command line"


def typed_row(kind: str, texts: Mapping[str, str | None]) -> Row:
    """Return the row that the texts stand for, by the columns of the sheet of that kind.

    Raises
    ------
    InvalidInput
        With what is wrong; all of it where it is more than one thing.
    """
    cells = Cells(SOURCE, {column: text.strip() for column, text in texts.items() if text})
    row = FORMS[kind].read(cells)
    if len(cells.problems) == 1:
        raise InvalidInput(cells.problems[0].message, hint="nothing was written")
    if cells.problems:
        raise BadSheet(
            "this cannot be put on file", tuple(cells.problems), hint="nothing was written"
        )
    return row
