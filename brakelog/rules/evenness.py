"""How evenly the parts of a vehicle wear: differences that call for a diagnosis, never a verdict.

Where the variant is known to wear one pad faster, that direction raises no flag. A difference that
is not larger than its own uncertainty (U2) is none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from brakelog.record.corner import Corner, Side
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.casefile import CaseFile
from brakelog.rules.deciding import place_name
from brakelog.rules.flag import Flag, FlagKind, Spot
from brakelog.rules.measure import Measure
from brakelog.rules.spreading import spread_for
from brakelog.rules.usable import (
    LININGS_OF,
    is_usable,
    judgement_of,
    linings_of,
    sets_of,
    spot_of,
)
from brakelog.rules.verdict import PartVerdict

INNER_OUTER_NM = 2_000_000
"""Inner and outer lining of one wheel: 2.0 mm, common practice; trade guides call pads even up to
2 or 3 mm. [nm]"""

INNER_OUTER_FIXED_NM = 1_000_000
"""The same for a fixed caliper, which has nothing that slides: 1.0 mm, common practice. [nm]"""

TAPER_NM = 1_500_000
"""Along one pad or shoe: 1.5 mm (about 1/16 in), common practice. [nm]"""

TAPER_SEVERE_NM = 3_000_000
"""Taper beyond which linings are replaced: 3.0 mm, common practice. [nm]"""

SIDES_NM = 2_000_000
"""Thinnest lining, left against right: 2.0 mm, common practice; makers say "significant". [nm]"""

SHOES_NM = 1_000_000
"""Trailing shoe thinner than the leading one: 1.0 mm, assumption; shoes have about half of the
lining of pads. [nm]"""

ROTORS_NM = 200_000
"""Rotors, left against right: 0.2 mm, assumption: a tenth of what a usual rotor may wear. [nm]"""

DRUMS_NM = 150_000
"""Drums, left against right: 0.15 mm, which one European repair manual allows after cutting. [nm]
"""


def flags_of(file: CaseFile, parts: tuple[PartVerdict, ...]) -> tuple[Flag, ...]:
    """Return every difference that is large enough, axle by axle.

    Parameters
    ----------
    file : CaseFile
        The record, with the traits of the variant.
    parts : tuple of PartVerdict
        Every part of the vehicle, judged.
    """
    by_place = {(each.corner, each.part): each for each in parts}
    flags: list[Flag] = []
    for axle in sorted({each.corner.axle for each in parts}):
        here = [each for each in parts if each.corner.axle == axle]
        for part in here:
            if part.part in LININGS_OF:
                flags += _at_one_wheel(file, part)
        for part in here:
            if part.corner.side is Side.LEFT:
                flags += _across(file, part, by_place[part.corner.mate, part.part])
    return tuple(flags)


def _at_one_wheel(file: CaseFile, part: PartVerdict) -> Iterator[Flag]:
    pair = linings_of(file, part)
    if pair is not None:
        flag = _pads(file, pair) if part.part is Part.PADS else _shoes(file, pair)
        if flag is not None and _is_real(file, part, part, flag):
            yield flag
    for measure in LININGS_OF[part.part]:
        taper = taper_of(file, part, measure)
        if taper is not None and taper.difference_nm >= TAPER_NM:
            yield _flag(
                FlagKind.TAPER,
                taper.thin,
                taper.thick,
                TAPER_NM,
                is_severe=taper.difference_nm > TAPER_SEVERE_NM,
            )


def _pads(file: CaseFile, pair: tuple[Spot, Spot]) -> Flag | None:
    worn, other = sorted(pair, key=lambda spot: spot.nm)
    axle = worn.corner.axle
    faster = "inner" if worn.position is Position.PAD_INNER else "outer"
    is_fixed = file.traits.get((axle, "caliper")) == "fixed"
    threshold_nm = INNER_OUTER_FIXED_NM if is_fixed else INNER_OUTER_NM
    if other.nm - worn.nm < threshold_nm or file.traits.get((axle, "faster-pad")) == faster:
        return None
    return _flag(FlagKind.INNER_OUTER, worn, other, threshold_nm, for_fixed=is_fixed)


def _shoes(file: CaseFile, pair: tuple[Spot, Spot]) -> Flag | None:
    """Flag a trailing shoe that wears faster; that of the leading one is usual.

    On duo-servo brakes the trailing (secondary) shoe does most of the work, and that is usual too.
    """
    leading, trailing = pair
    if leading.nm - trailing.nm < SHOES_NM:
        return None
    if file.traits.get((leading.corner.axle, "shoes")) == "duo-servo":
        return None
    return _flag(FlagKind.SHOES, trailing, leading, SHOES_NM)


_ACROSS = {
    Part.PADS: (FlagKind.SIDES, SIDES_NM),
    Part.SHOES: (FlagKind.SIDES, SIDES_NM),
    Part.ROTOR: (FlagKind.ROTORS, ROTORS_NM),
    Part.DRUM: (FlagKind.DRUMS, DRUMS_NM),
}
_IRON = {Part.ROTOR: Measure.ROTOR_THICKNESS, Part.DRUM: Measure.DRUM_DIAMETER}


def _across(file: CaseFile, left: PartVerdict, right: PartVerdict) -> Iterator[Flag]:
    kind, threshold_nm = _ACROSS[left.part]
    spots = [_worst(file, left), _worst(file, right)]
    if spots[0] is None or spots[1] is None:
        return
    one, two = spots[0], spots[1]
    if abs(one.nm - two.nm) < threshold_nm:
        return
    is_one_worn = (one.nm < two.nm) is not (left.part is Part.DRUM)
    worn, other = (one, two) if is_one_worn else (two, one)
    flag = _flag(kind, worn, other, threshold_nm)
    if _is_real(file, left, right, flag):
        yield flag


def _worst(file: CaseFile, part: PartVerdict) -> Spot | None:
    if part.part in _IRON:
        return spot_of(file, part, _IRON[part.part])
    pair = linings_of(file, part)
    return None if pair is None else min(pair, key=lambda spot: spot.nm)


def _flag(
    kind: FlagKind,
    worn: Spot,
    other: Spot,
    threshold_nm: int,
    *,
    for_fixed: bool = False,
    is_severe: bool = False,
) -> Flag:
    return Flag(
        kind=kind,
        axle=worn.corner.axle,
        corners=tuple(dict.fromkeys((worn.corner, other.corner))),
        part=worn.position.part,
        worn=worn,
        other=other,
        threshold_nm=threshold_nm,
        for_fixed=for_fixed,
        is_severe=is_severe,
    )


def _is_real(file: CaseFile, one: PartVerdict, two: PartVerdict, flag: Flag) -> bool:
    """Whether a difference is larger than its own U2."""
    u1_nm = math.hypot(_u1r_nm(file, one, two, flag.worn), _u1r_nm(file, one, two, flag.other))
    return flag.difference_nm > math.ceil(2 * u1_nm)


def _u1r_nm(file: CaseFile, one: PartVerdict, two: PartVerdict, spot: Spot) -> float:
    part = one if one.corner == spot.corner else two
    judgement = next(
        each
        for each in part.judgements
        if each.measure.facts.is_safety and each.measure.facts.position is spot.position
    )
    return max(spread_for(file, each).u1r_nm for each in sets_of(file, judgement))


@dataclass(frozen=True, slots=True, kw_only=True)
class Taper:
    """The thinnest and the thickest place along one lining, further apart than their U2."""

    thin: Spot
    thick: Spot

    @property
    def difference_nm(self) -> int:
        """How far they differ. [nm]"""
        return self.thick.nm - self.thin.nm


def taper_of(file: CaseFile, part: PartVerdict, measure: Measure) -> Taper | None:
    """Return the taper along one lining; None where it was read at one place, or is doubted."""
    judgement = judgement_of(part, measure)
    if not is_usable(file, judgement):
        return None
    reading = sets_of(file, judgement)[0]
    read = [(nm, n) for n, nm in enumerate(reading.values_nm) if nm is not None]
    if len(read) < 2:
        return None
    thin, thick = (
        _end(reading, part.corner, nm - reading.zero_error_nm, n)
        for nm, n in (min(read), max(read))
    )
    taper = Taper(thin=thin, thick=thick)
    u2_nm = math.ceil(2 * spread_for(file, reading).u1_difference_nm)
    return taper if taper.difference_nm > u2_nm else None


def _end(reading: ReadingSet, corner: Corner, nm: int, index: int) -> Spot:
    quantity: Quantity = reading.quantity
    assert quantity.position is not None
    return Spot(corner=corner, position=quantity.position, nm=nm, place=place_name(reading, index))
