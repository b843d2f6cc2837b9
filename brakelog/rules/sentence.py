"""The words for a reason: what applied, on which facts, and what follows."""

from __future__ import annotations

from brakelog.record.finding import Effect
from brakelog.record.shop import Shop
from brakelog.rules.advice_words import (
    cut_sentence,
    match_sentence,
    question_sentence,
    settling_sentence,
)
from brakelog.rules.judgement import Outcome
from brakelog.rules.judgement_words import Cite, full_source, judgement_sentence
from brakelog.rules.life_words import life_sentence
from brakelog.rules.part import NO_BOUND
from brakelog.rules.verdict import Because, Reason, Word


def reason_sentence(
    reason: Reason, shop: Shop, cite: Cite = full_source, *, with_reading: bool = True
) -> str:
    """Return one reason in one or two sentences for the service writer.

    Without its reading where that was told before.
    """
    lead = _lead(reason, shop)
    detail = ""
    is_read = reason.judgement is not None and reason.because is not Because.NOT_INSPECTED
    if reason.judgement is not None and is_read and with_reading:
        detail = judgement_sentence(reason.judgement, shop, cite)
    after = ""
    if reason.because is Because.PUT_RIGHT and reason.stays:
        after = "It may stay once this is put right."
    if reason.because is Because.NOT_PROVEN and reason.settling is not None:
        after = settling_sentence(reason.settling)
    return " ".join(part for part in (lead, detail, after) if part)


def _lead(reason: Reason, shop: Shop) -> str:
    match reason.because:
        case Because.CONDEMNED | Because.PUT_RIGHT if reason.finding is not None:
            return f"{_EFFECT_WORDS[reason.finding.kind.facts.effect]}: {reason.finding.words}."
        case Because.CUT_POSSIBLE | Because.CUT_IMPOSSIBLE | Because.CUT_LIMIT_UNKNOWN:
            assert reason.cut is not None
            found = ""
            if reason.finding is not None:
                found = f"Must be machined away: {reason.finding.words}. "
            return found + cut_sentence(reason.because, reason.cut, shop)
        case Because.MUST_BE_CUT:
            seen = f" Must be machined away: {reason.finding.words}." if reason.finding else ""
            return (
                "Must be refinished or replaced; without a reading of its size nobody can say "
                f"which.{seen}"
            )
        case Because.WILL_NOT_LAST:
            assert reason.life is not None
            if reason.life.projection.refusal in NO_BOUND:
                return (
                    f"It may not reach the next planned visit: even a typical "
                    f"{reason.life.position.label} would not. {life_sentence(reason.life, shop)}"
                )
            today = "In limits today"
            if reason.judgement is not None and reason.judgement.outcome is not Outcome.IN:
                today = "Not beyond its limit as read"
            return (
                f"{today}, but {reason.life.position.label} may not reach the next planned "
                f"visit. {life_sentence(reason.life, shop)}"
            )
        case Because.NOT_PROVEN_GOES:
            return _goes_sentence(reason, shop)
        case Because.WILL_NOT_OUTLAST_PADS:
            assert reason.match is not None
            return "It would not outlast the pads that go on now: " + match_sentence(
                reason.match, shop
            )
        case Because.CUT_FOR_NEW_SHOES:
            assert reason.cut is not None
            because = (
                Because.CUT_POSSIBLE if reason.word is Word.REFINISH else Because.CUT_IMPOSSIBLE
            )
            if not reason.cut.machine_to:
                because = Because.CUT_LIMIT_UNKNOWN
            return "Grooved, and new shoes go on: they would ride on the ridges. " + cut_sentence(
                because, reason.cut, shop
            )
        case Because.IN_QUESTION:
            assert reason.judgement is not None
            return " ".join(question_sentence(each) for each in reason.judgement.questions)
        case Because.WORN_TO_OLD_DRUM:
            return (
                "The drum must be replaced; shoes worn to the old drum will not seat in a new one."
            )
        case Because.AXLE_SET:
            return f"Axle set: goes with {reason.mate}; always both sides of an axle."
        case Because.NOT_INSPECTED:
            assert reason.judgement is not None
            return f"Not inspected: no reading of {reason.judgement.measure.value}."
        case _:
            return ""


def _goes_sentence(reason: Reason, shop: Shop) -> str:
    """Why a part that is not proven to be out goes all the same, in this order."""
    parts = ["Not proven to be in limits."]
    if reason.settling is not None and not reason.settling.is_possible:
        parts.append("No gauge of this shop could settle it.")
    elif reason.settling is not None:
        parts.append(settling_sentence(reason.settling))
    if reason.life is not None:
        parts.append(
            f"It could not be relied on to the next planned visit anyway. "
            f"{life_sentence(reason.life, shop)}"
        )
    return " ".join(part for part in parts if part)


_EFFECT_WORDS = {
    Effect.CONDEMNS: "Condemned by a finding",
    Effect.MACHINE: "Must be machined away",
    Effect.CORRECT: "Must be put right",
    Effect.NOTE: "Noted",
}
