"""Slips of single points, lips and grooves: what is asked, and the innocent twin of each."""

from __future__ import annotations

import pytest

from brakelog.record.finding import FindingKind
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Stage
from brakelog.review.question import Confidence, Scope, Suspicion
from tests.unit.review_examples import ROTOR, SCORING, car, instead_mm

EVEN = "27.402 27.404 27.406 27.405 27.401 27.399 27.400 27.401"


def with_point(text: str) -> str:
    """The even circle with another point 5."""
    words = EVEN.split()
    words[4] = text
    return " ".join(words)


def test_an_even_circle_asks_nothing() -> None:
    made = car()
    made.reads("LF", ROTOR, EVEN, again="27.403")

    assert made.asked() == ()


@pytest.mark.parametrize(("typed", "meant"), [("1.1287", 1.1037), ("1.0787", 1.1037)])
def test_one_point_a_turn_off_in_inches(typed: str, meant: float) -> None:
    """The slip of the worked case, and its low mirror, which would condemn the rotor."""
    made = car(new={(1, Position.ROTOR): 30.0})
    circle = f"1.1042 1.1040 1.1038 1.1036 {typed} 1.1039 1.1041 1.1043"
    reading = made.reads("LF", ROTOR, circle, "inch")
    made.reads("RF", ROTOR, "1.1049 1.1050 1.1051 1.1052 1.1053 1.1052 1.1051 1.1050", "inch")

    question = made.the_question()

    assert question.suspicion is Suspicion.TURN
    assert (question.scope, question.confidence) == (Scope.POINTS, Confidence.HIGH)
    assert question.points == (4,)
    assert question.reads_high is (typed > "1.1")
    assert instead_mm(question, reading)[4] == round(meant * 25.4, 4)
    assert instead_mm(question, reading)[3] == round(1.1036 * 25.4, 4)
    assert f"point 5 {typed} in" in question.evidence
    assert "0.0250 in (0.635 mm)" in question.evidence
    assert "point 5" in question.ask


def test_one_point_a_turn_off_in_millimetres() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, "27.40 27.41 27.40 27.91 27.40 27.41", "thimble")

    question = made.the_question()

    assert question.suspicion is Suspicion.TURN
    assert instead_mm(question, reading)[3] == 27.41
    assert "One turn is 0.500 mm of thimble. 27.410 mm?" in question.evidence


def test_on_a_display_the_same_gap_is_a_slip_of_typing() -> None:
    made = car()
    made.reads("LF", ROTOR, with_point("27.902"))

    assert made.the_question().suspicion is Suspicion.TURN
    assert "if fine has a display, it is a slip of typing" in made.the_question().evidence


@pytest.mark.parametrize("typed", ["27.36", "27.44"])
def test_a_gap_that_is_no_turn_is_not_asked(typed: str) -> None:
    made = car()
    made.reads("LF", ROTOR, f"27.40 27.41 27.40 {typed} 27.40 27.41", "thimble")

    assert made.asked() == ()


def test_a_calliper_slips_no_turn() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.40 27.41 27.40 26.90 27.40 27.41", "calliper", lip=False)

    assert made.suspects() == [Suspicion.STRAY]


def test_one_point_a_figure_of_the_sleeve_off() -> None:
    made = car(new={})
    metric = made.reads("LF", ROTOR, with_point("26.401"))
    inch = made.reads("RF", ROTOR, "1.1042 1.1040 1.1038 1.2036 1.1039 1.1041", "inch")

    left, right = made.asked()

    assert left.suspicion is right.suspicion is Suspicion.SLEEVE
    assert instead_mm(left, metric)[4] == 27.401
    assert instead_mm(right, inch)[3] == round(1.1036 * 25.4, 4)


def test_two_points_off_alike_are_one_question() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.40 27.91 27.40 27.91 27.40 27.41 27.40", "thimble")

    assert made.the_question().points == (1, 3)


def test_a_circle_that_does_not_agree_with_itself_accuses_no_point() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.40 27.90 27.11 27.65", "thimble")

    assert made.asked() == ()


def test_three_points_are_too_few_to_accuse_one() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.40 27.90 27.41", "thimble")

    assert made.asked() == ()


def test_a_decimal_point_one_place_off() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, with_point("2.7401"))

    question = made.the_question()

    assert question.suspicion is Suspicion.DECIMAL
    assert instead_mm(question, reading)[4] == 27.401


def test_two_digits_swapped_in_one_point() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, "27.41 27.42 27.14 27.41 27.40 27.41", "thimble")

    question = made.the_question()

    assert (question.suspicion, question.confidence) == (Suspicion.DIGITS, Confidence.MEDIUM)
    assert instead_mm(question, reading)[2] == 27.41


