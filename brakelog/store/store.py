"""The store: every noun of the record, kept in one file."""

from __future__ import annotations

from sqlalchemy import func, select, text

from brakelog.store.answers import Answers
from brakelog.store.closings import Closings
from brakelog.store.derived import Derived
from brakelog.store.drafts import Drafts
from brakelog.store.findings import Findings
from brakelog.store.fittings import Fittings
from brakelog.store.gauges import Gauges
from brakelog.store.imports import Imports
from brakelog.store.limits import Limits
from brakelog.store.people import People
from brakelog.store.readings import Readings
from brakelog.store.shops import Shops
from brakelog.store.tables import EVIDENCE
from brakelog.store.verdicts import Verdicts

_SYNCHRONOUS = ("off", "normal", "full", "extra")
"""The settings by the numbers that SQLite gives them."""


class Store(
    Readings,
    Findings,
    Fittings,
    Drafts,
    Verdicts,
    Answers,
    Closings,
    Limits,
    Gauges,
    People,
    Shops,
    Imports,
    Derived,
):
    """What the workshop has on file. Opened by ``open_store``; closed by ``close`` or ``with``.

    A method that is called outside ``writing`` and ``reading`` is one transaction by itself.
    What has been written when a method, or the outermost ``writing`` block, returns survives a
    kill and a power cut.
    """

    def durability(self) -> dict[str, str]:
        """Return the settings that make what is acknowledged survive a power cut."""
        return {
            "journal_mode": str(self._all(text("PRAGMA journal_mode"))[0][0]),
            "synchronous": _SYNCHRONOUS[int(self._all(text("PRAGMA synchronous"))[0][0])],
        }

    def counts(self) -> dict[str, int]:
        """Return the number of rows of each table of evidence."""
        row = self._first(
            select(
                *(
                    select(func.count()).select_from(table).scalar_subquery().label(table.name)
                    for table in EVIDENCE
                )
            )
        )
        return {} if row is None else dict(row._mapping)
