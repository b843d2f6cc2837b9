"""What was worked on in a visit: which axles, which parts, and what was done to them."""

from __future__ import annotations

from brakelog.record.corner import Corner, Side
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.quantity import LININGS, POSITIONS_OF, Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.vehicle import BRAKE_OF, AxleBrake
from brakelog.rules.casefile import CaseFile


def is_work(file: CaseFile) -> bool:
    """Whether anything was worked on; a visit that only inspected has nothing to finish."""
    return bool(worked_axles(file))


def worked_axles(file: CaseFile) -> tuple[int, ...]:
    """Return the axles on which a part was fitted, read as left, or put right."""
    axles = {corner.axle for corner in _worked_corners(file)}
    return tuple(sorted(axle for axle in axles if axle <= len(file.vehicle.brakes)))


def opened_axles(file: CaseFile) -> tuple[int, ...]:
    """Return the axles whose wheels came off: those worked on, and those measured."""
    measured = {
        each.corner.axle
        for each in file.sets
        if each.visit_id == file.visit.id and each.measured_nm
    }
    return tuple(
        axle
        for axle in range(1, len(file.vehicle.brakes) + 1)
        if axle in measured or axle in worked_axles(file)
    )


def is_worked(file: CaseFile, corner: Corner) -> bool:
    """Whether anything was done at a corner itself."""
    return corner in _worked_corners(file)


def _worked_corners(file: CaseFile) -> set[Corner]:
    fitted = {
        corner
        for each in fittings_here(file)
        for corner in (each.corner, each.from_corner)
        if corner is not None
    }
    read = {each.corner for each in file.sets if is_left(file, each)}
    put_right = {each.corner for each in file.findings if each.put_right}
    return fitted | read | put_right


def is_left(file: CaseFile, each: ReadingSet) -> bool:
    """Whether a set was taken after the work of this visit."""
    return each.visit_id == file.visit.id and each.stage is Stage.AS_LEFT and bool(each.measured_nm)


def fittings_here(file: CaseFile) -> tuple[Fitting, ...]:
    """Return what was fitted, refinished, moved and removed in this visit."""
    return tuple(each for each in file.fittings if each.visit_id == file.visit.id)


def last_event(file: CaseFile, corner: Corner, position: Position) -> Fitting | None:
    """Return what was done last at a position in this visit; a part moved away counts too."""
    last: Fitting | None = None
    for each in fittings_here(file):
        if each.position is not position:
            continue
        gone = each.from_corner == corner and each.event is FittingEvent.MOVED
        if each.corner == corner or (gone and last is None):
            last = each
    return last


def is_empty(file: CaseFile, corner: Corner, position: Position) -> bool:
    """Whether a part was taken away in this visit and nothing was fitted in its place."""
    last = last_event(file, corner, position)
    return last is not None and (last.event is FittingEvent.REMOVED or last.corner != corner)


def was_fitted(file: CaseFile, corner: Corner, part: Part) -> bool:
    """Whether the part at a corner was changed or machined in this visit."""
    return any(
        each.corner == corner
        and each.position.part is part
        and each.event is not FittingEvent.REMOVED
        for each in fittings_here(file)
    )


def fitted_on(file: CaseFile, axle: int, *parts: Part) -> bool:
    """Whether one of the parts was changed or machined at either side of an axle."""
    return any(was_fitted(file, corner, part) for corner in corners_of(axle) for part in parts)


def measured_at_fitting(file: CaseFile, corner: Corner, part: Part) -> tuple[Fitting, ...]:
    """Return the fittings of this visit that tell the whole size of a part, or nothing.

    One figure of a used or machined part does not.
    """
    events = [last_event(file, corner, position) for position in POSITIONS_OF[part]]
    known = tuple(
        each
        for each in events
        if each is not None
        and each.corner == corner
        and each.event in (FittingEvent.NEW, FittingEvent.MOVED)
        and each.basis is SizeBasis.MEASURED
        and each.size_nm is not None
    )
    return known if len(known) == len(events) else ()


def corners_of(axle: int) -> tuple[Corner, Corner]:
    """Return the two corners of an axle, left first."""
    return Corner(axle=axle, side=Side.LEFT), Corner(axle=axle, side=Side.RIGHT)


def brake_of(file: CaseFile, axle: int) -> AxleBrake:
    """Return the brake of an axle."""
    return file.vehicle.brakes[axle - 1]


def lining_quantities(brake: AxleBrake) -> tuple[Quantity, ...]:
    """Return the linings of a brake, in the order of the record."""
    return tuple(
        quantity
        for quantity in Quantity
        if quantity in LININGS and BRAKE_OF[quantity.facts.part] is brake
    )
