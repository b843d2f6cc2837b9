"""The verdict as a document for machines, and for the record of what was issued."""

from __future__ import annotations

import json
from datetime import date
from typing import Any, TypeAlias

from brakelog.lengths import decimal_mm
from brakelog.record.corner import axle_name
from brakelog.record.reading import ReadingSet
from brakelog.record.shop import Shop
from brakelog.rules.advice_document import (
    match_document,
    option_document,
    question_document,
    settling_document,
)
from brakelog.rules.bound import BoundFigure
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement
from brakelog.rules.judgement_words import blind_to, judgement_sentence
from brakelog.rules.life_words import life_sentence
from brakelog.rules.lives import PositionLife
from brakelog.rules.part import next_planned_mm
from brakelog.rules.sentence import reason_sentence
from brakelog.rules.unfiled import unfiled_count
from brakelog.rules.verdict import Grounds, PartVerdict, Reason, VehicleVerdict
from brakelog.rules.wear_document import flag_document, hint_document
from brakelog.rules.world_document import leaving_document, world_document

DECISION_RULE = (
    "A reading that meets the failing condition is out, whatever its uncertainty. One that does "
    "not is in where the probability of conformance (JCGM 106, normal distribution, one limit) is "
    "at least the stated one, and not proven otherwise."
)
"""The rule by which a number is judged; the probability is the shop's (ISO 14253-1:2017: 95 %)."""
FORMAT = "brakelog.verdict/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""

Json: TypeAlias = Any
"""Nothing, a truth value, a number, a text, a list or a mapping of those."""


def verdict_document(verdict: VehicleVerdict) -> dict[str, Json]:
    """Return the verdict as plain values; lengths are decimal strings in mm."""
    file = verdict.file
    visit, vehicle, shop = file.visit, file.vehicle, file.shop
    return {
        "format": FORMAT,
        "vehicle": {"id": vehicle.id, "tag": vehicle.tag, "description": vehicle.description},
        "visit": {
            "id": visit.id,
            "date": visit.day.isoformat(),
            "odometer": visit.odometer_text,
            "odometer_unit": visit.odometer_unit.value,
            "stage": file.stage.value,
        },
        "policy": {
            "digest": verdict.policy,
            "decision_rule": DECISION_RULE,
            "conformance_probability": str(float(shop.probability)),
            "clean_up_per_side_mm": decimal_mm(shop.clean_up_nm),
            "next_planned_km": str(next_planned_mm(file) / 1_000_000),
        },
        "axles": [
            {
                "axle": axle_name(axle.axle),
                "part": axle.part.value,
                "verdict": axle.word.value,
                "grounds": _grounds(axle.grounds),
                "decided_by": axle.decided_by.code,
            }
            for axle in verdict.axles
        ],
        "parts": [_part(part, shop) for part in verdict.parts],
        "worlds": [world_document(each, shop) for each in verdict.worlds],
        "if_left": [leaving_document(each, shop) for each in verdict.worlds if each.is_choice],
        "questions": [question_document(file, each) for each in file.questions],
        "reading_sets": _sets(verdict),
        "flags": [flag_document(each, shop) for each in verdict.flags],
        "hints": [hint_document(each) for each in verdict.hints],
        "local_rules": _local_rules(verdict),
        "entry_not_filed": unfiled_count(file),
    }


def verdict_text(verdict: VehicleVerdict) -> str:
    """Return the document as text, as it is printed and as it is kept."""
    return json.dumps(verdict_document(verdict), ensure_ascii=False, indent=2)


def _sets(verdict: VehicleVerdict) -> list[Json]:
    """Return every set that was judged: as typed, with which gauge, by whom, when."""
    file = verdict.file
    judged = {
        set_id for part in verdict.parts for each in part.judgements for set_id in each.set_ids
    }
    return [
        {
            "id": each.id,
            "corner": each.corner.code,
            "quantity": each.quantity.value,
            "stage": each.stage.value,
            "typed": list(each.typed),
            "unit": each.unit.value,
            "values_mm": [None if nm is None else decimal_mm(nm) for nm in each.values_nm],
            "gauge": _gauge_tag(file, each),
            **_circumstances(each),
            "person": file.people.get(each.person_id) if each.person_id else None,
            "recorded_at": each.recorded_at.isoformat() if each.recorded_at else None,
        }
        for each in file.sets
        if each.id in judged
    ]


def _local_rules(verdict: VehicleVerdict) -> list[Json]:
    if not verdict.file.packs:
        return []
    from brakelog.rules.pack_document import local_rules

    return list(local_rules(verdict))


def _circumstances(reading: ReadingSet) -> dict[str, Json]:
    """Return what was said beside the values, so far as it was; it may have decided."""
    said = {
        "datum": reading.datum.value if reading.datum else None,
        "again": reading.again_typed or None,
        "tips": reading.tips.value if reading.tips else None,
        "temperature_c": (
            None if reading.temperature_dc is None else str(reading.temperature_dc / 10)
        ),
        "zero_error_mm": decimal_mm(reading.zero_error_nm) if reading.zero_error_nm else None,
        "radius_mm": None if reading.radius_nm is None else decimal_mm(reading.radius_nm),
        "fasteners_fitted": reading.fasteners_fitted,
        "fasteners_of": reading.fasteners_of,
        "bearing_checked": reading.bearing_checked,
        "returned_to_start": reading.returned_to_start,
        "rotor_index": reading.rotor_index,
        "lip": reading.lip,
        "in_groove": reading.in_groove,
    }
    return {name: value for name, value in said.items() if value is not None}


