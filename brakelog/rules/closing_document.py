"""The end of a job as a document for machines."""

from __future__ import annotations

from typing import Any, TypeAlias

from brakelog.record.corner import axle_name
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, Declined
from brakelog.rules.closing_item import OpenItem
from brakelog.rules.left_torques import wanted_for
from brakelog.rules.recheck import Recheck

FORMAT = "brakelog.finish/1"
"""Name and version of the form; the number is raised when a key changes its meaning or goes."""

Json: TypeAlias = Any
"""Nothing, a truth value, a number, a text, a list or a mapping of those."""


def closing_document(file: CaseFile, closing: Closing) -> dict[str, Json]:
    """Return the state of a job as plain values; distances are decimal strings in km."""
    visit, vehicle, record = file.visit, file.vehicle, closing.record
    return {
        "format": FORMAT,
        "vehicle": {"id": vehicle.id, "tag": vehicle.tag, "description": vehicle.description},
        "visit": {
            "id": visit.id,
            "date": visit.day.isoformat(),
            "odometer": visit.odometer_text,
            "odometer_out": visit.odometer_out_text or None,
            "odometer_unit": visit.odometer_unit.value,
        },
        "status": closing.status.value,
        "open": [_open(each) for each in closing.open],
        "checks": [
            {
                "check": each.check.value,
                "axle": axle_name(each.axle) if each.axle else None,
                "corner": each.corner.code if each.corner else None,
                "part": each.part.value if each.part else None,
                "said": each.said,
                "good": each.is_good,
                "note": each.note,
                "person": file.people.get(each.person_id or ""),
                "recorded_at": each.recorded_at.isoformat() if each.recorded_at else None,
            }
            for each in record.answers
        ],
        "torques": [
            {
                "axle": axle_name(each.axle),
                "corner": each.corner.code if each.corner else None,
                "fastener": each.fastener,
                "figure": None if each.is_taken_back else each.figure or None,
                "untouched": each.is_untouched,
                "wanted": [w.figure for w in wanted_for(record.wanted, each.axle, each.fastener)],
                "person": file.people.get(each.person_id or ""),
                "recorded_at": each.recorded_at.isoformat() if each.recorded_at else None,
            }
            for each in record.torques
        ],
        "orders": [
            {
                "axle": axle_name(each.axle),
                "fasteners": each.fasteners,
                "order": each.order,
            }
            for each in closing.orders
        ],
        "agreements": [
            {
                "consent": each.consent.value,
                "work": [str(item) for item in each.items],
                "who": each.who or None,
                "number": each.number or None,
                "date": each.day.isoformat(),
                "time": each.time or None,
                "how": each.how.value,
                "cost": each.cost or None,
                "note": each.note,
                "person": file.people.get(each.person_id or ""),
                "recorded_at": each.recorded_at.isoformat() if each.recorded_at else None,
            }
            for each in record.agreements
        ],
        "declined": [_declined(each) for each in closing.declined],
        "rechecks": [_recheck(each) for each in closing.rechecks],
        "bedding_in": closing.bedding_in or None,
        "notes": list(closing.notes),
        "earlier_not_finished": closing.earlier.isoformat() if closing.earlier else None,
    }


def _open(item: OpenItem) -> dict[str, Json]:
    return {
        "code": item.gap.value,
        "kind": "blank" if item.gap.is_blank else "failure",
        "axle": axle_name(item.axle) if item.axle else None,
        "corner": item.corner.code if item.corner else None,
        "part": item.part.value if item.part else None,
        "position": item.position.value if item.position else None,
        "fastener": item.fastener or None,
        "check": item.check.value if item.check else None,
        "reason": item.reason.because.value if item.reason else None,
        "text": item.text,
        "do": item.do,
        "line": item.line or None,
    }


def _declined(each: Declined) -> dict[str, Json]:
    return {
        "corner": each.corner.code,
        "part": each.part.part.value,
        "reason": each.reason.because.value,
        "unsafe": each.is_unsafe,
        "date": each.agreement.day.isoformat(),
        "how": each.agreement.how.value,
    }


def _recheck(each: Recheck) -> dict[str, Json]:
    return {
        "axle": axle_name(each.axle),
        "why": list(each.why),
        "distance_km": f"{each.distance_mm / 1_000_000:.1f}",
        "odometer_km": f"{each.odometer_mm / 1_000_000:.1f}",
        "date": each.day.isoformat(),
        "basis": each.basis.value,
        "answered": each.is_answered,
    }
