"""Verdicts as issued, word for word."""

from __future__ import annotations

from sqlalchemy import select

from brakelog.record.issued import IssuedVerdict
from brakelog.record.reading import Stage
from brakelog.store.tables import verdicts
from brakelog.store.visits import Visits


class Verdicts(Visits):
    """The verdicts that were given out."""

    def issue_verdict(
        self,
        visit_id: str,
        stage: Stage,
        format: str,
        document: str,
        policy: str,
        sheet: str | None = None,
    ) -> None:
        """Keep a verdict.

        Parameters
        ----------
        visit_id : str
            The visit.
        stage : Stage
            Before or after the work.
        format : str
            Name and version of the document's layout.
        document : str
            The verdict, word for word.
        policy : str
            Digest of the rules that it was reached by.
        sheet : str, optional
            The same as it was handed out, for people.

        Raises
        ------
        NotFound
            Where the visit is not on file.
        """
        with self.writing():
            self._need_visits([visit_id])
            row = {
                "visit_id": visit_id,
                "stage": stage,
                "format": format,
                "document": document,
                "policy": policy,
                "sheet": sheet,
            }
            self._record(verdicts, [row])

    def last_verdict(self, visit_id: str, stage: Stage) -> str | None:
        """Return the newest document of a visit and stage; None where none was issued."""
        row = self._first(
            select(verdicts.c.document)
            .where(verdicts.c.visit_id == visit_id, verdicts.c.stage == stage)
            .order_by(verdicts.c.row.desc())
            .limit(1)
        )
        return None if row is None else str(row.document)

    def verdicts_of_visit(self, visit_id: str) -> list[IssuedVerdict]:
        """Return all that was issued for a visit, oldest first."""
        rows = self._all(
            select(verdicts).where(verdicts.c.visit_id == visit_id).order_by(verdicts.c.row)
        )
        return [
            IssuedVerdict(
                id=row.id,
                visit_id=row.visit_id,
                stage=row.stage,
                format=row.format,
                document=row.document,
                policy=row.policy,
                sheet=row.sheet,
                recorded_at=row.recorded_at,
                recorded_by=row.recorded_by,
            )
            for row in rows
        ]
