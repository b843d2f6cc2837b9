"""Questions that readings raise, as a list for people and for machines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeAlias

from brakelog.record.answer import Answer
from brakelog.reports.plain import WIDTH, Line, shown, wrapped
from brakelog.review.question import Question
from brakelog.rules.advice_document import asked_document

FORMAT = "brakelog.questions/1"
Row: TypeAlias = tuple[int, Question, Answer | None]


def question_lines(
    rows: Iterable[Row], people: Mapping[str, str], *, width: int = WIDTH
) -> list[Line]:
    """Return the questions with their numbers, evidence, what answers them, and any answer."""
    lines: list[Line] = []
    for number, question, answer in rows:
        where = " ".join(corner.code for corner in question.corners)
        head = f"{number}  {question.suspicion.value} {where}".rstrip()
        role = "plain" if answer else "open"
        lines.append(Line(text=shown(f"{head}  ({question.confidence.value})"), role=role))
        for text in (question.evidence, question.ask):
            lines += wrapped(text, first="   ", rest="   ", width=width)
        if answer is not None:
            who = people.get(answer.recorded_by or "", "somebody")
            note = f": {answer.note}" if answer.note else ""
            lines += wrapped(
                f"Answered {answer.said.value} by {who}{note}.", first="   ", width=width
            )
    return lines or [Line(text="Nothing is asked.")]


def asked_lines(questions: Iterable[Question], *, width: int = WIDTH) -> list[Line]:
    """Return the questions that come up while readings are typed."""
    lines: list[Line] = []
    for question in questions:
        text = f"? {question.evidence} {question.ask}"
        lines += wrapped(text, rest="  ", role="open", width=width)
    return lines


def questions_document(rows: Iterable[Row], people: Mapping[str, str]) -> dict[str, Any]:
    """Return the questions as plain values."""
    return {
        "format": FORMAT,
        "questions": [
            {"number": number, **asked_document(question, answer, people)}
            for number, question, answer in rows
        ],
    }
