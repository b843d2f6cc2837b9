"""How far one wearing part will go, as verdicts and histories say it."""

from __future__ import annotations

from tests.docs.schemas.kinds import Many, Maybe, Record
from tests.docs.schemas.scalars import (
    AMOUNT,
    COUNT,
    DAY,
    DECIMAL,
    DISTANCE,
    FLAG,
    POSITION,
    PROJECTION_NOTE,
    RATE,
    REFUSAL,
    SHARE_NUMBER,
    WORDS,
)

LIFE = Record(
    name="life",
    says="How far one wearing part will go, or why that cannot be said.",
    keys={
        "position": POSITION,
        "text": WORDS,
        "refusal": Maybe(REFUSAL),
        "at_least_km": Maybe(DISTANCE),
        "uncapped_at_least_km": Maybe(DISTANCE),
        "median_km": Maybe(DISTANCE),
        "latest_km": Maybe(DISTANCE),
        "rate_mm_per_1000_km": Maybe(RATE),
        "readings": COUNT,
        "experience": WORDS,
        "experience_lives": AMOUNT,
        "after_earlier_part": FLAG,
        "own_share": SHARE_NUMBER,
        "read_on": Maybe(DAY),
        "counted_anew_from": Maybe(DAY),
        "not_before": Maybe(DAY),
        "median_day": Maybe(DAY),
        "latest_day": Maybe(DAY),
        "km_per_day": Maybe(DECIMAL),
        "notes": Many(PROJECTION_NOTE),
    },
    at=("`life`",),
)
