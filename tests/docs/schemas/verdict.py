"""The verdict on one visit."""

from __future__ import annotations

from dataclasses import replace

from brakelog.record.gauge import Tips
from brakelog.rules.flag import FlagKind
from brakelog.rules.hint import Pattern
from tests.docs.schemas.heads import VEHICLE, VISIT
from tests.docs.schemas.judged import JUDGED_PART
from tests.docs.schemas.kinds import Closed, Form, Kind, Many, Maybe, Record, Scalar, closed
from tests.docs.schemas.packs import LOCAL_RULES
from tests.docs.schemas.questions import QUESTION
from tests.docs.schemas.scalars import (
    AXLE,
    CORNER,
    COUNT,
    DATUM,
    DISTANCE,
    FLAG,
    GROUNDS,
    ID,
    LENGTH,
    LENGTH_UNIT,
    MOMENT,
    ORDINAL,
    PART,
    POSITION,
    PROBABILITY,
    QUANTITY,
    SIZE,
    STAGE,
    TEXT,
    VERDICT_WORD,
    WORDS,
)
from tests.docs.schemas.worlds import IF_LEFT, WORLD

POLICY = Record(
    name="policy",
    says="The settings that a verdict was reached by.",
    keys={
        "digest": Scalar(form={"type": "string", "pattern": "^[0-9a-f]{64}$"}),
        "decision_rule": WORDS,
        "conformance_probability": PROBABILITY,
        "clean_up_per_side_mm": SIZE,
        "next_planned_km": DISTANCE,
    },
    at=("`policy`",),
)
AXLE_VERDICT = Record(
    name="axle_verdict",
    says="The verdict on one kind of part across an axle.",
    keys={
        "axle": AXLE,
        "part": PART,
        "verdict": VERDICT_WORD,
        "grounds": Maybe(GROUNDS),
        "decided_by": CORNER,
    },
    at=("`axles`",),
)
_SAID: dict[str, Kind] = {
    "datum": DATUM,
    "again": WORDS,
    "tips": closed(Tips, "tips"),
    "temperature_c": Scalar(form={"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$"}),
    "zero_error_mm": LENGTH,
    "radius_mm": SIZE,
    "fasteners_fitted": COUNT,
    "fasteners_of": ORDINAL,
    "bearing_checked": FLAG,
    "returned_to_start": FLAG,
    "rotor_index": COUNT,
    "lip": FLAG,
    "in_groove": FLAG,
}
READING_SET = Record(
    name="reading_set",
    says="Values taken in one go of one quantity at one corner, with what was said beside them.",
    keys={
        "id": ID,
        "corner": CORNER,
        "quantity": QUANTITY,
        "stage": STAGE,
        "typed": Many(TEXT, least=1),
        "unit": LENGTH_UNIT,
        "values_mm": Many(Maybe(LENGTH), least=1),
        "gauge": Maybe(WORDS),
        **_SAID,
        "person": Maybe(WORDS),
        "recorded_at": Maybe(MOMENT),
    },
    at=("`reading_sets`", "only where it was said"),
    optional=frozenset(_SAID),
)
SPOT = Record(
    name="spot",
    says="One of the two places that are compared.",
    keys={"corner": CORNER, "position": POSITION, "place": Maybe(WORDS), "size_mm": SIZE},
    at=("`flags`", "`axles`", "`life`", "`measures`"),
)
FLAGGED = Record(
    name="flag",
    says="A difference in wear.",
    keys={
        "kind": closed(FlagKind, "flag_kind"),
        "axle": AXLE,
        "corners": Many(CORNER, least=1, most=2),
        "part": PART,
        "text": WORDS,
        "difference_mm": SIZE,
        "threshold_mm": SIZE,
        "worn_more": SPOT,
        "worn_less": SPOT,
        "for_information": FLAG,
    },
    at=("`flags`",),
)
HINT = Record(
    name="hint",
    says="A wear pattern, with its probable causes and the checks that tell.",
    keys={
        "code": closed(Pattern, "hint_code"),
        "pattern": Closed(
            name="pattern",
            says="A wear pattern in a few words.",
            words=tuple(dict.fromkeys(each.label for each in Pattern)),
        ),
        "axle": Maybe(AXLE),
        "corners": Many(CORNER),
        "evidence": Many(WORDS, least=1),
        "probable_causes": Many(WORDS, least=1),
        "next_checks": Many(WORDS),
        "borne_out_by_finding": FLAG,
        "cause_open": FLAG,
    },
    at=("`hints`",),
)
VERDICT = Form(
    name="verdict",
    version=1,
    title="Verdict on a visit",
    says="What is to become of every part of a vehicle, and why.",
    body={
        "vehicle": replace(VEHICLE, at=("`vehicle`",)),
        "visit": replace(VISIT, at=("`visit`",)),
        "policy": POLICY,
        "axles": Many(AXLE_VERDICT),
        "parts": Many(JUDGED_PART),
        "worlds": Many(WORLD),
        "if_left": Many(IF_LEFT),
        "questions": Many(QUESTION),
        "reading_sets": Many(READING_SET),
        "flags": Many(FLAGGED),
        "hints": Many(HINT),
        "local_rules": Many(LOCAL_RULES),
        "entry_not_filed": COUNT,
    },
)
