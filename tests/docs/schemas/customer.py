"""What a customer is told: the page, and the note before a part runs out."""

from __future__ import annotations

from brakelog.reports.customer_meaning import KINDS
from brakelog.reports.customer_measured import Shape
from tests.docs.schemas.kinds import Closed, Either, Form, Many, Maybe, Record, Scalar, closed
from tests.docs.schemas.scalars import (
    AXLE,
    CORNER,
    DISTANCE,
    DISTANCE_UNIT,
    FLAG,
    LENGTH,
    POSITION,
    SHOP_UNIT,
    TEXT,
    WORDS,
)

_OR_EMPTY = Scalar(
    name="length_mm_or_empty",
    says="A length in millimetres, as a decimal string; empty where there is none.",
    form={"type": "string", "pattern": r"^(-?(0|[1-9][0-9]*)(\.[0-9]+)?)?$"},
)
_DAY_OR_EMPTY = Scalar(
    name="day_or_empty",
    says="A day; empty where none is told.",
    form={"type": "string", "pattern": r"^([0-9]{4}-[0-9]{2}-[0-9]{2})?$"},
)
_MONTH_OR_EMPTY = Scalar(
    name="month_or_empty",
    says="A month; empty where none is told.",
    form={"type": "string", "pattern": r"^([0-9]{4}-[0-9]{2})?$"},
)
_BAR = Record(
    name="bar",
    says="One part as it is drawn.",
    keys={
        "shape": closed(Shape, "shape"),
        "size_mm": LENGTH,
        "limit_mm": _OR_EMPTY,
        "previous_mm": _OR_EMPTY,
        "new_mm": _OR_EMPTY,
        "has_plate": FLAG,
    },
    at=("`measured`",),
)
_MEASURED = Record(
    name="measured",
    says="One row of what was measured.",
    keys={
        "corner": CORNER,
        "place": WORDS,
        "position": POSITION,
        "name": WORDS,
        "size": WORDS,
        "size_other": WORDS,
        "state": TEXT,
        "limit": WORDS,
        "limit_other": TEXT,
        "before": TEXT,
        "before_other": TEXT,
        "bar": _BAR,
    },
    at=("`measured`",),
)
_AXLE = Record(
    name="axle_meaning",
    says="What it means for one axle.",
    keys={
        "axle": AXLE,
        "name": WORDS,
        "meanings": Many(
            Record(
                name="meaning",
                says="What it means for one kind of part of an axle.",
                keys={
                    "name": WORDS,
                    "kind": Closed(
                        name="meaning_kind",
                        says="What is said of the parts of an axle, the gravest first.",
                        words=KINDS,
                    ),
                    "sentences": Many(WORDS),
                },
                at=("`axles`",),
            ),
            least=1,
        ),
    },
    at=("`axles`",),
)
_WAITING = Record(
    name="waiting",
    says="How far the parts will go.",
    keys={
        "may_wait": FLAG,
        "ahead": Many(
            Record(
                name="ahead",
                says="How far one part will go.",
                keys={
                    "part": WORDS,
                    "at_least_km": DISTANCE,
                    "not_before": _DAY_OR_EMPTY,
                    "seldom_more_km": Maybe(DISTANCE),
                    "seldom_later": _MONTH_OR_EMPTY,
                    "at_least": TEXT,
                    "seldom_more": TEXT,
                    "sentence": WORDS,
                },
                at=("`waiting`",),
            )
        ),
        "notes": Many(WORDS),
    },
    at=("`waiting`",),
)
SUMMARY = Form(
    name="summary",
    version=3,
    title="The customer's page",
    says="What stands on the customer's page.",
    body={
        "title": WORDS,
        "vehicle": WORDS,
        "when": WORDS,
        "customer": TEXT,
        "shop": TEXT,
        "length_unit": SHOP_UNIT,
        "distance_unit": DISTANCE_UNIT,
        "warning": TEXT,
        "open": Many(WORDS),
        "know": Many(WORDS),
        "measured": Many(_MEASURED),
        "axles": Many(_AXLE),
        "waiting": _WAITING,
        "done": Many(WORDS),
        "declined": Many(WORDS),
        "watch": Many(WORDS),
        "back": TEXT,
        "footer": WORDS,
    },
)
REMINDER = Form(
    name="reminder",
    version=1,
    title="Note before a part runs out",
    says="What a customer is told before a part runs out.",
    body=Either(
        (
            Record(
                name="not_due",
                says="Nothing runs out, so that nothing is written.",
                keys={"vehicle": WORDS, "is_due": Scalar(form={"const": False})},
            ),
            Record(
                name="due",
                says="The note.",
                keys={
                    "vehicle": WORDS,
                    "is_due": Scalar(form={"const": True}),
                    "description": WORDS,
                    "customer": TEXT,
                    "contact": TEXT,
                    "lead": WORDS,
                    "parts": Many(WORDS),
                    "do": WORDS,
                    "rest": Many(WORDS),
                    "shop": TEXT,
                },
            ),
        )
    ),
)
