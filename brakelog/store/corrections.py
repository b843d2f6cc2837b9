"""Corrections: rows of their own that name what they correct, with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, Select, select

from brakelog.errors import InvalidInput
from brakelog.store.tables import corrections
from brakelog.store.transaction import Transactions


class Corrections(Transactions):
    """What has been corrected, and why."""

    def _correct(
        self,
        kind: str,
        target_id: str,
        reason: str,
        *,
        replacement_id: str | None = None,
        to_vehicle: str | None = None,
    ) -> None:
        if not reason.strip():
            raise InvalidInput("a correction needs its reason", hint="say why in a few words")
        self._record(
            corrections,
            [
                {
                    "kind": kind,
                    "target_id": target_id,
                    "replacement_id": replacement_id,
                    "to_vehicle": to_vehicle,
                    "reason": reason,
                }
            ],
        )

    def _corrections_of(self, targets: str | Select[Any]) -> Sequence[Row[Any]]:
        """Return the corrections of one row, or of all that a query selects, oldest first."""
        where = (
            corrections.c.target_id == targets
            if isinstance(targets, str)
            else corrections.c.target_id.in_(targets)
        )
        return self._all(
            select(
                corrections.c.kind,
                corrections.c.target_id,
                corrections.c.replacement_id,
                corrections.c.to_vehicle,
                corrections.c.reason,
            )
            .where(where)
            .order_by(corrections.c.row)
        )
