"""What must hold for every verdict, whatever was read."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.document import verdict_document
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import Grounds, Word
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
        dropped = {"reading_sets", "place", "typed", "text"}
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

    # A reading beyond the new size is in question; worn down to a plausible one it is not.
    if max(tenths) <= 110:
        assert worth(after.word, after.grounds) <= worth(before.word, before.grounds)


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
