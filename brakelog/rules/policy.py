"""A digest of the rules and settings that a verdict was made with."""

from __future__ import annotations

import hashlib
import json

from brakelog.record.shop import Shop
from brakelog.rules.deciding import POINTS_DRUM, POINTS_THICKNESS, POINTS_VARIATION
from brakelog.rules.proving import BEYOND_NEW_NM
from brakelog.rules.verdict import Because

RULES = "1"
"""Raised whenever the same readings and limits could lead to another verdict."""


def policy_digest(shop: Shop) -> str:
    """Return the sha256 of the normalised rules and of the shop's settings that matter."""
    rules = {
        "rules": RULES,
        "codes": [each.value for each in Because],
        "points": [POINTS_THICKNESS, POINTS_VARIATION, POINTS_DRUM],
        "beyond_new_nm": {measure.value: nm for measure, nm in BEYOND_NEW_NM.items()},
        "probability": str(shop.probability),
        "clean_up_nm": shop.clean_up_nm,
        "next_distance_mm": shop.next_distance_mm,
    }
    text = json.dumps(rules, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
