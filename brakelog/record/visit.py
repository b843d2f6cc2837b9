"""A visit: one vehicle, one day, one odometer reading."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from brakelog.lengths import DistanceUnit
from brakelog.record.corner import Corner


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """What is known of one visit; void ones are kept and marked."""

    id: str
    vehicle_id: str
    day: date
    odometer_mm: int
    odometer_text: str
    odometer_unit: DistanceUnit
    odometer_was: str = ""
    """What was typed first, where the odometer was corrected."""
    person_id: str | None = None
    odometer_out_mm: int | None = None
    odometer_out_text: str = ""
    odometer_out_at: datetime | None = None
    """When the odometer out was put on file last."""
    odometer_out_note: str = ""
    """Why it is far above the odometer in, where somebody said."""
    complaint: str = ""
    looked_over: frozenset[Corner] = frozenset()
    next_distance_mm: int | None = None
    """Distance to the next planned visit, where it differs from the shop's. [mm]"""
    next_months: int | None = None
    void_reason: str | None = None
    moved_from: str | None = None
    """Id of the vehicle that the visit was first entered for."""
