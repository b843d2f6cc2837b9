"""What the verdict as left still says against a part: out, not proven, or work not done."""

from __future__ import annotations

from collections.abc import Iterator

from brakelog.record.agreement import Agreement, Work
from brakelog.record.answer import Said
from brakelog.record.corner import axle_name
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing_item import Gap, Hand, OpenItem
from brakelog.rules.measure import Measure
from brakelog.rules.refusal import declined as declined
from brakelog.rules.refusal import refusal_of, work_for
from brakelog.rules.sentence import reason_sentence
from brakelog.rules.standing import is_before, last_work
from brakelog.rules.verdict import Because, PartVerdict, Reason, VehicleVerdict, Word
from brakelog.rules.worked import (
    brake_of,
    corners_of,
    is_left,
    is_worked,
    was_fitted,
    worked_axles,
)

_NOT_PROVEN = (Because.IN_QUESTION, Because.NOT_PROVEN)
_NO_LIMIT = (Because.LIMIT_MISSING, Because.LIMIT_CONTRADICTS)
_LIMIT_WAYS = {
    Because.LIMIT_MISSING: "obtain it and put it on file: brakelog limits add",
    Because.LIMIT_CONTRADICTS: "confirm a figure: brakelog limits confirm",
}


def baselines(verdict: VehicleVerdict, axle: int) -> Iterator[OpenItem]:
    """Yield the corners of a disc axle whose runout was not read as left.

    New rotors too: what the vehicle left with is what a later complaint is held against. At a
    corner where nothing was touched the reading as found still holds.
    """
    file = verdict.file
    if brake_of(file, axle) is not AxleBrake.DISC:
        return
    for corner in corners_of(axle):
        read = [s for s in file.sets if s.corner == corner and s.quantity is Quantity.RUNOUT]
        fitted = last_work(file, [corner], position=Position.ROTOR)
        if any(is_left(file, s) and not is_before(s.recorded_at, fitted) for s in read):
            continue
        kept = not is_worked(file, corner) and file.sets_at(corner, Quantity.RUNOUT)
        if not kept:
            yield OpenItem(
                gap=Gap.NO_BASELINE,
                hand=Hand.PARTS,
                text=f"{corner} runout as left: no baseline recorded",
                do="read it with all wheel fasteners fitted and the bearing checked",
                line=f"{corner} runout ",
                corner=corner,
                axle=axle,
                part=Part.ROTOR,
            )


def parts_left(verdict: VehicleVerdict, agreements: tuple[Agreement, ...]) -> Iterator[OpenItem]:
    """Yield what is out or not proven as left, and required work neither done nor declined."""
    axles = worked_axles(verdict.file)
    for part in verdict.parts:
        for reason in part.reasons:
            if reason in part.required:
                yield from _required(verdict, part, reason, agreements)
            elif (part.corner.axle in axles and reason.because in _NOT_PROVEN) or (
                part.corner.axle in axles
                and reason.because is Because.NOT_PROVEN_GOES
                and (
                    is_ours(verdict, part, reason)
                    or refusal_of(verdict, part, reason, agreements) is None
                )
            ):
                yield _not_proven(verdict, part, reason)


def limits_open(verdict: VehicleVerdict) -> Iterator[OpenItem]:
    """Yield the limits that a part of an axle that was worked on is judged by and that cannot.

    Fitted or kept: what has no limit to be in was never shown to be in limits. Each limit of an
    axle once.
    """
    axles = worked_axles(verdict.file)
    told: dict[tuple[int, LimitKind, Because], list[tuple[PartVerdict, Reason]]] = {}
    for part in verdict.parts:
        for reason in part.reasons:
            judgement = reason.judgement
            if part.corner.axle in axles and reason.because in _NO_LIMIT and judgement is not None:
                place = (part.corner.axle, judgement.bound.kind, reason.because)
                told.setdefault(place, []).append((part, reason))
    for (axle, kind, because), group in told.items():
        corners = dict.fromkeys(part.corner for part, _ in group)
        corner = next(iter(corners)) if len(corners) == 1 else None
        part, reason = group[0]
        where = corner.code if corner else axle_name(axle).capitalize()
        said = reason_sentence(reason, verdict.file.shop)
        yield OpenItem(
            gap=Gap.LIMIT_OPEN,
            hand=Hand.PAPER,
            text=f"{where} {kind.facts.label}: {said.rstrip('.')}",
            do=_LIMIT_WAYS[because],
            corner=corner,
            axle=axle,
            part=part.part,
            reason=reason,
        )


