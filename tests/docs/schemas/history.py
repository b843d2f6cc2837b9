"""What each part of a vehicle was, read and lasted."""

from __future__ import annotations

from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.rules.fan import Share
from tests.docs.schemas.heads import VEHICLE
from tests.docs.schemas.judged import FINDING
from tests.docs.schemas.kinds import Form, Kind, Many, Maybe, Record, closed
from tests.docs.schemas.life import LIFE
from tests.docs.schemas.scalars import (
    CORNER,
    COUNT,
    DATUM,
    DAY,
    DISTANCE,
    FLAG,
    ID,
    LENGTH,
    ORDINAL,
    PART,
    POSITION,
    PROBABILITY,
    RATE,
    SIGNED_DISTANCE,
    SIZE,
    STAGE,
    WORDS,
)

FITTING_EVENT = closed(FittingEvent, "fitting_event")
SIZE_BASIS = closed(SizeBasis, "size_basis")
_FITTING = Record(
    name="fitting",
    says="An event in the life of a part.",
    keys={
        "date": DAY,
        "odometer_km": DISTANCE,
        "event": FITTING_EVENT,
        "size_mm": Maybe(SIZE),
        "typed": Maybe(WORDS),
        "basis": SIZE_BASIS,
        "from_corner": Maybe(CORNER),
    },
    at=("`fitted` and `ended`",),
)
_READING = Record(
    name="reading",
    says="The deciding reading of one visit.",
    keys={
        "date": DAY,
        "odometer_km": DISTANCE,
        "stage": STAGE,
        "size_mm": LENGTH,
        "typed": WORDS,
        "u1_mm": SIZE,
        "gauge": Maybe(WORDS),
        "datum": Maybe(DATUM),
        "reading_set": ID,
        "counts": FLAG,
        "fits_badly": FLAG,
    },
    at=("`readings`",),
)
_POINT = Record(
    name="point",
    says="A size at an odometer.",
    keys={"odometer_km": DISTANCE, "size_mm": LENGTH},
    at=("`readings`",),
)
_FAN = Record(
    name="fan",
    says="The lines from the last reading to the limit.",
    keys={
        "odometer_km": DISTANCE,
        "size_mm": LENGTH,
        "ends": Many(
            Record(
                name="fan_end",
                says="Where one of the lines ends.",
                keys={
                    "share": closed(Share, "share"),
                    "distance_km": DISTANCE,
                    "odometer_km": DISTANCE,
                    "size_mm": LENGTH,
                    "day": Maybe(DAY),
                },
                at=("`fan`", "`ends`"),
            )
        ),
    },
    at=("`fan`", "`ends`"),
)
_STRAIGHT_LINE = Record(
    name="straight_line",
    says="The plain straight line through the readings; it decides nothing.",
    keys={
        "points": ORDINAL,
        "rate_mm_per_1000_km": RATE,
        "probability": PROBABILITY,
        "reaches_km": Maybe(SIGNED_DISTANCE),
        "earliest_km": Maybe(SIGNED_DISTANCE),
        "latest_km": Maybe(SIGNED_DISTANCE),
        "straighter_than_gauge": FLAG,
    },
    at=("`straight_line`",),
)
_BOTH: dict[str, Kind] = {"fitted": Maybe(_FITTING), "readings": Many(_READING)}
_RUNNING = Record(
    name="running",
    says="The part that is there now.",
    keys={
        **_BOTH,
        "limit_mm": Maybe(SIZE),
        "limit_as_printed": Maybe(WORDS),
        "limit_source": Maybe(WORDS),
        "new_mm": Maybe(SIZE),
        "life": LIFE,
        "line": Maybe(Many(_POINT, least=2, most=2)),
        "fan": Maybe(_FAN),
        "straight_line": Maybe(_STRAIGHT_LINE),
    },
    at=("`running`",),
)
_FINISHED = Record(
    name="finished",
    says="A part that was there before.",
    keys={
        **_BOTH,
        "ended": _FITTING,
        "whole": FLAG,
        "lasted_km": Maybe(SIGNED_DISTANCE),
        "lasted_days": Maybe(COUNT),
        "worn_mm": Maybe(LENGTH),
        "rate_mm_per_1000_km": Maybe(RATE),
        "worn_by_fault": FLAG,
    },
    at=("`running`",),
)
_PLACE = Record(
    name="place",
    says="One place of a wearing part.",
    keys={
        "corner": CORNER,
        "part": PART,
        "position": POSITION,
        "running": Maybe(_RUNNING),
        "finished": Many(_FINISHED),
    },
    at=("`places`",),
)
HISTORY = Form(
    name="history",
    version=1,
    title="History of a vehicle's parts",
    says="What each part of a vehicle was, read and lasted.",
    body={
        "vehicle": VEHICLE,
        "as_of": Record(
            name="as_of",
            says="The newest visit.",
            keys={"date": DAY, "odometer_km": DISTANCE, "visits": ORDINAL, "since": DAY},
        ),
        "places": Many(_PLACE),
        "findings": Many(
            Record(
                name="wanting",
                says="A finding of the newest visit that asks for work.",
                at=("`findings`",),
                keys={"corner": CORNER, "part": PART, "finding": FINDING, "note": Maybe(WORDS)},
            )
        ),
        "entry_not_filed": COUNT,
    },
)
