"""How far the parts of one vehicle will go, as far as it does not depend on today."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from brakelog.record.corner import Corner
from brakelog.record.quantity import Position
from brakelog.wear.projection import Refusal
from brakelog.wear.usage import Usage


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOutlook:
    """How far one part will go, as far as it does not depend on today."""

    corner: Corner
    position: Position
    grounds: str
    """``required``, ``suggested``, ``open``, or nothing."""
    refusal: Refusal | None
    ask: str
    """What has to be cleared up first; empty where nothing has."""
    at_least_mm: int | None
    median_mm: int | None
    latest_mm: int | None
    from_odometer_mm: int | None
    read_on: date | None
    not_before: date | None
    """Day of the bound; None where there is none, or it lies more than five years ahead."""
    median_day: date | None
    margin_nm: int | None
    """Material between the last reading and the limit. [nm]"""
    limit_nm: int | None
    readings: int
    own_share: float
    source: str
    """Whose experience it used."""

    @property
    def is_told(self) -> bool:
        """Whether it says how far the part will go, be it not at all."""
        return self.refusal in (None, Refusal.AT_LIMIT, Refusal.WITHIN_ERROR)


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleOutlook:
    """The outlook of one vehicle."""

    vehicle_class: str | None
    visits: int
    last_day: date
    last_odometer_mm: int
    planned_months: int
    wears_by_age: bool
    """Whether rust or standing still, not distance, wears its brakes."""
    usage: Usage
    parts: tuple[PartOutlook, ...]
