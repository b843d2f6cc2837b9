"""Which questions are open, and what they hold back.

A question says what the readings would be if its suspicion were right. Both worlds are judged:
where they come to different ends, nothing is decided until somebody has looked again.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from brakelog.record.answer import Said
from brakelog.record.corner import Corner, Side
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.vehicle import BRAKE_OF
from brakelog.review.evidence import Evidence
from brakelog.review.question import Question, Scope
from brakelog.review.review import review, review_stages
from brakelog.rules.bound import SizesByPlace
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.measure import Measure


def with_questions(file: CaseFile) -> CaseFile:
    """Return the case with everything that its readings ask about themselves.

    As left, what was found of a part that was not changed still counts, so both are looked at.
    """
    stages = [Stage.AS_FOUND] if file.stage is Stage.AS_FOUND else [Stage.AS_FOUND, Stage.AS_LEFT]
    asked: dict[str, Question] = {}
    earlier: dict[str, Question] = {}
    evidence = evidence_of(file, Stage.AS_FOUND)
    for stage, questions in zip(stages, review_stages(evidence, stages), strict=True):
        for question in questions:
            asked.setdefault(question.key, question)
        before = _without_newest(evidence, stage)
        while before is not None:
            for question in review(before):
                earlier.setdefault(question.key, question)
            before = _without_newest(before, stage)
    if not (asked or earlier or file.questions or file.earlier_questions):
        return file
    return replace(file, questions=tuple(asked.values()), earlier_questions=tuple(earlier.values()))


def _without_newest(evidence: Evidence, stage: Stage) -> Evidence | None:
    """Return the evidence before the last set of what was read more than once; None at the end."""
    last: dict[tuple[Corner, Quantity], str] = {}
    again: set[str] = set()
    for each in evidence.sets:
        if each.visit_id != evidence.visit.id or each.stage is not stage:
            continue
        if not each.measured_nm:
            continue
        place = (each.corner, each.quantity)
        if place in last:
            again.add(each.id)
            again.discard(last[place])
        last[place] = each.id
    if not again:
        return None
    sets = tuple(each for each in evidence.sets if each.id not in again)
    return replace(evidence, stage=stage, sets=sets)


def evidence_of(file: CaseFile, stage: Stage) -> Evidence:
    """Return what a review needs to know of the case."""
    new_nm, limits_nm = _sizes(file)
    return Evidence(
        brakes=file.vehicle.brakes,
        odometer_unit=file.vehicle.odometer_unit,
        visit=file.visit,
        stage=stage,
        visits=file.visits,
        sets=file.sets,
        fittings=file.fittings,
        findings=file.findings,
        gauges=file.gauges,
        new_nm=new_nm,
        least_or_most_nm=limits_nm,
        traits=file.traits,
    )


def _sizes(file: CaseFile) -> SizesByPlace:
    """Return new sizes and limits by axle and position, where they are usable. [nm]"""
    brakes = file.vehicle.brakes
    known = file.bounds.sizes
    if brakes not in known:
        known[brakes] = _gathered_sizes(file)
    return known[brakes]


def _gathered_sizes(file: CaseFile) -> SizesByPlace:
    new_nm: dict[tuple[int, Position], int] = {}
    limits_nm: dict[tuple[int, Position], int] = {}
    for axle in range(1, len(file.vehicle.brakes) + 1):
        corner = Corner(axle=axle, side=Side.LEFT)
        for measure in Measure:
            facts = measure.facts
            if facts.position is None or BRAKE_OF[facts.part] is not file.vehicle.brakes[axle - 1]:
                continue
            place = (axle, facts.position)
            for kind, sizes in ((facts.new, new_nm), (facts.limit, limits_nm)):
                if kind is None:
                    continue
                bound = file.bounds.of(kind, corner, which_pad=facts.which_pad)
                if bound.strictest is not None:
                    sizes[place] = bound.strictest.nm
    return new_nm, limits_nm


ONLY_HISTORY = (Scope.ODOMETER, Scope.LIFE)
"""Scopes that say nothing about the readings of today, only about what is driven and worn."""


def touching(file: CaseFile, sets: Iterable[ReadingSet]) -> tuple[Question, ...]:
    """Return the questions about any of these sets that a reading of today hangs on."""
    if not (file.questions or file.earlier_questions):
        return ()
    ids = {each.id for each in sets}
    asked = file.questions
    if file.earlier_questions and any(_is_read_again(file, each) for each in sets):
        asked = (*asked, *file.earlier_questions)
    return tuple(
        question
        for question in asked
        if question.scope not in ONLY_HISTORY
        and (
            not ids.isdisjoint(question.set_ids)
            or (question.scope is Scope.VEHICLE and question.visit_id == file.visit.id)
        )
    )


def _is_read_again(file: CaseFile, reading: ReadingSet) -> bool:
    """Whether a later set of the same visit and stage stands beside it."""
    same = [
        each
        for each in file.sets_of(reading.corner, reading.quantity)
        if each.visit_id == reading.visit_id and each.stage is reading.stage and each.measured_nm
    ]
    return bool(same) and same[-1].id != reading.id


def about_history(file: CaseFile, set_ids: Iterable[str]) -> tuple[Question, ...]:
    """Return the open questions that keep a part's wear from being projected."""
    if not file.questions:
        return ()
    ids = set(set_ids)
    return tuple(
        question
        for question in file.questions
        if not is_answered(file, question)
        and (
            question.scope in (Scope.ODOMETER, Scope.VEHICLE)
            or (question.scope is Scope.LIFE and not ids.isdisjoint(question.set_ids))
        )
    )


