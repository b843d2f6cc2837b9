"""The table from quantities to a part: the first row that applies decides."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from brakelog.record.corner import parse_corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.reports.language.language import language_named
from brakelog.reports.plain_reasons import plain_reason
from brakelog.rules.judgement import Doubt, Outcome
from brakelog.rules.measure import Measure
from brakelog.rules.sentence import reason_sentence
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import Because, Grounds, PartVerdict, Word
from tests.unit.verdict_examples import (
    EIGHT,
    FRONT_DISC,
    LF,
    RF,
    case,
    circle,
    healthy,
    instead,
    limit,
    readings,
    runout,
    verdict_on,
)

BOTH = (*healthy("LF"), *healthy("RF"))


def outcome(part: PartVerdict, measure: Measure) -> Outcome:
    return next(each.outcome for each in part.judgements if each.measure is measure)


def doubts(part: PartVerdict, measure: Measure) -> tuple[Doubt, ...]:
    return next(each.doubts for each in part.judgements if each.measure is measure)


def found(kind: FindingKind, part: Part, corner: str = "LF") -> Finding:
    return Finding(
        id=kind.value,
        visit_id="visit",
        corner=parse_corner(corner),
        stage=Stage.AS_FOUND,
        kind=kind,
        part=part,
    )


def test_healthy_axle_is_reused() -> None:
    verdict = judge_vehicle(case(BOTH))

    assert {part.word for part in verdict.parts} == {Word.REUSE}
    assert {axle.word for axle in verdict.axles} == {Word.REUSE}


def test_condition_beats_a_number() -> None:
    """Nine millimetres of lining that comes off its plate."""
    file = case(BOTH, findings=(found(FindingKind.DELAMINATION, Part.PADS),))
    pads = verdict_on(file, LF, Part.PADS)

    assert (pads.word, pads.grounds) == (Word.REPLACE, Grounds.REQUIRED)
    assert pads.reasons[0].because is Because.CONDEMNED


def test_other_side_of_a_condemned_pair_is_suggested_never_required() -> None:
    file = case(BOTH, findings=(found(FindingKind.DELAMINATION, Part.PADS),))
    mate = verdict_on(file, RF, Part.PADS)

    assert (mate.word, mate.grounds) == (Word.REPLACE, Grounds.SUGGESTED)
    assert mate.reasons[0].because is Because.AXLE_SET


@pytest.mark.parametrize(
    ("thinnest", "grounds", "because"),
    [
        ("25.999", Grounds.REQUIRED, Because.BEYOND_LIMIT),
        ("26.000", Grounds.REQUIRED, Because.BEYOND_LIMIT),
        ("26.001", Grounds.SUGGESTED, Because.NOT_PROVEN_GOES),
        ("26.020", Grounds.SUGGESTED, Because.WILL_NOT_LAST),
    ],
)
def test_discard_at_or_below_with_a_micrometer(
    thinnest: str, grounds: Grounds, because: Because
) -> None:
    """At the limit it is required. A micrometre above it, it is only not proven to be out, and
    as nothing is left for the next stretch of road it goes all the same, suggested."""
    rotor = verdict_on(
        case(instead(BOTH, readings("LF", Quantity.ROTOR, circle(thinnest)))), LF, Part.ROTOR
    )

    assert (rotor.word, rotor.grounds) == (Word.REPLACE, grounds)
    assert rotor.reasons[0].because is because


def test_lowest_reading_decides_never_the_mean() -> None:
    eight = "26.012 26.014 26.009 25.990 26.011 26.015 26.013 26.010"
    rotor = verdict_on(case(instead(BOTH, readings("LF", Quantity.ROTOR, eight))), LF, Part.ROTOR)

    assert rotor.reasons[0].because is Because.BEYOND_LIMIT
    assert rotor.reasons[0].judgement is not None
    assert rotor.reasons[0].judgement.typed == "25.990"
    assert rotor.reasons[0].judgement.place == "point 4"


def test_one_point_far_below_the_others_neither_condemns_nor_passes_the_rotor() -> None:
    eight = EIGHT.replace("27.405", "25.9")
    rotor = verdict_on(case(instead(BOTH, readings("LF", Quantity.ROTOR, eight))), LF, Part.ROTOR)

    assert (rotor.word, rotor.reasons[0].because) == (Word.MEASURE_AGAIN, Because.IN_QUESTION)
    assert outcome(rotor, Measure.ROTOR_THICKNESS) is Outcome.IN_QUESTION


def test_point_read_again_counts_for_the_minimum() -> None:
    """Of a circle just above the discard of 26.0, point 1 is 25.998 when read again."""
    close = circle("26.001", "0.004")
    again = readings("LF", Quantity.ROTOR, close, again_nm=25_998_000, again_typed="25.998")

    assert verdict_on(case(instead(BOTH, again)), LF, Part.ROTOR).word is Word.REPLACE


@pytest.mark.parametrize("missing", [Quantity.PAD_INNER, Quantity.PAD_OUTER])
def test_pad_that_was_not_measured_is_not_inspected(missing: Quantity) -> None:
    sets = [s for s in BOTH if (s.corner, s.quantity) != (LF, missing)]
    pads = verdict_on(case(sets), LF, Part.PADS)

    assert pads.word is Word.NO_VERDICT
    assert Because.NOT_INSPECTED in {reason.because for reason in pads.reasons}


def test_blank_is_not_a_zero_and_not_a_pass() -> None:
    blank = readings("LF", Quantity.PAD_INNER, "x x")
    pads = verdict_on(case(instead(BOTH, blank)), LF, Part.PADS)

    assert pads.word is Word.NO_VERDICT


def test_missing_limit_stays_missing() -> None:
    limits = [each for each in FRONT_DISC if each.kind is not LimitKind.ROTOR_DISCARD]
    rotor = verdict_on(case(BOTH, limits=limits), LF, Part.ROTOR)

    assert rotor.word is Word.NO_VERDICT
    assert rotor.reasons[0].because is Because.LIMIT_MISSING


def test_datum_of_reading_and_limit_must_be_the_same() -> None:
    plate = readings("LF", Quantity.PAD_INNER, "8.0 8.0", datum=Datum.WITH_PLATE)
    pads = verdict_on(case(instead(BOTH, plate)), LF, Part.PADS)

    assert pads.word is Word.NO_VERDICT


def test_four_points_can_prove_a_fail_of_variation_but_no_pass() -> None:
    few = readings("LF", Quantity.ROTOR, "27.402 27.403 27.402 27.403")
    passing = verdict_on(case(instead(BOTH, few)), LF, Part.ROTOR)
    bad = readings("LF", Quantity.ROTOR, "27.402 27.433 27.402 27.403")
    failing = verdict_on(case(instead(BOTH, bad)), LF, Part.ROTOR)

    assert outcome(passing, Measure.THICKNESS_VARIATION) is Outcome.NOT_PROVEN
    assert passing.word is Word.MEASURE_AGAIN
    assert outcome(failing, Measure.THICKNESS_VARIATION) is Outcome.OUT
    assert failing.word is Word.REFINISH


def test_three_points_cannot_prove_a_thickness() -> None:
    few = readings("LF", Quantity.ROTOR, "27.402 27.403 27.402")
    rotor = verdict_on(case(instead(BOTH, few)), LF, Part.ROTOR)

    assert Doubt.FEW_POINTS in doubts(rotor, Measure.ROTOR_THICKNESS)
    assert rotor.word is Word.MEASURE_AGAIN


def test_gauge_not_on_file_is_taken_as_the_worst_of_its_kind() -> None:
    pads = verdict_on(
        case(instead(BOTH, readings("LF", Quantity.PAD_INNER, "8.0 8.0", gauge=None))),
        LF,
        Part.PADS,
    )

    assert pads.word is Word.MEASURE_AGAIN
    assert Doubt.NEVER_PROVES in doubts(pads, Measure.INNER_LINING)


@pytest.mark.parametrize(
    ("circumstances", "doubt"),
    [
        ({"fasteners_fitted": 3}, Doubt.FASTENERS),
        ({"fasteners_fitted": None, "fasteners_of": None}, Doubt.FASTENERS),
        ({"bearing_checked": None}, Doubt.BEARING),
        ({"returned_to_start": False}, Doubt.DID_NOT_RETURN),
    ],
)
def test_runout_counts_only_with_its_checks(circumstances: dict[str, Any], doubt: Doubt) -> None:
    rotor = verdict_on(case(instead(BOTH, runout("LF", "0.026", **circumstances))), LF, Part.ROTOR)

    assert doubt in doubts(rotor, Measure.RUNOUT)
    assert rotor.word is Word.MEASURE_AGAIN


def test_runout_over_its_limit_is_put_right_not_replaced() -> None:
    rotor = verdict_on(case(instead(BOTH, runout("LF", "0.09"))), LF, Part.ROTOR)

    assert (rotor.word, rotor.grounds) == (Word.CORRECT, Grounds.REQUIRED)


@pytest.mark.parametrize(
    ("lowest", "word", "because"),
    [
        ("26.600", Word.REFINISH, Because.CUT_POSSIBLE),
        ("26.599", Word.REPLACE, Because.CUT_IMPOSSIBLE),
    ],
)
def test_cut_must_stay_at_or_inside_machine_to(lowest: str, word: Word, because: Because) -> None:
    """Clean-up of 0.10 mm per side from 26.600 leaves exactly the machine-to of 26.4."""
    wavy = readings("LF", Quantity.ROTOR, circle(lowest, "0.030"))
    rotor = verdict_on(case(instead(BOTH, wavy)), LF, Part.ROTOR)

    assert (rotor.word, rotor.reasons[0].because) == (word, because)
    assert rotor.grounds is Grounds.REQUIRED


def test_what_must_not_be_machined_is_replaced_however_thick() -> None:
    file = case(
        instead(BOTH, readings("LF", Quantity.ROTOR, circle("27.400", "0.040"))),
    )
    assert verdict_on(file, LF, Part.ROTOR).word is Word.REFINISH

    forbidden = replace(file, traits={(1, "machining"): "not-allowed"})
    rotor = verdict_on(forbidden, LF, Part.ROTOR)
    assert (rotor.word, rotor.reasons[0].because) == (Word.REPLACE, Because.CUT_IMPOSSIBLE)
    assert "must not be machined" in reason_sentence(rotor.reasons[0], file.shop)
    assert plain_reason(language_named("en"), rotor, rotor.reasons[0]) == (
        "Left front: its surface is out of limits and it must not be machined."
    )


def test_discard_never_stands_in_for_a_machine_to_that_is_not_published() -> None:
    limits = [each for each in FRONT_DISC if each.kind is not LimitKind.ROTOR_MACHINE_TO]
    wavy = readings("LF", Quantity.ROTOR, circle("27.400", "0.030"))
    rotor = verdict_on(case(instead(BOTH, wavy), limits=limits), LF, Part.ROTOR)

    assert rotor.reasons[0].because is Because.CUT_LIMIT_UNKNOWN
    assert rotor.word is Word.REPLACE


def test_thicker_than_new_is_asked_about_not_passed() -> None:
    """A backing plate measured along, or a unit slip: 14 mm where 11 mm is new."""
    pads = verdict_on(
        case(instead(BOTH, readings("LF", Quantity.PAD_INNER, "14.0 14.1"))), LF, Part.PADS
    )

    assert pads.word is Word.MEASURE_AGAIN
    assert pads.reasons[0].because is Because.IN_QUESTION


@pytest.mark.parametrize(
    ("lining", "part", "axle"),
    [
        pytest.param(
            "14.0 14.1",
            (Word.MEASURE_AGAIN, None),
            (Word.CORRECT, Grounds.REQUIRED),
            id="an open side hides no required work from its axle",
        ),
        pytest.param(
            "2.3 2.1",
            (Word.REPLACE, Grounds.SUGGESTED),
            (Word.REPLACE, Grounds.SUGGESTED),
            id="a side that goes speaks for its axle, and takes the rest along",
        ),
    ],
)
def test_word_of_an_axle(
    lining: str, part: tuple[Word, Grounds | None], axle: tuple[Word, Grounds | None]
) -> None:
    sets = instead(BOTH, readings("LF", Quantity.PAD_INNER, lining))
    verdict = judge_vehicle(case(sets, findings=(found(FindingKind.STUCK_SLIDE, Part.PADS),)))
    side = next(each for each in verdict.parts if (each.corner, each.part) == (LF, Part.PADS))
    both = next(each for each in verdict.axles if each.part is Part.PADS)

    assert (side.word, side.grounds) == part
    assert (both.word, both.grounds) == axle
    assert Because.PUT_RIGHT in {reason.because for reason in side.required}


def test_warm_rotor_is_judged_by_what_it_measures_cold() -> None:
    """26.003 mm at 60 degrees is 25.9916 mm at 20, at or below the discard of 26.0."""
    warm = readings("LF", Quantity.ROTOR, circle("26.003"), temperature_dc=600)
    rotor = verdict_on(case(instead(BOTH, warm)), LF, Part.ROTOR)

    assert rotor.word is Word.REPLACE
    assert rotor.reasons[0].because is Because.BEYOND_LIMIT


def test_zero_error_of_the_day_is_taken_off() -> None:
    off = readings("LF", Quantity.ROTOR, circle("26.010"), zero_error_nm=20_000)
    rotor = verdict_on(case(instead(BOTH, off)), LF, Part.ROTOR)

    assert (rotor.word, rotor.reasons[0].because) == (Word.REPLACE, Because.BEYOND_LIMIT)


def test_second_set_does_not_wash_away_one_that_was_out() -> None:
    first = readings("LF", Quantity.PAD_INNER, "1.9 1.9")
    second = readings("LF", Quantity.PAD_INNER, "8.0 8.0")
    pads = verdict_on(case((*instead(BOTH, first), second)), LF, Part.PADS)

    assert pads.word is Word.REPLACE
    assert Doubt.RE_MEASURED in doubts(pads, Measure.INNER_LINING)


DRUM_LIMITS = (
    limit(LimitKind.DRUM_NEW, "203.2"),
    limit(LimitKind.DRUM_MACHINE_TO, "204.7", out_when=OutWhen.ABOVE),
    limit(LimitKind.DRUM_DISCARD, "205.2"),
    limit(LimitKind.BELL_MOUTH, "0.10", out_when=OutWhen.ABOVE),
    limit(LimitKind.SHOE_MINIMUM, "1.0", out_when=OutWhen.BELOW),
)


def drum_axle(
    *, closed: str, opened: str = "204.00 204.02", temperature_dc: int | None = None
) -> PartVerdict:
    sets = [
        readings(corner, quantity, text, temperature_dc=temperature_dc)
        for corner in ("LF", "RF")
        for quantity, text in (
            (Quantity.DRUM_OPEN, opened),
            (Quantity.DRUM_CLOSED, closed),
            (Quantity.SHOE_LEADING, "3.0 3.1"),
            (Quantity.SHOE_TRAILING, "3.3 3.2"),
        )
    ]
    return verdict_on(case(sets, limits=DRUM_LIMITS, brakes=(AxleBrake.DRUM,)), LF, Part.DRUM)


def test_drum_reads_larger_as_it_wears() -> None:
    assert drum_axle(closed="203.98 204.00").word is Word.REUSE
    assert drum_axle(opened="205.21 205.2", closed="205.2 205.19").word is Word.REPLACE


def test_hot_drum_beyond_its_limit_is_measured_cold() -> None:
    """The correction would relax the verdict, so it is not applied; 205.25 at 60 degrees."""
    drum = drum_axle(opened="205.25 205.25", closed="205.24 205.24", temperature_dc=600)

    assert drum.word is Word.MEASURE_AGAIN
    assert Doubt.MEASURE_COLD in doubts(drum, Measure.DRUM_DIAMETER)


def test_both_edges_are_needed_where_bell_mouth_has_a_limit() -> None:
    drum = drum_axle(closed="x x")

    assert Doubt.FEW_POINTS in doubts(drum, Measure.DRUM_DIAMETER)
    assert drum.word is Word.MEASURE_AGAIN


def test_as_left_takes_over_what_was_not_changed() -> None:
    left = readings("LF", Quantity.PAD_INNER, "10.9 10.9", stage=Stage.AS_LEFT)
    verdict = judge_vehicle(case((*BOTH, left), stage=Stage.AS_LEFT))
    rotor = next(p for p in verdict.parts if p.corner == LF and p.part is Part.ROTOR)

    assert rotor.word is Word.REUSE
