"""Verdicts as they were given out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from brakelog.record.reading import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedVerdict:
    """One verdict document, kept word for word."""

    id: str
    visit_id: str
    stage: Stage
    format: str
    """Name and version of the document's own layout."""
    document: str
    policy: str
    """Digest of the rules that it was reached by."""
    sheet: str | None
    """The same as it was handed out, for people; None where none was kept."""
    recorded_at: datetime
    recorded_by: str | None = None
