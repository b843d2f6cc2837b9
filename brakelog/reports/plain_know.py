"""What a customer should know first, in plain words: what stops the vehicle, and what is needed."""

from __future__ import annotations

from brakelog.record.corner import Corner
from brakelog.record.finding import FindingKind
from brakelog.reports.language.language import Language
from brakelog.reports.plain_names import both_sides, finding_words, part_at, place_of
from brakelog.reports.plain_reasons import fitted_today
from brakelog.rules.judgement import Outcome
from brakelog.rules.verdict import Grounds, PartVerdict, Reason, VehicleVerdict, Word, gravity

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


def warning_of(lang: Language, verdict: VehicleVerdict) -> str:
    """Return the line that stops the vehicle, or nothing."""
    unsafe = [
        lang.say(
            "stop.unsafe_part",
            part=part_at(lang, part.corner, part.part),
            finding=finding_words(lang, reason.finding),
        )
        for part in verdict.parts
        for reason in part.reasons
        if reason.finding is not None and reason.finding.kind in _UNSAFE
    ]
    if not unsafe:
        return ""
    return lang.say("stop.unsafe", found=lang.joined(list(dict.fromkeys(unsafe))))


def what_to_know(lang: Language, verdict: VehicleVerdict) -> list[str]:
    """Return the one or two sentences that matter most."""
    required = _work(lang, verdict, Grounds.REQUIRED)
    suggested = _work(lang, verdict, Grounds.SUGGESTED)
    sentences = []
    if required:
        # Beside "please do not drive" it is no question whether to drive.
        key = "needed_parked" if warning_of(lang, verdict) else "needed"
        sentences.append(lang.say(f"know.{key}", work=lang.joined(required)))
    if suggested:
        is_in = _are_in(verdict)
        is_calm = is_in and not required and not verdict.not_judged
        key = "suggested_calm" if is_calm else "suggested_in" if is_in else "suggested"
        sentences.append(lang.say(f"know.{key}", work=lang.joined(suggested)))
    if unjudged := parts_unjudged(verdict):
        parts = lang.listed(both_sides(lang, unjudged))
        sentences.append(lang.say("know.not_judged", parts=parts))
    if not sentences:
        sentences.append(_all_is_well(lang, verdict))
    if verdict.file.unfiled:
        sentences.insert(0, lang.say("know.unfiled"))
    if unseen := _not_looked_over(verdict):
        places = lang.listed([place_of(lang, corner) for corner in unseen])
        sentences.append(lang.say("know.not_looked_over", places=places))
    return sentences


def _not_looked_over(verdict: VehicleVerdict) -> list[Corner]:
    """Return the corners that were measured, and where nobody said that they looked for faults."""
    return list(
        dict.fromkeys(
            part.corner
            for part in verdict.parts
            if not part.condition_recorded
            and any(each.value_nm is not None for each in part.judgements)
        )
    )


def parts_unjudged(verdict: VehicleVerdict) -> list[PartVerdict]:
    """Return the parts that could not be judged, and that nothing was done about."""
    return [
        part
        for part in verdict.not_judged
        if not any(reason.word is Word.REPLACE for reason in part.required)
        and not fitted_today(verdict, part)
    ]


def _all_is_well(lang: Language, verdict: VehicleVerdict) -> str:
    """Say that all is in limits, but never of what has no limit to be in."""
    without = [
        lang.say(
            f"measure_at.{each.measure.value.replace(' ', '-')}",
            place=place_of(lang, part.corner),
        )
        for part in verdict.parts
        for each in part.judgements
        if each.value_nm is not None and each.outcome is not Outcome.IN
    ]
    if without:
        return lang.say("know.well_compared", parts=lang.listed(without))
    return lang.say("know.well")


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


_DO = {Word.REPLACE: "work.replace", Word.REFINISH: "work.refinish"}


def _work(lang: Language, verdict: VehicleVerdict, grounds: Grounds) -> list[str]:
    """Return what is to be done on one of the two grounds, never mixed with the other."""
    work: list[str] = []
    for word, key in _DO.items():
        parts = [part for part in verdict.parts if _goes(part, word, grounds)]
        work += [lang.say(key, part=name) for name in both_sides(lang, parts)]
    if grounds is Grounds.REQUIRED:
        for part in verdict.parts:
            work += [
                lang.say(
                    "work.put_right",
                    place=place_of(lang, part.corner),
                    what=_what_is_wrong(lang, reason),
                )
                for reason in part.required
                if reason.word is Word.CORRECT
            ]
    return work


def _goes(part: PartVerdict, word: Word, grounds: Grounds) -> bool:
    """Whether the gravest reason to change the part is this word on these grounds."""
    going = [r for r in part.reasons if r.word in (Word.REPLACE, Word.REFINISH)]
    gravest = min(going, key=lambda r: gravity(r.word, r.grounds), default=None)
    return gravest is not None and (gravest.word, gravest.grounds) == (word, grounds)


def _what_is_wrong(lang: Language, reason: Reason) -> str:
    if reason.finding is not None:
        return finding_words(lang, reason.finding)
    return lang.say("work.not_true")