def _gauge_tag(file: CaseFile, reading: ReadingSet) -> str | None:
    gauge = file.gauges.get(reading.gauge_id) if reading.gauge_id else None
    return gauge.tag if gauge else None


def _grounds(grounds: Grounds | None) -> str | None:
    return grounds.value if grounds else None


def _part(part: PartVerdict, shop: Shop) -> dict[str, Json]:
    return {
        "corner": part.corner.code,
        "part": part.part.value,
        "verdict": part.word.value,
        "grounds": _grounds(part.grounds),
        "reasons": [_reason(reason, shop) for reason in part.reasons],
        "measures": [_judgement(judgement, shop) for judgement in part.judgements],
        "not_measured": [measure.value for measure in part.not_measured],
        "condition_recorded": part.condition_recorded,
        "noted": [finding.kind.value for finding in part.noted],
        "life_match": match_document(part.match, shop),
        "if_refinished": option_document(part.option, shop),
        "life": [life_document(life, shop) for life in part.lives],
    }


def _reason(reason: Reason, shop: Shop) -> dict[str, Json]:
    cut: Json = None
    if reason.cut:
        cut = {
            "per_side_mm": decimal_mm(reason.cut.per_side_nm),
            "after_mm": decimal_mm(reason.cut.after_nm),
            "machine_to": reason.cut.machine_to or None,
        }
    return {
        "code": reason.because.value,
        "verdict": reason.word.value,
        "grounds": _grounds(reason.grounds),
        "text": reason_sentence(reason, shop),
        "measure": reason.judgement.measure.value if reason.judgement else None,
        "finding": reason.finding.kind.value if reason.finding else None,
        "position": reason.life.position.value if reason.life else None,
        "axle_mate": reason.mate.code if reason.mate else None,
        "cut": cut,
        "to_settle": settling_document(reason.settling),
    }


def _judgement(judgement: Judgement, shop: Shop) -> dict[str, Json]:
    margin = judgement.margin_nm
    return {
        "measure": judgement.measure.value,
        "outcome": judgement.outcome.value,
        "text": judgement_sentence(judgement, shop),
        "value_mm": None if judgement.value_nm is None else decimal_mm(judgement.value_nm),
        "judged_mm": None
        if judgement.judged_nm is None
        else decimal_mm(round(judgement.judged_nm)),
        "typed": judgement.typed or None,
        "place": judgement.place or None,
        "points": judgement.points,
        "points_needed": judgement.points_needed,
        "left_out": list(judgement.left_out),
        "blind_to_waves": list(blind_to(judgement)),
        "reading_sets": list(judgement.set_ids),
        "gauge": judgement.gauge or None,
        "gauge_past_check": judgement.overdue or None,
        "read_with": judgement.read_with or None,
        "u1_mm": f"{judgement.u1_nm / 1e6:.6f}" if judgement.value_nm is not None else None,
        "probability": (None if judgement.probability is None else f"{judgement.probability:.6f}"),
        "limit_state": judgement.bound.state.value,
        "limit": _figure(judgement.deciding) if judgement.deciding else None,
        "figures_judged": [_figure(figure) for figure in judgement.bound.figures],
        "figures_set_aside": [_figure(figure) for figure in judgement.bound.rejected],
        "margin_mm": None if margin is None else decimal_mm(round(margin)),
        "doubts": [doubt.value for doubt in judgement.doubts],
        "questions": [question.key for question in judgement.questions],
    }


def _figure(figure: BoundFigure) -> dict[str, Json]:
    limit = figure.limit
    return {
        "limit_id": limit.id,
        "kind": limit.kind.value,
        "as_printed": limit.as_printed,
        "figure": figure.figure.text,
        "mm": decimal_mm(figure.nm),
        "out_when": limit.comparator.value,
        "comparator_stated": limit.out_when is not None,
        "source": limit.source,
        "source_date": limit.source_date.isoformat() if limit.source_date else None,
    }


def life_document(life: PositionLife, shop: Shop) -> dict[str, Json]:
    """Return how far one part will go, or why that cannot be said."""
    projection = life.projection
    rate = projection.rate_nm_per_1000km
    return {
        "position": life.position.value,
        "text": life_sentence(life, shop),
        "refusal": projection.refusal.value if projection.refusal else None,
        "at_least_km": _km(projection.at_least_mm),
        "uncapped_at_least_km": _km(projection.uncapped_at_least_mm),
        "median_km": _km(projection.median_mm),
        "latest_km": _km(projection.latest_mm),
        "rate_mm_per_1000_km": None if rate is None else f"{rate / 1e6:.6f}",
        "readings": projection.readings_used,
        "experience": projection.experience.source,
        "experience_lives": round(projection.experience.lives_behind, 1),
        "after_earlier_part": projection.experience.after_earlier_set,
        "own_share": round(projection.own_share, 2),
        "read_on": life.read_on.isoformat() if life.read_on else None,
        "counted_anew_from": life.restarted_on.isoformat() if life.restarted_on else None,
        "not_before": _day(life.dates.at_least if life.dates else None),
        "median_day": _day(life.dates.median if life.dates else None),
        "latest_day": _day(life.dates.latest if life.dates else None),
        "km_per_day": f"{life.dates.usage.km_per_day:.1f}" if life.dates else None,
        "notes": [note.value for note in projection.notes],
    }


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None


def _km(mm: int | None) -> str | None:
    return None if mm is None else f"{mm / 1_000_000:.1f}"
