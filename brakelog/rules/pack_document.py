"""Local rules as plain values, for machines and for the record of what was issued."""

from __future__ import annotations

from typing import Any

from brakelog.lengths import decimal_mm
from brakelog.record.limit import print_figure
from brakelog.record.shop import Shop
from brakelog.rules.pack import Clause, Pack
from brakelog.rules.pack_verdict import PackVerdict
from brakelog.rules.pack_words import CHECK, pack_sentence
from brakelog.rules.verdict import VehicleVerdict


def local_rules(verdict: VehicleVerdict) -> list[dict[str, Any]]:
    """Return one entry for each pack that is on, with what it says about every lining."""
    shop = verdict.file.shop
    return [
        {
            **pack_facts(pack),
            "linings": [_lining(each, shop) for each in verdict.packs if each.pack is pack],
            "shown_only": [
                {"number": each.number, "wording": each.wording, "standing": each.standing.value}
                for each in pack.clauses
                if not each.figures
            ],
        }
        for pack in verdict.file.packs
    ]


def pack_facts(pack: Pack) -> dict[str, Any]:
    """Return what there is to say about a pack as a whole."""
    return {
        "pack": pack.id,
        "title": pack.title,
        "document": pack.document,
        "authority": pack.authority,
        "jurisdiction": pack.jurisdiction,
        "scope": pack.scope,
        "valid_from": pack.valid_from.isoformat() if pack.valid_from else None,
        "valid_from_note": pack.valid_from_note or None,
        "standing": pack.standing.value,
        "standing_note": pack.standing_note,
        "advice": CHECK,
    }


def clause_facts(clause: Clause) -> dict[str, Any]:
    """Return what a clause says, whatever was read."""
    return {
        "clause": clause.id,
        "number": clause.number,
        "wording": clause.wording,
        "standing": clause.standing.value,
        "parts": [part.value for part in clause.parts],
        "figures": [
            {"figure": print_figure(figure), "mm": decimal_mm(figure.nm)}
            for figure in clause.figures
        ],
        "out_when": clause.comparator.value if clause.figures else None,
        "comparator_stated": clause.out_when is not None if clause.figures else None,
        "counted_from": clause.counted_from.value if clause.figures else None,
        "measured_at": clause.measured_at.value if clause.figures else None,
        "when": [{"trait": each.trait, "values": list(each.values)} for each in clause.conditions],
        "only_if": clause.only_if or None,
        "unless": clause.unless or None,
        "note": clause.note or None,
    }


def _lining(verdict: PackVerdict, shop: Shop) -> dict[str, Any]:
    clause, margin = verdict.clause, verdict.margin_nm
    beyond = verdict.beyond or (None,) * len(clause.figures)
    return {
        "corner": verdict.corner.code,
        "position": verdict.position.value,
        "clause": clause.id,
        "number": clause.number,
        "outcome": verdict.outcome.value,
        "text": pack_sentence(verdict, shop),
        "if": list(verdict.open),
        "unless": clause.unless or None,
        "why": [each.value for each in verdict.why],
        "figures": [
            {"figure": print_figure(figure), "mm": decimal_mm(figure.nm), "beyond": flag}
            for figure, flag in zip(clause.figures, beyond, strict=True)
        ],
        "out_when": clause.comparator.value,
        "comparator_stated": clause.out_when is not None,
        "counted_from": clause.counted_from.value,
        "measured_at": clause.measured_at.value,
        "standing": clause.standing.value,
        "value_mm": None if verdict.value_nm is None else decimal_mm(verdict.value_nm),
        "judged_mm": None if verdict.judged_nm is None else decimal_mm(round(verdict.judged_nm)),
        "typed": verdict.typed or None,
        "place": verdict.place or None,
        "reading_set": verdict.set_id,
        "gauge": verdict.gauge or None,
        "u1_mm": None if verdict.value_nm is None else f"{verdict.u1_nm / 1e6:.6f}",
        "probability": None if verdict.probability is None else f"{verdict.probability:.6f}",
        "margin_mm": None if margin is None else decimal_mm(round(margin)),
    }
