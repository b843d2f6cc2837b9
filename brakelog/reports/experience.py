"""What the shop has learned of wear and of driving, for people and for machines."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, TypeAlias

from brakelog.lengths import DistanceUnit
from brakelog.record.shop import Shop
from brakelog.reports.plain import Line, shown, wrapped
from brakelog.store.derived import ExperienceRow
from brakelog.wear.crossing import Z95
from brakelog.wear.experience import LOG_SD, MEDIAN_LIFE_1000KM, WearKind
from brakelog.wear.experiences import Group
from brakelog.wear.usage import Usage

FORMAT = "brakelog.experience/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""

Json: TypeAlias = Any


def experience_lines(
    rows: Sequence[ExperienceRow],
    usage: Usage,
    vehicle_share: float,
    shop: Shop,
    *,
    width: int = 80,
) -> list[Line]:
    """Return what was learned, the widest group of each kind first."""
    unit = shop.distance_unit
    per = f"mm per 1,000 {unit.value}"
    lines = [Line(text="What the shop has learned of wear", role="title")]
    if not rows:
        lines += wrapped(
            "Nothing yet: a part life teaches once it was read twice, its fitting counted. "
            "Until then general experience is used:",
            width=width,
        )
        lines += [Line(text=f"  {_general(kind, unit)}") for kind in WearKind]
    else:
        lines += wrapped(
            f"Wear in {per}: half of the parts wear slower, 9 of 10 lie in the range. The number "
            "behind counts part lives by how much each of them tells.",
            width=width,
        )
        lines += [
            Line(),
            Line(
                text=_row(("parts", "half", "9 of 10", "lives", "behind", "widened")),
                role="heading",
            ),
        ]
        lines += [Line(text=_row(_cells(row, unit))) for row in rows]
        lines += [
            Line(),
            *wrapped(
                f"Sets: {10 * vehicle_share:.0f} tenths of the spread stay with a vehicle from one "
                "set to the next.",
                width=width,
            ),
        ]
    lines.append(Line())
    daily_mm = usage.km_per_day * DistanceUnit.KM.mm
    low, high = (daily_mm * math.exp(sign * Z95 * usage.log_sd) / unit.mm for sign in (-1.0, 1.0))
    lines += wrapped(
        f"Driving: vehicles here usually go about {daily_mm / unit.mm:.0f} {unit.value} a day, "
        f"9 of 10 between {low:.0f} and {high:.0f} {unit.value}.",
        width=width,
    )
    return lines


def group_name(group: Group) -> str:
    """Return a group in words."""
    words = group.kind.value
    if group.kind not in (WearKind.FRONT_LINING, WearKind.REAR_LINING):
        words = f"{'front' if group.axle == 1 else 'rear'} {words}"
    if group.model:
        return f"  {shown(group.model)}"
    if group.vehicle_class:
        return f" {group.vehicle_class}"
    return words


def _row(cells: tuple[str, ...]) -> str:
    name, half, spread, lives, behind, widened = cells
    if len(name) > 24:
        name = f"{name[:23]}…"
    return f"{name:<24} {half:>8} {spread:>17} {lives:>7} {behind:>7} {widened:>8}".rstrip()


def _cells(row: ExperienceRow, unit: DistanceUnit) -> tuple[str, ...]:
    found = row.experience
    half = _rate(found.log_rate, unit)
    low, high = (_rate(found.log_rate + sign * Z95 * found.log_sd, unit) for sign in (-1.0, 1.0))
    widened = "" if found.widened == 1.0 else f"{found.widened:.2f}"
    return (
        group_name(row.group),
        half,
        f"{low} to {high}",
        f"{row.lives:,}",
        f"{found.lives_behind:,.1f}",
        widened,
    )


def _rate(log_rate: float, unit: DistanceUnit) -> str:
    return f"{math.exp(log_rate) * unit.mm / DistanceUnit.KM.mm:.3f}"


def _general(kind: WearKind, unit: DistanceUnit) -> str:
    km = MEDIAN_LIFE_1000KM[kind] * 1000
    ends = [km * math.exp(sign * Z95 * LOG_SD[kind]) for sign in (-1.0, 1.0)]
    half, low, high = (
        f"{round(each * DistanceUnit.KM.mm / unit.mm, -3):,.0f}" for each in (km, *ends)
    )
    return f"{kind.value + ':':<14} about {half} {unit.value}, 9 of 10 from {low} to {high}"


def experience_document(
    rows: Sequence[ExperienceRow], usage: Usage, vehicle_share: float
) -> dict[str, Json]:
    """Return the same as plain values."""
    return {
        "format": FORMAT,
        "groups": [
            {
                "kind": row.group.kind.value,
                "axle": row.group.axle,
                "class": row.group.vehicle_class or None,
                "model": row.group.model or None,
                "median_mm_per_1000_km": f"{math.exp(row.experience.log_rate):.6f}",
                "log_rate": row.experience.log_rate,
                "log_sd": row.experience.log_sd,
                "process_c_1000_km": row.experience.process_c,
                "lives": row.lives,
                "visits": row.visits,
                "vehicles": row.vehicles,
                "lives_behind": row.experience.lives_behind,
                "widened": row.experience.widened,
                "source": row.experience.source,
            }
            for row in rows
        ],
        "vehicle_share": round(vehicle_share, 3),
        "km_per_day": f"{usage.km_per_day:.2f}",
        "km_per_day_log_sd": usage.log_sd,
    }
