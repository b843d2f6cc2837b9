"""The history of a vehicle's parts as a document for machines."""

from __future__ import annotations

from typing import Any, TypeAlias

from brakelog.lengths import decimal_mm
from brakelog.record.fitting import Fitting
from brakelog.record.shop import Shop
from brakelog.rules.document import life_document
from brakelog.rules.fan import Fan
from brakelog.rules.part_history import (
    FinishedPart,
    PlaceHistory,
    RecordedReading,
    RunningPart,
    VehicleHistory,
)
from brakelog.rules.unfiled import unfiled_count
from brakelog.wear.straight import PlainCheck, Reach
from brakelog.wear.trend import Trend

FORMAT = "brakelog.history/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""

Json: TypeAlias = Any
"""Nothing, a truth value, a number, a text, a list or a mapping of those."""


def history_document(history: VehicleHistory) -> dict[str, Json]:
    """Return the history as plain values; lengths are decimal strings in mm."""
    file = history.file
    vehicle, visit = file.vehicle, file.visit
    return {
        "format": FORMAT,
        "vehicle": {"id": vehicle.id, "tag": vehicle.tag, "description": vehicle.description},
        "as_of": {
            "date": visit.day.isoformat(),
            "odometer_km": _km(visit.odometer_mm),
            "visits": len(file.visits),
            "since": file.visits[0].day.isoformat(),
        },
        "places": [_place(place, file.shop) for place in history.places],
        "findings": [
            {
                "corner": each.corner.code,
                "part": each.part.value,
                "finding": each.kind.value,
                "note": each.note or None,
            }
            for each in history.wanting
        ],
        "entry_not_filed": unfiled_count(file),
    }


def _place(place: PlaceHistory, shop: Shop) -> dict[str, Json]:
    return {
        "corner": place.corner.code,
        "part": place.position.part.value,
        "position": place.position.value,
        "running": None if place.running is None else _running(place.running, shop),
        "finished": [_finished(part) for part in place.finished],
    }


def _running(part: RunningPart, shop: Shop) -> dict[str, Json]:
    limit = part.limit
    return {
        "fitted": _fitting(part.begun),
        "readings": [_reading(each) for each in part.readings],
        "limit_mm": _mm(None if limit is None else limit.nm),
        "limit_as_printed": None if limit is None else limit.limit.as_printed,
        "limit_source": None if limit is None else limit.limit.source,
        "new_mm": _mm(part.life.new_nm),
        "life": life_document(part.told, shop),
        "line": None if part.trend is None else _line(part.trend),
        "fan": None if part.fan is None else _fan(part.fan),
        "straight_line": None if part.check is None else _straight(part.check),
    }


def _finished(part: FinishedPart) -> dict[str, Json]:
    rate = part.rate_nm_per_1000km
    return {
        "fitted": _fitting(part.begun),
        "readings": [_reading(each) for each in part.readings],
        "ended": _fitting(part.ended),
        "whole": part.is_whole,
        "lasted_km": _km(part.lasted_mm),
        "lasted_days": part.lasted_days,
        "worn_mm": _mm(part.worn_nm),
        "rate_mm_per_1000_km": None if rate is None else f"{rate / 1e6:.6f}",
        "worn_by_fault": part.worn_by_fault,
    }


def _fitting(fitting: Fitting | None) -> Json:
    if fitting is None:
        return None
    return {
        "date": fitting.day.isoformat(),
        "odometer_km": _km(fitting.odometer_mm),
        "event": fitting.event.value,
        "size_mm": _mm(fitting.size_nm),
        "typed": fitting.size_typed or None,
        "basis": fitting.basis.value,
        "from_corner": fitting.from_corner.code if fitting.from_corner else None,
    }


def _reading(reading: RecordedReading) -> dict[str, Json]:
    return {
        "date": reading.day.isoformat(),
        "odometer_km": _km(reading.odometer_mm),
        "stage": reading.stage.value,
        "size_mm": decimal_mm(reading.size_nm),
        "typed": reading.typed,
        "u1_mm": f"{reading.u1_nm / 1e6:.6f}",
        "gauge": reading.gauge or None,
        "datum": reading.datum.value if reading.datum else None,
        "reading_set": reading.set_id,
        "counts": reading.counts,
        "fits_badly": reading.is_flagged,
    }


def _line(trend: Trend) -> list[Json]:
    return [
        {"odometer_km": _km(odometer_mm), "size_mm": decimal_mm(size_nm)}
        for odometer_mm, size_nm in (
            (trend.from_mm, trend.from_nm),
            (trend.to_mm, trend.to_nm),
        )
    ]


def _fan(fan: Fan) -> dict[str, Json]:
    return {
        "odometer_km": _km(fan.from_mm),
        "size_mm": decimal_mm(fan.from_nm),
        "ends": [
            {
                "share": end.share.value,
                "distance_km": _km(end.distance_mm),
                "odometer_km": _km(end.odometer_mm),
                "size_mm": decimal_mm(end.size_nm),
                "day": end.day.isoformat() if end.day else None,
            }
            for end in fan.ends
        ],
    }


def _straight(check: PlainCheck) -> dict[str, Json]:
    reach = check.line_reaches or Reach(expected_mm=0, earliest_mm=None, latest_mm=None)
    return {
        "points": check.points,
        "rate_mm_per_1000_km": f"{check.rate_nm_per_1000km / 1e6:.6f}",
        "probability": str(check.probability),
        "reaches_km": _km(reach.expected_mm if check.line_reaches else None),
        "earliest_km": _km(reach.earliest_mm),
        "latest_km": _km(reach.latest_mm),
        "straighter_than_gauge": check.is_too_straight,
    }


def _mm(nm: int | None) -> str | None:
    return None if nm is None else decimal_mm(nm)


def _km(mm: int | None) -> str | None:
    return None if mm is None else f"{mm / 1_000_000:.1f}"
