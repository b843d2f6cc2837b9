"""What must hold for every verdict, whatever was read."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from brakelog.record.answer import Answer, Said
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.casefile import CaseFile
from brakelog.rules.document import verdict_document
from brakelog.rules.questioning import if_real, with_questions
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import Because, Grounds, PartVerdict, Word
from tests.unit.verdict_examples import LF, case, healthy, instead, readings, runout, verdict_on

BOTH = (*healthy("LF"), *healthy("RF"))
THICKNESS = st.integers(min_value=25_500, max_value=28_200)
POINTS = st.lists(THICKNESS, min_size=1, max_size=12)
LINING = st.integers(min_value=0, max_value=130)


def rotor(um: list[int]) -> ReadingSet:
    return readings("LF", Quantity.ROTOR, " ".join(f"{value / 1000:.3f}" for value in um))


def inner(tenths: list[int]) -> ReadingSet:
    return readings("LF", Quantity.PAD_INNER, " ".join(f"{value / 10:.1f}" for value in tenths))


def without_ids(document: Any) -> Any:
    if isinstance(document, dict):
        dropped = {"reading_sets", "place", "typed", "text", "questions"}
        return {key: without_ids(v) for key, v in document.items() if key not in dropped}
    if isinstance(document, list):
        return [without_ids(each) for each in document]
    return document


@given(um=POINTS, data=st.data())
@settings(deadline=None)
def test_reordering_readings_never_changes_a_verdict(um: list[int], data: st.DataObject) -> None:
    shuffled = data.draw(st.permutations(um))
    one = judge_vehicle(case(instead(BOTH, rotor(um))))
    other = judge_vehicle(case(instead(BOTH, rotor(shuffled))))

    assert without_ids(verdict_document(one)) == without_ids(verdict_document(other))


@given(tenths=st.lists(LINING, min_size=1, max_size=4), worn=st.integers(1, 40))
@settings(deadline=None)
def test_less_lining_never_improves_a_verdict(tenths: list[int], worn: int) -> None:
    less = [max(value - worn, 0) for value in tenths]
    before = verdict_on(case(instead(BOTH, inner(tenths))), LF, Part.PADS)
    after = verdict_on(case(instead(BOTH, inner(less))), LF, Part.PADS)

    # What a reading asks about itself, it may ask no more, or only then, with less lining.
    if not asks(before) and not asks(after):
        assert worth(after.word, after.grounds) <= worth(before.word, before.grounds)


def asks(part: PartVerdict) -> bool:
    return any(judgement.questions for judgement in part.judgements)


def worth(word: Word, grounds: Grounds | None) -> int:
    """Rank from bad to good, as far as a thinner lining may move it."""
    if word is Word.REPLACE and grounds is Grounds.SUGGESTED:
        return 2
    return {Word.REPLACE: 0, Word.MEASURE_AGAIN: 1, Word.REUSE: 3}[word]


@given(um=POINTS, tenths=st.lists(LINING, min_size=1, max_size=4), tir=st.integers(0, 200))
@settings(deadline=None)
def test_judging_is_total_repeatable_and_says_why(
    um: list[int], tenths: list[int], tir: int
) -> None:
    sets = instead(instead(BOTH, rotor(um)), inner(tenths))
    file = case(instead(sets, runout("LF", f"{tir / 1000:.3f}")))
    verdict = judge_vehicle(file)

    assert verdict == judge_vehicle(file)
    for part in verdict.parts:
        assert part.reasons
        assert part.word is part.reasons[0].word
        assert (part.grounds is None) == (
            part.word in (Word.REUSE, Word.MEASURE_AGAIN, Word.NO_VERDICT)
        )


@given(um=POINTS)
@settings(deadline=None)
def test_rotor_at_or_below_discard_is_never_reused(um: list[int]) -> None:
    if min(um) <= 26_000:
        verdict = verdict_on(case(instead(BOTH, rotor(um))), LF, Part.ROTOR)

        assert verdict.word in (Word.REPLACE, Word.MEASURE_AGAIN)
        assert (verdict.word is Word.REPLACE) == (verdict.grounds is Grounds.REQUIRED)


@given(um=POINTS)
@settings(deadline=None)
def test_margin_and_outcome_agree_in_sign(um: list[int]) -> None:
    part = verdict_on(case(instead(BOTH, rotor(um))), LF, Part.ROTOR)
    for judgement in part.judgements:
        if judgement.margin_nm is not None and judgement.deciding is not None:
            if judgement.outcome.value == "out":
                assert judgement.margin_nm <= 0
            elif judgement.outcome.value == "in":
                assert judgement.margin_nm > 0


SLIPS = st.sampled_from([-1000, -500, -480, -300, -90, 300, 480, 500, 700, 1000])
CIRCLES = st.lists(st.integers(0, 8), min_size=8, max_size=9)


@st.composite
def slipped(draw: st.DrawFn) -> list[int]:
    """A circle of points that agree with each other, but for one or two of them. [um]"""
    least = draw(st.one_of(st.integers(25_480, 26_600), st.integers(25_500, 28_200)))
    um = [least + rise for rise in draw(CIRCLES)]
    for index in draw(st.sets(st.integers(0, len(um) - 1), max_size=2)):
        um[index] += draw(SLIPS)
    return um


def all_right(file: CaseFile) -> CaseFile:
    """The case with somebody saying of every question that it is right as typed."""
    answers = {
        question.key: Answer(
            id=question.key, visit_id=file.visit.id, question_key=question.key, said=Said.RIGHT
        )
        for question in with_questions(file).questions
    }
    return replace(file, answers=answers)


def other_worlds(file: CaseFile) -> list[CaseFile]:
    """The case as it would be if one of its questions, or all of them, were borne out."""
    found = [q for q in with_questions(file).questions if q.instead_nm and not q.settled_by_looking]
    worlds = [replace(file, sets=if_real(file.sets, question)) for question in found]
    together = file.sets
    for question in found:
        merged = []
        for before, after in zip(together, if_real(file.sets, question), strict=True):
            here = question.points if before.id in question.set_ids else ()
            values = list(before.values_nm)
            for point in here:
                values[point] = after.values_nm[point]
            merged.append(replace(before, values_nm=tuple(values)))
        together = tuple(merged)
    return [*worlds, replace(file, sets=together)]


def is_beyond(part: PartVerdict) -> bool:
    return any(reason.because is Because.BEYOND_LIMIT for reason in part.reasons)


@given(um=slipped())
@settings(deadline=None)
def test_what_may_be_beyond_its_limit_is_never_reused_whoever_says_that_it_is_right(
    um: list[int],
) -> None:
    file = case(instead(BOTH, rotor(um)))
    worlds = [file, *other_worlds(file)]

    if any(is_beyond(verdict_on(world, LF, Part.ROTOR)) for world in worlds):
        for judged in (file, all_right(file)):
            word = verdict_on(judged, LF, Part.ROTOR).word
            assert word not in (Word.REUSE, Word.CORRECT, Word.REFINISH)


@given(um=slipped())
@example(um=[27_402, 27_404, 27_906, 27_405, 27_401, 26_899, 27_400, 27_401])
@example(um=[25_286, 25_786, 26_286, 26_284, 26_286, 26_287, 26_285, 26_286])
@settings(deadline=None)
def test_nothing_is_required_of_a_rotor_that_only_its_slips_condemn(um: list[int]) -> None:
    """Where all that is asked about would leave it in limits, nobody has to replace or cut it."""
    file = case(instead(BOTH, rotor(um)))
    together = other_worlds(file)[-1]

    if verdict_on(together, LF, Part.ROTOR).word is Word.REUSE:
        asked = verdict_on(file, LF, Part.ROTOR)

        assert asked.required == ()
        assert asked.word in (Word.REUSE, Word.MEASURE_AGAIN)
