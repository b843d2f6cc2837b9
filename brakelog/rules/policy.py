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


class Policy:
    """What the verdicts of a shop rest on beside the record, with its digest.

    Parameters
    ----------
    shop : Shop
        The settings.
    packs : tuple of Pack
        The packs of local rules that are on.
    experiences : Experiences
        What the shop has learned of wear.
    """

    __slots__ = ("_digest", "experiences", "packs", "shop")

    def __init__(self, shop: Shop, packs: tuple[Pack, ...], experiences: Experiences) -> None:
        self.shop = shop
        self.packs = packs
        self.experiences = experiences
        self._digest = ""

    def is_of(self, shop: Shop, packs: tuple[Pack, ...], experiences: Experiences) -> bool:
        """Whether it is the policy of just these settings."""
        return self.shop is shop and self.packs is packs and self.experiences is experiences

    @property
    def digest(self) -> str:
        """Its digest, worked out when it is first asked for."""
        if not self._digest:
            self._digest = policy_digest(self.shop, self.packs, self.experiences)
        return self._digest


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
