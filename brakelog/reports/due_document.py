"""The due list for machines: as one document, or as a sheet of comma-separated values."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any, TypeAlias

from brakelog.lengths import decimal_mm
from brakelog.rules.due import DueEntry, DueList, Wanted, is_required_now

FORMAT = "brakelog.due/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""

WORK_REQUIRED = "work required"
"""The state of a part that must be worked on, whatever distance its lining would go: none is told.
"""

Json: TypeAlias = Any


def due_document(found: DueList, wanted: Wanted, site: str) -> dict[str, Json]:
    """Return the list as plain values; lengths are decimal strings in mm."""
    return {
        "format": FORMAT,
        "site": site,
        "today": found.today.isoformat(),
        "wanted": {
            "from": _text(wanted.first_day),
            "until": _text(wanted.last_day),
            "within_km": None if wanted.within_mm is None else _km(wanted.within_mm),
            "axle": wanted.axle,
            "class": wanted.vehicle_class,
            "grounds": wanted.grounds,
        },
        "vehicles": [_entry(entry) for entry in found.entries],
        "outside": found.outside,
        "not_projected": {reason: list(tags) for reason, tags in found.not_projected.items()},
    }


def _entry(entry: DueEntry) -> dict[str, Json]:
    part, vehicle = entry.part, entry.vehicle
    is_now = is_required_now(part)
    return {
        "vehicle": entry.tag,
        "class": vehicle.vehicle_class,
        "corner": part.corner.code,
        "part": part.position.value,
        "grounds": entry.grounds,
        "state": WORK_REQUIRED if is_now else part.refusal.value if part.refusal else "projected",
        "not_before": _text(entry.day),
        "by_age": entry.by_time,
        "may_be_due_already": entry.is_past,
        "median_day": None if is_now else _text(part.median_day),
        "margin_mm": None if part.margin_nm is None else decimal_mm(part.margin_nm),
        "limit_mm": None if part.limit_nm is None else decimal_mm(part.limit_nm),
        "read_on": _text(part.read_on),
        "read_at_km": _km(part.from_odometer_mm),
        "at_least_km": None if is_now else _km(part.at_least_mm),
        "median_km": None if is_now else _km(part.median_mm),
        "latest_km": None if is_now else _km(part.latest_mm),
        "left_km": None if is_now else _km(entry.left_mm),
        "last_visit": vehicle.last_day.isoformat(),
        "last_odometer_km": _km(vehicle.last_odometer_mm),
        "odometer_is_old": entry.is_odometer_old,
        "km_per_day": f"{vehicle.usage.km_per_day:.1f}",
        "readings": part.readings,
        "own_share": part.own_share,
        "experience": part.source,
        "parts_not_projected": entry.not_projected,
    }


def due_sheet(found: DueList) -> str:
    """Return the list as comma-separated values, one vehicle a row, unprojected ones at the end.

    A text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    return _sheet([COLUMNS, *_sheet_rows(found)])


def due_of_sites_sheet(found: Sequence[tuple[str, DueList]]) -> str:
    """Return the lists of several sites as one sheet, with the site in front of every row."""
    rows = [(_cell(site), *row) for site, due in found for row in _sheet_rows(due)]
    return _sheet([("site", *COLUMNS), *rows])


def _sheet_rows(found: DueList) -> Iterator[Sequence[str]]:
    for entry in found.entries:
        row = _entry(entry)
        yield [_cell(row[name]) for name in COLUMNS]
    for reason, tags in found.not_projected.items():
        for tag in tags:
            known = {"vehicle": tag, "state": reason}
            yield [_cell(known.get(name)) for name in COLUMNS]


def _sheet(rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


COLUMNS = (
    "vehicle",
    "class",
    "corner",
    "part",
    "grounds",
    "state",
    "not_before",
    "by_age",
    "may_be_due_already",
    "median_day",
    "margin_mm",
    "limit_mm",
    "read_on",
    "read_at_km",
    "at_least_km",
    "median_km",
    "latest_km",
    "left_km",
    "last_visit",
    "last_odometer_km",
    "odometer_is_old",
    "km_per_day",
    "readings",
    "own_share",
    "experience",
    "parts_not_projected",
)
"""The columns of the sheet: the keys of a vehicle in the document."""


def _cell(value: Json) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    is_number = isinstance(value, (int, float)) or text.lstrip("-").replace(".", "", 1).isdigit()
    return f"'{text}" if text[:1] in "=+-@\t\r" and text and not is_number else text


def _text(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _km(mm: int | None) -> str | None:
    return None if mm is None else f"{mm / 1_000_000:.1f}"
