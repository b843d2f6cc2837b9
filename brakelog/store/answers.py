"""Answers to the questions that readings raise about themselves."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Row, select

from brakelog.record.answer import Answer
from brakelog.store.tables import answers
from brakelog.store.transaction import in_chunks
from brakelog.store.visits import Visits


class Answers(Visits):
    """What people answered."""

    def answers_of_visits(self, visit_ids: Iterable[str]) -> list[Answer]:
        """Return the answers given for visits, oldest first."""
        rows: list[Row[Any]] = []
        with self.reading():
            for ids in in_chunks(visit_ids):
                rows += self._all(
                    select(answers).where(answers.c.visit_id.in_(ids)).order_by(answers.c.row)
                )
        return [
            Answer(
                id=row.id,
                visit_id=row.visit_id,
                question_key=row.question_key,
                said=row.said,
                note=row.note,
                recorded_at=row.recorded_at,
                recorded_by=row.recorded_by,
            )
            for row in rows
        ]

    def add_answer(self, answer: Answer) -> None:
        """Put an answer on file.

        Raises
        ------
        NotFound
            Where the visit is not on file.
        Conflict
            Where it is void.
        """
        with self.writing():
            self._need_live_visits([answer.visit_id])
            row = {
                "id": answer.id,
                "visit_id": answer.visit_id,
                "question_key": answer.question_key,
                "said": answer.said,
                "note": answer.note,
            }
            self._record(answers, [row])
