"""What would follow from each plan for an axle."""

from __future__ import annotations

from brakelog.rules.world import Bar, Plan
from tests.docs.schemas.kinds import Many, Maybe, Record, closed
from tests.docs.schemas.scalars import (
    AXLE,
    CORNER,
    DAY,
    DISTANCE,
    FLAG,
    IRON,
    LENGTH,
    LINING,
    PART,
    POSITION,
    PROJECTION_NOTE,
    REFUSAL,
    SIZE,
    WORDS,
)

_OBSTACLE = Record(
    name="obstacle",
    says="Why a plan is not open, or why nothing can be said of a part in it.",
    keys={"reason": closed(Bar, "obstacle_reason"), "corner": CORNER, "part": PART},
    at=("`obstacles`",),
)
_END = Record(
    name="end",
    says="How far one part goes in a plan.",
    keys={
        "corner": CORNER,
        "position": POSITION,
        "refusal": Maybe(REFUSAL),
        "at_least_km": Maybe(DISTANCE),
        "uncapped_at_least_km": Maybe(DISTANCE),
        "median_km": Maybe(DISTANCE),
        "typical_km": Maybe(DISTANCE),
        "not_before": Maybe(DAY),
        "median_day": Maybe(DAY),
        "experience": WORDS,
        "after_earlier_part": FLAG,
        "notes": Many(PROJECTION_NOTE),
    },
    at=("`ends`",),
)
_CUT = Record(
    name="cut_at_corner",
    says="What refinishing would do at one corner.",
    keys={
        "corner": CORNER,
        "possible": FLAG,
        "per_side_mm": SIZE,
        "after_mm": SIZE,
        "machine_to": Maybe(WORDS),
    },
    at=("`worlds`", "`if_refinished`", "`ends`"),
)
WORLD = Record(
    name="world",
    says="What would follow from one plan for one axle.",
    keys={
        "axle": AXLE,
        "world": closed(Plan, "plan"),
        "linings": LINING,
        "iron": IRON,
        "open": FLAG,
        "text": WORDS,
        "complete": FLAG,
        "at_least_km": Maybe(DISTANCE),
        "not_before": Maybe(DAY),
        "ends": Many(_END),
        "obstacles": Many(_OBSTACLE),
        "passed_over": Many(_OBSTACLE),
        "put_right_first": FLAG,
        "cuts": Many(_CUT),
        "rotor_corner": Maybe(CORNER),
        "rotor_mm": Maybe(LENGTH),
        "rotor_beyond_discard": Maybe(FLAG),
    },
    at=("`worlds`",),
)
IF_LEFT = Record(
    name="if_left",
    says="What follows where suggested linings are left on.",
    keys={
        "axle": AXLE,
        "text": WORDS,
        "corner": CORNER,
        "position": POSITION,
        "rotor_corner": Maybe(CORNER),
        "rotor_mm": Maybe(LENGTH),
        "rotor_beyond_discard": FLAG,
    },
    at=("`if_left`",),
)
