"""The verdict on a vehicle: every part by itself, then the axle sets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brakelog.record.corner import Corner, Side
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part
from brakelog.record.reading import Stage
from brakelog.record.vehicle import BRAKE_OF, AxleBrake
from brakelog.rules.casefile import CaseFile
from brakelog.rules.evenness import flags_of
from brakelog.rules.outlasting import cut_today, with_new_linings
from brakelog.rules.part import judge_part, with_reason
from brakelog.rules.patterns import hints_of
from brakelog.rules.policy import policy_digest
from brakelog.rules.questioning import with_questions
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

if TYPE_CHECKING:
    from brakelog.rules.pack_verdict import PackVerdict

PARTS_OF = {
    brake: tuple(part for part, its_brake in BRAKE_OF.items() if its_brake is brake)
    for brake in AxleBrake
}


def judge_vehicle(file: CaseFile) -> VehicleVerdict:
    """Judge every part of a vehicle at one visit and stage; never raises on data."""
    file = with_questions(file)
    by_place: dict[tuple[Corner, Part], PartVerdict] = {}
    for axle, brake in enumerate(file.vehicle.brakes, start=1):
        for side in Side:
            corner = Corner(axle=axle, side=side)
            for part in PARTS_OF[brake]:
                by_place[corner, part] = judge_part(file, corner, part)
    linings_set = _with_mates(file, _shoes_of_replaced_drums(by_place), (Part.PADS, Part.SHOES))
    iron_asked = with_new_linings(file, linings_set)
    paired = _with_mates(file, iron_asked, (Part.ROTOR, Part.DRUM))
    parts = tuple(paired.values())
    flags = flags_of(file, parts)
    return VehicleVerdict(
        file=file,
        parts=parts,
        axles=_axles(file, paired),
        policy=_policy(file),
        packs=_local_rules(file),
        flags=flags,
        hints=hints_of(file, parts, flags),
    )


def _policy(file: CaseFile) -> str:
    """Return the digest of the policy; that of a whole shop is worked out once."""
    known, settings = file.policy, (file.shop, file.packs, file.experiences)
    if known is not None and known.is_of(*settings):
        return known.digest
    return policy_digest(*settings)


def _local_rules(file: CaseFile) -> tuple[PackVerdict, ...]:
    """Judge by the packs that are on; where none is, nothing is loaded for it."""
    if not file.packs:
        return ()
    from brakelog.rules.pack_judging import judge_packs

    return judge_packs(file)


def _with_mates(
    file: CaseFile, by_place: dict[tuple[Corner, Part], PartVerdict], parts: tuple[Part, ...]
) -> dict[tuple[Corner, Part], PartVerdict]:
    return {
        place: _with_mate(file, verdict, by_place) if place[1] in parts else verdict
        for place, verdict in by_place.items()
    }


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
    if its_reason is None or _must_go(verdict) is not None or _is_new(file, verdict):
        return verdict
    word = its_reason.word
    option = cut_today(file, verdict) if word is Word.REFINISH else None
    if option is not None and option.because is not Because.CUT_POSSIBLE:
        word = Word.REPLACE
    return with_reason(
        verdict,
        Reason(because=Because.AXLE_SET, word=word, grounds=Grounds.SUGGESTED, mate=mate.corner),
    )


def _speaks_for(side: PartVerdict) -> Reason:
    """Return the reason that one side brings to its axle: what goes, else what weighs most.

    A part that goes takes what had to be put right on it along into the work on the axle, and
    that stays listed; a part that is only open must not hide it.
    """
    is_going = side.word in (Word.REPLACE, Word.REFINISH)
    return side.reasons[0] if is_going else side.gravest


def _is_new(file: CaseFile, verdict: PartVerdict) -> bool:
    """Whether the part went on new in this visit, so that its mate asks nothing of it."""
    return file.stage is Stage.AS_LEFT and any(
        each.event is FittingEvent.NEW for each in file.fittings_at(verdict.corner, verdict.part)
    )


def _axles(
    file: CaseFile, by_place: dict[tuple[Corner, Part], PartVerdict]
) -> tuple[AxleVerdict, ...]:
    axles = []
    for axle, brake in enumerate(file.vehicle.brakes, start=1):
        for part in PARTS_OF[brake]:
            sides = [by_place[Corner(axle=axle, side=side), part] for side in Side]
            gravest = [(_speaks_for(side), side.corner) for side in sides]
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
