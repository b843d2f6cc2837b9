"""Why a part is judged so, in plain words and whole sentences."""

from __future__ import annotations

from brakelog.record.corner import Corner
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part
from brakelog.record.reading import Stage
from brakelog.reports.language.language import Language
from brakelog.reports.plain_names import finding_words, part_at, place_of, position_at
from brakelog.rules.flag import FlagKind
from brakelog.rules.judgement import Outcome
from brakelog.rules.verdict import Because, PartVerdict, Reason, VehicleVerdict, Word
from brakelog.rules.worked import measured_at_fitting

_UNEVEN = {
    FlagKind.INNER_OUTER: "cause.inner_outer",
    FlagKind.TAPER: "cause.taper",
    FlagKind.SHOES: "cause.shoes",
    FlagKind.SIDES: "cause.sides",
}


def what_to_look_for(lang: Language, verdict: VehicleVerdict, axle: int, part: Part) -> str:
    """Return that a cause should be found before new linings go on; nothing where none is known.

    Parameters
    ----------
    lang : Language
        The customer's language.
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
    key = next((key for kind, key in _UNEVEN.items() if kind in kinds), "")
    if not key and any(h.axle == axle and h.is_about_pace for h in verdict.hints):
        key = "cause.pace"
    return lang.say(key) if key else ""


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


def measured_when_fitted(lang: Language, corner: Corner, sizes: list[str]) -> str:
    """Return the sizes of a part that was measured when it was fitted today."""
    return lang.sentence(
        "reason.measured_when_fitted", place=place_of(lang, corner), sizes=lang.listed(sizes)
    )


def goes_along(lang: Language, corner: Corner, *, is_required: bool) -> str:
    """Return that one side goes only because the other does."""
    if is_required:
        return lang.say("reason.goes_along_required")
    return lang.sentence("reason.goes_along", place=place_of(lang, corner))


def plain_reason(
    lang: Language, part: PartVerdict, reason: Reason, *, names_part: bool = False
) -> str:
    """Return one of the reasons why a part is judged so.

    Parameters
    ----------
    lang : Language
        The customer's language.
    part : PartVerdict
        The part.
    reason : Reason
        One of its reasons.
    names_part : bool
        Whether the part is named with its place, because nothing above names it.
    """
    is_first = part.reasons[0] == reason
    is_open = reason.word in (Word.MEASURE_AGAIN, Word.NO_VERDICT)
    if part.word is Word.REPLACE and is_open and not is_first:
        return ""
    key = _key_of(part, reason)
    if not key:
        return ""
    at = part_at(lang, part.corner, part.part) if names_part else place_of(lang, part.corner)
    return lang.sentence(
        f"reason.{key}",
        subject=_which(lang, part, reason) or at,
        disc=part_at(lang, part.corner, Part.ROTOR),
        finding="" if reason.finding is None else finding_words(lang, reason.finding),
    )


_OF_ONE_LINING = (Because.NOT_INSPECTED, Because.WILL_NOT_LAST, Because.NOT_PROVEN_GOES)
"""Reasons that name which of the two pads or shoes of a corner is meant."""


def _which(lang: Language, part: PartVerdict, reason: Reason) -> str:
    """Return which of the two pads or shoes of a corner is meant; empty where it is no matter."""
    position = reason.judgement.measure.facts.position if reason.judgement else None
    if reason.because not in _OF_ONE_LINING or position is None:
        return ""
    if position.part not in (Part.PADS, Part.SHOES):
        return ""
    return position_at(lang, part.corner, position)


def _key_of(part: PartVerdict, reason: Reason) -> str:
    """Return the name of the sentence of a reason; empty where a customer is told none."""
    match reason.because:
        case Because.CONDEMNED | Because.PUT_RIGHT if reason.finding is not None:
            return "finding"
        case Because.PUT_RIGHT:
            return "not_true_stays" if reason.stays else "not_true"
        case Because.LIMIT_MISSING | Because.LIMIT_CONTRADICTS:
            is_unread = all(each.value_nm is None for each in part.judgements)
            return "not_inspected" if is_unread else "no_limit"
        case Because.CUT_IMPOSSIBLE:
            is_forbidden = reason.cut is not None and reason.cut.is_forbidden
            return "cut_forbidden" if is_forbidden else "cut_too_thin"
        case Because.WILL_NOT_LAST | Because.WILL_NOT_OUTLAST_PADS:
            is_in = reason.judgement is not None and reason.judgement.outcome is Outcome.IN
            return f"{_KEYS[reason.because]}_in" if is_in else _KEYS[reason.because]
        case _:
            return _KEYS.get(reason.because, "")


_KEYS = {
    Because.BEYOND_LIMIT: "beyond_limit",
    Because.IN_QUESTION: "read_again",
    Because.NOT_PROVEN: "read_again",
    Because.NOT_INSPECTED: "not_inspected",
    Because.MUST_BE_CUT: "must_be_cut",
    Because.CUT_POSSIBLE: "can_be_cut",
    Because.CUT_LIMIT_UNKNOWN: "cut_no_limit",
    Because.NOT_PROVEN_GOES: "not_proven",
    Because.WILL_NOT_LAST: "will_not_last",
    Because.WILL_NOT_OUTLAST_PADS: "not_outlast_pads",
    Because.CUT_FOR_NEW_SHOES: "new_shoes",
    Because.WORN_TO_OLD_DRUM: "old_drum",
}
"""What is always said in the same words."""
