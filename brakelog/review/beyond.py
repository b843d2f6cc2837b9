"""Readings beyond the size of a new part: a backing plate, another variant, another unit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from brakelog.lengths import NM_PER_MM
from brakelog.record.fitting import SizeBasis
from brakelog.record.quantity import Part
from brakelog.record.reading import Datum, ReadingSet
from brakelog.review.asking import ask_about
from brakelog.review.change import Change, has_more
from brakelog.review.figures import as_a_whole, corners, length, unit_of, what
from brakelog.review.look import Look, lost_nm, true_nm, wears_down
from brakelog.review.question import Confidence, Question, Scope, Suspicion

BEYOND_NEW_NM = {
    Part.ROTOR: 300_000,
    Part.DRUM: 300_000,
    Part.PADS: 1_000_000,
    Part.SHOES: 1_000_000,
}
"""How far beyond the size of a new part a reading may lie: 0.3 mm for iron and 1.0 mm for linings,
common practice. [nm]"""
LEAST_CIRCLE = 4
"""Points from which a set is a circle that shows which of its points is off; assumption."""
LEAST_PLATE_NM = 4_500_000
MOST_PLATE_NM = 6_500_000
"""Backing plates: 4.5 to 6.5 mm, common practice. [nm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Beyond:
    reading: ReadingSet
    suspicion: Suspicion
    by_nm: int
    """Beyond new, or above what was expected. [nm]"""


def ask_beyond_new(
    look: Look, changes: Mapping[str, Change], beyond: Mapping[str, int]
) -> Iterator[Question]:
    """Yield a question for each part of an axle that reads like no part of its kind.

    Parameters
    ----------
    look : Look
        The visit that is looked at.
    changes : mapping of str to Change
        Since the last readings, by the id of the set.
    beyond : mapping of str to int
        How far sets lie beyond new, by their ids; see ``beyond_new``. [nm]
    """
    groups: dict[tuple[Suspicion, int, Part], list[_Beyond]] = {}
    for moment in look.newest:
        id = moment.reading.id
        found = _beyond(look, moment.reading, changes.get(id), beyond.get(id))
        if found is not None:
            part = moment.reading.quantity.facts.part
            place = (found.suspicion, moment.reading.corner.axle, part)
            groups.setdefault(place, []).append(found)
    for group in groups.values():
        yield _question(look, group)


def new_size_nm(look: Look, reading: ReadingSet) -> int | None:
    """Return the size of a new part, or of the one that was fitted if that was larger. [nm]"""
    position = reading.quantity.position
    if position is None or reading.datum is Datum.WITH_PLATE:
        return None
    new_nm = look.evidence.new_nm.get((reading.corner.axle, position))
    order = look.order
    fitting = look.fitted(reading.corner, position, order)
    if new_nm is None or fitting is None or fitting.size_nm is None:
        return new_nm
    if fitting.basis is not SizeBasis.MEASURED:
        return new_nm
    pick = max if wears_down(reading.quantity) else min
    return pick(new_nm, fitting.size_nm)


def beyond_new(look: Look) -> dict[str, int]:
    """Return how far sets lie beyond new, further than new parts differ by, by their ids. [nm]

    One of which no new size is on file does not.
    """
    found: dict[str, int] = {}
    for moment in look.newest:
        reading = moment.reading
        new_nm = new_size_nm(look, reading)
        if new_nm is None:
            continue
        by_nm = -lost_nm(reading.quantity, new_nm, _furthest(look, reading))
        slack_nm = BEYOND_NEW_NM[reading.quantity.facts.part]
        if by_nm > slack_nm and by_nm > slack_nm + math.ceil(3.0 * look.spread(reading).u1_nm):
            found[reading.id] = by_nm
    return found


def _beyond(
    look: Look, reading: ReadingSet, change: Change | None, by_nm: int | None
) -> _Beyond | None:
    if change is not None and has_more(look, change):
        above_nm = round(change.expected_nm - change.lost_nm)
        if _is_plate(look, reading, above_nm, new_size_nm(look, reading)):
            return _Beyond(reading=reading, suspicion=Suspicion.PLATE, by_nm=above_nm)
    if by_nm is None:
        return None
    is_plate = (
        reading.quantity.is_lining
        and reading.datum is not Datum.WITH_PLATE
        and by_nm <= MOST_PLATE_NM + BEYOND_NEW_NM[Part.PADS]
    )
    suspicion = Suspicion.PLATE if is_plate else Suspicion.BEYOND_NEW
    return _Beyond(reading=reading, suspicion=suspicion, by_nm=by_nm)


def _furthest(look: Look, reading: ReadingSet) -> int:
    """Return the value that is furthest from worn. [nm]

    Of a circle of points it is the median: one that is off alone is a question about that point.
    """
    if len(reading.measured_nm) >= LEAST_CIRCLE:
        return look.level_nm(reading)
    pick = max if wears_down(reading.quantity) else min
    return true_nm(reading, pick(reading.measured_nm))


def _is_plate(look: Look, reading: ReadingSet, above_nm: int, new_nm: int | None) -> bool:
    """Whether a lining reads a plate's thickness above what was expected, and not like new."""
    if not reading.quantity.is_lining or reading.datum is Datum.WITH_PLATE:
        return False
    noise_nm = 2.0 * look.sigma1_nm(reading)
    if not LEAST_PLATE_NM - noise_nm <= above_nm <= MOST_PLATE_NM + noise_nm:
        return False
    return new_nm is None or abs(look.level_nm(reading) - new_nm) > BEYOND_NEW_NM[Part.PADS]


def _question(look: Look, group: list[_Beyond]) -> Question:
    readings = [each.reading for each in group]
    first = readings[0]
    unit = unit_of(first)
    named = "; ".join(f"{what(each)} {as_a_whole(each)}" for each in readings[:_MOST_NAMED])
    more = f"; and {len(readings) - _MOST_NAMED} more" if len(readings) > _MOST_NAMED else ""
    part = f"{corners(each.corner for each in readings)} {first.quantity.facts.part.value}"
    new_nm = new_size_nm(look, first)
    new = "" if new_nm is None else f" New is {length(new_nm, unit, first.quantity)}."
    by = length(group[0].by_nm, unit, first.quantity)
    if group[0].suspicion is Suspicion.PLATE:
        plate = f"{LEAST_PLATE_NM / NM_PER_MM} to {MOST_PLATE_NM / NM_PER_MM} mm"
        return ask_about(
            Suspicion.PLATE,
            readings,
            scope=Scope.SET,
            confidence=Confidence.HIGH,
            reads_high=True,
            evidence=f"{named}{more}: {by} more than a lining has there.{new} A backing plate adds "
            f"{plate}.",
            ask=f"Was the backing plate of the {part} measured too? Read the lining alone; a "
            "second reading set answers it.",
        )
    way = "above" if wears_down(first.quantity) else "below"
    return ask_about(
        Suspicion.BEYOND_NEW,
        readings,
        scope=Scope.SET,
        confidence=Confidence.HIGH,
        reads_high=wears_down(first.quantity),
        evidence=f"{named}{more}: {by} {way} a new part.{new}",
        ask=f"Check unit, digits and corner of the {part}, and the row of the limit sheet; a second"
        " reading set answers it, or the measured size of what was fitted.",
    )


_MOST_NAMED = 4
