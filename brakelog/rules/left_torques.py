"""How tight the fasteners were left: on record, and as the sheet wants it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from brakelog.record.closing import ClosingAnswer, TorqueLeft
from brakelog.record.corner import Corner, axle_name
from brakelog.record.limit import Torque
from brakelog.record.quantity import Part
from brakelog.record.torque import Fastener, fastener_of
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem, axle_word
from brakelog.rules.standing import is_before, last_work, wheel_off
from brakelog.rules.tightening import (
    FEWEST,
    MOST,
    STEPS,
    WRENCH,
    compare_torque,
    printed_order,
)
from brakelog.rules.worked import (
    brake_of,
    corners_of,
    fitted_on,
    opened_axles,
    worked_axles,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WheelOrder:
    """How the wheels of an axle are tightened."""

    axle: int
    fasteners: int
    order: str
    """``1-3-5-2-4``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wanted:
    """Fasteners of an axle that have to be on record."""

    axle: int
    fastener: Fastener
    may_be_untouched: bool


def wheel_orders(file: CaseFile) -> tuple[WheelOrder, ...]:
    """Return the tightening order of every axle whose wheels came off and whose number is known."""
    return tuple(
        WheelOrder(axle=axle, fasteners=number, order=printed_order(number))
        for axle in opened_axles(file)
        if (number := _fasteners(file, axle)) is not None
    )


def _fasteners(file: CaseFile, axle: int) -> int | None:
    """Return how many fasteners hold a wheel: from the sheet, else as counted for a runout."""
    counted = [
        each.fasteners_of
        for each in file.sets
        if each.corner.axle == axle and each.fasteners_of is not None
    ]
    text = file.traits.get((axle, "fasteners"), "")
    number = int(text) if text.isdigit() else (counted[-1] if counted else None)
    return number if number is not None and FEWEST <= number <= MOST else None


def torques_left(
    file: CaseFile,
    left: tuple[TorqueLeft, ...],
    wanted: tuple[Torque, ...],
    answers: tuple[ClosingAnswer, ...] = (),
) -> Iterator[OpenItem]:
    """Yield torques that are not on record, and those that are not as the sheet wants them.

    A torque from before the last work on its fasteners is not on record: they were undone since.
    """
    for each in _asked(file):
        yield from _blank(file, each, left, wanted, answers)
    yield from _off(file, left, wanted)


def _asked(file: CaseFile) -> Iterator[_Wanted]:
    for axle in opened_axles(file):
        is_disc = brake_of(file, axle) is AxleBrake.DISC
        changed = fitted_on(file, axle, Part.PADS, Part.ROTOR)
        put_right = any(each.put_right and each.corner.axle == axle for each in file.findings)
        if is_disc and (changed or put_right):
            yield _Wanted(axle=axle, fastener=Fastener.CALIPER, may_be_untouched=True)
        has_bracket = file.traits.get((axle, "caliper")) != "fixed"
        if is_disc and has_bracket and fitted_on(file, axle, Part.ROTOR):
            yield _Wanted(axle=axle, fastener=Fastener.BRACKET, may_be_untouched=True)
        yield _Wanted(
            axle=axle,
            fastener=Fastener.WHEEL,
            may_be_untouched=axle not in worked_axles(file),
        )


def _blank(
    file: CaseFile,
    asked: _Wanted,
    left: tuple[TorqueLeft, ...],
    wanted: tuple[Torque, ...],
    answers: tuple[ClosingAnswer, ...],
) -> Iterator[OpenItem]:
    since = {each: _undone(file, each, asked.fastener, answers) for each in corners_of(asked.axle)}
    open_at = [each for each, at in since.items() if _is_blank(asked, each, left, at)]
    if not open_at:
        return
    is_old = all(torque_at(left, each, asked.fastener.value) is not None for each in open_at)
    corner = open_at[0] if len(open_at) == 1 else None
    place = corner.code if corner else axle_name(asked.axle).capitalize()
    printed = wanted_for(wanted, asked.axle, asked.fastener.value)
    sheet = f"; the sheet has {_figures(printed)}" if printed else "; no torque on the sheet"
    untouched = ", or type untouched" if asked.may_be_untouched else ""
    do = f"tighten and put the torque on file{untouched}"
    if asked.fastener is Fastener.WHEEL:
        order = next((o.order for o in wheel_orders(file) if o.axle == asked.axle), "")
        do = f"tighten {STEPS}" + (f", in the order {order}" if order else "") + untouched
    yield OpenItem(
        gap=Gap.TORQUE_BLANK,
        hand=_hand(asked.fastener),
        text=f"{place} {asked.fastener.label}: torque not on record{_OLD if is_old else ''}{sheet}",
        do=do,
        line=f"torque {corner.code if corner else axle_word(asked.axle)} {asked.fastener.value} ",
        axle=asked.axle,
        corner=corner,
        fastener=asked.fastener.value,
    )


