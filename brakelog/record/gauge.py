"""Measuring instruments."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from brakelog.lengths import LengthUnit
from brakelog.record.member import Member
from brakelog.record.quantity import Quantity


class GaugeKind(Member):
    """What kind of instrument took a reading."""

    MICROMETER = "micrometer"
    CALLIPER = "calliper"
    DIAL = "dial indicator"
    DRUM = "drum gauge"
    DEPTH = "depth gauge"
    STEPPED = "stepped gauge"
    EYE = "by eye"


class Tips(Member):
    """The measuring faces: pointed tips reach past a lip and into grooves, flat ones bridge."""

    POINTED = "pointed"
    FLAT = "flat"
    CALLIPER = "calliper"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """One instrument of the shop, as it stood when the row was written."""

    id: str
    tag: str
    kind: GaugeKind
    unit: LengthUnit
    """The unit of a number that the gauge gives without one."""
    resolution_nm: int
    """One step of the display or scale. [nm]"""
    resolution_text: str
    used_for: frozenset[Quantity] = frozenset()
    """Quantities that it is taken for where no gauge is named."""
    tips: Tips | None = None
    error_limit_nm: int | None = None
    """Limit of error from its certificate or maker. [nm]"""
    checked_on: date | None = None
    check_every_months: int | None = None
    note: str = ""

    @property
    def next_check(self) -> date | None:
        """The day from which its check is overdue; None where none is planned."""
        if self.checked_on is None or self.check_every_months is None:
            return None
        months = self.checked_on.month - 1 + self.check_every_months
        year, month = self.checked_on.year + months // 12, months % 12 + 1
        last = monthrange(year, month)[1]
        return date(year, month, min(self.checked_on.day, last))

    def is_overdue(self, day: date) -> bool:
        """Whether it was used after the day of its next check, or never checked though planned."""
        if self.check_every_months is not None and self.checked_on is None:
            return True
        return self.next_check is not None and day > self.next_check
