"""What was machined: allowed at all, to a known limit, from what was found, and read since."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from brakelog.record.closing import Check, ClosingAnswer
from brakelog.record.corner import Corner
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Stage
from brakelog.rules.bound import BoundState
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.figure import one_unit
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.left_proof import bound_of
from brakelog.rules.left_sizes import (
    MACHINE_TO,
    is_confirmed,
    left_sets,
    size_found,
    true_sizes,
)
from brakelog.rules.measure import Measure
from brakelog.rules.spreading import spread_for
from brakelog.rules.standing import cut_on_car
from brakelog.rules.vehicle import PARTS_OF
from brakelog.rules.verdict import PartVerdict, VehicleVerdict
from brakelog.rules.worked import brake_of, corners_of, fittings_here, last_event

_POSITION = {Part.ROTOR: Position.ROTOR, Part.DRUM: Position.DRUM}
_SIZE = {Part.ROTOR: Measure.ROTOR_THICKNESS, Part.DRUM: Measure.DRUM_DIAMETER}
_MORE_IN_U1 = 3.0
"""Standard uncertainties by which a machined part may read more than it was found with; common
practice (three standard deviations). [-]"""


def machined_left(
    left: VehicleVerdict,
    found: VehicleVerdict,
    axle: int,
    answers: tuple[ClosingAnswer, ...],
) -> Iterator[OpenItem]:
    """Yield what is missing or wrong about the parts of an axle that were machined.

    Parameters
    ----------
    left : VehicleVerdict
        The verdict as left.
    found : VehicleVerdict
        The verdict as found: why a part was machined.
    axle : int
        The axle.
    answers : tuple of ClosingAnswer
        What was said in this visit, oldest first.
    """
    file = left.file
    for corner in corners_of(axle):
        for part in PARTS_OF[brake_of(file, axle)]:
            if part not in _POSITION:
                continue
            event = last_event(file, corner, _POSITION[part])
            is_refinished = event is not None and event.event is FittingEvent.REFINISHED
            cut = cut_on_car(file, corner, answers) if part is Part.ROTOR else None
            if cut is not None and not is_refinished:
                yield _unsized(file, corner)
            if cut is None and not is_refinished:
                continue
            yield from _forbidden(file, corner, part)
            yield from _to_no_limit(file, corner, part)
            if is_refinished:
                yield from _not_read(left, found, corner, part, answers)
                yield from _grown(file, corner, part, answers)


def _unsized(file: CaseFile, corner: Corner) -> OpenItem:
    return _item(
        Gap.SIZE_BLANK,
        corner,
        Part.ROTOR,
        "cut on the car, and its size after the cut is not on record",
        f"brakelog fit {file.vehicle.tag} {corner} rotor refinished --size ..., then measure it "
        f"as left",
    )


def _forbidden(file: CaseFile, corner: Corner, part: Part) -> Iterator[OpenItem]:
    if file.traits.get((corner.axle, "machining")) == "not-allowed":
        yield _item(
            Gap.MACHINED,
            corner,
            part,
            "machined, and the sheet says that it must not be",
            "fit another one and put that on file, or put the right word on the sheet",
        )


def _to_no_limit(file: CaseFile, corner: Corner, part: Part) -> Iterator[OpenItem]:
    """Yield a part that was machined where no limit says how far it may be."""
    bound = bound_of(file, MACHINE_TO[part], corner, _SIZE[part])
    if bound.figures:
        return
    label = MACHINE_TO[part].facts.label
    if bound.state is BoundState.CONTRADICTS:
        printed = " and ".join(each.as_printed for each in bound.limits)
        what = f"its {label} limit contradicts itself: {printed}"
        do = "confirm a figure: brakelog limits confirm"
    else:
        what = f"no {label} limit on file"
        do = f"obtain it and put it on file (brakelog limits add), or fit another {part.value}"
    yield _item(Gap.LIMIT_OPEN, corner, part, f"machined, and {what}", do, hand=Hand.PAPER)


def _not_read(
    left: VehicleVerdict,
    found: VehicleVerdict,
    corner: Corner,
    part: Part,
    answers: tuple[ClosingAnswer, ...],
) -> Iterator[OpenItem]:
    """Yield what a part was machined for and was not read since."""
    file = left.file
    asked: set[str] = set()
    if not left_sets(file, corner, _SIZE[part], answers):
        # Its size is asked for already, and the same readings tell these.
        asked.add(_SIZE[part].facts.quantities[0].value)
    now = {each.measure: each for each in _part(left, corner, part).judgements}
    for each in _part(found, corner, part).judgements:
        measure = each.measure
        if not measure.facts.needs_machining or each.outcome is not Outcome.OUT:
            continue
        quantity = measure.facts.quantities[0].value
        if quantity in asked or _is_read(file, corner, now[measure], answers):
            continue
        asked.add(quantity)
        yield _item(
            Gap.SIZE_BLANK,
            corner,
            part,
            f"machined for its {measure.value}, and that was not read as left since",
            "measure it as left",
            line=f"{corner} {quantity} ",
        )


def _is_read(
    file: CaseFile, corner: Corner, now: Judgement, answers: tuple[ClosingAnswer, ...]
) -> bool:
    """Whether a measure was read after the work; the verdict as left says whether it is in."""
    fresh = {each.id for each in left_sets(file, corner, now.measure, answers)}
    return now.value_nm is not None and bool(fresh)


def _part(verdict: VehicleVerdict, corner: Corner, part: Part) -> PartVerdict:
    return next(each for each in verdict.parts if each.corner == corner and each.part is part)


def _grown(
    file: CaseFile, corner: Corner, part: Part, answers: tuple[ClosingAnswer, ...]
) -> Iterator[OpenItem]:
    """Yield a part that has more after it was machined than it was found with: another part?"""
    position, measure = _POSITION[part], _SIZE[part]
    here = [
        each
        for each in fittings_here(file)
        if each.position is position and corner in (each.corner, each.from_corner)
    ]
    before = size_found(file, corner, position)
    if before is None or any(each.event is not FittingEvent.REFINISHED for each in here):
        return
    if is_confirmed(file, corner, part, answers):
        return
    least = measure.facts.limit.facts.least
    pick = min if least else max
    ends = [Fraction(each.size_nm) for each in here if each.size_nm is not None]
    read = left_sets(file, corner, measure, answers)
    ends += [pick(true_sizes(each, measure)) for each in read]
    slack_nm = math.ceil(_MORE_IN_U1 * math.sqrt(2.0) * _u1_nm(file, corner, measure))
    more = [nm for nm in ends if (nm - before if least else before - nm) > slack_nm]
    if not more:
        return
    worst = max(more) if least else min(more)
    fine = [before]
    yield _item(
        Gap.WRONG_PART,
        corner,
        part,
        f"another part? Refinished it is {one_unit(worst, file.shop, fine=True, against=fine)}, "
        f"and it was found at {one_unit(before, file.shop, fine=True)}",
        "read it again; if another one was fitted, drop the fitting (brakelog amend) and enter "
        "that; if it is right, say so with a note",
        line=f"check right-part {corner} {part.value} ",
        check=Check.RIGHT_PART,
    )


def _u1_nm(file: CaseFile, corner: Corner, measure: Measure) -> float:
    """Return the worst uncertainty with which a size was read in this visit. [nm]"""
    return max(
        spread_for(file, each).u1_nm
        for each in file.sets
        if each.visit_id == file.visit.id
        and each.stage is Stage.AS_FOUND
        and each.corner == corner
        and each.quantity in measure.facts.quantities
        and each.measured_nm
    )


def _item(
    gap: Gap,
    corner: Corner,
    part: Part,
    what: str,
    do: str,
    *,
    line: str = "",
    hand: Hand = Hand.PARTS,
    check: Check | None = None,
) -> OpenItem:
    return OpenItem(
        gap=gap,
        hand=hand,
        text=f"{corner} {part.value}: {what}",
        do=do,
        line=line,
        corner=corner,
        axle=corner.axle,
        part=part,
        position=_POSITION[part],
        check=check,
    )
