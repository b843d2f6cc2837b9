"""How fast a part has worn, beside how fast such parts usually wear."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from brakelog.lengths import MM_PER_KM
from brakelog.record.corner import Corner
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part, Position
from brakelog.record.shop import Shop
from brakelog.rules.casefile import CaseFile
from brakelog.rules.figure import distance, one_unit
from brakelog.rules.lives import PositionLife
from brakelog.rules.measure import Measure
from brakelog.rules.questioning import about_history
from brakelog.rules.usable import LININGS_OF, is_usable, judgement_of, new_size_nm, spot_of
from brakelog.rules.verdict import PartVerdict
from brakelog.wear.projection import Note, Refusal

FAST = 2.0
"""Multiple of the usual rate from which wear is called fast. [-]

Assumption: by general experience about 1 car in 10 wears twice as fast as the usual one."""

SLOW = 0.5
"""Multiple of the usual rate up to which wear is called slow; assumption, as for fast. [-]"""

OWN_SHARE = 0.5
"""Weight that a part's own readings must have in its rate; below it the rate is mostly that of
other cars. Assumption. [-]"""

LEAST_DRIVEN_MM = 5_000 * MM_PER_KM
"""Distance below which no rate is taken from a fitting alone: common practice. [mm]"""

LEAST_WORN_NM = 1_000_000
"""Wear below which no rate is taken from a fitting alone: 1 mm of lining, about four times the
uncertainty of a depth gauge; common practice. [nm]"""

HARDLY_WORN_NM = {Part.PADS: 1_000_000, Part.SHOES: 500_000}
"""Lining lost up to which it is called hardly worn: assumption, about a tenth of what is there.
[nm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How fast one part has worn."""

    corner: Corner
    position: Position
    rate: float
    """Nanometres for each 1,000 km. [nm/1000 km]"""
    usual: float
    """The same for the usual car. [nm/1000 km]"""
    worn_nm: int | None
    """Since it was fitted, where its size then is on record. [nm]"""
    driven_mm: int | None
    """Since it was fitted. [mm]"""
    is_accelerating: bool = False

    @property
    def is_fast(self) -> bool:
        """Whether it wears much faster than usual."""
        return self.rate >= FAST * self.usual

    @property
    def is_slow(self) -> bool:
        """Whether it wears much more slowly than usual, and has been driven far enough to tell."""
        if self.driven_mm is None or self.rate > SLOW * self.usual:
            return False
        return self.usual * self.driven_mm / MM_PER_KM / 1000 >= LEAST_WORN_NM


_NO_RATE = (Refusal.UNRESOLVED, Refusal.LIMIT_NOT_INSIDE_NEW)
"""Refusals under which the sizes themselves are doubted."""


def paces_of(file: CaseFile, part: PartVerdict) -> tuple[Pace, ...] | None:
    """Return how fast the linings or the rotor of a wheel have worn; None unless all are known."""
    measures = LININGS_OF.get(part.part, (Measure.ROTOR_THICKNESS,))
    paces = [_pace(file, part, measure) for measure in measures]
    known = tuple(each for each in paces if each is not None)
    return known if len(known) == len(paces) else None


def life_at(part: PartVerdict, position: Position | None) -> PositionLife | None:
    """Return the life of one wearing part; None where it was not read."""
    return next((each for each in part.lives if each.position is position), None)


def _pace(file: CaseFile, part: PartVerdict, measure: Measure) -> Pace | None:
    judgement = judgement_of(part, measure)
    life = life_at(part, measure.facts.position)
    if life is None or life.projection.refusal in _NO_RATE or not is_usable(file, judgement):
        return None
    ids = [each.id for each in file.sets if each.corner == part.corner]
    if about_history(file, ids):
        return None
    worn_nm, driven_mm = _since_fitted(file, part, measure, life)
    projection = life.projection
    rate = projection.rate_nm_per_1000km
    if rate is None or projection.own_share < OWN_SHARE:
        rate = _plain_rate(worn_nm, driven_mm) if part.part in LININGS_OF else None
    if rate is None:
        return None
    return Pace(
        corner=part.corner,
        position=life.position,
        rate=rate,
        usual=math.exp(projection.experience.log_rate) * 1e6,
        worn_nm=worn_nm,
        driven_mm=driven_mm,
        is_accelerating=Note.ACCELERATING in projection.notes,
    )


def _since_fitted(
    file: CaseFile, part: PartVerdict, measure: Measure, life: PositionLife
) -> tuple[int | None, int | None]:
    """Return what was worn and driven since the fitting; nothing where no fitting is on record."""
    spot = spot_of(file, part, measure)
    began_nm = began_with_nm(file, part, measure, life)
    if life.start is None or began_nm is None or spot is None:
        return None, None
    return abs(began_nm - spot.nm), file.visit.odometer_mm - life.start.odometer_mm


def began_with_nm(
    file: CaseFile, part: PartVerdict, measure: Measure, life: PositionLife
) -> int | None:
    """Return the size at the fitting; of a new part, or one without a record, that of the sheet."""
    if life.start is None:
        return new_size_nm(file, part.corner, measure)
    if life.start.event is FittingEvent.REMOVED or life.start.corner != part.corner:
        return None
    if life.start.size_nm is None and life.start.event is FittingEvent.NEW:
        return new_size_nm(file, part.corner, measure)
    return life.start.size_nm


def _plain_rate(worn_nm: int | None, driven_mm: int | None) -> float | None:
    """Return the rate since the fitting where the projection states none, as at the limit."""
    if worn_nm is None or driven_mm is None:
        return None
    if driven_mm < LEAST_DRIVEN_MM or worn_nm < LEAST_WORN_NM:
        return None
    return float(Fraction(worn_nm, driven_mm) * MM_PER_KM * 1000)


def is_hardly_worn(file: CaseFile, part: PartVerdict) -> bool | None:
    """Whether both linings of a wheel are nearly as thick as they began; None where not known."""
    known: list[bool] = []
    for measure in LININGS_OF[part.part]:
        life = life_at(part, measure.facts.position)
        spot = spot_of(file, part, measure)
        if life is None or spot is None:
            return None
        began_nm = began_with_nm(file, part, measure, life)
        if began_nm is None:
            return None
        known.append(began_nm - spot.nm <= HARDLY_WORN_NM[part.part])
    return all(known)


def pace_words(paces: tuple[Pace, ...], shop: Shop) -> str:
    """Return how fast the fastest of several parts has worn: ``8.9 mm in 14,200 km``."""
    fastest = max(paces, key=lambda each: each.rate)
    if fastest.worn_nm is not None and fastest.driven_mm is not None:
        worn = one_unit(fastest.worn_nm, shop, fine=False)
        return f"{worn} in {distance(fastest.driven_mm, shop.distance_unit)}"
    per_1000 = round(fastest.rate * shop.distance_unit.mm / MM_PER_KM)
    return f"{one_unit(per_1000, shop, fine=True)} per 1,000 {shop.distance_unit.value}"
