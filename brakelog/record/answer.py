"""Answers to the questions that readings raise about themselves."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from datetime import datetime


class Said(enum.Enum):
    """What somebody answered; the value is the word typed."""

    RIGHT = "right"
    """It was looked at again and is as typed."""
    WRONG = "wrong"
    """The suspicion is right; a correction has to follow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer; kept with who and when, the newest to a question counts."""

    id: str
    visit_id: str
    question_key: str
    said: Said
    note: str = ""
    recorded_at: datetime | None = None
    recorded_by: str | None = None
