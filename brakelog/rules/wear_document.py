"""Uneven wear and wear patterns as plain values, for machines and for the record."""

from __future__ import annotations

from typing import Any

from brakelog.lengths import decimal_mm
from brakelog.record.corner import axle_name
from brakelog.record.shop import Shop
from brakelog.rules.flag import Flag, Spot
from brakelog.rules.flag_words import flag_sentence
from brakelog.rules.hint import Hint


def flag_document(flag: Flag, shop: Shop) -> dict[str, Any]:
    """Return one flag; lengths are decimal strings in mm."""
    return {
        "kind": flag.kind.value,
        "axle": axle_name(flag.axle),
        "corners": [each.code for each in flag.corners],
        "part": flag.part.value,
        "text": flag_sentence(flag, shop),
        "difference_mm": decimal_mm(flag.difference_nm),
        "threshold_mm": decimal_mm(flag.threshold_nm),
        "worn_more": _spot(flag.worn),
        "worn_less": _spot(flag.other),
        "for_information": flag.kind.is_information,
    }


def _spot(spot: Spot) -> dict[str, Any]:
    return {
        "corner": spot.corner.code,
        "position": spot.position.value,
        "place": spot.place or None,
        "size_mm": decimal_mm(spot.nm),
    }


def hint_document(hint: Hint) -> dict[str, Any]:
    """Return one wear pattern with its probable causes and the checks that tell."""
    return {
        "code": hint.pattern.value,
        "pattern": hint.pattern.label,
        "axle": None if hint.axle is None else axle_name(hint.axle),
        "corners": [each.code for each in hint.corners],
        "evidence": list(hint.evidence),
        "probable_causes": list(hint.probable_causes),
        "next_checks": list(hint.next_checks),
        "borne_out_by_finding": hint.is_borne_out,
        "cause_open": hint.cause_open,
    }
