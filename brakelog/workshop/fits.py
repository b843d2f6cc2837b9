"""Whether what is on file about a vehicle fits the brakes that it is said to have."""

from __future__ import annotations

from collections.abc import Iterable

from brakelog.errors import Conflict
from brakelog.record.corner import Corner
from brakelog.record.finding import Finding
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.record.vehicle import BRAKE_OF, AxleBrake


def check_fits(
    tag: str,
    brakes: tuple[AxleBrake, ...],
    things: Iterable[ReadingSet | Finding | Fitting],
) -> None:
    """Refuse brakes that a reading, finding or fitting on file could not have come from.

    Raises
    ------
    Conflict
        Naming the first that does not fit.
    """
    for each in things:
        if isinstance(each, ReadingSet) and each.quantity is Quantity.SCORING:
            continue
        part = _part_of(each)
        if not _has(brakes, each.corner, part):
            raise Conflict(
                f"{tag} has no {part.value} at {each.corner}, and something on file is about one",
                hint="check which vehicle was measured, or void the visit",
            )


def _part_of(each: ReadingSet | Finding | Fitting) -> Part:
    match each:
        case ReadingSet():
            return each.quantity.facts.part
        case Finding():
            return each.part
        case Fitting():
            return each.position.part


def _has(brakes: tuple[AxleBrake, ...], corner: Corner, part: Part) -> bool:
    return corner.axle <= len(brakes) and BRAKE_OF[part] is brakes[corner.axle - 1]
