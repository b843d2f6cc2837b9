"""The ends of jobs: checks, torques as left, and what the customer agreed to or declined."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlalchemy import ColumnElement, select

from brakelog.record.agreement import Agreement, parse_item
from brakelog.record.closing import Check, ClosingAnswer, TorqueLeft
from brakelog.store.tables import agreement_names, agreements, closing_answers, torques_left
from brakelog.store.transaction import in_chunks
from brakelog.store.visits import Visits


class Closings(Visits):
    """What was recorded at the end of the visits; a later row about the same thing counts."""

    def closing_answers_of(self, visit_id: str) -> list[ClosingAnswer]:
        """Return the checks that were answered in a visit, oldest first."""
        return self._closing_answers(closing_answers.c.visit_id == visit_id)

    def runout_cures_of(self, visit_ids: Iterable[str]) -> list[ClosingAnswer]:
        """Return what was said to have been done about runout in visits, oldest first."""
        found: list[ClosingAnswer] = []
        with self.reading():
            for ids in in_chunks(visit_ids):
                found += self._closing_answers(
                    closing_answers.c.visit_id.in_(ids),
                    closing_answers.c.checked == Check.RUNOUT_CURE,
                )
        return found

    def _closing_answers(self, *where: ColumnElement[bool]) -> list[ClosingAnswer]:
        rows = self._all(select(closing_answers).where(*where).order_by(closing_answers.c.row))
        return [
            ClosingAnswer(
                id=row.id,
                visit_id=row.visit_id,
                check=row.checked,
                said=row.said,
                axle=row.axle,
                corner=row.corner,
                part=row.part,
                note=row.note,
                person_id=row.person_id,
                recorded_at=row.recorded_at,
            )
            for row in rows
        ]

    def add_closing_answers(self, new: Sequence[ClosingAnswer]) -> None:
        """Put answered checks on file.

        Raises
        ------
        NotFound
            Where a visit is not on file.
        Conflict
            Where a visit is void.
        """
        with self.writing():
            self._need_live_visits(each.visit_id for each in new)
            self._record(
                closing_answers,
                [
                    {
                        "id": each.id,
                        "visit_id": each.visit_id,
                        "checked": each.check,
                        "said": each.said,
                        "axle": each.axle,
                        "corner": each.corner,
                        "part": each.part,
                        "note": each.note,
                        "person_id": each.person_id,
                    }
                    for each in new
                ],
            )

    def torques_left_of(self, visit_id: str) -> list[TorqueLeft]:
        """Return the torques that fasteners were left at in a visit, oldest first."""
        rows = self._all(
            select(torques_left)
            .where(torques_left.c.visit_id == visit_id)
            .order_by(torques_left.c.row)
        )
        return [
            TorqueLeft(
                id=row.id,
                visit_id=row.visit_id,
                axle=row.axle,
                corner=row.corner,
                fastener=row.fastener,
                figure=row.figure,
                person_id=row.person_id,
                recorded_at=row.recorded_at,
            )
            for row in rows
        ]

    def add_torques_left(self, new: Sequence[TorqueLeft]) -> None:
        """Put torques as left on file.

        Raises
        ------
        NotFound
            Where a visit is not on file.
        Conflict
            Where a visit is void.
        """
        with self.writing():
            self._need_live_visits(each.visit_id for each in new)
            self._record(
                torques_left,
                [
                    {
                        "id": each.id,
                        "visit_id": each.visit_id,
                        "axle": each.axle,
                        "corner": each.corner,
                        "fastener": each.fastener,
                        "figure": each.figure,
                        "person_id": each.person_id,
                    }
                    for each in new
                ],
            )

    def agreements_of(self, visit_id: str) -> list[Agreement]:
        """Return what the customer said about the work of a visit, oldest first."""
        with self.reading():
            rows = self._all(
                select(agreements)
                .where(agreements.c.visit_id == visit_id)
                .order_by(agreements.c.row)
            )
            ids = select(agreements.c.id).where(agreements.c.visit_id == visit_id)
            names = self._all(
                select(agreement_names)
                .where(agreement_names.c.agreement_id.in_(ids))
                .order_by(agreement_names.c.row)
            )
        said_by = {row.agreement_id: row for row in names}
        return [
            Agreement(
                id=row.id,
                visit_id=row.visit_id,
                consent=row.consent,
                items=tuple(parse_item(text) for text in row.items),
                day=row.day,
                time=row.time,
                how=row.how,
                cost=row.cost,
                note=row.note,
                who=said_by[row.id].who if row.id in said_by else "",
                number=said_by[row.id].number if row.id in said_by else "",
                person_id=row.person_id,
                recorded_at=row.recorded_at,
            )
            for row in rows
        ]

    def add_agreement(self, agreement: Agreement) -> None:
        """Put on file what the customer said; names and numbers apart from the evidence.

        Raises
        ------
        NotFound
            Where the visit is not on file.
        Conflict
            Where it is void.
        """
        with self.writing():
            self._need_live_visits([agreement.visit_id])
            row = {
                "id": agreement.id,
                "visit_id": agreement.visit_id,
                "consent": agreement.consent,
                "items": tuple(str(item) for item in agreement.items),
                "day": agreement.day,
                "time": agreement.time,
                "how": agreement.how,
                "cost": agreement.cost,
                "note": agreement.note,
                "person_id": agreement.person_id,
            }
            self._record(agreements, [row])
            if agreement.who or agreement.number:
                names = {
                    "agreement_id": agreement.id,
                    "recorded_at": self.now(),
                    "who": agreement.who,
                    "number": agreement.number,
                }
                self._insert(agreement_names, [names])
