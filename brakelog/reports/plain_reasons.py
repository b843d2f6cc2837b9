"""What a customer should know, and why, in plain words."""

from __future__ import annotations

from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part
from brakelog.record.reading import Stage
from brakelog.reports.plain_names import ONE_PART, POSITION_NAMES, both_sides, listed, place_of
from brakelog.rules.flag import FlagKind
from brakelog.rules.judgement import Outcome
from brakelog.rules.verdict import (
    Because,
    Grounds,
    PartVerdict,
    Reason,
    VehicleVerdict,
    Word,
    gravity,
)
from brakelog.rules.worked import measured_at_fitting

_UNSAFE = frozenset(
    {
        FindingKind.CRACK,
        FindingKind.DELAMINATION,
        FindingKind.METAL_CONTACT,
        FindingKind.LEAK,
        FindingKind.CHUNKED,
        FindingKind.LOOSE_RIVETS,
    }
)
"""Findings with which a car should not be driven: common practice."""


def warning_of(verdict: VehicleVerdict) -> str:
    """Return the line that stops the vehicle, or nothing."""
    unsafe = [
        f"{place_of(part.corner)} {ONE_PART[part.part]}: {reason.finding.kind.facts.plain}"
        for part in verdict.parts
        for reason in part.reasons
        if reason.finding is not None and reason.finding.kind in _UNSAFE
    ]
    if not unsafe:
        return ""
    return (
        "Please do not drive this vehicle until its brakes have been put right "
        f"({'; '.join(dict.fromkeys(unsafe))})."
    )


def what_to_know(verdict: VehicleVerdict) -> list[str]:
    """Return the one or two sentences that matter most."""
    required = _work(verdict, Grounds.REQUIRED)
    suggested = _work(verdict, Grounds.SUGGESTED)
    sentences = []
    if required:
        sentences.append(
            f"Needed now: {'; '.join(required)}. If that cannot be done now, ask us before you "
            f"drive."
        )
    if suggested:
        lead = "In limits today, but we suggest" if _are_in(verdict) else "We suggest"
        sentences.append(
            f"{lead}: {'; '.join(suggested)}."
            + (
                ""
                if required or verdict.not_judged or not _are_in(verdict)
                else " Nothing has to be done today."
            )
        )
    open_parts = both_sides(
        [
            p
            for p in verdict.not_judged
            if not any(r.word is Word.REPLACE for r in p.required) and not fitted_today(verdict, p)
        ]
    )
    if open_parts:
        sentences.append(
            f"We cannot say yet whether these are in limits: {listed(list(open_parts))}."
        )
    if not sentences:
        sentences.append(_all_is_well(verdict))
    if verdict.file.unfiled:
        sentences.insert(0, "The inspection is not finished: not all that was read is judged yet.")
    return sentences


def _all_is_well(verdict: VehicleVerdict) -> str:
    """Say that all is in limits, but never of what has no limit to be in."""
    without = [
        f"{place_of(part.corner)} {each.measure.value}"
        for part in verdict.parts
        for each in part.judgements
        if each.value_nm is not None and each.outcome is not Outcome.IN
    ]
    if without:
        return (
            "What could be compared with a limit is in limits. We have no limit for: "
            f"{listed(without)}."
        )
    return "Everything that we measured on your brakes is in limits."


def _are_in(verdict: VehicleVerdict) -> bool:
    """Whether all that is suggested is proven in limits today."""
    going = [
        part
        for part in verdict.parts
        if any(_goes(part, word, Grounds.SUGGESTED) for word in (Word.REPLACE, Word.REFINISH))
    ]
    return all(
        each.outcome is Outcome.IN
        for part in going
        for each in part.judgements
        if each.measure.facts.is_safety
    )


_DO = {
    Word.REPLACE: "replace",
    Word.REFINISH: "refinish",
    Word.CORRECT: "put right",
}


def _work(verdict: VehicleVerdict, grounds: Grounds) -> list[str]:
    """Return what is to be done on one of the two grounds, never mixed with the other."""
    work: list[str] = []
    for word in (Word.REPLACE, Word.REFINISH):
        parts = [part for part in verdict.parts if _goes(part, word, grounds)]
        work += [f"{_DO[word]} the {name}" for name in both_sides(parts)]
    if grounds is Grounds.REQUIRED:
        for part in verdict.parts:
            work += [
                f"put right at the {place_of(part.corner)}: {_what_is_wrong(part, reason)}"
                for reason in part.required
                if reason.word is Word.CORRECT
            ]
    return work


def _goes(part: PartVerdict, word: Word, grounds: Grounds) -> bool:
    """Whether the gravest reason to change the part is this word on these grounds."""
    going = [r for r in part.reasons if r.word in (Word.REPLACE, Word.REFINISH)]
    gravest = min(going, key=lambda r: gravity(r.word, r.grounds), default=None)
    return gravest is not None and (gravest.word, gravest.grounds) == (word, grounds)


def _what_is_wrong(part: PartVerdict, reason: Reason) -> str:
    if reason.finding is not None:
        return reason.finding.kind.facts.plain
    return f"the {ONE_PART[part.part]} does not run true"


def _which(reason: Reason) -> str:
    """Return which of the two pads or shoes of a corner is meant."""
    position = reason.judgement.measure.facts.position if reason.judgement else None
    if position is None or position.part not in (Part.PADS, Part.SHOES):
        return ""
    return f" {POSITION_NAMES[position]}"


