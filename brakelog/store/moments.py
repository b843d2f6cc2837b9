"""The times that rows are recorded at: they never go back, however clocks are set.

What was read before some work must not look as if it had been read after it.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection

from brakelog.store.nouns import need_texts
from brakelog.store.tables import EVIDENCE

TICK = timedelta(microseconds=1)
"""The step of the times on record: between rows that a clock set back would put in wrong order."""
_NEWEST = "SELECT max(at) FROM ({}) AS newest".format(
    " UNION ALL ".join(
        f'SELECT (SELECT recorded_at FROM {table.name} ORDER BY "row" DESC LIMIT 1) AS at'
        for table in EVIDENCE
    )
)
"""Asks for the newest time on record, from the last row of each table."""


def newest_on_record(connection: Connection) -> datetime:
    """Return the time of what was recorded last; the beginning of time where nothing was."""
    found = connection.exec_driver_sql(_NEWEST).scalar()
    need_texts([found])
    return datetime.fromisoformat(found) if found else datetime.min.replace(tzinfo=UTC)


def not_before(now: datetime, newest: datetime) -> datetime:
    """Return the time to record at: the clock's, or a tick after the newest if it went back."""
    if now.tzinfo is None or now >= newest:
        return now
    return newest + TICK
