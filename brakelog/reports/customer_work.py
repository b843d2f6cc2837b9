"""What was done today, and what became of it: for the customer."""

from __future__ import annotations

from brakelog.record.closing import Check
from brakelog.record.fitting import Fitting, FittingEvent
from brakelog.record.quantity import Part, Position
from brakelog.record.shop import Shop
from brakelog.reports.closing_words import plain_put_right, plain_recheck
from brakelog.reports.outlook import when_to_come_back
from brakelog.reports.plain import shown
from brakelog.reports.plain_names import ONE_PART, POSITION_NAMES, place_of
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing
from brakelog.rules.closing_item import Gap
from brakelog.rules.figure import both_units
from brakelog.rules.left_sizes import size_found
from brakelog.rules.verdict import VehicleVerdict

_DID = {
    FittingEvent.NEW: "fitted new",
    FittingEvent.USED: "fitted used",
    FittingEvent.REFINISHED: "refinished",
    FittingEvent.MOVED: "moved",
    FittingEvent.REMOVED: "removed",
}
_STOP = (
    "If you hear grinding, feel the car pull or the pedal go soft, or a brake lamp lights up, "
    "stop and call us, whatever this page says."
)
_BEDDING_IN = (
    "Your new parts have to bed in, and that is left to you: on a clear road slow down about 20 "
    "times, gently, from 50 to 15 km/h (30 to 10 mph), with half a minute of driving between."
)
"""Common practice; the trade's texts name 8 to 30 gentle stops from about 50 km/h."""
_CHANGED = (
    "Parts were changed: drive gently and avoid hard stops where you safely can for the first "
    "300 km (200 miles), and have the wheel fasteners re-tightened after 50 to 100 km (30 to 60 "
    "miles)."
)
_ESTIMATE = "The distances and days above are estimates from past driving, no promise."
_FLUID = "Do not top up brake fluid; call us instead."


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
    size = f", {_size(fitting, file.shop)} {fitting.basis.value}" if fitting.size_nm else ""
    found = size_found(file, fitting.corner, fitting.position)
    fine = fitting.position is Position.ROTOR
    before = "" if found is None else f"; before {both_units(found, file.shop, fine=fine)}"
    return f"{place_of(fitting.corner).capitalize()} {POSITION_NAMES[fitting.position]}: " + shown(
        f"{_DID[fitting.event]}{size}{before}."
    )


def _size(fitting: Fitting, shop: Shop) -> str:
    return both_units(fitting.size_nm or 0, shop, fine=fitting.position is Position.ROTOR)


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
    sentences = [_BEDDING_IN] if closing.bedding_in == "customer" else []
    if has_distances:
        sentences.append(_ESTIMATE)
    sentences.append(_STOP)
    fitted = any(f.visit_id == verdict.file.visit.id for f in verdict.file.fittings)
    linings = [p for p in verdict.parts if p.part in (Part.PADS, Part.SHOES)]
    if fitted:
        sentences.append(_CHANGED)
    elif any(p.grounds is not None for p in linings):
        sentences.append(_FLUID)
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
        return "Please do not drive this vehicle before we have finished it."
    return ""


def declined_stop(closing: Closing) -> str:
    """Stop the vehicle where a part that is past its limit was left on it."""
    unsafe = [
        f"{place_of(each.corner)} {ONE_PART[each.part.part]}"
        for each in closing.declined
        if each.is_unsafe
    ]
    if not unsafe:
        return ""
    return (
        "Please do not drive this vehicle: needed work was declined "
        f"({'; '.join(dict.fromkeys(unsafe))})."
    )
