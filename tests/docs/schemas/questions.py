"""What readings ask about themselves."""

from __future__ import annotations

from brakelog.record.answer import Said
from brakelog.review.question import Confidence, Scope
from brakelog.review.suspicion import Suspicion
from tests.docs.schemas.judged import QUESTION_KEY
from tests.docs.schemas.kinds import Form, Keyed, Kind, Many, Maybe, Record, closed
from tests.docs.schemas.scalars import CORNER, ID, LENGTH, MOMENT, ORDINAL, WORDS

_KEYS: dict[str, Kind] = {
    "code": closed(Suspicion, "question_code"),
    "key": QUESTION_KEY,
    "scope": closed(Scope, "scope"),
    "confidence": closed(Confidence, "confidence"),
    "corners": Many(CORNER),
    "reading_sets": Many(ID),
    "points": Many(ORDINAL),
    "if_real_mm": Keyed(ID, Many(Maybe(LENGTH))),
    "evidence": WORDS,
    "ask": WORDS,
    "answer": Maybe(closed(Said, "answer")),
    "answered_by": Maybe(WORDS),
    "answered_at": Maybe(MOMENT),
    "note": Maybe(WORDS),
}
QUESTION = Record(
    name="question",
    says="One question, with the answer where there is one.",
    keys=_KEYS,
    at=("`questions`",),
)
QUESTIONS = Form(
    name="questions",
    version=1,
    title="Questions of a visit",
    says="What the readings of a visit ask about themselves.",
    body={
        "questions": Many(
            Record(
                name="question",
                says="One question, with the number that it is answered by.",
                keys={"number": ORDINAL, **_KEYS},
            )
        ),
    },
)
