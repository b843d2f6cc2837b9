"""How a stored value stands in a cell of an exported sheet, and how it is read out again.

A sheet is likely to be opened in a spreadsheet, which runs a cell that begins like a formula. So a
text stands behind an apostrophe unless it begins with what begins no formula, and a text that
begins with an apostrophe gets one more: whatever begins with one loses one when it is read. An
empty text is a lone apostrophe, and an empty cell is nothing at all. Whole numbers stand as they
are: a sign and digits are no formula.
"""

from __future__ import annotations

import re

from brakelog.errors import InvalidInput, clip

GUARD = "'"
HARMLESS = frozenset('[{("_/.#')
"""What a text may begin with, beside letters and digits, and stand as it is; assumption: no
spreadsheet takes these for the beginning of a formula. Signs that are formulas (=, +, -, @), tabs,
line breaks and their wide forms are all none of these."""
_NUMBER = re.compile(r"0|-?[1-9][0-9]{0,18}")


def to_cell(value: str | int | None) -> str:
    """Return what stands in the cell for a stored value.

    >>> [to_cell(each) for each in ("=1+1", "", None, "'tis", -5, "27,41")]
    ["'=1+1", "'", '', "''tis", '-5', '27,41']
    """
    if value is None:
        return ""
    if isinstance(value, int):
        return str(value)
    first = value[:1]
    return value if first.isalnum() or first in HARMLESS else GUARD + value


def from_cell(cell: str, *, is_number: bool) -> str | int | None:
    """Return the stored value that a cell stands for.

    Raises
    ------
    InvalidInput
        Where a number is wanted and something else stands there.

    Examples
    --------
    >>> [from_cell(each, is_number=False) for each in ("'=1+1", "'", "", "''tis")]
    ['=1+1', '', None, "'tis"]
    """
    if not cell:
        return None
    if is_number:
        if not _NUMBER.fullmatch(cell):
            raise InvalidInput(f"{clip(cell)!r} is not a whole number")
        return int(cell)
    return cell.removeprefix(GUARD)
