"""The journal in lines, and for machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from brakelog.record.journal import JournalLine
from brakelog.reports.plain import Line, shown

WORDS = {
    "shop_settings": "setting",
    "limit_sheets": "limit sheet",
    "vehicles": "vehicle",
    "gauges": "gauge",
    "visits": "visit",
    "visit_facts": "visit, more",
    "reading_sets": "readings",
    "findings": "finding",
    "fittings": "fitting",
    "corrections": "correction",
    "limits": "limit",
    "limit_confirmations": "figure decided",
    "torques": "torque",
    "verdicts": "verdict issued",
    "sheet_traits": "trait",
    "answers": "answer",
    "odometer_corrections": "odometer corrected",
    "closing_answers": "closing check",
    "torques_left": "torque left",
    "agreements": "agreement",
    "events": "event",
}
"""What a row of each table of evidence is called."""


def journal_lines(lines: Sequence[JournalLine]) -> Iterator[Line]:
    """Yield a line for each change, and one more for each reason."""
    if not lines:
        yield Line(text="nothing was recorded")
        return
    widest = max(len(each.who) for each in lines)
    for each in lines:
        change = each.change
        when = f"{change.recorded_at:%Y-%m-%d %H:%M:%S}"
        what = " ".join([WORDS[change.table], *change.about]).replace("_", " ")
        said = [when, shown(each.who).ljust(widest), shown(each.vehicle), shown(what)]
        yield Line(text="  ".join(text for text in said if text.strip()))
        if change.why:
            yield Line(text=f"    why: {shown(change.why)}")
    yield Line(text="times in UTC", role="quiet")


def journal_document(lines: Sequence[JournalLine]) -> dict[str, Any]:
    """Return the journal as ``brakelog.journal/1``."""
    return {
        "format": "brakelog.journal/1",
        "changes": [
            {
                "recorded_at": each.change.recorded_at.isoformat(),
                "who": each.who or None,
                "site": each.change.site,
                "vehicle": each.vehicle or None,
                "what": each.change.table,
                "id": each.change.id,
                "about": list(each.change.about),
                "why": each.change.why or None,
                "link": each.change.link,
            }
            for each in lines
        ],
    }
