"""What may become of an axle as plain values, for machines and for the record."""

from __future__ import annotations

from datetime import date
from typing import Any, TypeAlias

from brakelog.lengths import decimal_mm
from brakelog.record.corner import axle_name
from brakelog.record.shop import Shop
from brakelog.rules.lives import PositionLife
from brakelog.rules.verdict import Because
from brakelog.rules.world import Obstacle, World
from brakelog.rules.world_words import world_sentence

Json: TypeAlias = Any


def world_document(world: World, shop: Shop) -> dict[str, Json]:
    """Return one world; distances in km, lengths as decimal strings in mm."""
    corner, match = world.match or (None, None)
    return {
        "axle": axle_name(world.axle),
        "world": world.plan.value,
        "linings": world.lining.value,
        "iron": world.iron.value,
        "open": world.is_told,
        "text": world_sentence(world, shop),
        "complete": world.is_complete,
        "at_least_km": _km(world.at_least_mm),
        "not_before": _day(world.not_before),
        "ends": [_end(each) for each in world.lives],
        "obstacles": [_obstacle(each) for each in world.obstacles],
        "passed_over": [_obstacle(each) for each in world.passed_over],
        "put_right_first": world.needs_correction,
        "cuts": [
            {
                "corner": at.code,
                "possible": option.because is Because.CUT_POSSIBLE,
                "per_side_mm": decimal_mm(option.cut.per_side_nm),
                "after_mm": decimal_mm(option.cut.after_nm),
                "machine_to": option.cut.machine_to or None,
            }
            for at, option in world.options
        ],
        "rotor_corner": corner.code if corner else None,
        "rotor_mm": decimal_mm(round(match.end_nm)) if match else None,
        "rotor_beyond_discard": match.is_out if match else None,
    }


def leaving_document(world: World, shop: Shop) -> dict[str, Json]:
    """Return what follows where suggested pads are left on for now."""
    lining = next(each for each in world.stated if each.position.part is world.lining)
    corner, match = world.match or (None, None)
    return {
        "axle": axle_name(world.axle),
        "text": world_sentence(world, shop),
        "corner": lining.corner.code,
        "position": lining.position.value,
        "rotor_corner": corner.code if corner else None,
        "rotor_mm": decimal_mm(round(match.end_nm)) if match else None,
        "rotor_beyond_discard": match is not None and match.is_out,
    }


def _end(life: PositionLife) -> dict[str, Json]:
    projection, dates = life.projection, life.dates
    return {
        "corner": life.corner.code,
        "position": life.position.value,
        "refusal": projection.refusal.value if projection.refusal else None,
        "at_least_km": _km(projection.at_least_mm),
        "uncapped_at_least_km": _km(projection.uncapped_at_least_mm),
        "median_km": _km(projection.median_mm),
        "typical_km": _km(projection.typical_mm),
        "not_before": _day(dates.at_least if dates else None),
        "median_day": _day(dates.median if dates else None),
        "experience": projection.experience.source,
        "after_earlier_part": projection.experience.after_earlier_set,
        "notes": [note.value for note in projection.notes],
    }


def _obstacle(obstacle: Obstacle) -> dict[str, Json]:
    return {
        "reason": obstacle.bar.value,
        "corner": obstacle.corner.code,
        "part": obstacle.part.value,
    }


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _km(mm: int | None) -> str | None:
    return None if mm is None else f"{mm / 1_000_000:.1f}"
