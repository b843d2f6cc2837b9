"""What happened to the record as a whole, or to names outside of it: no names in it."""

from __future__ import annotations

from brakelog.store.tables import events
from brakelog.store.transaction import Transactions


class Events(Transactions):
    """The events."""

    def note_event(self, kind: str, target_id: str, reason: str) -> None:
        """Record that something happened.

        Parameters
        ----------
        kind : str
            One of ``tables.EVENT_KINDS``.
        target_id : str
            Id of what it happened to; empty where that is the whole store.
        reason : str
            Why, or what was done; nothing personal, since it is never forgotten.
        """
        self._record(events, [{"kind": kind, "target_id": target_id, "reason": reason}])