def test_a_lip_on_one_point() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, with_point("28.112"))

    question = made.the_question()

    assert question.suspicion is Suspicion.LIP
    assert question.reads_high is True
    assert instead_mm(question, reading)[4] is None


def test_a_point_in_a_groove_is_unusable_until_the_groove_is_known() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, with_point("27.132"))

    question = made.the_question()

    assert question.suspicion is Suspicion.GROOVE
    assert question.reads_high is False
    assert instead_mm(question, reading)[4] is None


def test_a_scoring_depth_explains_a_groove() -> None:
    made = car()
    made.reads("LF", ROTOR, with_point("27.132"))
    made.reads("LF", SCORING, "0.2")

    assert made.asked() == ()


def test_a_reading_that_is_said_to_be_in_the_groove_is_not_asked() -> None:
    made = car()
    made.reads("LF", ROTOR, with_point("27.132"), in_groove=True)

    assert made.asked() == ()


def test_flat_faces_reach_no_groove() -> None:
    made = car()
    made.reads("LF", ROTOR, with_point("27.132"), "flat", lip=False)

    assert made.suspects() == [Suspicion.STRAY]


def test_a_first_digit_off_is_asked_although_nothing_explains_it() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, with_point("37.401"))

    question = made.the_question()

    assert question.suspicion is Suspicion.STRAY
    assert instead_mm(question, reading)[4] is None


def test_point_1_that_does_not_repeat_is_asked() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, EVEN, again="27.412")

    question = made.the_question()

    assert question.suspicion is Suspicion.NOT_REPEATED
    assert question.points == (0,)
    # The reading at the end lies away from the circle: if it is the slip, the circle stands.
    assert instead_mm(question, reading)[0] == 27.402


def test_a_first_reading_away_from_the_circle_is_the_slip() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, EVEN.replace("27.402", "27.418", 1), again="27.402")

    assert instead_mm(made.the_question(), reading)[0] == 27.402


def test_point_1_may_differ_by_what_the_gauge_scatters() -> None:
    made = car()
    made.reads("LF", ROTOR, EVEN, again="27.406")
    made.reads("RF", ROTOR, "27.40 27.41 27.40 27.41", "thimble", again="27.42")

    assert made.asked() == ()


# Lips


@pytest.mark.parametrize("gauge", ["flat", "calliper", None])
def test_without_pointed_tips_somebody_has_to_judge_the_lip(gauge: str | None) -> None:
    made = car()
    reading = made.reads("LF", ROTOR, "27.41 27.42 27.41 27.40", gauge)

    question = made.the_question()

    assert question.suspicion is Suspicion.LIP_NOT_JUDGED
    assert question.settled_by_looking
    assert instead_mm(question, reading) == [None] * 4


def test_a_lip_that_was_judged_is_not_asked_about() -> None:
    said, found = car(), car()
    said.reads("LF", ROTOR, "27.41 27.42 27.41 27.40", "flat", lip=False)
    found.reads("LF", ROTOR, "27.41 27.42 27.41 27.40", "flat")
    found.shows("LF", FindingKind.LIP, Part.ROTOR)

    assert said.asked() == found.asked() == ()


def test_a_rotor_that_went_on_today_has_no_lip() -> None:
    made = car().fits("LF", Position.ROTOR, FittingEvent.NEW, "28.00")
    made.reads("LF", ROTOR, "28.00 28.01 28.00 28.00", "flat", stage=Stage.AS_LEFT)

    assert made.asked(Stage.AS_LEFT) == ()


def test_a_rotor_that_is_all_thicker_than_last_time_may_have_a_lip() -> None:
    made = car()
    made.reads("LF", ROTOR, "26.90 26.91 26.90 26.92", "flat", lip=False)
    made.comes("2026-03-03", "74000")
    reading = made.reads("LF", ROTOR, "27.60 27.62 27.61 27.60", "flat")
    made.shows("LF", FindingKind.OTHER, Part.ROTOR)

    first, second = made.asked()

    assert first.suspicion is Suspicion.LIP
    assert (first.scope, first.confidence) == (Scope.SET, Confidence.HIGH)
    assert instead_mm(first, reading) == [None] * 4
    assert second.suspicion is Suspicion.LIP_NOT_JUDGED


def test_a_rotor_a_lip_thicker_that_was_looked_at_is_growth() -> None:
    made = car()
    made.reads("LF", ROTOR, "26.90 26.91 26.90 26.92", "flat", lip=False)
    made.comes("2026-03-03", "74000")
    made.reads("LF", ROTOR, "27.60 27.62 27.61 27.60", "flat", lip=False)

    assert made.suspects() == [Suspicion.GREW]
