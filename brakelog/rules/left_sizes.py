"""Sizes of what was fitted: measured at all, the right part, and inside its limits."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from brakelog.record.closing import Check, ClosingAnswer
from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.review.beyond import BEYOND_NEW_NM
from brakelog.rules.bound import Bound
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.compare import is_out
from brakelog.rules.deciding import corrected_nm
from brakelog.rules.figure import one_unit
from brakelog.rules.judgement import Outcome
from brakelog.rules.left_proof import bound_of, unproven_new
from brakelog.rules.measure import Measure, measures_of
from brakelog.rules.standing import is_before, last_work, size_work
from brakelog.rules.vehicle import PARTS_OF
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.worked import (
    brake_of,
    corners_of,
    is_empty,
    is_left,
    last_event,
)

MACHINE_TO = {Part.ROTOR: LimitKind.ROTOR_MACHINE_TO, Part.DRUM: LimitKind.DRUM_MACHINE_TO}
_SIZE = (None, Datum.LINING)
_IRON = {Part.ROTOR: Position.ROTOR, Part.DRUM: Position.DRUM}
_WHEN = {
    FittingEvent.USED: "fitted",
    FittingEvent.REFINISHED: "refinished",
    FittingEvent.MOVED: "moved",
}
_ASKED_AS = {
    Part.ROTOR: "rotor thickness",
    Part.DRUM: "drum diameter",
    Part.PADS: "lining",
    Part.SHOES: "lining",
}


def sizes_left(
    found: VehicleVerdict, axle: int, answers: tuple[ClosingAnswer, ...]
) -> Iterator[OpenItem]:
    """Yield what is missing or wrong about the size of every part of an axle that was worked on.

    Parameters
    ----------
    found : VehicleVerdict
        The verdict as found: a part that only changed places was judged by it.
    axle : int
        The axle.
    answers : tuple of ClosingAnswer
        What was said in this visit, oldest first.
    """
    for corner in corners_of(axle):
        for part in PARTS_OF[brake_of(found.file, axle)]:
            for measure in measures_of(part):
                position = measure.facts.position
                if position is not None:
                    yield from _size_left(found, corner, measure, position, answers)


def _size_left(
    found: VehicleVerdict,
    corner: Corner,
    measure: Measure,
    position: Position,
    answers: tuple[ClosingAnswer, ...],
) -> Iterator[OpenItem]:
    file = found.file
    if is_empty(file, corner, position):
        yield OpenItem(
            gap=Gap.NOTHING_FITTED,
            hand=Hand.PARTS,
            text=f"{corner} {position.label}: taken away, and nothing fitted in its place",
            do=f"fit one, then: brakelog fit {file.vehicle.tag} {corner} {position.value} ...",
            corner=corner,
            axle=corner.axle,
            part=position.part,
            position=position,
        )
        return
    event = last_event(file, corner, position)
    read = left_sets(file, corner, measure, answers)
    is_blank = not read and not _is_known_unread(found, corner, measure, event)
    if event is None:
        if is_blank:
            yield _blank(corner, measure, position, event)
        return
    # A lining read with its plate is not its size; the verdict as left judges that.
    sizes = [nm for each in read if each.datum in _SIZE for nm in true_sizes(each, measure)]
    sizes += [Fraction(event.size_nm)] if event.size_nm is not None else []
    out = list(_out(file, corner, measure, position, event, sizes)) if sizes else []
    if is_blank and not out:
        yield _blank(corner, measure, position, event)
    if sizes and not is_confirmed(file, corner, position.part, answers):
        yield from _wrong_part(file, corner, measure, position, event, sizes)
    yield from out
    if not read and event.event is FittingEvent.NEW:
        yield from unproven_new(file, corner, measure, position, event)


def left_sets(
    file: CaseFile, corner: Corner, measure: Measure, answers: tuple[ClosingAnswer, ...]
) -> list[ReadingSet]:
    """Return the sets as left of a measure, read since its part was fitted or cut last.

    Where an edge of a drum was read before and not since, the other edge alone is not the drum.
    """
    position = measure.facts.position or _IRON[measure.facts.part]
    work = size_work(file, corner, position, answers)
    there = [
        each
        for each in file.sets
        if is_left(file, each)
        and each.corner == corner
        and each.quantity in measure.facts.quantities
    ]
    newest = {each.quantity: each for each in there}
    if any(is_before(each.recorded_at, work) for each in newest.values()):
        return []
    return [each for each in there if not is_before(each.recorded_at, work)]


def true_sizes(reading: ReadingSet, measure: Measure) -> list[Fraction]:
    """Return what a set read, after zero error, and after warmth where that is stricter. [nm]"""
    least = measure.facts.limit.facts.least
    return [Fraction(corrected_nm(nm, reading, least=least)) for nm in reading.measured_nm]


def _is_known_unread(
    found: VehicleVerdict, corner: Corner, measure: Measure, event: Fitting | None
) -> bool:
    """Whether a part that was not read as left is known without it.

    A new part is by its measured size, one that was kept as it was found, and one that changed
    places where it was judged to be in limits at the other place. A used or machined part is not:
    one figure says nothing of its other points.
    """
    if event is None:
        return any(
            each.measured_nm
            for quantity in measure.facts.quantities
            for each in found.file.at_stage(Stage.AS_LEFT).sets_at(corner, quantity)
        )
    is_measured = event.size_nm is not None and event.basis is SizeBasis.MEASURED
    if event.event is FittingEvent.MOVED and event.from_corner is not None:
        return is_measured and _was_in(found, event.from_corner, measure)
    return is_measured and event.event is FittingEvent.NEW


def _was_in(found: VehicleVerdict, corner: Corner, measure: Measure) -> bool:
    """Whether a part was judged to be in limits as found, and had nothing to be machined away."""
    part = next(
        each for each in found.parts if each.corner == corner and each.part is measure.facts.part
    )
    good = (Outcome.IN, Outcome.NO_LIMIT, Outcome.NO_READING)
    return all(
        each.outcome is Outcome.IN if each.measure is measure else each.outcome in good
        for each in part.judgements
        if each.measure is measure or each.measure.facts.needs_machining
    )


def _blank(corner: Corner, measure: Measure, position: Position, event: Fitting | None) -> OpenItem:
    quantity = measure.facts.quantities[0]
    text = f"{corner} {position.label}: {_ASKED_AS[position.part]} not measured"
    if event is not None and event.event is not FittingEvent.NEW:
        text = (
            f"{corner} {position.label}: {event.event.value}, and not read as left since; its "
            f"size when {_WHEN[event.event]} alone proves nothing"
        )
    return OpenItem(
        gap=Gap.SIZE_BLANK,
        hand=Hand.PARTS,
        text=text,
        do="measure it as left",
        line=f"{corner} {quantity.value} ",
        corner=corner,
        axle=corner.axle,
        part=position.part,
        position=position,
    )


def is_confirmed(
    file: CaseFile, corner: Corner, part: Part, answers: tuple[ClosingAnswer, ...]
) -> bool:
    """Whether a person has compared the part that is on now with its number, with a note."""
    said = [
        each
        for each in answers
        if each.check is Check.RIGHT_PART and (each.corner, each.part) == (corner, part)
    ]
    if not said or is_before(said[-1].recorded_at, last_work(file, [corner], parts=[part])):
        return False
    return said[-1].is_good and bool(said[-1].note)


def size_found(file: CaseFile, corner: Corner, position: Position) -> int | None:
    """Return the size that a part had before the work of the visit, by its deciding end. [nm]

    None where it was not read as found, or was read from another datum.
    """
    read = [
        each
        for each in file.sets
        if each.visit_id == file.visit.id
        and each.stage is Stage.AS_FOUND
        and each.corner == corner
        and each.quantity.position is position
        and each.measured_nm
    ]
    last = {each.quantity: each for each in read}
    sizes = [nm for each in last.values() if each.datum in _SIZE for nm in each.measured_nm]
    if not sizes:
        return None
    return max(sizes) if position is Position.DRUM else min(sizes)


def new_size(file: CaseFile, corner: Corner, measure: Measure) -> Bound | None:
    """Return the size of a new part on file; None where the measure has no such size."""
    kind = measure.facts.new
    return None if kind is None else bound_of(file, kind, corner, measure)


def _wrong_part(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    position: Position,
    event: Fitting,
    sizes: list[Fraction],
) -> Iterator[OpenItem]:
    """Yield a doubt where a new part does not have its size, or a used one more than a new one."""
    new = new_size(file, corner, measure)
    if new is None or not new.figures or event.event not in (FittingEvent.NEW, FittingEvent.USED):
        return
    slack = BEYOND_NEW_NM[measure.facts.part]
    wanted = [figure.nm for figure in new.figures]
    grows = not new.kind.facts.least

    def is_off(nm: Fraction) -> bool:
        gap = min((nm - each for each in wanted), key=abs)
        if event.event is FittingEvent.USED:
            # A used part may be worn, but never have more than a new one.
            return (-gap if grows else gap) > slack
        return abs(gap) > slack

    off = [nm for nm in sizes if is_off(nm)]
    if not off:
        return
    fine = position.part in (Part.ROTOR, Part.DRUM)
    worst = max(off, key=lambda nm: min(abs(nm - each) for each in wanted))
    size = one_unit(worst, file.shop, fine=fine)
    part = position.part
    yield OpenItem(
        gap=Gap.WRONG_PART,
        hand=Hand.PARTS,
        text=(
            f"{corner} {position.label}: wrong part? It is {size} and a new one "
            f"{new.printed(new.figures[0])}"
        ),
        do=(
            "compare the part number; if the size was mistyped, drop the fitting (brakelog amend) "
            "and enter it again; if it is the right part, say so with a note"
        ),
        line=f"check right-part {corner} {part.value} ",
        corner=corner,
        axle=corner.axle,
        part=part,
        position=position,
        check=Check.RIGHT_PART,
    )


def _out(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    position: Position,
    event: Fitting,
    sizes: list[Fraction],
) -> Iterator[OpenItem]:
    """Yield a failure where what was fitted is beyond its limit, or was machined beyond its own."""
    kinds = [measure.facts.limit]
    if event.event is FittingEvent.REFINISHED and position.part in MACHINE_TO:
        kinds.append(MACHINE_TO[position.part])
    pick = min if measure.facts.limit.facts.least else max
    worst = pick(sizes)
    fine = position.part in (Part.ROTOR, Part.DRUM)
    for kind in kinds:
        bound = bound_of(file, kind, corner, measure)
        strictest = bound.strictest
        if strictest is None or not is_out(worst, strictest.limit.comparator, strictest.nm):
            continue
        size = one_unit(worst, file.shop, fine=fine, against=[strictest.nm])
        yield OpenItem(
            gap=Gap.SIZE_OUT,
            hand=Hand.PARTS,
            text=(
                f"{corner} {position.label}: {event.event.value} at {size}, beyond the "
                f"{kind.facts.label} limit {bound.printed(strictest)}"
            ),
            do=f"fit another one, then: brakelog fit {file.vehicle.tag} {corner} ...",
            corner=corner,
            axle=corner.axle,
            part=position.part,
            position=position,
        )
        return
