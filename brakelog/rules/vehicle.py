"""The verdict on a vehicle: every part by itself, then the axle sets."""

from __future__ import annotations

from brakelog.record.corner import Corner, Side
from brakelog.record.quantity import Part
from brakelog.record.vehicle import BRAKE_OF, AxleBrake
from brakelog.rules.casefile import CaseFile
from brakelog.rules.part import cut_of, judge_part, with_reason
from brakelog.rules.policy import policy_digest
from brakelog.rules.verdict import (
    AxleVerdict,
    Because,
    Grounds,
    PartVerdict,
    Reason,
    VehicleVerdict,
    Word,
    gravity,
)

PARTS_OF = {
    brake: tuple(part for part, its_brake in BRAKE_OF.items() if its_brake is brake)
    for brake in AxleBrake
}


def judge_vehicle(file: CaseFile) -> VehicleVerdict:
    """Judge every part of a vehicle at one visit and stage; never raises on data."""
    by_place: dict[tuple[Corner, Part], PartVerdict] = {}
    for axle, brake in enumerate(file.vehicle.brakes, start=1):
        for side in Side:
            corner = Corner(axle=axle, side=side)
            for part in PARTS_OF[brake]:
                by_place[corner, part] = judge_part(file, corner, part)
    shoes_set = _shoes_of_replaced_drums(by_place)
    paired = {place: _with_mate(file, verdict, shoes_set) for place, verdict in shoes_set.items()}
    return VehicleVerdict(
        file=file,
        parts=tuple(paired.values()),
        axles=_axles(file, paired),
        policy=policy_digest(file.shop),
    )


def _shoes_of_replaced_drums(
    by_place: dict[tuple[Corner, Part], PartVerdict],
) -> dict[tuple[Corner, Part], PartVerdict]:
    """Suggest shoes where their drum must be replaced: worn to the old one, they will not seat."""
    result = dict(by_place)
    for (corner, part), verdict in by_place.items():
        drum = by_place.get((corner, Part.DRUM))
        if part is not Part.SHOES or drum is None:
            continue
        reason = _must_go(drum)
        if reason and (reason.word, reason.grounds) == (Word.REPLACE, Grounds.REQUIRED):
            result[corner, part] = with_reason(
                verdict,
                Reason(
                    because=Because.WORN_TO_OLD_DRUM, word=Word.REPLACE, grounds=Grounds.SUGGESTED
                ),
            )
    return result


def _must_go(verdict: PartVerdict) -> Reason | None:
    """Return the gravest reason for which a part goes or is cut, even where another decides."""
    going = [each for each in verdict.reasons if each.word in (Word.REPLACE, Word.REFINISH)]
    return min(going, key=lambda each: gravity(each.word, each.grounds)) if going else None


def _with_mate(
    file: CaseFile,
    verdict: PartVerdict,
    by_place: dict[tuple[Corner, Part], PartVerdict],
) -> PartVerdict:
    """Suggest what the other side of the axle set must have; never require it."""
    mate = by_place[verdict.corner.mate, verdict.part]
    its_reason = _must_go(mate)
    if its_reason is None or _must_go(verdict) is not None:
        return verdict
    word = its_reason.word
    size = verdict.judgements[0].judged_nm
    if word is Word.REFINISH and size is not None:
        _, word, _ = cut_of(file, verdict.corner, verdict.part, size, verdict.judgements)
    return with_reason(
        verdict,
        Reason(because=Because.AXLE_SET, word=word, grounds=Grounds.SUGGESTED, mate=mate.corner),
    )


def _axles(
    file: CaseFile, by_place: dict[tuple[Corner, Part], PartVerdict]
) -> tuple[AxleVerdict, ...]:
    axles = []
    for axle, brake in enumerate(file.vehicle.brakes, start=1):
        for part in PARTS_OF[brake]:
            sides = [by_place[Corner(axle=axle, side=side), part] for side in Side]
            gravest = [(side.gravest, side.corner) for side in sides]
            worst, corner = min(gravest, key=lambda pair: gravity(pair[0].word, pair[0].grounds))
            axles.append(
                AxleVerdict(
                    axle=axle,
                    part=part,
                    word=worst.word,
                    grounds=worst.grounds,
                    decided_by=corner,
                )
            )
    return tuple(axles)