_UNEVEN = {
    FlagKind.INNER_OUTER: "One pad wears faster than its partner",
    FlagKind.TAPER: "The lining wears unevenly along its length",
    FlagKind.SHOES: "One shoe wears faster than its partner",
    FlagKind.SIDES: "One side wears faster than the other",
}


def what_to_look_for(verdict: VehicleVerdict, axle: int, part: Part) -> str:
    """Return that a cause should be found before new linings go on; nothing where none is known.

    Parameters
    ----------
    verdict : VehicleVerdict
        The verdict.
    axle : int
        The axle.
    part : Part
        Its pads or shoes; of other parts nothing is said.
    """
    if part not in (Part.PADS, Part.SHOES):
        return ""
    kinds = {each.kind for each in verdict.flags if each.axle == axle and each.part is part}
    what = next((words for kind, words in _UNEVEN.items() if kind in kinds), "")
    if not what and any(h.axle == axle and h.is_about_pace for h in verdict.hints):
        what = "The linings wear faster than they should"
    return f"{what}; the cause should be found before new ones go on." if what else ""


def fitted_today(verdict: VehicleVerdict, part: PartVerdict) -> tuple[Fitting, ...]:
    """Return the fittings that tell the size of a part which was not read again as left.

    Nothing where anything but that reading is missing: what was measured when it was fitted is
    known, and nobody should read that it could not be judged.
    """
    file = verdict.file
    only = {Because.NOT_INSPECTED}
    if file.stage is Stage.AS_FOUND or part.word is not Word.NO_VERDICT:
        return ()
    if {each.because for each in part.reasons if each.grounds is None} != only:
        return ()
    return measured_at_fitting(file, part.corner, part.part)


def measured_when_fitted(corner: Corner, sizes: list[str]) -> str:
    """Return the sizes of a part that was measured when it was fitted today."""
    place = place_of(corner).capitalize()
    return f"{place}: measured when it was fitted today, {listed(sizes)}."


def goes_along(corner: Corner, *, is_required: bool) -> str:
    """Return that one side goes only because the other does."""
    if is_required:
        return "The other side is suggested only: both sides of an axle go together."
    place = place_of(corner).capitalize()
    return f"{place}: it goes along, because both sides of an axle go together."


def plain_reason(part: PartVerdict, reason: Reason) -> str:
    """Return one of the reasons why a part is judged so."""
    return _plain(part, part.reasons.index(reason))


def _plain(part: PartVerdict, index: int) -> str:
    reason = part.reasons[index]
    if index and part.word is Word.REPLACE and reason.word in (Word.MEASURE_AGAIN, Word.NO_VERDICT):
        return ""
    place = place_of(part.corner).capitalize()
    match reason.because:
        case Because.CONDEMNED | Because.PUT_RIGHT if reason.finding is not None:
            return f"{place}: {reason.finding.kind.facts.plain}."
        case Because.BEYOND_LIMIT:
            return (
                f"{place}: it is at or past the limit that its maker sets and must be replaced now."
            )
        case Because.IN_QUESTION | Because.NOT_PROVEN:
            return f"{place}: a reading must be taken again before we can say."
        case Because.LIMIT_MISSING | Because.LIMIT_CONTRADICTS:
            if all(each.value_nm is None for each in part.judgements):
                return f"{place}: not inspected this time."
            return "We have no dependable limit for this part yet; we will not guess one."
        case Because.NOT_INSPECTED:
            return f"{place}{_which(reason)}: not inspected this time."
        case Because.MUST_BE_CUT:
            return f"{place}: its surface is out of limits; it must be machined or replaced."
        case Because.CUT_POSSIBLE:
            return f"{place}: its surface is out of limits and can be machined true."
        case Because.CUT_IMPOSSIBLE if reason.cut is not None and reason.cut.is_forbidden:
            return f"{place}: its surface is out of limits and it must not be machined."
        case Because.CUT_IMPOSSIBLE:
            return f"{place}: its surface is out of limits and too little is left to machine it."
        case Because.CUT_LIMIT_UNKNOWN:
            return f"{place}: its surface is out of limits; its maker states no size to machine to."
        case Because.PUT_RIGHT:
            if reason.stays:
                return (
                    f"{place} brake disc: it does not run true; it may stay once that is put right."
                )
            return f"{place} brake disc: it does not run true."
        case Because.WILL_NOT_LAST:
            is_in = reason.judgement is not None and reason.judgement.outcome is Outcome.IN
            return (
                f"{place}{_which(reason)}: {'in limits today, but ' if is_in else ''}it may not "
                f"last until your "
                f"next planned visit."
            )
        case Because.NOT_PROVEN_GOES:
            return (
                f"{place}{_which(reason)}: it is so close to its limit that we cannot show it to "
                f"be inside; we would not rely on it."
            )
        case Because.WILL_NOT_OUTLAST_PADS:
            return (
                f"{place}: in limits today, but it would reach its limit before the new pads are "
                f"worn."
            )
        case Because.CUT_FOR_NEW_SHOES:
            return f"{place}: it is grooved, and new shoes would not lie flat in it."
        case Because.WORN_TO_OLD_DRUM:
            return "Shoes that are worn to the old drum will not seat in a new one."
        case _:
            return ""
