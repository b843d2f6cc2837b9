"""What the runout readings of one corner say about hub and rotor."""

from __future__ import annotations

from brakelog.lengths import DistanceUnit
from brakelog.metrology.cures import Cure
from brakelog.metrology.plates import Face
from brakelog.metrology.profile import OrderCause
from brakelog.metrology.runout import Gate
from brakelog.metrology.shares import Mark, NoAdvice
from brakelog.reports.runout_document import MOST_CHOICES
from brakelog.rules.runout_study import Expected, NoSplit
from tests.docs.schemas.heads import VEHICLE, VISIT
from tests.docs.schemas.judged import OUT_WHEN
from tests.docs.schemas.kinds import Closed, Form, Kind, Many, Maybe, Record, closed
from tests.docs.schemas.scalars import (
    ANGLE,
    CORNER,
    COUNT,
    DECIMAL,
    FLAG,
    ID,
    LENGTH,
    LIMIT_STATE,
    ORDINAL,
    PROBABILITY,
    SIZE,
    WORDS,
)

_EXPECTED = closed(Expected, "expected")
_GATE = closed(Gate, "gate")
_LIMIT = Record(
    name="limit",
    says="The figure that the runout meets first.",
    keys={"as_printed": WORDS, "mm": SIZE, "out_when": OUT_WHEN, "source": WORDS},
)
_VECTOR = Record(
    name="vector",
    says="A runout once per turn, with its high spot.",
    keys={"tir_mm": SIZE, "u1_mm": SIZE, "high_deg": ANGLE},
    at=("`split`",),
)
_WAVE: dict[str, Kind] = {
    "order": ORDINAL,
    "peak_to_peak_mm": SIZE,
    "u1_mm": SIZE,
    "high_deg": Many(ANGLE),
    "out_of_noise": FLAG,
}
_READING = Record(
    name="runout_reading",
    says="One runout as read.",
    keys={
        "reading_set": ID,
        "index": Maybe(COUNT),
        "index_assumed": FLAG,
        "values_mm": Many(Maybe(LENGTH), least=1),
        "as_read_mm": SIZE,
        "once_per_turn": Maybe(_VECTOR),
        "more_per_turn": Many(
            Record(
                name="wave",
                says="A wave of more than one per turn.",
                keys=_WAVE,
                at=("`hub_face`", "`split`"),
            )
        ),
        "gauge": WORDS,
        "used": FLAG,
        "not_usable": Many(_GATE),
    },
    at=("`readings`",),
)
_SPLIT = Record(
    name="split",
    says="The shares of hub and rotor.",
    keys={"hub": _VECTOR, "rotor": _VECTOR, "no_advice": Many(closed(NoAdvice, "no_advice"))},
    at=("`split`",),
)
_POSITION = Record(
    name="stud_position",
    says="What one stud position is predicted to run out.",
    keys={
        "index": COUNT,
        "stud": ORDINAL,
        "tir_mm": SIZE,
        "u1_mm": SIZE,
        "noise_adds_mm": SIZE,
        "expected": Maybe(_EXPECTED),
    },
    at=("`split`", "`readings`"),
)
_BEST = Record(
    name="best",
    says="The best stud position.",
    keys={
        "index": COUNT,
        "present_index": Maybe(COUNT),
        "ideal_deg": ANGLE,
        "left_over_deg": ANGLE,
    },
    at=("`split`", "`readings`"),
)
_PLATE = Record(
    name="plate",
    says="One way to mount the rotor, with or without a plate.",
    keys={
        "index": COUNT,
        "stud": ORDINAL,
        "plate_mm": SIZE,
        "thick_side_stud": Maybe(ORDINAL),
        "tir_mm": SIZE,
        "u1_mm": SIZE,
        "expected": Maybe(_EXPECTED),
    },
    at=("`split`", "`readings`"),
)
_HUB_FACE = Record(
    name="hub_face",
    says="The runout of the hub face.",
    keys={
        "reading_set": ID,
        "as_read_mm": SIZE,
        "radius_mm": SIZE,
        "at_rotor_least_mm": SIZE,
        "at_rotor_most_mm": SIZE,
        "not_usable": Many(_GATE),
    },
    at=("`hub_face`", "`readings`"),
)
_THICKNESS = Record(
    name="thickness",
    says="A thickness profile by its waves.",
    keys={
        "reading_set": ID,
        "points": ORDINAL,
        "variation_mm": SIZE,
        "gauge": WORDS,
        "waves": Many(
            Record(
                name="thickness_wave",
                says="One wave of the thickness.",
                keys={**_WAVE, "usual_cause": Maybe(closed(OrderCause, "usual_cause"))},
                at=("`hub_face`", "`split`"),
            )
        ),
        "blind_orders": Many(ORDINAL),
        "missed_share": Many(PROBABILITY),
        "studs_pass_for": Maybe(ORDINAL),
    },
    at=("`hub_face`", "`readings`"),
)
_PULSATION = Record(
    name="pulsation",
    says="How often a wave comes past the pads.",
    keys={
        "tyre": WORDS,
        "circumference_mm": SIZE,
        "speeds": Many(
            Record(
                name="speed",
                says="One speed of the table.",
                keys={
                    "speed": ORDINAL,
                    "unit": Closed(
                        name="speed_unit",
                        says="The unit of a speed.",
                        words=tuple(f"{each.value}/h" for each in DistanceUnit),
                    ),
                    "once_per_turn_hz": DECIMAL,
                },
                at=("`pulsation`",),
            )
        ),
    },
    at=("`pulsation`",),
)
_STEP = Record(
    name="step",
    says="One cure.",
    keys={"cure": closed(Cure, "cure"), "in_published_range": FLAG},
    at=("`steps`",),
)
RUNOUT = Form(
    name="runout",
    version=1,
    title="Runout of one corner",
    says="What the runout readings of one corner say about hub and rotor.",
    body={
        "vehicle": VEHICLE,
        "visit": VISIT,
        "corner": CORNER,
        "rotor_changed_since": FLAG,
        "limit_state": LIMIT_STATE,
        "limit": Maybe(_LIMIT),
        "is_out": Maybe(FLAG),
        "mark": closed(Mark, "mark"),
        "face": closed(Face, "face"),
        "studs": Maybe(ORDINAL),
        "rotor_matched": Maybe(FLAG),
        "readings": Many(_READING),
        "no_split": Maybe(closed(NoSplit, "no_split")),
        "split": Maybe(_SPLIT),
        "positions": Many(_POSITION),
        "best": Maybe(_BEST),
        "plates": Many(_PLATE, most=MOST_CHOICES),
        "hub_face": Maybe(_HUB_FACE),
        "thickness": Maybe(_THICKNESS),
        "pulsation": Maybe(_PULSATION),
        "steps": Many(_STEP),
        "as_left": Many(_READING),
    },
)
