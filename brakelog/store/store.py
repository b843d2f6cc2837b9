"""The store: every noun of the record, kept in one file."""

from __future__ import annotations

from sqlalchemy import func, select

from brakelog.store.answers import Answers
from brakelog.store.closings import Closings
from brakelog.store.derived import Derived
from brakelog.store.drafts import Drafts
from brakelog.store.faults import translated
from brakelog.store.findings import Findings
from brakelog.store.fittings import Fittings
from brakelog.store.gauges import Gauges
from brakelog.store.imports import Imports
from brakelog.store.journal import Journal
from brakelog.store.limits import Limits
from brakelog.store.people import People
from brakelog.store.readings import Readings
from brakelog.store.shops import Shops
from brakelog.store.tables import EVIDENCE
from brakelog.store.verdicts import Verdicts
from brakelog.store.verifying import Verifying


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
    Verifying,
    Journal,
):
    """What the workshop has on file. Opened by ``open_store``; closed by ``close`` or ``with``.

    A method that is called outside ``writing`` and ``reading`` is one transaction by itself.
    What has been written when a method, or the outermost ``writing`` block, returns survives a
    kill and a power cut.
    """

    def durability(self) -> dict[str, str]:
        """Return the settings that make what is acknowledged survive a power cut."""
        with self.reading(), translated():
            return self._database.durability(self._connection)

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
