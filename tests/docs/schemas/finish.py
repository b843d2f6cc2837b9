"""Where a job stands at its end, and what keeps it open."""

from __future__ import annotations

from brakelog.record.agreement import Consent, How
from brakelog.record.closing import NOT_SAID, Check
from brakelog.rules.closing import Status
from brakelog.rules.closing_item import Gap
from brakelog.rules.recheck import Basis
from tests.docs.schemas.heads import VEHICLE
from tests.docs.schemas.kinds import Closed, Form, Many, Maybe, Record, Scalar, closed
from tests.docs.schemas.scalars import (
    AXLE,
    CORNER,
    DAY,
    DISTANCE,
    DISTANCE_UNIT,
    FLAG,
    ID,
    MOMENT,
    ORDINAL,
    PART,
    POSITION,
    REASON_CODE,
    TEXT,
    WORDS,
)

_CHECK = closed(Check, "check")
_HOW = closed(How, "how")
_SAID = Closed(
    name="said",
    says="What was answered to a check.",
    words=(*dict.fromkeys(word for check in Check for word in check.facts.answers), NOT_SAID),
)
_VISIT = Record(
    name="visit",
    says="The visit, with its odometer at the beginning and at the end.",
    keys={
        "id": ID,
        "date": DAY,
        "odometer": WORDS,
        "odometer_out": Maybe(WORDS),
        "odometer_unit": DISTANCE_UNIT,
    },
)
_OPEN = Record(
    name="open_item",
    says="One thing that has to be closed before the job is finished.",
    keys={
        "code": closed(Gap, "open_code"),
        "kind": Closed(
            name="open_kind",
            says="Whether something is missing, or wrong.",
            words=("blank", "failure"),
        ),
        "axle": Maybe(AXLE),
        "corner": Maybe(CORNER),
        "part": Maybe(PART),
        "position": Maybe(POSITION),
        "fastener": Maybe(WORDS),
        "check": Maybe(_CHECK),
        "reason": Maybe(REASON_CODE),
        "text": WORDS,
        "do": TEXT,
        "line": Maybe(WORDS),
    },
)
_ANSWER = Record(
    name="check_answer",
    says="One answer to a check.",
    keys={
        "check": _CHECK,
        "axle": Maybe(AXLE),
        "corner": Maybe(CORNER),
        "part": Maybe(PART),
        "said": _SAID,
        "good": FLAG,
        "note": TEXT,
        "person": Maybe(WORDS),
        "recorded_at": Maybe(MOMENT),
    },
)
_TORQUE = Record(
    name="torque",
    says="How tight fasteners were left.",
    keys={
        "axle": AXLE,
        "corner": Maybe(CORNER),
        "fastener": WORDS,
        "figure": Maybe(WORDS),
        "untouched": FLAG,
        "wanted": Many(WORDS),
        "person": Maybe(WORDS),
        "recorded_at": Maybe(MOMENT),
    },
)
_ORDER = Record(
    name="order",
    says="How the wheels of an axle are tightened.",
    keys={
        "axle": AXLE,
        "fasteners": ORDINAL,
        "order": (Scalar(form={"type": "string", "pattern": "^[0-9]+(-[0-9]+)+$"})),
    },
)
_AGREEMENT = Record(
    name="agreement",
    says="One thing that the customer said.",
    keys={
        "consent": closed(Consent, "consent"),
        "work": Many(WORDS, least=1),
        "who": Maybe(WORDS),
        "number": Maybe(WORDS),
        "date": DAY,
        "time": Maybe(WORDS),
        "how": _HOW,
        "cost": Maybe(WORDS),
        "note": TEXT,
        "person": Maybe(WORDS),
        "recorded_at": Maybe(MOMENT),
    },
)
_DECLINED = Record(
    name="declined",
    says="Required work that was declined.",
    keys={
        "corner": CORNER,
        "part": PART,
        "reason": REASON_CODE,
        "unsafe": FLAG,
        "date": DAY,
        "how": _HOW,
    },
)
_RECHECK = Record(
    name="recheck",
    says="When the linings of an axle are to be looked at again.",
    keys={
        "axle": AXLE,
        "why": Many(WORDS, least=1),
        "distance_km": DISTANCE,
        "odometer_km": DISTANCE,
        "date": DAY,
        "basis": closed(Basis, "recheck_basis"),
        "answered": FLAG,
    },
)
FINISH = Form(
    name="finish",
    version=1,
    title="The end of a job",
    says="Where a job stands, and what keeps it open.",
    body={
        "vehicle": VEHICLE,
        "visit": _VISIT,
        "status": closed(Status, "status"),
        "open": Many(_OPEN),
        "checks": Many(_ANSWER),
        "torques": Many(_TORQUE),
        "orders": Many(_ORDER),
        "agreements": Many(_AGREEMENT),
        "declined": Many(_DECLINED),
        "rechecks": Many(_RECHECK),
        "bedding_in": Maybe(
            Closed(
                name="bedding_in",
                says="Who beds the new parts in.",
                words=tuple(
                    word
                    for word in Check.BEDDING_IN.facts.answers
                    if word in Check.BEDDING_IN.facts.good
                ),
            )
        ),
        "notes": Many(WORDS),
        "earlier_not_finished": Maybe(DAY),
    },
)
