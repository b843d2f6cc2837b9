"""What was done today, and what became of it: for the customer."""

from __future__ import annotations

from brakelog.record.closing import Check
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part, Position
from brakelog.reports.closing_words import plain_put_right, plain_recheck
from brakelog.reports.outlook import when_to_come_back
from brakelog.reports.plain import shown
from brakelog.reports.plain_names import ONE_PART, POSITION_NAMES, place_of
from brakelog.reports.plain_work import (
    BEDDING_IN,
    CHANGED,
    ESTIMATE,
    FLUID,
    NOT_FINISHED,
    STOP,
    declined_stop_sentence,
    done_sentence,
)
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing
from brakelog.rules.closing_item import Gap
from brakelog.rules.figure import both_units
from brakelog.rules.left_sizes import size_found
from brakelog.rules.verdict import VehicleVerdict


def done_today(verdict: VehicleVerdict) -> tuple[str, ...]:
    """Return what was fitted, with its size and the one before the work, and what was put right."""
    file = verdict.file
    here = [f for f in file.fittings if f.visit_id == file.visit.id]
    right = [each for each in file.findings if each.put_right]
    return (
        *(_fitted(each, file) for each in here),
        *(shown(plain_put_right(each)) for each in right),
    )


def _fitted(fitting: Fitting, file: CaseFile) -> str:
    fine = fitting.position is Position.ROTOR
    found = size_found(file, fitting.corner, fitting.position)
    return shown(
        done_sentence(
            fitting.event,
            f"{place_of(fitting.corner)} {POSITION_NAMES[fitting.position]}".capitalize(),
            both_units(fitting.size_nm, file.shop, fine=fine) if fitting.size_nm else "",
            fitting.basis,
            "" if found is None else both_units(found, file.shop, fine=fine),
        )
    )


def watch_for(verdict: VehicleVerdict, closing: Closing, *, has_distances: bool) -> tuple[str, ...]:
    """Return what to watch for.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict.
    closing : Closing
        The state of the job: whether new linings are left to the customer to bed in.
    has_distances : bool
        Whether distances stand on the page.
    """
    sentences = [BEDDING_IN] if closing.bedding_in == "customer" else []
    if has_distances:
        sentences.append(ESTIMATE)
    sentences.append(STOP)
    fitted = any(f.visit_id == verdict.file.visit.id for f in verdict.file.fittings)
    linings = [p for p in verdict.parts if p.part in (Part.PADS, Part.SHOES)]
    if fitted:
        sentences.append(CHANGED)
    elif any(p.grounds is not None for p in linings):
        sentences.append(FLUID)
    return tuple(sentences)


def come_back(verdict: VehicleVerdict, closing: Closing) -> str:
    """Return when to come back: early re-checks first."""
    dated = [plain_recheck(verdict.file, each) for each in closing.rechecks]
    planned = when_to_come_back(verdict, is_dated=bool(dated))
    return " ".join(text for text in (*dated, planned) if text)


# What must not be driven

_NOT_TO_BE_DRIVEN = frozenset({Gap.NOTHING_FITTED, Gap.SIZE_OUT})
_FIRST_STOP = frozenset({Check.PEDAL_FIRM, Check.NO_LEAK, Check.TIGHTENED})
"""What has to be right before a vehicle moves: common practice."""


def unfinished_stop(closing: Closing) -> str:
    """Stop the vehicle while something is open that the first stop depends on.

    So does every torque: a caliper or bracket that is loose comes off like a wheel.
    """
    if any(
        item.gap in _NOT_TO_BE_DRIVEN or item.check in _FIRST_STOP or item.fastener
        for item in closing.open
    ):
        return NOT_FINISHED
    return ""


def declined_stop(closing: Closing) -> str:
    """Stop the vehicle where a part that is past its limit was left on it."""
    unsafe = [
        f"{place_of(each.corner)} {ONE_PART[each.part.part]}"
        for each in closing.declined
        if each.is_unsafe
    ]
    return declined_stop_sentence("; ".join(dict.fromkeys(unsafe))) if unsafe else ""
