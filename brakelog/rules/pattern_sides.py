"""Patterns of one axle: both linings of one wheel against those of the other.

A brake that drags is thin where the other side is as usual; a brake that does little is thick
where the other side is worn. Linings that were fitted at different visits are not compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.quantity import Part, Quantity
from brakelog.rules.flag import Flag, FlagKind
from brakelog.rules.flag_words import flag_fact
from brakelog.rules.hint import Hint, Lead, Pattern
from brakelog.rules.hinting import Scene, hint
from brakelog.rules.pace import is_hardly_worn
from brakelog.rules.pattern_wheels import ON_PADS, is_without_fluid
from brakelog.rules.usable import linings_of
from brakelog.rules.verdict import PartVerdict

EACH_NM = 1_000_000
"""How much thinner each of the two linings of a wheel must be for both to count as worn: 1.0 mm,
assumption, half of the figure for the thinnest. [nm]"""

HOTTER_DC = 200
"""How much hotter one rotor must be than the other to say so: 20 degrees Celsius, assumption.
[tenths of a degree Celsius]"""

_PISTON = frozenset({FindingKind.STUCK_PISTON})
_SEIZED = Lead(
    cause="piston seized", check="open bleeder: frees, hose; else caliper", found_as=_PISTON
)
_CHECK_VALVE = Lead(cause="hose as check valve", check="open bleeder: frees, hose; else caliper")
_PARKING = Lead(cause="parking brake stuck", check="release it, turn the wheel")
_NOT_PRESSING = (
    Lead(cause="piston seized", check="piston moves with the pedal", found_as=_PISTON),
    Lead(cause="hose blocked", check="flow at the bleeder"),
)
_CABLE = Lead(cause="parking cable frozen", check="disconnect it, spin the wheel")
_ACTUATOR = Lead(cause="parking brake actuator not releasing", check="service mode, spin the wheel")
_ONE_SIDE = (
    Lead(
        cause="cylinder seized on the thick side",
        check="pedal test, drum off, shoes clamped",
        found_as=_PISTON,
    ),
    Lead(cause="adjusters swapped over", check="hand of the adjusters' threads"),
)


def side_hints(scene: Scene) -> Iterator[Hint]:
    """Yield what one wheel shows against the other of its axle."""
    for axle in scene.axles:
        if is_without_fluid(scene, axle):
            continue
        for part in (Part.PADS, Part.SHOES):
            for flag in scene.flagged(FlagKind.SIDES, axle, part):
                found = _of_axle(scene, flag)
                if found is not None:
                    yield found


def _of_axle(scene: Scene, flag: Flag) -> Hint | None:
    worn = scene.at(flag.worn.corner, flag.part)
    other = scene.at(flag.other.corner, flag.part)
    assert worn is not None
    assert other is not None
    if not _is_same_age(worn, other) or not _are_both_thinner(scene, worn, other):
        return None
    is_idle = is_hardly_worn(scene.file, other)
    return _shoes(scene, flag, is_idle) if flag.part is Part.SHOES else _pads(scene, flag, is_idle)


def _is_same_age(one: PartVerdict, two: PartVerdict) -> bool:
    """Whether the linings of both sides were fitted in the same visit, as far as is on record."""
    began = [{life.start.visit_id if life.start else None for life in p.lives} for p in (one, two)]
    return began[0] == began[1]


def _are_both_thinner(scene: Scene, worn: PartVerdict, other: PartVerdict) -> bool:
    thin, thick = linings_of(scene.file, worn), linings_of(scene.file, other)
    if thin is None or thick is None:
        return False
    return all(there.nm - here.nm >= EACH_NM for here, there in zip(thin, thick, strict=True))


def _pads(scene: Scene, flag: Flag, is_idle: bool | None) -> Hint | None:
    axle, fact = flag.axle, flag_fact(flag, scene.file.shop)
    if is_idle:
        return hint(
            scene, Pattern.ONE_WHEEL_IDLE, axle, (flag.other.corner,), [fact], _NOT_PRESSING
        )
    corner = flag.worn.corner
    own = scene.flagged(FlagKind.INNER_OUTER, axle, Part.PADS)
    if any(each.worn.corner == corner for each in own):
        # A wheel whose pads differ from each other has a surer pattern of its own.
        return None
    facts = [fact, *_heat(scene, corner)]
    parking = scene.trait(axle, "parking-brake")
    if parking in ON_PADS:
        first = _CABLE if parking == "cable" else _ACTUATOR
        leads = (first, _CHECK_VALVE, _SEIZED)
        return hint(scene, Pattern.PARKING_BRAKE, axle, (corner,), facts, leads)
    may_park = axle > 1 and parking is None
    leads = (_CHECK_VALVE, _SEIZED, *((_PARKING,) if may_park else ()))
    return hint(scene, Pattern.ONE_WHEEL_WORN, axle, (corner,), facts, leads)


def _shoes(scene: Scene, flag: Flag, is_idle: bool | None) -> Hint | None:
    axle, fact = flag.axle, flag_fact(flag, scene.file.shop)
    if is_idle is False and axle > 1:
        return hint(
            scene, Pattern.PARKING_BRAKE, axle, (flag.worn.corner,), [fact], (_CABLE, _CHECK_VALVE)
        )
    return hint(scene, Pattern.SHOES_ONE_SIDE, axle, (flag.other.corner,), [fact], _ONE_SIDE)


_BLUE = (FindingKind.BLUEING, FindingKind.HOT_SPOTS)


def _heat(scene: Scene, corner: Corner) -> list[str]:
    """Return what says that the brake of this wheel ran hotter than the other."""
    marks = [
        f"{each.corner} rotor: {each.kind.facts.label}"
        for each in scene.found([corner], _BLUE)
        if each.part is Part.ROTOR
    ]
    here, there = (_temperature_dc(scene, each) for each in (corner, corner.mate))
    if here is not None and there is not None and here - there >= HOTTER_DC:
        marks.append(
            f"{corner} rotor {round((here - there) / 10)} degrees C hotter than {corner.mate}"
        )
    return marks


def _temperature_dc(scene: Scene, corner: Corner) -> int | None:
    """Return the warmest that the rotor was read at. [tenths of a degree Celsius]"""
    sets = scene.file.sets_at(corner, Quantity.ROTOR)
    read = [each.temperature_dc for each in sets if each.temperature_dc is not None]
    return max(read, default=None)
