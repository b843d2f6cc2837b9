"""Which parts a plan may leave on an axle, which it may cut, and what is in the way."""

from __future__ import annotations

from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import POSITIONS_OF, Position
from brakelog.record.reading import Stage
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.lives import position_of
from brakelog.rules.part import DISBELIEVED
from brakelog.rules.verdict import Because, Option, PartVerdict, Word
from brakelog.rules.world import Bar, Obstacle

Sides = tuple[PartVerdict, ...]
"""The verdicts on one kind of part at both corners of an axle."""


STAYS = {Word.REPLACE: Bar.MUST_GO, Word.REFINISH: Bar.MUST_BE_CUT}
"""Required words that keep a part from staying on as it is."""
IS_CUT = {Word.REPLACE: Bar.MUST_GO}
"""Required words that keep a part from being cut."""


def bar_to(file: CaseFile, verdict: PartVerdict, words: dict[Word, Bar]) -> Bar | None:
    """Return what keeps a part from staying on, or from being cut."""
    for reason in verdict.required:
        if reason.word in words:
            return words[reason.word]
    doubt = doubt_about(file, verdict)
    if (
        doubt is None
        and any(each.outcome is Outcome.NOT_PROVEN for each in safety_of(verdict))
        and not must_be_cut(verdict)
    ):
        return Bar.NOT_PROVEN
    return doubt


def doubt_about(file: CaseFile, verdict: PartVerdict) -> Bar | None:
    """Return why nothing can be said of a part as it is; None where its size is known."""
    because = verdict.reasons[0].because
    if verdict.word is Word.MEASURE_AGAIN:
        return Bar.IN_QUESTION if because is Because.IN_QUESTION else Bar.MEASURE_AGAIN
    unread = [each for each in safety_of(verdict) if each.value_nm is None]
    fitted = places_fitted(file, verdict)
    if any(position_of(each.measure) not in fitted for each in unread):
        return Bar.NOT_MEASURED
    if verdict.word is Word.NO_VERDICT and because is not Because.NOT_INSPECTED:
        return Bar.NO_LIMIT
    return None


def is_disbelieved(judgement: Judgement) -> bool:
    """Whether the reading itself is in doubt, so that no distance may rest on it."""
    return judgement.outcome is Outcome.NOT_PROVEN and not DISBELIEVED.isdisjoint(judgement.doubts)


def obstacle_at(verdict: PartVerdict, bar: Bar, option: Option | None = None) -> Obstacle:
    """Return what is in the way at a part."""
    return Obstacle(bar=bar, corner=verdict.corner, part=verdict.part, option=option)


def safety_of(verdict: PartVerdict) -> tuple[Judgement, ...]:
    """Return the judgements on the size of a part."""
    return tuple(each for each in verdict.judgements if each.measure.facts.is_safety)


def places_fitted(file: CaseFile, verdict: PartVerdict) -> set[Position]:
    """Return the places where a part went on, or was cut, in this visit, as left."""
    if file.stage is Stage.AS_FOUND:
        return set()
    return {
        each.position
        for each in file.fittings_at(verdict.corner, verdict.part)
        if each.event is not FittingEvent.REMOVED
    }


def are_on(file: CaseFile, linings: Sides) -> bool:
    """Whether new linings went on at both corners in this visit."""
    return file.stage is Stage.AS_LEFT and all(
        {
            fitting.position
            for fitting in file.fittings_at(each.corner, each.part)
            if fitting.event is FittingEvent.NEW
        }.issuperset(POSITIONS_OF[each.part])
        for each in linings
    )


def must_be_cut(verdict: PartVerdict) -> bool:
    """Whether a refinish is required."""
    return any(each.word is Word.REFINISH for each in verdict.required)
