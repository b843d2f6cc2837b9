"""What a verdict says of one part: its reasons, its measures, and what would come of it."""

from __future__ import annotations

from brakelog.record.finding import FindingKind
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.rules.judgement import Doubt, Outcome
from brakelog.rules.measure import Measure
from tests.docs.schemas.kinds import Many, Maybe, Record, Scalar, closed
from tests.docs.schemas.life import LIFE
from tests.docs.schemas.scalars import (
    CORNER,
    COUNT,
    DAY,
    DECIMAL,
    FLAG,
    GROUNDS,
    ID,
    LENGTH,
    LIMIT_STATE,
    ORDINAL,
    PART,
    POSITION,
    PROBABILITY,
    REASON_CODE,
    SIZE,
    VERDICT_WORD,
    WORDS,
)

LIMIT_KIND = closed(LimitKind, "limit_kind")
OUT_WHEN = closed(OutWhen, "out_when")
MEASURE = closed(Measure, "measure")
FINDING = closed(FindingKind, "finding")
QUESTION_KEY = Scalar(
    name="question_key",
    says="Key of a question: its code, and a digest of what it rests on.",
    form={"type": "string", "pattern": "^Q[0-9]{3}:[0-9a-f]{16}$"},
)

CUT = Record(
    name="cut",
    says="What refinishing would mean.",
    keys={"per_side_mm": SIZE, "after_mm": SIZE, "machine_to": Maybe(WORDS)},
    at=("`reasons`",),
)
TO_SETTLE = Record(
    name="to_settle",
    says="What would settle a reading that is not proven.",
    keys={
        "text": Maybe(WORDS),
        "possible": FLAG,
        "gauges": Many(WORDS),
        "more_points": COUNT,
    },
    at=("`reasons`",),
)
REASON = Record(
    name="reason",
    says="One rule that applied.",
    keys={
        "code": REASON_CODE,
        "verdict": VERDICT_WORD,
        "grounds": Maybe(GROUNDS),
        "text": WORDS,
        "measure": Maybe(MEASURE),
        "finding": Maybe(FINDING),
        "position": Maybe(POSITION),
        "axle_mate": Maybe(CORNER),
        "cut": Maybe(CUT),
        "to_settle": Maybe(TO_SETTLE),
    },
    at=("`reasons`",),
)
FIGURE = Record(
    name="figure",
    says="One figure of a limit.",
    keys={
        "limit_id": ID,
        "kind": LIMIT_KIND,
        "as_printed": WORDS,
        "figure": WORDS,
        "mm": SIZE,
        "out_when": OUT_WHEN,
        "comparator_stated": FLAG,
        "source": WORDS,
        "source_date": Maybe(DAY),
    },
    at=("figure of a limit",),
)
JUDGED = Record(
    name="judged_measure",
    says="One quantity of a part, judged.",
    keys={
        "measure": MEASURE,
        "outcome": closed(Outcome, "outcome"),
        "text": WORDS,
        "value_mm": Maybe(SIZE),
        "judged_mm": Maybe(LENGTH),
        "typed": Maybe(WORDS),
        "place": Maybe(WORDS),
        "points": COUNT,
        "points_needed": COUNT,
        "left_out": Many(WORDS),
        "blind_to_waves": Many(ORDINAL),
        "reading_sets": Many(ID),
        "gauge": Maybe(WORDS),
        "gauge_past_check": Maybe(WORDS),
        "read_with": Maybe(WORDS),
        "u1_mm": Maybe(SIZE),
        "probability": Maybe(PROBABILITY),
        "limit_state": LIMIT_STATE,
        "limit": Maybe(FIGURE),
        "figures_judged": Many(FIGURE),
        "figures_set_aside": Many(FIGURE),
        "margin_mm": Maybe(LENGTH),
        "doubts": Many(closed(Doubt, "doubt")),
        "questions": Many(QUESTION_KEY),
    },
    at=("`measures`",),
)
LIFE_MATCH = Record(
    name="life_match",
    says="How a rotor that stays would stand when the pads that go on now are worn out.",
    keys={
        "text": WORDS,
        "rotor_per_lining": Maybe(DECIMAL),
        "now_mm": SIZE,
        "next_lining_mm": Maybe(SIZE),
        "end_mm": LENGTH,
        "discard": WORDS,
        "outlasts": FLAG,
        "marginal": FLAG,
        "lining_until_discard_mm": Maybe(LENGTH),
        "by_rule_of_thumb": FLAG,
        "first_parts_assumed": FLAG,
    },
    at=("`life_match`",),
)
IF_REFINISHED = Record(
    name="if_refinished",
    says="What a cut would do that nothing asks for.",
    keys={
        "text": WORDS,
        "possible": FLAG,
        "per_side_mm": SIZE,
        "after_mm": SIZE,
        "machine_to": Maybe(WORDS),
        "end_mm": Maybe(LENGTH),
    },
    at=("`if_refinished`",),
)
JUDGED_PART = Record(
    name="judged_part",
    says="The verdict on one part at one corner.",
    keys={
        "corner": CORNER,
        "part": PART,
        "verdict": VERDICT_WORD,
        "grounds": Maybe(GROUNDS),
        "reasons": Many(REASON, least=1),
        "measures": Many(JUDGED),
        "not_measured": Many(MEASURE),
        "condition_recorded": FLAG,
        "noted": Many(FINDING),
        "life_match": Maybe(LIFE_MATCH),
        "if_refinished": Maybe(IF_REFINISHED),
        "life": Many(LIFE),
    },
    at=("`parts`",),
)
