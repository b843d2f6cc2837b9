"""Whose a row of evidence is: what it is found by when a vehicle is judged.

The rows of each owner are tallied. A row that is gone, or that a damaged index does not lead to,
cannot be told by its own seal; the tally tells it.

Three kinds of tally are beside those of the owners. The sets that a gauge read twice are tallied
by gauge and time, because the scatter of a gauge is taken from the newest of them, whosever they
are. The keys of imported rows have no column for a seal: one for each row of a sheet would make
every import longer, and the sum over all of a kind says as much. And in a file the statements that
its tables and indexes were made by are tallied one by one.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Table

from brakelog.store.tables import (
    EVIDENCE,
    corrections,
    events,
    gauges,
    limit_confirmations,
    limit_sheets,
    limits,
    sheet_traits,
    shop_settings,
    torques,
    vehicles,
    visits,
)

OWNERS: Mapping[Table, tuple[str, ...]] = dict.fromkeys(EVIDENCE, ("visit_id",)) | {
    shop_settings: ("site",),
    limit_sheets: ("key",),
    vehicles: ("key",),
    gauges: ("key",),
    visits: ("vehicle_id",),
    corrections: ("target_id", "to_vehicle"),
    limits: ("sheet_id", "vehicle_id"),
    limit_confirmations: ("limit_id",),
    torques: ("sheet_id",),
    sheet_traits: ("sheet_id",),
    events: ("site",),
}
"""For each table of evidence, the columns that name the owners of a row."""

REPEATS = "repeats"
"""The kind of the tallies of the sets whose first point was read twice."""
REPEATED_BY = ("again_nm", "gauge_id", "recorded_at")
"""The columns of a reading set that ``is_repeated`` and ``repeat_owner`` look at."""
SCHEMA = "schema"
"""The kind of the tallies of the statements that a file's tables and indexes were made by."""


def is_repeated(stored: Mapping[str, Any]) -> bool:
    """Tell whether a reading set counts for the scatter of its gauge."""
    return stored["again_nm"] is not None and stored["gauge_id"] is not None


def repeat_owner(stored: Mapping[str, Any]) -> str:
    """Return what a repeated set is tallied by: the revision of its gauge, then its time.

    In this order those of one gauge follow each other as time does.
    """
    return f"{stored['gauge_id']} {stored['recorded_at']}"
