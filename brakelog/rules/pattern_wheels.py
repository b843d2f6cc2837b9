"""Patterns of one disc brake: its two pads against each other, and along their length."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.quantity import Part, Position
from brakelog.rules.evenness import Taper, taper_of
from brakelog.rules.flag import Flag, FlagKind
from brakelog.rules.flag_words import flag_fact
from brakelog.rules.hint import Hint, Lead, Pattern
from brakelog.rules.hinting import Scene, hint
from brakelog.rules.measure import Measure
from brakelog.rules.verdict import PartVerdict

_SLIDE = frozenset({FindingKind.STUCK_SLIDE, FindingKind.HARDWARE_MISSING})
_PISTON = frozenset({FindingKind.STUCK_PISTON})

_NOT_SLIDING = Lead(
    cause="caliper not sliding",
    check="push by hand: pins, boots, bracket",
    found_as=_SLIDE,
)
_NOT_RETRACTING = Lead(cause="piston not retracting", check="piston retraction", found_as=_PISTON)
_HOSE = Lead(cause="hose holding pressure", check="open bleeder")
_OUTER_STAYS = (
    Lead(
        cause="pins or bushings seized",
        check="pins and bushings",
        found_as=frozenset({FindingKind.STUCK_SLIDE}),
    ),
    Lead(
        cause="outer pad stuck in the bracket",
        check="abutments and clips",
        found_as=frozenset({FindingKind.HARDWARE_MISSING}),
    ),
)
_IN_PADS = Lead(
    cause="parking brake not releasing", check="release it, turn the wheel", found_as=_PISTON
)
ON_PADS = ("cable", "electric")
"""Parking brakes that press the pads of the service brake."""

_TAPER = (
    Lead(
        cause="one pin seized",
        check="each pin by itself",
        found_as=frozenset({FindingKind.STUCK_SLIDE}),
    ),
    Lead(cause="bushings worn", check="play of the bushings"),
    Lead(
        cause="wrong clip, pad upside down",
        check="clips and side of the pad",
        found_as=frozenset({FindingKind.HARDWARE_MISSING}),
    ),
)
_COCKED = (
    Lead(
        cause="caliper cocked: one pin seized",
        check="each pin by itself",
        found_as=frozenset({FindingKind.STUCK_SLIDE}),
    ),
)
_USUAL_HERE = Lead(
    cause="usual for the variant: both sides",
    check="compare others of its kind; if so, faster-pad on its sheet",
)


def wheel_hints(scene: Scene) -> Iterator[Hint]:
    """Yield what the pads of single wheels show."""
    for axle in scene.axles:
        yield from _inner_outer(scene, axle)
        pair = scene.pair(axle, Part.PADS)
        for part in pair or ():
            yield from _tapers(scene, part)


def _inner_outer(scene: Scene, axle: int) -> Iterator[Hint]:
    flags = scene.flagged(FlagKind.INNER_OUTER, axle, Part.PADS)
    for position, pattern in (
        (Position.PAD_INNER, Pattern.INNER_WORN),
        (Position.PAD_OUTER, Pattern.OUTER_WORN),
    ):
        same = [flag for flag in flags if flag.worn.position is position]
        if same:
            leads = _leads(scene, axle, pattern)
            if len(same) > 1:
                leads = (*leads, _USUAL_HERE)
            corners = tuple(flag.worn.corner for flag in same)
            yield hint(scene, pattern, axle, corners, _facts(scene, same), leads)


def _facts(scene: Scene, flags: list[Flag]) -> list[str]:
    return [flag_fact(flag, scene.file.shop) for flag in flags]


def _leads(scene: Scene, axle: int, pattern: Pattern) -> tuple[Lead, ...]:
    is_inner = pattern is Pattern.INNER_WORN
    if scene.trait(axle, "caliper") == "fixed":
        return _fixed("inner" if is_inner else "outer", "outer" if is_inner else "inner")
    if not is_inner:
        return _OUTER_STAYS
    parking = (_IN_PADS,) if scene.trait(axle, "parking-brake") in ON_PADS else ()
    hose = () if is_without_fluid(scene, axle) else (_HOSE,)
    return (_NOT_SLIDING, *parking, _NOT_RETRACTING, *hose)


def is_without_fluid(scene: Scene, axle: int) -> bool:
    """Whether an axle is braked by air or electricity: then no hose holds brake fluid."""
    return scene.trait(axle, "actuation") in ("air", "electric")


def _fixed(worn: str, other: str) -> tuple[Lead, ...]:
    """A fixed caliper has nothing that slides."""
    return (
        Lead(
            cause=f"{worn} piston not retracting",
            check=f"retraction of the {worn} piston",
            found_as=_PISTON,
        ),
        Lead(cause=f"{other} piston seized", check=f"{other} piston moves with the pedal"),
        Lead(cause="pads not free in the caliper", check="pads by hand, springs", found_as=_SLIDE),
    )


def _tapers(scene: Scene, part: PartVerdict) -> Iterator[Hint]:
    axle, corner = part.corner.axle, part.corner
    flags = [
        flag
        for flag in scene.flagged(FlagKind.TAPER, axle, Part.PADS)
        if flag.worn.corner == corner
    ]
    if not flags:
        return
    facts = _facts(scene, flags)
    opposite = _opposite(scene, part)
    if opposite:
        yield hint(scene, Pattern.TAPERED_OPPOSITE, axle, _only(corner), facts, _COCKED)
    else:
        yield hint(scene, Pattern.TAPERED, axle, _only(corner), facts, _TAPER)


def _only(corner: Corner) -> tuple[Corner, ...]:
    return (corner,)


def _opposite(scene: Scene, part: PartVerdict) -> bool:
    """Whether the two pads of a wheel are thin at opposite ends."""
    inner, outer = (
        taper_of(scene.file, part, measure)
        for measure in (Measure.INNER_LINING, Measure.OUTER_LINING)
    )
    if inner is None or outer is None:
        return False
    return {_ends(inner), _ends(outer)} == {_LEADING_THIN, _TRAILING_THIN}


_LEADING_THIN = ("leading end", "trailing end")
_TRAILING_THIN = ("trailing end", "leading end")


def _ends(taper: Taper) -> tuple[str, str]:
    return taper.thin.place, taper.thick.place