def said_wrong(file: CaseFile) -> Iterator[OpenItem]:
    """Yield the questions that somebody answered with "wrong" and nobody has corrected since.

    A correction changes the readings, and with them the question: it is not asked any more then.
    """
    sets = {each.id: each for each in file.sets}
    for question in file.questions:
        answer = file.answers.get(question.key)
        if answer is None or answer.said is not Said.WRONG:
            continue
        about = [sets[id] for id in question.set_ids if id in sets]
        names = dict.fromkeys(f"{each.corner} {each.quantity.facts.label}" for each in about)
        corner = question.corners[0] if len(question.corners) == 1 else None
        yield OpenItem(
            gap=Gap.SAID_WRONG,
            hand=Hand.PARTS,
            text=(
                f"{', '.join(names) or question.suspicion.facts.label}: said to be wrong, not "
                f"corrected. {question.evidence.rstrip('.')}"
            ),
            do=(
                "measure it again, or correct it with the reason: "
                f"brakelog amend list {file.vehicle.tag}"
            ),
            corner=corner,
            axle=corner.axle if corner else None,
            part=about[0].quantity.facts.part if corner and about else None,
        )


def is_ours(verdict: VehicleVerdict, part: PartVerdict, reason: Reason) -> bool:
    """Whether required work is about a part that was fitted or machined in this visit."""
    return work_for(part, reason) is not Work.CALIPER and was_fitted(
        verdict.file, part.corner, part.part
    )


def required_words(reason: Reason) -> str:
    """Return what is required, as people say it: ``replace required``, ``to be put right``."""
    return "to be put right" if reason.word is Word.CORRECT else f"{reason.word.value} required"


def _required(
    verdict: VehicleVerdict,
    part: PartVerdict,
    reason: Reason,
    agreements: tuple[Agreement, ...],
) -> Iterator[OpenItem]:
    ours = is_ours(verdict, part, reason)
    if not ours and refusal_of(verdict, part, reason, agreements) is not None:
        return
    said = reason_sentence(reason, verdict.file.shop).rstrip(".")
    is_runout = reason.judgement is not None and reason.judgement.measure is Measure.RUNOUT
    touched = part.corner.axle in worked_axles(verdict.file)
    work = work_for(part, reason)
    fixed = reason.finding is not None and work is Work.CALIPER
    if ours:
        gap, tail = Gap.LEFT_OUT, ""
    else:
        gap, tail = Gap.NOT_DONE, ": neither done nor declined"
    if is_runout and touched:
        gap, tail = Gap.LEFT_OUT, ""
    line, do = _way_out(part, reason, work, is_runout=is_runout and touched, is_fixed=fixed)
    yield OpenItem(
        gap=gap,
        hand=Hand.PARTS if gap is Gap.LEFT_OUT or fixed else Hand.PAPER,
        text=f"{part.corner} {part.part.value}, {required_words(reason)}{tail}. {said}",
        do=do,
        line=line,
        corner=part.corner,
        axle=part.corner.axle,
        part=part.part,
        reason=reason,
    )


def _way_out(
    part: PartVerdict, reason: Reason, work: Work, *, is_runout: bool, is_fixed: bool
) -> tuple[str, str]:
    """Return how the line begins that helps, and what to do."""
    if is_runout:
        return (
            f"check runout-cure {part.corner} ",
            "clean hub and rotor faces and read again; then turn the rotor on its studs, fit a "
            "plate, or cut it on the car; if it stays, read the hub face",
        )
    decline = f"declined {part.corner} {work.value} "
    if is_fixed:
        assert reason.finding is not None
        line = f"{part.corner} finding {reason.finding.kind.value} fixed=yes "
        return (
            line,
            f"put it right and say what was done; or, where it was declined: {decline.strip()}",
        )
    return decline, "do it and put it on file (brakelog fit), or record that it was declined"


def _settle(verdict: VehicleVerdict, part: PartVerdict, reason: Reason) -> str:
    if reason.because is Because.NOT_PROVEN_GOES:
        return (
            f"replace it and put it on file, measure it with a finer gauge, or record that it was "
            f"declined: declined {part.corner} {work_for(part, reason).value}"
        )
    if reason.because is not Because.IN_QUESTION:
        return "measure it again"
    return f"measure it again, or answer: brakelog answer {verdict.file.vehicle.tag}"


def _not_proven(verdict: VehicleVerdict, part: PartVerdict, reason: Reason) -> OpenItem:
    said = reason_sentence(reason, verdict.file.shop).rstrip(".")
    measure = reason.judgement.measure if reason.judgement else None
    name = measure.value if measure else part.part.value
    return OpenItem(
        gap=Gap.LEFT_NOT_PROVEN,
        hand=Hand.PARTS,
        text=f"{part.corner} {name} as left is not proven. {said}",
        do=_settle(verdict, part, reason),
        line=f"{part.corner} {measure.facts.quantities[0].value} " if measure else "",
        corner=part.corner,
        axle=part.corner.axle,
        part=part.part,
        reason=reason,
    )
