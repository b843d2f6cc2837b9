"""Plain words beside what was measured, and for the drawings of it."""

from __future__ import annotations

from brakelog.record.quantity import Position
from brakelog.reports.plain_names import POSITION_NAMES

STATES = {
    "corrected": "corrected {}",
    "at limit": "at its limit",
    "past limit": "past its limit",
    "too close": "too close to be sure",
    "again": "to be read again",
}
"""What is said beside a figure."""
WHEN_FITTED = "when fitted"
_WITH_PLATE = {
    Position.PAD_INNER: "inner pad with its plate",
    Position.PAD_OUTER: "outer pad with its plate",
    Position.SHOE_LEADING: "leading shoe with its plate",
    Position.SHOE_TRAILING: "trailing shoe with its plate",
}


def part_name(position: Position, *, has_plate: bool) -> str:
    """Return the name of a part whose size was read."""
    return _WITH_PLATE[position] if has_plate else POSITION_NAMES[position]


def limit_unknown(*, is_on_file: bool) -> str:
    """Return what stands in place of a limit."""
    return "not settled yet" if is_on_file else "not on file"
