"""Nothing that was read is washed away by reading it once more, or by saying less."""

from __future__ import annotations

from dataclasses import replace

import pytest

from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.rules.judgement import Doubt, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.verdict import Grounds, PartVerdict, Word
from tests.unit.verdict_examples import (
    EIGHT,
    GAUGES,
    LF,
    RF,
    case,
    circle,
    healthy,
    instead,
    readings,
    runout,
    verdict_on,
)

BOTH = (*healthy("LF"), *healthy("RF"))
SLIP = EIGHT.replace("27.399", "25.900")


def rotor(*sets: ReadingSet, stage: Stage = Stage.AS_FOUND) -> PartVerdict:
    """The left front rotor, read like this in one visit."""
    rest = [s for s in BOTH if not (s.corner == LF and s.quantity is sets[0].quantity)]
    return verdict_on(case((*rest, *sets), stage=stage), LF, Part.ROTOR)


def thickness(text: str, **said: object) -> ReadingSet:
    return readings("LF", Quantity.ROTOR, text, **said)  # type: ignore[arg-type]


def doubts(part: PartVerdict, measure: Measure = Measure.ROTOR_THICKNESS) -> tuple[Doubt, ...]:
    return next(each.doubts for each in part.judgements if each.measure is measure)


def test_a_size_close_to_its_limit_is_not_forgotten_for_a_better_one() -> None:
    found = rotor(thickness(circle("26.003")), thickness(circle("27.402")))

    assert found.word is Word.MEASURE_AGAIN
    assert doubts(found) == (Doubt.DISAGREES,)


def test_pads_close_to_their_limit_are_not_forgotten_either() -> None:
    sets = (
        *instead(BOTH, readings("LF", Quantity.PAD_INNER, "2.1 2.2")),
        readings("LF", Quantity.PAD_INNER, "8.2 8.1"),
    )

    assert verdict_on(case(sets), LF, Part.PADS).word is Word.MEASURE_AGAIN


def test_leaving_out_the_point_that_was_asked_about_answers_nothing() -> None:
    left_out = EIGHT.replace("27.399", "x") + " 27.404"
    found = rotor(thickness(SLIP), thickness(left_out))

    assert found.word is Word.MEASURE_AGAIN
    assert doubts(found) == (Doubt.FEWER_POINTS,)


def test_reading_that_point_again_answers_it() -> None:
    assert rotor(thickness(SLIP), thickness(circle("27.398"))).word is Word.REUSE


def test_as_left_a_question_of_the_same_part_goes_on() -> None:
    again = thickness("27.402 27.404 27.406 27.405", stage=Stage.AS_LEFT)

    assert rotor(thickness(SLIP), again, stage=Stage.AS_LEFT).word is Word.MEASURE_AGAIN


def test_a_lip_that_was_said_once_is_there_until_tips_reach_past_it() -> None:
    first = thickness(EIGHT, tips=Tips.FLAT, lip=True)
    silent = thickness(circle("27.398"), tips=Tips.FLAT)
    pointed = thickness(circle("27.398"), tips=Tips.POINTED)

    assert Doubt.LIP in doubts(rotor(first, silent))
    assert rotor(first, pointed).word is Word.REUSE


def test_a_calliper_reads_a_lip_whatever_its_tips_are_called() -> None:
    calliper = Gauge(
        id="c",
        tag="C",
        kind=GaugeKind.CALLIPER,
        unit=GAUGES["m"].unit,
        resolution_nm=10_000,
        resolution_text="0.01",
        tips=Tips.POINTED,
    )
    read = thickness("27.40 27.41 27.40 27.41 27.40", gauge="c", tips=Tips.POINTED, lip=True)
    file = replace(case(instead(BOTH, read)), gauges={**GAUGES, "c": calliper})

    assert Doubt.LIP in doubts(verdict_on(file, LF, Part.ROTOR))


@pytest.mark.parametrize(
    ("found", "left"),
    [
        (thickness(circle("27.400", "0.080")), thickness(EIGHT, stage=Stage.AS_LEFT)),
        (
            readings("LF", Quantity.SCORING, "1.6"),
            readings("LF", Quantity.SCORING, "0.1", stage=Stage.AS_LEFT),
        ),
    ],
    ids=["variation", "scoring"],
)
def test_what_had_to_be_machined_does_not_heal_as_left(found: ReadingSet, left: ReadingSet) -> None:
    verdict = rotor(found, left, stage=Stage.AS_LEFT)

    assert verdict.word in (Word.REFINISH, Word.REPLACE)
    assert verdict.grounds is Grounds.REQUIRED


def test_reading_one_of_two_twins_again_says_nothing_of_the_other() -> None:
    twins = (
        *instead(BOTH, readings("RF", Quantity.ROTOR, EIGHT)),
        thickness(circle("27.381")),
    )
    file = case(twins)

    assert verdict_on(file, LF, Part.ROTOR).word is Word.REUSE
    assert verdict_on(file, RF, Part.ROTOR).word is Word.MEASURE_AGAIN


def left_runouts(*texts_and_positions: tuple[str, int | None]) -> PartVerdict:
    sets = [
        runout("LF", text, stage=Stage.AS_LEFT, rotor_index=position)
        for text, position in texts_and_positions
    ]
    return rotor(*sets, stage=Stage.AS_LEFT)


def test_only_turning_the_rotor_gives_it_another_runout() -> None:
    assert left_runouts(("0.09", None), ("0.03", 0)).word is Word.CORRECT
    assert left_runouts(("0.04", 0), ("0.09", 2), ("0.03", 2)).word is Word.CORRECT
    assert left_runouts(("0.09", 0), ("0.03", 2)).word is Word.REUSE


def test_all_fasteners_are_those_that_the_sheet_counts() -> None:
    few = runout("LF", "0.02", fasteners_fitted=1, fasteners_of=1)
    file = replace(case(instead(BOTH, few)), traits={(1, "fasteners"): "5"})

    assert Doubt.FASTENERS in doubts(verdict_on(file, LF, Part.ROTOR), Measure.RUNOUT)


def test_the_wave_through_a_profile_keeps_it_from_passing_and_condemns_nothing() -> None:
    profile = runout("LF", "0.042 0.044 0.043 0.041 0.002 0.001 0.003 0.002")
    found = rotor(profile)
    (judged,) = [each for each in found.judgements if each.measure is Measure.RUNOUT]

    assert judged.value_nm == 43_000
    assert judged.outcome is Outcome.NOT_PROVEN
    assert Doubt.WAVE in judged.doubts


def test_a_runout_below_one_step_of_its_dial_may_be_a_point_moved() -> None:
    """0.006 with a dial of 0.01 mm may have been 0.06; 0.026 is read between the lines."""
    assert rotor(runout("LF", "0.006")).word is Word.MEASURE_AGAIN
    assert rotor(runout("LF", "0.026")).word is Word.REUSE


def test_a_slip_of_the_reading_at_the_end_condemns_nothing() -> None:
    slip = thickness(circle("26.400"), again_nm=25_903_000, again_typed="25.903")

    assert rotor(slip).word is Word.MEASURE_AGAIN