def is_answered(file: CaseFile, question: Question) -> bool:
    """Whether somebody said that it is right as typed."""
    answer = file.answers.get(question.key)
    return answer is not None and answer.said is Said.RIGHT


def is_admitted(file: CaseFile, question: Question) -> bool:
    """Whether somebody said that it is wrong: then the readings wait for their correction."""
    answer = file.answers.get(question.key)
    return answer is not None and answer.said is Said.WRONG


def if_real(sets: tuple[ReadingSet, ...], question: Question) -> tuple[ReadingSet, ...]:
    """Return what the sets would read if the suspicion were right."""
    return tuple(
        replace(each, values_nm=question.instead_nm[each.id], again_nm=None)
        if each.id in question.instead_nm
        else each
        for each in sets
    )


def if_all_real(
    sets: tuple[ReadingSet, ...], questions: Iterable[Question]
) -> tuple[ReadingSet, ...]:
    """Return what the sets would read if all of the suspicions were right at once."""
    changed = []
    for each in sets:
        values = list(each.values_nm)
        for question in questions:
            for n, nm in enumerate(question.instead_nm.get(each.id, ())):
                if nm != each.values_nm[n]:
                    values[n] = nm
        changed.append(replace(each, values_nm=tuple(values), again_nm=None))
    return tuple(changed)


def hangs(file: CaseFile, question: Question, as_read: Judgement, real: Judgement | None) -> bool:
    """Whether a question keeps a judgement from deciding.

    Parameters
    ----------
    file : CaseFile
        The case, with its answers.
    question : Question
        A question about the sets that were judged.
    as_read : Judgement
        The judgement of the readings as they are.
    real : Judgement or None
        The judgement if the suspicion were right; None where nothing can be said about that.

    Notes
    -----
    "It is right" is believed where the error, if real, could not have made the part pass; where
    it could, or nobody can say what the readings would be, only a second reading set answers,
    unless the question is one of looking, or of which vehicle was measured. What somebody said
    is wrong decides nothing until it is corrected or read again.
    """
    is_out = as_read.outcome is Outcome.OUT
    if is_admitted(file, question):
        return True
    if is_answered(file, question):
        if is_out or question.settled_by_looking or question.scope is Scope.VEHICLE:
            return False
        return real is None or _rank(real.outcome) > _rank(as_read.outcome)
    if question.scope.holds_back:
        return True
    facts = as_read.measure.facts
    if is_out and facts.is_safety and question.reads_high is facts.limit.facts.least:
        # The error, if it is one, made the part look better than it is.
        return False
    return real is None or real.outcome is not as_read.outcome


def _rank(outcome: Outcome) -> int:
    """Return how bad an outcome is: a reading that cannot be used is worse than one that passes."""
    return (Outcome.IN, Outcome.NOT_PROVEN).index(outcome) if outcome in _PASSING else 2


_PASSING = (Outcome.IN, Outcome.NOT_PROVEN)
