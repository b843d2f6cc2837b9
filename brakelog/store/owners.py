"""Whose a row of evidence is: what it is found by when a vehicle is judged.

The rows of each owner are tallied. A row that is gone, or that a damaged index does not lead to,
cannot be told by its own seal; the tally tells it.
"""

from __future__ import annotations

from collections.abc import Mapping

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
