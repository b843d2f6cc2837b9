"""Patterns of drum brakes by themselves."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.finding import FindingKind
from brakelog.record.quantity import Part
from brakelog.rules.figure import one_unit
from brakelog.rules.flag import Spot
from brakelog.rules.hint import Hint, Lead, Pattern
from brakelog.rules.hinting import Scene, hint
from brakelog.rules.judgement import Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.usable import is_usable, judgement_of, linings_of
from brakelog.rules.verdict import PartVerdict

_BELL = (
    Lead(cause="shoe or plate bent", check="contact across the shoes"),
    Lead(
        cause="adjuster, cable or wheel cylinder at fault",
        check="adjuster, cable, wheel cylinder",
        found_as=frozenset({FindingKind.STUCK_PISTON, FindingKind.HARDWARE_MISSING}),
    ),
)


def drum_hints(scene: Scene) -> Iterator[Hint]:
    """Yield the drums that are wider at their open edge than allowed, with shoes worn in them."""
    for drum in scene.parts:
        if drum.part is not Part.DRUM:
            continue
        bell = judgement_of(drum, Measure.BELL_MOUTH)
        shoes = scene.at(drum.corner, Part.SHOES)
        linings = None if shoes is None else linings_of(scene.file, shoes)
        if bell.outcome is Outcome.OUT and is_usable(scene.file, bell) and linings is not None:
            assert bell.judged_nm is not None
            wider = one_unit(bell.judged_nm, scene.file.shop, fine=False)
            yield hint(
                scene,
                Pattern.BELL_MOUTHED,
                drum.corner.axle,
                (drum.corner,),
                [f"open edge {wider} wider", *_thinner(scene, drum, linings)],
                _BELL,
            )


def _thinner(scene: Scene, drum: PartVerdict, linings: tuple[Spot, Spot]) -> Iterator[str]:
    """Yield how the thinnest shoe compares with that of the other side, where that is thicker."""
    mate = scene.at(drum.corner.mate, Part.SHOES)
    others = None if mate is None else linings_of(scene.file, mate)
    if others is None:
        return
    here, there = (min(pair, key=lambda spot: spot.nm) for pair in (linings, others))
    if there.nm > here.nm:
        thin, thick = (one_unit(spot.nm, scene.file.shop, fine=False) for spot in (here, there))
        yield f"thinnest shoe {thin}, {there.corner} {thick}"
