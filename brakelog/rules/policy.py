"""A digest of the rules and settings that a verdict was made with."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

from brakelog.record.shop import Shop
from brakelog.review.beyond import BEYOND_NEW_NM
from brakelog.rules.deciding import POINTS_DRUM, POINTS_THICKNESS, POINTS_VARIATION
from brakelog.rules.verdict import Because

if TYPE_CHECKING:
    from brakelog.rules.pack import Pack
    from brakelog.wear.experiences import Experiences

RULES = "4"
"""Raised whenever the same readings and limits could lead to another verdict."""


def policy_digest(
    shop: Shop, packs: tuple[Pack, ...] = (), experiences: Experiences | None = None
) -> str:
    """Return the sha256 of the rules, the packs that are on, and the settings that matter.

    What the shop has learned of wear counts too: it moves how far a part is said to go.
    """
    rules: dict[str, Any] = {
        "rules": RULES,
        "codes": [each.value for each in Because],
        "points": [POINTS_THICKNESS, POINTS_VARIATION, POINTS_DRUM],
        "beyond_new_nm": {part.value: nm for part, nm in BEYOND_NEW_NM.items()},
        "probability": str(shop.probability),
        "clean_up_nm": shop.clean_up_nm,
        "next_distance_mm": shop.next_distance_mm,
    }
    if experiences is not None and experiences.by_group:
        rules["experience"] = sorted(
            f"{group!r} {learned!r}" for group, learned in experiences.by_group.items()
        )
    if packs:
        from brakelog.rules.pack import normalised

        rules["packs"] = [normalised(pack) for pack in packs]
    text = json.dumps(rules, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
