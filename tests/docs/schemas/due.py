"""Which brakes end first, what that rests on, and how often it held."""

from __future__ import annotations

from brakelog.record.trait import TRAITS
from brakelog.reports.due_document import WORK_REQUIRED
from brakelog.rules.due import GROUNDS, JUST_ADDED, NO_VISIT, NOTHING_MEASURED
from brakelog.wear.experience import WearKind
from brakelog.wear.projection import Refusal
from tests.docs.schemas.kinds import Closed, Form, Keyed, Many, Maybe, Record, Scalar, closed
from tests.docs.schemas.scalars import (
    AMOUNT,
    AXLE_NUMBER,
    CORNER,
    COUNT,
    DAY,
    DECIMAL,
    DISTANCE,
    FLAG,
    LENGTH,
    NUMBER,
    POSITION,
    RATE,
    SHARE_NUMBER,
    SIGNED_DISTANCE,
    SIZE,
    WORDS,
)

_GROUNDS = Closed(name="due_grounds", says="What a part may need.", words=GROUNDS)
_CLASS = Closed(name="class", says="A class of vehicles.", words=TRAITS["class"])
_WEAR_KIND = closed(WearKind, "wear_kind")
_ENTRY = Record(
    name="due_vehicle",
    says="One vehicle of the list.",
    keys={
        "vehicle": WORDS,
        "class": Maybe(_CLASS),
        "corner": CORNER,
        "part": POSITION,
        "grounds": _GROUNDS,
        "state": Closed(
            name="due_state",
            says="How the part that ends first stands.",
            words=("projected", WORK_REQUIRED, *(each.value for each in Refusal)),
        ),
        "not_before": Maybe(DAY),
        "by_age": FLAG,
        "may_be_due_already": FLAG,
        "median_day": Maybe(DAY),
        "margin_mm": Maybe(LENGTH),
        "limit_mm": Maybe(SIZE),
        "read_on": Maybe(DAY),
        "read_at_km": Maybe(DISTANCE),
        "at_least_km": Maybe(DISTANCE),
        "median_km": Maybe(DISTANCE),
        "latest_km": Maybe(DISTANCE),
        "left_km": Maybe(SIGNED_DISTANCE),
        "last_visit": DAY,
        "last_odometer_km": DISTANCE,
        "odometer_is_old": FLAG,
        "km_per_day": DECIMAL,
        "readings": COUNT,
        "own_share": SHARE_NUMBER,
        "experience": WORDS,
        "parts_not_projected": COUNT,
    },
    at=("`vehicles`",),
)
DUE = Form(
    name="due",
    version=1,
    title="Due list",
    says="The vehicles whose brakes end first.",
    body={
        "site": WORDS,
        "today": DAY,
        "wanted": Record(
            name="wanted",
            says="What the list was narrowed to.",
            keys={
                "from": Maybe(DAY),
                "until": Maybe(DAY),
                "within_km": Maybe(DISTANCE),
                "axle": Maybe(AXLE_NUMBER),
                "class": Maybe(_CLASS),
                "grounds": Maybe(_GROUNDS),
            },
            at=("`wanted`",),
        ),
        "vehicles": Many(_ENTRY),
        "outside": COUNT,
        "not_projected": Keyed(
            Closed(
                name="not_projected_reason",
                says="Why nothing can be said of a vehicle.",
                words=(
                    *(each.value for each in Refusal),
                    NOTHING_MEASURED,
                    NO_VISIT,
                    JUST_ADDED,
                ),
            ),
            Many(WORDS, least=1),
        ),
    },
)
EXPERIENCE = Form(
    name="experience",
    version=1,
    title="What the shop has learned",
    says="What the shop has learned of wear and of driving.",
    body={
        "groups": Many(
            Record(
                name="group",
                says="One group of parts with an experience of its own.",
                keys={
                    "kind": _WEAR_KIND,
                    "axle": AXLE_NUMBER,
                    "class": Maybe(_CLASS),
                    "model": Maybe(WORDS),
                    "median_mm_per_1000_km": RATE,
                    "log_rate": NUMBER,
                    "log_sd": AMOUNT,
                    "process_c_1000_km": AMOUNT,
                    "lives": COUNT,
                    "visits": COUNT,
                    "vehicles": COUNT,
                    "lives_behind": AMOUNT,
                    "widened": AMOUNT,
                    "source": WORDS,
                },
                at=("`groups`",),
            )
        ),
        "vehicle_share": SHARE_NUMBER,
        "km_per_day": DECIMAL,
        "km_per_day_log_sd": AMOUNT,
    },
)
_HELD = Record(
    name="held",
    says="How often something that was stated held.",
    keys={
        "held": COUNT,
        "of": COUNT,
        "share": SHARE_NUMBER,
        "low": SHARE_NUMBER,
        "high": SHARE_NUMBER,
    },
    at=("`bound` and `range`",),
)
_TRIED = Record(
    name="tried",
    says="What the back-test found of one group of parts, or of all together.",
    keys={
        "kind": Maybe(_WEAR_KIND),
        "axle": Maybe(AXLE_NUMBER),
        "lives": COUNT,
        "vehicles": COUNT,
        "readings": COUNT,
        "is_enough": FLAG,
        "bound": _HELD,
        "range": _HELD,
        "median_error": AMOUNT,
        "factor": Maybe(AMOUNT),
        "widened": Scalar(form={"type": "number", "minimum": 1}),
    },
    at=("In both",),
)
BACK_TEST = Form(
    name="back-test",
    version=1,
    title="Back-test",
    says="How often what was stated held.",
    body={
        "overall": Maybe(_TRIED),
        "groups": Many(_TRIED),
    },
)
