"""Patterns of how fast: an axle, or the whole vehicle, beside the usual and beside its own past."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.lengths import MM_PER_KM
from brakelog.record.corner import Corner, axle_name
from brakelog.record.finding import FindingKind
from brakelog.record.quantity import Part
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.flag import FlagKind
from brakelog.rules.hint import Hint, Lead, Pattern
from brakelog.rules.hinting import Scene, hint
from brakelog.rules.pace import Pace, is_hardly_worn, pace_words, paces_of
from brakelog.rules.pattern_wheels import ON_PADS
from brakelog.rules.usable import linings_of
from brakelog.rules.worked import corners_of

FAR_A_DAY_MM = 100 * MM_PER_KM
"""Distance a day that is called far: 100 km, assumption; a private car is driven about 40. [mm]"""

PARKED_DAYS = 365
"""Days that linings must have been on to be called little used: assumption. [days]"""

_FAST = (
    Lead(cause="the other axle does little", check="rear linings and their adjustment"),
    Lead(cause="brakes held on", check="pedal free play, stop lamps go out"),
    Lead(cause="other pad material", check="number on the pads"),
)
_PARKING = Lead(cause="parking brake not releasing", check="levers on their stops")
_REAR_HELD = Lead(cause="brakes held on", check="turn the wheels by hand after braking")
_REAR_USUAL = Lead(
    cause="usual for the model",
    check="compare others; if so, faster-axle on sheet",
)
_ADJUSTERS = (
    Lead(cause="self-adjusters seized", check="adjuster wheels, lip of the drums, pedal height"),
)
_USE = (
    Lead(cause="use: city, hills, towing, delivery", check="ask; compare with its own history"),
)
_OTHER_USE = Lead(cause="new driver, route or trailer", check="ask first")
_DRAG = Lead(
    cause="a brake that drags",
    check="heat of the wheels after a drive",
    found_as=frozenset({FindingKind.STUCK_PISTON, FindingKind.STUCK_SLIDE}),
)
_NOT_USED = (
    Lead(
        cause="little use: parked, or slowed by its motor",
        check="inner face of the rotor, edges of the pads, pins",
        found_as=frozenset({FindingKind.STUCK_SLIDE}),
    ),
)
_RUSTED = (FindingKind.DEEP_PITTING, FindingKind.HEAVY_RUST, FindingKind.VANE_RUST)
_LINING = {AxleBrake.DISC: Part.PADS, AxleBrake.DRUM: Part.SHOES}


def pace_hints(scene: Scene) -> Iterator[Hint]:
    """Yield what the rates of wear show."""
    by_axle = {axle: _axle_paces(scene, axle) for axle in scene.axles}
    fast = {axle: _all_fast(paces) for axle, paces in by_axle.items()}
    if len(fast) > 1 and all(fast.values()):
        yield _all_axles(scene, by_axle)
    else:
        for axle in scene.axles:
            if fast[axle] and _is_even(scene, axle):
                yield from _one_axle(scene, axle, by_axle, fast)
    yield from _faster_than_before(scene, by_axle)
    for axle in scene.axles:
        yield from _little_use(scene, axle)


def _axle_paces(scene: Scene, axle: int) -> tuple[Pace, ...] | None:
    """Return how fast the four linings of an axle have worn; None unless all are known."""
    pair = scene.pair(axle, _LINING[scene.file.vehicle.brakes[axle - 1]])
    if pair is None:
        return None
    left, right = (paces_of(scene.file, part) for part in pair)
    return None if left is None or right is None else (*left, *right)


def _all_fast(paces: tuple[Pace, ...] | None) -> bool:
    return paces is not None and all(each.is_fast for each in paces)


def _is_even(scene: Scene, axle: int) -> bool:
    return not scene.flagged(FlagKind.SIDES, axle, Part.PADS)


def _one_axle(
    scene: Scene,
    axle: int,
    by_axle: dict[int, tuple[Pace, ...] | None],
    fast: dict[int, bool],
) -> Iterator[Hint]:
    paces = by_axle[axle]
    is_disc = scene.file.vehicle.brakes[axle - 1] is AxleBrake.DISC
    if paces is None or not is_disc or scene.trait(0, "faster-axle") == axle_name(axle):
        return
    facts = [pace_words(paces, scene.file.shop)]
    corners = corners_of(axle)
    if axle != 2:
        idle = next((each for each in by_axle if _has_idle_shoes(scene, by_axle, each)), None)
        if axle == 1 and idle is not None:
            yield hint(
                scene, Pattern.SHOES_IDLE, idle, corners_of(idle), ["front " + facts[0]], _ADJUSTERS
            )
        else:
            yield hint(scene, Pattern.AXLE_FAST, axle, corners, facts, _FAST)
    elif by_axle[1] is not None and not fast[1]:
        facts += _inner_thinner(scene, axle)
        yield hint(scene, Pattern.REAR_FAST, axle, corners, facts, _rear_leads(scene, axle))


def _has_idle_shoes(scene: Scene, by_axle: dict[int, tuple[Pace, ...] | None], axle: int) -> bool:
    paces = by_axle[axle]
    if scene.file.vehicle.brakes[axle - 1] is AxleBrake.DISC or paces is None:
        return False
    return all(each.is_slow for each in paces)


def _rear_leads(scene: Scene, axle: int) -> tuple[Lead, ...]:
    parking = scene.trait(axle, "parking-brake")
    first = _PARKING if parking is None or parking in ON_PADS else _REAR_HELD
    return (first, _REAR_USUAL)


def _inner_thinner(scene: Scene, axle: int) -> list[str]:
    """Say where the inner pad is the thinner one at both wheels."""
    pair = scene.pair(axle, Part.PADS)
    linings = [linings_of(scene.file, part) for part in pair or ()]
    if linings and all(each is not None and each[0].nm < each[1].nm for each in linings):
        return ["inner pads thinner at both wheels"]
    return []


def _all_axles(scene: Scene, by_axle: dict[int, tuple[Pace, ...] | None]) -> Hint:
    paces = [each for paces in by_axle.values() for each in paces or ()]
    corners = tuple(corner for axle in by_axle for corner in corners_of(axle))
    facts = [pace_words(tuple(paces), scene.file.shop)]
    if _all_fast(_rotor_paces(scene)):
        facts.append("rotors fast too")
    a_day_mm = _a_day_mm(scene)
    if a_day_mm is not None and a_day_mm >= FAR_A_DAY_MM:
        unit = scene.file.shop.distance_unit
        facts.append(f"{round(a_day_mm / unit.mm)} {unit.value} a day")
    return hint(scene, Pattern.ALL_FAST, None, corners, facts, _USE, needs_repair=False)


def _rotor_paces(scene: Scene) -> tuple[Pace, ...] | None:
    rotors = [each for each in scene.parts if each.part is Part.ROTOR]
    paces = [paces_of(scene.file, each) for each in rotors]
    if not paces or any(each is None for each in paces):
        return None
    return tuple(pace for each in paces for pace in each or ())


def _a_day_mm(scene: Scene) -> float | None:
    """Return what was driven a day since the first visit on file. [mm]"""
    first, now = scene.file.visits[0], scene.file.visit
    days = (now.day - first.day).days
    return None if days <= 0 else (now.odometer_mm - first.odometer_mm) / days


def _faster_than_before(
    scene: Scene, by_axle: dict[int, tuple[Pace, ...] | None]
) -> Iterator[Hint]:
    """Yield the one axle that wears faster lately, where the others are known not to."""
    if len(by_axle) < 2 or any(paces is None for paces in by_axle.values()):
        return
    speeding = {
        axle: tuple(each for each in paces or () if each.is_accelerating)
        for axle, paces in by_axle.items()
    }
    which = [axle for axle, paces in speeding.items() if paces]
    if len(which) != 1:
        return
    axle = which[0]
    wheels = {each.corner for each in speeding[axle]}
    corners = tuple(corner for corner in corners_of(axle) if corner in wheels)
    leads = (_OTHER_USE, _DRAG) if len(corners) > 1 else (_DRAG, _OTHER_USE)
    yield hint(
        scene,
        Pattern.FASTER_THAN_BEFORE,
        axle,
        corners,
        ["the last interval wore faster than those before"],
        leads,
    )


def _little_use(scene: Scene, axle: int) -> Iterator[Hint]:
    for corner in corners_of(axle):
        pads = scene.at(corner, Part.PADS)
        rust = [each for each in scene.found([corner], _RUSTED) if each.part is Part.ROTOR]
        if pads is None or not rust or not is_hardly_worn(scene.file, pads):
            continue
        if not _were_on_long(scene, corner):
            continue
        facts = [f"rotor: {rust[0].kind.facts.label}"]
        yield hint(scene, Pattern.LITTLE_USE, axle, (corner,), facts, _NOT_USED, needs_repair=False)


def _were_on_long(scene: Scene, corner: Corner) -> bool:
    """Whether the pads have been on for long, or nothing says when they were fitted."""
    pads = scene.at(corner, Part.PADS)
    starts = [life.start for life in pads.lives if life.start] if pads else []
    day = scene.file.visit.day
    return all((day - start.day).days >= PARKED_DAYS for start in starts)
