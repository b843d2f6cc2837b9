"""The review of one visit: everything that its readings ask about themselves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brakelog.record.reading import Stage
from brakelog.review.as_left import ask_not_as_left
from brakelog.review.beyond import ask_beyond_new, beyond_new
from brakelog.review.change import Change, changes_of, past_changes
from brakelog.review.copied import ask_copied
from brakelog.review.corners import ask_corners
from brakelog.review.even import ask_around_zero, ask_even
from brakelog.review.evidence import Evidence
from brakelog.review.growth import ask_growth
from brakelog.review.indicator import ask_indicator
from brakelog.review.lip import ask_lip_not_judged, ask_lip_on_all
from brakelog.review.look import Look
from brakelog.review.notch import ask_notch
from brakelog.review.odometer import ask_odometer
from brakelog.review.pads import ask_pads
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.review.refinish import ask_refinish
from brakelog.review.repeat import ask_repeat
from brakelog.review.settled import is_settled
from brakelog.review.slips import ask_points
from brakelog.review.units import ask_linings
from brakelog.review.vehicle import ask_vehicle
from brakelog.review.whole_turn import ask_whole_turn


def review(evidence: Evidence) -> tuple[Question, ...]:
    """Return what the readings of one visit and stage ask about themselves.

    Nothing is corrected. Of several sets of one quantity only the newest asks, and what an earlier
    one of the same visit confirms is not asked.

    Parameters
    ----------
    evidence : Evidence
        The record of the vehicle up to the visit.

    Returns
    -------
    tuple of Question
        The most certain first, then in order of entry; the same for the same evidence.
    """
    return review_stages(evidence, (evidence.stage,))[0]


def review_stages(evidence: Evidence, stages: Sequence[Stage]) -> tuple[tuple[Question, ...], ...]:
    """Return what ``review`` does, for some stages of the same visit.

    What does not hang on the stage is looked at once: the odometers, and what changed before.
    """
    look = Look(evidence)
    odometers, past = tuple(ask_odometer(look)), past_changes(look)
    return tuple(_review(look.at_stage(stage), odometers, past) for stage in stages)


def _review(
    look: Look, odometers: Sequence[Question], past: Sequence[Sequence[Change]]
) -> tuple[Question, ...]:
    asked = {question.key: question for question in (*odometers, *_ask(look, past))}
    return tuple(sorted(asked.values(), key=lambda question: _place(look, question)))


_SURENESS = {sureness: n for n, sureness in enumerate(Confidence)}


def _place(look: Look, question: Question) -> tuple[int, int, str, str]:
    """Return where a question stands: by sureness, by entry, then by code."""
    entry = min((look.entry(each) for each in question.set_ids), default=-1)
    return _SURENESS[question.confidence], entry, question.suspicion.value, question.key


def _ask(look: Look, past: Sequence[Sequence[Change]]) -> Iterator[Question]:
    if not look.newest:
        # Nothing was read at this stage: only what changed before it is looked at.
        yield from ask_refinish(look, (), past)
        yield from ask_growth(look, (), past, ())
        return
    changes = changes_of(look)
    changed = {change.reading.id: change for change in changes}
    beyond = beyond_new(look)
    yield from ask_refinish(look, changes, past)
    open_ones = [
        question
        for question in (
            *ask_points(look),
            *ask_whole_turn(look, changes),
            *ask_repeat(look),
            *ask_lip_on_all(look, changes),
            *ask_lip_not_judged(look),
            *ask_indicator(look),
            *ask_linings(look, changed),
            *ask_beyond_new(look, changed, beyond),
            *ask_notch(look, changed, beyond),
            *ask_corners(look, changes, beyond),
            *ask_pads(look, changes),
            *ask_copied(look),
            *ask_even(look),
            *ask_not_as_left(look),
        )
        if not is_settled(look, question)
    ]
    explained = {set_id for question in open_ones for set_id in question.set_ids}
    open_ones += [
        question
        for question in ask_around_zero(look, changes)
        if explained.isdisjoint(question.set_ids)
    ]
    yield from open_ones
    exchanged = {
        corner
        for question in open_ones
        if question.suspicion is Suspicion.CORNERS
        for corner in question.corners
    }
    yield from ask_vehicle(look, changes, exchanged)
    yield from ask_growth(look, changes, past, _unusable(open_ones))


def _unusable(questions: list[Question]) -> set[str]:
    """Return the sets that a question about all of their points takes out altogether.

    Whether a lip was judged is another matter: saying that there is none explains no growth.
    """
    return {
        set_id
        for question in questions
        if question.scope is Scope.SET and question.suspicion is not Suspicion.LIP_NOT_JUDGED
        for set_id, values in question.instead_nm.items()
        if all(nm is None for nm in values)
    }
