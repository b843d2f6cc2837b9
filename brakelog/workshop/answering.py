"""At the car and at the counter: the questions that readings raise, and what people answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from brakelog.errors import InvalidInput, NotFound, clip
from brakelog.record.answer import Answer, Said
from brakelog.record.reading import ReadingSet, Stage
from brakelog.review.question import Question
from brakelog.rules.questioning import with_questions
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import VehicleVerdict
from brakelog.store.store import Store
from brakelog.workshop.counter import case_file


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One question of a visit, with the number that it is listed under."""

    number: int
    question: Question
    answer: Answer | None


def questions_of(
    store: Store, vehicle_name: str, *, visit_name: str | None = None, stage: Stage | None = None
) -> list[Asked]:
    """Return what the readings of a visit ask, answered or not, in order of certainty.

    Raises
    ------
    NotFound
        Where there is no such vehicle or visit.
    """
    with store.reading():
        file = with_questions(case_file(store, store.vehicle(vehicle_name), visit_name, stage))
    return [
        Asked(number=n, question=question, answer=file.answers.get(question.key))
        for n, question in enumerate(file.questions, start=1)
    ]


def questions_about(
    store: Store, visit_id: str, sets: Sequence[ReadingSet], *, stage: Stage
) -> list[Question]:
    """Return the open questions that these sets raise, or that hang on the whole visit.

    Sets that are not on file yet are looked at as if they were.
    """
    set_ids = {each.id for each in sets}
    with store.reading():
        vehicle = store.vehicle_by_id(store.visit(visit_id).vehicle_id)
        file = case_file(store, vehicle, visit_id, stage)
    known = {each.id for each in file.sets}
    new = tuple(each for each in sets if each.id not in known)
    used = store.gauges_by_ids({each.gauge_id for each in new if each.gauge_id})
    file = replace(file, sets=(*file.sets, *new), gauges={**file.gauges, **used})
    return [
        question
        for question in with_questions(file).questions
        if question.key not in file.answers
        and (not question.set_ids or not set_ids.isdisjoint(question.set_ids))
    ]


def answer_question(
    store: Store,
    vehicle_name: str,
    which: str,
    said: str,
    *,
    by: str | None,
    note: str = "",
    visit_name: str | None = None,
    stage: Stage | None = None,
) -> tuple[Question, Answer]:
    """Put an answer on file.

    Parameters
    ----------
    store : Store
        The store.
    vehicle_name : str
        The vehicle.
    which : str
        The number that the question is listed under, or the beginning of its key.
    said : str
        ``right`` or ``wrong``.
    by : str or None
        Initials of who answers; needed.
    note : str
        What was looked at.
    visit_name, stage
        The visit and stage, the newest if not given.

    Raises
    ------
    NotFound
        Where there is no such question.
    InvalidInput
        Where nobody is named, or "right" is not enough: the error, if real, would make a part
        pass, so that only a second reading set answers.
    """
    if not by:
        raise InvalidInput("an answer needs to say whose it is", hint="--by and the initials")
    try:
        meant = Said(said.strip().lower())
    except ValueError:
        raise InvalidInput(f"{clip(said)!r} is no answer", hint="right or wrong") from None
    person = store.person(by)
    question = _find(
        questions_of(store, vehicle_name, visit_name=visit_name, stage=stage), which, vehicle_name
    )
    with store.writing(by=person.id):
        answer = Answer(
            id=store.new_id(),
            visit_id=question.visit_id,
            question_key=question.key,
            said=meant,
            note=note.strip(),
        )
        if meant is Said.RIGHT:
            _need_enough(store, vehicle_name, visit_name, stage, question, answer)
        store.add_answer(answer)
    return question, answer


def _find(asked: list[Asked], which: str, vehicle_name: str) -> Question:
    typed = which.strip()
    found = [
        each.question
        for each in asked
        if str(each.number) == typed or (len(typed) > 3 and each.question.key.startswith(typed))
    ]
    if len(found) != 1:
        raise NotFound(
            f"there is no question {clip(which)!r}", hint=f"brakelog answer {vehicle_name} lists"
        )
    return found[0]


def _need_enough(
    store: Store,
    vehicle_name: str,
    visit_name: str | None,
    stage: Stage | None,
    question: Question,
    answer: Answer,
) -> None:
    """Refuse "right" where believing it could let a bad part pass."""
    vehicle = store.vehicle(vehicle_name)
    file = case_file(store, vehicle, visit_name, stage)
    answers = {**file.answers, question.key: answer}
    hanging = _hanging(judge_vehicle(replace(file, answers=answers)), question)
    if hanging:
        raise InvalidInput(
            f"if it were wrong, {hanging} could pass by it: only a second reading answers",
            hint=f"measure it again: brakelog measure {vehicle.tag}",
        )


def _hanging(verdict: VehicleVerdict, question: Question) -> str:
    return next(
        (
            f"the {part.corner} {part.part.value}"
            for part in verdict.parts
            for judgement in part.judgements
            if any(each.key == question.key for each in judgement.questions)
        ),
        "",
    )