_OLD = " since the last work there"


def _undone(
    file: CaseFile, corner: Corner, fastener: Fastener, answers: tuple[ClosingAnswer, ...]
) -> datetime | None:
    """Return when the fasteners of a corner were last known to be undone."""
    if fastener is Fastener.WHEEL:
        return wheel_off(file, corner, answers)
    parts = (Part.ROTOR,) if fastener is Fastener.BRACKET else (Part.PADS, Part.ROTOR)
    return last_work(file, [corner], parts=parts)


def _is_blank(
    asked: _Wanted, corner: Corner, left: tuple[TorqueLeft, ...], undone: datetime | None
) -> bool:
    newest = torque_at(left, corner, asked.fastener.value)
    if newest is None or (newest.is_untouched and not asked.may_be_untouched):
        return True
    return is_before(newest.recorded_at, undone)


def _hand(fastener: Fastener | None) -> Hand:
    return Hand.WHEELS if fastener is Fastener.WHEEL else Hand.CALIPER


def torque_at(left: tuple[TorqueLeft, ...], corner: Corner, fastener: str) -> TorqueLeft | None:
    """Return the newest torque of a fastener at a corner, unless it was taken back."""
    known = [
        each
        for each in left
        if each.axle == corner.axle and each.corner in (None, corner) and each.fastener == fastener
    ]
    return known[-1] if known and not known[-1].is_taken_back else None


def wanted_for(wanted: tuple[Torque, ...], axle: int, fastener: str) -> tuple[Torque, ...]:
    """Return what the sheet wants for a fastener: of that very name, else all of the same kind."""
    named = [each for each in wanted if each.axle == axle]
    exact = [each for each in named if _name(each.fastener) == _name(fastener)]
    return tuple(exact) or tuple(
        each for each in named if (kind := fastener_of(each.fastener)) and kind.value == fastener
    )


def _name(text: str) -> str:
    return " ".join(text.lower().split())


def _off(
    file: CaseFile, left: tuple[TorqueLeft, ...], wanted: tuple[Torque, ...]
) -> Iterator[OpenItem]:
    """Yield every torque that holds now and is not what the sheet wants, once for an axle."""
    seen: set[str] = set()
    names = dict.fromkeys((each.axle, each.fastener) for each in left)
    for axle, fastener in names:
        printed = wanted_for(wanted, axle, fastener)
        if not printed or axle > len(file.vehicle.brakes):
            continue
        for corner in corners_of(axle):
            newest = torque_at(left, corner, fastener)
            if newest is None or newest.is_untouched or newest.id in seen:
                continue
            seen.add(newest.id)
            reasons = [_why_off(newest.figure, each.figure) for each in printed]
            if all(reasons):
                yield _wrong(newest, fastener, reasons[-1])


def _figures(printed: tuple[Torque, ...]) -> str:
    return " or ".join(dict.fromkeys(each.figure for each in printed))


def _why_off(given: str, printed: str) -> str:
    found = compare_torque(given, printed)
    percent = int(WRENCH * 100)
    if not found.is_readable:
        return ""
    if found.contradicts:
        return f"the sheet's figures contradict each other: {printed}"
    if found.is_off:
        return f"{given}, and the sheet has {printed}: more than {percent} % apart"
    if found.lacks_angle:
        return f"{given} without its angle, and the sheet has {printed}"
    if found.adds_angle:
        return f"{given}, and the sheet has {printed} without an angle"
    return ""


def _wrong(newest: TorqueLeft, fastener: str, why: str) -> OpenItem:
    kind = next((each for each in Fastener if each.value == fastener), None)
    place = newest.corner.code if newest.corner else axle_name(newest.axle).capitalize()
    label = kind.label if kind else fastener
    at = newest.corner.code if newest.corner else axle_word(newest.axle)
    return OpenItem(
        gap=Gap.TORQUE_OFF,
        hand=_hand(kind),
        text=f"{place} {label}: {why}",
        do="tighten to the sheet's figure, or put the right figure on the sheet",
        line=f"torque {at} {fastener} ",
        axle=newest.axle,
        corner=newest.corner,
        fastener=fastener,
    )
