"""What the shop has learned of wear and of driving, as it is kept in the store."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from brakelog.record.shop import Shop
from brakelog.record.visit import Visit
from brakelog.store.store import Store
from brakelog.wear.experience import VEHICLE_SHARE
from brakelog.wear.experiences import Experiences
from brakelog.wear.usage import Usage, usage_of

_KM = 1_000_000
USAGE_MARK = "usage"
"""Name of the mark that holds what was learned of driving: log of km a day, and its spread."""


SHARE_MARK = "vehicle share"
"""Name of the mark that holds how much of the spread of rates stays with a vehicle."""


def learned_experiences(store: Store) -> Experiences:
    """Return what the shop learned last; empty where it never did."""
    by_group = {row.group: row.experience for row in store.experience_rows()}
    if not by_group:
        return Experiences()
    share = store.derived_marks().get(SHARE_MARK)
    return Experiences(
        by_group=by_group, vehicle_share=VEHICLE_SHARE if share is None else float(share)
    )


def usual_usage(store: Store, shop: Shop) -> Usage:
    """Return how far vehicles are usually driven here: as set, else as learned, else in general."""
    if shop.daily_distance_mm is not None:
        return Usage(log_km_per_day=math.log(shop.daily_distance_mm / _KM))
    learned = store.derived_marks().get(USAGE_MARK)
    if learned is None:
        return Usage()
    log_km_per_day, log_sd = (float(part) for part in learned.split())
    return Usage(log_km_per_day=log_km_per_day, log_sd=log_sd)


def usage_from(visits: Sequence[Visit], usual: Usage) -> Usage:
    """Return how far a vehicle is driven in a day, from its first to its last odometer."""
    first, last = visits[0], visits[-1]
    return usage_of(
        replace(usual, days_behind=0),
        distance_km=(last.odometer_mm - first.odometer_mm) / _KM,
        days=(last.day - first.day).days,
    )
