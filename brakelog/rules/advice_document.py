"""What the verdict advises beside its words, as plain values: questions, life match, a cut."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeAlias

from brakelog.lengths import decimal_mm
from brakelog.record.answer import Answer
from brakelog.record.shop import Shop
from brakelog.review.question import Question
from brakelog.rules.advice_words import (
    match_sentence,
    option_sentence,
    settling_sentence,
)
from brakelog.rules.casefile import CaseFile
from brakelog.rules.matching import LifeMatch
from brakelog.rules.settling import Settling
from brakelog.rules.verdict import Because, Option

Json: TypeAlias = Any


def question_document(file: CaseFile, question: Question) -> dict[str, Json]:
    """Return a question of a case, its evidence, and the answer where one was given."""
    return asked_document(question, file.answers.get(question.key), file.people)


def asked_document(
    question: Question, answer: Answer | None, people: Mapping[str, str]
) -> dict[str, Json]:
    """Return a question with its answer; people by their ids."""
    who = people.get(answer.recorded_by or "") if answer else None
    return {
        "code": question.suspicion.value,
        "key": question.key,
        "scope": question.scope.value,
        "confidence": question.confidence.value,
        "corners": [corner.code for corner in question.corners],
        "reading_sets": list(question.set_ids),
        "points": [point + 1 for point in question.points],
        "if_real_mm": {
            set_id: [None if nm is None else decimal_mm(nm) for nm in values]
            for set_id, values in question.instead_nm.items()
        },
        "evidence": question.evidence,
        "ask": question.ask,
        "answer": answer.said.value if answer else None,
        "answered_by": who,
        "answered_at": (answer.recorded_at.isoformat() if answer and answer.recorded_at else None),
        "note": answer.note or None if answer else None,
    }


def match_document(match: LifeMatch | None, shop: Shop) -> Json:
    """Return how a rotor would stand at the end of the pads that go on now."""
    if match is None:
        return None
    until = match.lining_until_out_nm
    return {
        "text": match_sentence(match, shop),
        "rotor_per_lining": None if match.per_lining is None else f"{float(match.per_lining):.4f}",
        "now_mm": decimal_mm(round(match.now_nm)),
        "next_lining_mm": decimal_mm(match.next_lining_nm) if match.next_lining_nm else None,
        "end_mm": decimal_mm(round(match.end_nm)),
        "discard": match.figure.figure.text.strip(),
        "outlasts": not match.is_out,
        "marginal": match.is_marginal,
        "lining_until_discard_mm": None if until is None else decimal_mm(round(until)),
        "by_rule_of_thumb": match.by_thumb,
        "first_parts_assumed": match.is_assumed,
    }


def option_document(option: Option | None, shop: Shop) -> Json:
    """Return what a cut would do that nothing asks for."""
    if option is None:
        return None
    end = option.match.end_nm if option.match else None
    return {
        "text": option_sentence(option, shop),
        "possible": option.because is Because.CUT_POSSIBLE,
        "per_side_mm": decimal_mm(option.cut.per_side_nm),
        "after_mm": decimal_mm(option.cut.after_nm),
        "machine_to": option.cut.machine_to or None,
        "end_mm": None if end is None else decimal_mm(round(end)),
    }


def settling_document(settling: Settling | None) -> Json:
    """Return what would settle a reading that proves nothing."""
    if settling is None:
        return None
    return {
        "text": settling_sentence(settling) or None,
        "possible": settling.is_possible,
        "gauges": [gauge.tag for gauge in settling.gauges],
        "more_points": settling.more_points,
    }
