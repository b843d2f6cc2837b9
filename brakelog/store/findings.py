"""Findings: what was seen at a corner."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import exists, select

from brakelog.errors import Conflict, NotFound
from brakelog.record.finding import Finding
from brakelog.store.nouns import field_names, noun_maker
from brakelog.store.tables import corrections, findings
from brakelog.store.visits import Visits, visit_ids_of

_COLUMNS = tuple(findings.c[name] for name in field_names(Finding))
_finding = noun_maker(Finding)
"""Makes one of a row that was read by ``_COLUMNS``."""


class Findings(Visits):
    """The findings of the visits."""

    def findings_of_vehicle(self, vehicle_id: str) -> list[Finding]:
        """Return the findings that hold now, of the visits that stand, in order of entry."""
        return self.findings_of_vehicles([vehicle_id])

    def findings_of_vehicles(self, vehicle_ids: Sequence[str]) -> list[Finding]:
        """Return the same of some vehicles, at most as many as one statement can name."""
        with self.reading():
            standing = self._standing_visits(vehicle_ids)
            found = self._current_findings(findings.c.visit_id.in_(visit_ids_of(vehicle_ids)))
        return [finding for finding in found if finding.visit_id in standing]

    def findings_of_visit(self, visit_id: str) -> list[Finding]:
        """Return the findings of a visit that hold now; none of a void visit."""
        with self.reading():
            if any(row.kind == "void visit" for row in self._corrections_of(visit_id)):
                return []
            return self._current_findings(findings.c.visit_id == visit_id)

    def add_findings(self, new: Sequence[Finding]) -> None:
        """Put findings on file; one that corrects another stands in for it from now on.

        Raises
        ------
        NotFound
            Where a visit or a corrected finding is not on file.
        Conflict
            Where a visit is void, or a corrected finding does not hold any more or belongs to
            another visit.
        """
        with self.writing():
            self._need_live_visits(finding.visit_id for finding in new)
            for finding in new:
                if finding.corrects is not None:
                    self._need_current_finding(finding.corrects, finding.visit_id)
                self._record(findings, [_row(finding)])

    def full_finding_id(self, text: str) -> str:
        """Return the id that a text is the beginning of; see ``_full_id``."""
        return self._full_id(findings.c.id, text, "finding")

    def void_finding(self, id: str, reason: str) -> None:
        """Take a finding out of the history; it is kept.

        Raises
        ------
        NotFound
            Where there is none.
        Conflict
            Where it does not hold any more.
        InvalidInput
            Where the reason is empty.
        """
        with self.writing():
            self._need_current_finding(id)
            self._correct("void finding", id, reason)

    def _current_findings(self, where: Any) -> list[Finding]:
        is_void = exists().where(corrections.c.target_id == findings.c.id)
        rows = self._all(
            select(is_void.label("is_void"), *_COLUMNS).where(where).order_by(findings.c.row)
        )
        corrected = {row.corrects for row in rows}
        return [_finding(row[1:]) for row in rows if not row.is_void and row.id not in corrected]

    def _need_current_finding(self, id: str, visit_id: str | None = None) -> None:
        """Raise where a finding does not hold, or is not one of a visit where that is named."""
        row = self._first(select(findings.c.visit_id).where(findings.c.id == id))
        if row is None:
            raise NotFound(f"no finding has the id {id}")
        if visit_id not in (None, row.visit_id):
            raise Conflict(
                "a correction stays in its visit", hint="void the finding and enter it again there"
            )
        self._need_live_visits([row.visit_id])
        if id not in {finding.id for finding in self.findings_of_visit(row.visit_id)}:
            raise Conflict("that finding has been corrected already")


def _row(finding: Finding) -> dict[str, Any]:
    return {
        "id": finding.id,
        "visit_id": finding.visit_id,
        "corner": finding.corner,
        "stage": finding.stage,
        "kind": finding.kind,
        "part": finding.part,
        "note": finding.note,
        "put_right": finding.put_right,
        "person_id": finding.person_id,
        "corrects": finding.corrects,
    }
