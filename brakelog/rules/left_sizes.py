"""Sizes of what was fitted: measured at all, the right part, and inside its limits."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.closing import CUT, Check, ClosingAnswer, answers_that_stand
from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.review.beyond import BEYOND_NEW_NM
from brakelog.rules.bound import Bound, bound_for
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.compare import is_out
from brakelog.rules.figure import one_unit
from brakelog.rules.measure import Measure, measures_of
from brakelog.rules.vehicle import PARTS_OF
from brakelog.rules.worked import (
    brake_of,
    corners_of,
    fittings_here,
    is_empty,
    is_left,
    last_event,
)

_MACHINE_TO = {Part.ROTOR: LimitKind.ROTOR_MACHINE_TO, Part.DRUM: LimitKind.DRUM_MACHINE_TO}
_SIZE = (None, Datum.LINING)
_ASKED_AS = {
    Part.ROTOR: "rotor thickness",
    Part.DRUM: "drum diameter",
    Part.PADS: "lining",
    Part.SHOES: "lining",
}


def sizes_left(file: CaseFile, axle: int, answers: tuple[ClosingAnswer, ...]) -> Iterator[OpenItem]:
    """Yield what is missing or wrong about the size of every part of an axle that was worked on."""
    for corner in corners_of(axle):
        if _is_cut_unsized(file, corner, answers):
            yield _cut_unsized(file, corner)
        for part in PARTS_OF[brake_of(file, axle)]:
            for measure in measures_of(part):
                position = measure.facts.position
                if position is not None:
                    yield from _size_left(file, corner, measure, position, answers)


def _is_cut_unsized(file: CaseFile, corner: Corner, answers: tuple[ClosingAnswer, ...]) -> bool:
    """Whether a rotor was cut on the car and nobody has said what was left of it."""
    cures = [
        each.said
        for each in answers_that_stand(answers)
        if each.check is Check.RUNOUT_CURE and each.corner == corner
    ]
    is_sized = any(
        each.corner == corner
        and each.position is Position.ROTOR
        and each.event is FittingEvent.REFINISHED
        for each in fittings_here(file)
    )
    return CUT in cures and not is_sized


def _cut_unsized(file: CaseFile, corner: Corner) -> OpenItem:
    return OpenItem(
        gap=Gap.SIZE_BLANK,
        hand=Hand.PARTS,
        text=f"{corner} rotor: cut on the car, and its size after the cut is not on record",
        do=f"brakelog fit {file.vehicle.tag} {corner} rotor refinished --size ...",
        corner=corner,
        axle=corner.axle,
        part=Part.ROTOR,
        position=Position.ROTOR,
    )


def _size_left(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    position: Position,
    answers: tuple[ClosingAnswer, ...],
) -> Iterator[OpenItem]:
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
    read = _left_sets(file, corner, measure)
    if not read and not _is_known_unread(file, corner, measure, event):
        yield _blank(file, corner, measure, position)
    if event is None:
        return
    # A lining read with its plate is not its size; the verdict as left judges that.
    sizes = [nm for each in read if each.datum in _SIZE for nm in each.measured_nm]
    sizes += [event.size_nm] if event.size_nm is not None else []
    if sizes and not _is_confirmed(corner, position.part, answers):
        yield from _wrong_part(file, corner, measure, position, event, sizes)
    if sizes:
        yield from _out(file, corner, measure, position, event, sizes)


def _left_sets(file: CaseFile, corner: Corner, measure: Measure) -> list[ReadingSet]:
    """Return the sets as left of what a measure measures."""
    return [
        each
        for each in file.sets
        if is_left(file, each)
        and each.corner == corner
        and each.quantity in measure.facts.quantities
    ]


def _is_known_unread(
    file: CaseFile, corner: Corner, measure: Measure, event: Fitting | None
) -> bool:
    """Whether a part that was not read as left was measured at fitting, or kept as it was found."""
    if event is not None:
        return event.size_nm is not None and event.basis is SizeBasis.MEASURED
    return any(
        each.measured_nm
        for quantity in measure.facts.quantities
        for each in file.sets_at(corner, quantity)
    )


def _blank(file: CaseFile, corner: Corner, measure: Measure, position: Position) -> OpenItem:
    quantity = measure.facts.quantities[0]
    return OpenItem(
        gap=Gap.SIZE_BLANK,
        hand=Hand.PARTS,
        text=f"{corner} {position.label}: {_ASKED_AS[position.part]} not measured",
        do="measure it as left",
        line=f"{corner} {quantity.value} ",
        corner=corner,
        axle=corner.axle,
        part=position.part,
        position=position,
    )


def _is_confirmed(corner: Corner, part: Part, answers: tuple[ClosingAnswer, ...]) -> bool:
    """Whether a person has compared the part with its number, and said so with a note."""
    said = [
        each
        for each in answers
        if each.check is Check.RIGHT_PART and (each.corner, each.part) == (corner, part)
    ]
    return bool(said) and said[-1].is_good and bool(said[-1].note)


def _bound(file: CaseFile, kind: LimitKind, corner: Corner, measure: Measure) -> Bound:
    is_lining = measure.facts.part in (Part.PADS, Part.SHOES)
    return bound_for(
        kind,
        corner,
        file.limits,
        file.confirmations,
        which_pad=measure.facts.which_pad,
        datum=Datum.LINING if is_lining else None,
    )


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
    return None if kind is None else _bound(file, kind, corner, measure)


def _wrong_part(
    file: CaseFile,
    corner: Corner,
    measure: Measure,
    position: Position,
    event: Fitting,
    sizes: list[int],
) -> Iterator[OpenItem]:
    """Yield a doubt where a new part does not have its size, or a used one more than a new one."""
    new = new_size(file, corner, measure)
    if new is None or not new.figures or event.event not in (FittingEvent.NEW, FittingEvent.USED):
        return
    slack = BEYOND_NEW_NM[measure.facts.part]
    wanted = [figure.nm for figure in new.figures]
    grows = not new.kind.facts.least

    def is_off(nm: int) -> bool:
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
    sizes: list[int],
) -> Iterator[OpenItem]:
    """Yield a failure where what was fitted is beyond its limit, or was machined beyond its own."""
    kinds = [measure.facts.limit]
    if event.event is FittingEvent.REFINISHED and position.part in _MACHINE_TO:
        kinds.append(_MACHINE_TO[position.part])
    pick = min if measure.facts.limit.facts.least else max
    worst = pick(sizes)
    fine = position.part in (Part.ROTOR, Part.DRUM)
    for kind in kinds:
        bound = _bound(file, kind, corner, measure)
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
