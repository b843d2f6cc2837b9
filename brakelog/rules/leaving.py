"""What follows if suggested work is left for now: an honest alternative for the counter."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from brakelog.record.corner import Corner
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part
from brakelog.rules.bound import BoundFigure, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out
from brakelog.rules.judgement import Outcome
from brakelog.rules.lives import PositionLife
from brakelog.rules.matching import Leaving, wear_per_lining
from brakelog.rules.verdict import Grounds, PartVerdict, Word


def leaving_of(file: CaseFile, parts: Iterable[PartVerdict]) -> tuple[Leaving, ...]:
    """Return what follows for every axle whose pads are suggested and nothing on it required."""
    by_place = {(each.corner, each.part): each for each in parts}
    found = []
    for axle in range(1, len(file.vehicle.brakes) + 1):
        pads = [v for (corner, part), v in by_place.items() if _is(corner, part, axle)]
        here = [v for (corner, _), v in by_place.items() if corner.axle == axle]
        if not pads or any(each.required for each in here):
            continue
        if not any((each.word, each.grounds) == (Word.REPLACE, Grounds.SUGGESTED) for each in pads):
            continue
        lives = [
            life
            for each in pads
            for life in each.lives
            if life.projection.uncapped_at_least_mm is not None
        ]
        if lives:
            first = min(lives, key=lambda life: life.projection.uncapped_at_least_mm or 0)
            found.append(_leaving(file, axle, first, by_place))
    return tuple(found)


def _is(corner: Corner, part: Part, axle: int) -> bool:
    return corner.axle == axle and part is Part.PADS


def _leaving(
    file: CaseFile,
    axle: int,
    first: PositionLife,
    by_place: dict[tuple[Corner, Part], PartVerdict],
) -> Leaving:
    """Return the rotor that is worst off when its own lining reaches the limit."""
    worst: tuple[Fraction, Corner, Fraction, BoundFigure] | None = None
    for (corner, part), pads in by_place.items():
        if not _is(corner, part, axle):
            continue
        rotor = by_place[corner, Part.ROTOR].judgements[0]
        linings = tuple(each for each in pads.judgements if each.measure.facts.is_safety)
        if any(each.outcome is Outcome.IN_QUESTION for each in (rotor, *linings)):
            continue
        margins = [each.margin_nm for each in linings if each.margin_nm is not None]
        ratio = wear_per_lining(file, corner, rotor, linings)
        discard = bound_for(LimitKind.ROTOR_DISCARD, corner, file.limits, file.confirmations)
        if ratio is None or not margins or rotor.judged_nm is None or not discard.strictest:
            continue
        then_nm = rotor.judged_nm - ratio.per_lining * max(min(margins), Fraction(0))
        margin = then_nm - discard.strictest.nm
        if worst is None or margin < worst[0]:
            worst = (margin, corner, then_nm, discard.strictest)
    if worst is None:
        return Leaving(axle=axle, life=first)
    _, corner, then_nm, figure = worst
    return Leaving(
        axle=axle,
        life=first,
        corner=corner,
        rotor_nm=then_nm,
        discard=figure,
        rotor_is_out=is_out(then_nm, figure.limit.comparator, figure.nm),
    )
