"""What answers a question, which questions are asked at all, and in which order."""

from __future__ import annotations

import pytest

from brakelog.record.reading import Stage
from brakelog.review.question import Confidence, Scope, Suspicion
from tests.unit.review_examples import IN, ROTOR, RUNOUT, car

SLIPPED = "27.40 27.41 27.40 27.91 27.40 27.41"


def test_a_second_reading_that_shows_the_same_answers() -> None:
    made = car()
    made.reads("LF", ROTOR, SLIPPED, "thimble")
    made.reads("LF", ROTOR, "27.41 27.41 27.40 27.90 27.40 27.40", "thimble")

    assert made.asked() == ()


def test_a_second_reading_that_shows_no_slip_answers() -> None:
    made = car()
    made.reads("LF", ROTOR, SLIPPED, "thimble")
    made.reads("LF", ROTOR, "27.41 27.41 27.40 27.41 27.40 27.40", "thimble")

    assert made.asked() == ()


def test_the_same_digits_typed_twice_answer_nothing() -> None:
    made = car()
    circle = "27.402 27.404 27.406 27.905 27.401 27.399 27.400 27.401"
    made.reads("LF", ROTOR, circle)
    second = made.reads("LF", ROTOR, circle)

    assert made.the_question().set_ids == (second.id,)


def test_a_lining_read_with_a_coarse_gauge_may_repeat_its_digits() -> None:
    """Two ends in steps of 0.1 mm come out the same one time in twenty: that is no copy."""
    made = car()
    made.reads("LF", IN, "6.2 6.1")
    made.comes("2026-03-03", "72000")
    made.reads("LF", IN, "7.4 7.3")
    made.reads("LF", IN, "7.4 7.3")

    assert made.suspects() == [Suspicion.REPLACED]


def test_a_second_reading_elsewhere_on_the_circle_answers_nothing() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.41 27.41 27.40 27.40 27.40 27.90", "thimble")
    made.reads("LF", ROTOR, SLIPPED, "thimble")

    assert made.suspects() == [Suspicion.TURN]


def test_only_the_newest_set_asks() -> None:
    made = car()
    made.reads("LF", ROTOR, SLIPPED, "thimble")
    newest = made.reads("LF", ROTOR, "27.40 26.90 27.40 27.41 27.40 27.41", "thimble")

    assert made.the_question().set_ids == (newest.id,)


def test_growth_that_is_confirmed_is_a_question_about_the_part() -> None:
    made = car()
    made.reads("LF", IN, "3.1 3.0", "off-car")
    made.comes("2026-03-03", "72000")
    made.reads("LF", IN, "7.12 7.04", "off-car")
    newest = made.reads("LF", IN, "7.08 7.02", "off-car")

    question = made.the_question()

    assert (question.suspicion, question.scope) == (Suspicion.REPLACED, Scope.LIFE)
    assert question.set_ids[0] == newest.id


@pytest.mark.parametrize("gauge", ["flat", "calliper"])
def test_a_lip_is_not_answered_by_the_same_flat_faces(gauge: str) -> None:
    made = car()
    made.reads("LF", ROTOR, "27.41 27.42 27.41 27.40", gauge)
    made.reads("LF", ROTOR, "27.40 27.42 27.42 27.40", gauge)

    assert made.suspects() == [Suspicion.LIP_NOT_JUDGED]


def test_a_lip_is_answered_by_pointed_tips() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.41 27.42 27.41 27.40", "thimble")
    made.reads("LF", ROTOR, "27.41 27.41 27.41 27.41", "flat")

    assert made.asked() == ()


def test_a_slip_of_unit_is_not_answered_by_the_same_bare_numbers() -> None:
    made = car()
    made.reads("LF", IN, "8.3 8.2")
    made.comes("2026-03-03", "72000")
    made.reads("LF", IN, "0.28 0.26", "off-car")
    made.reads("LF", IN, "0.27 0.26", "off-car")

    assert Suspicion.LINING_UNIT in made.suspects()


def test_a_slip_of_unit_is_answered_by_typed_units() -> None:
    made = car()
    made.reads("LF", IN, "8.3 8.2")
    made.comes("2026-03-03", "72000")
    made.reads("LF", IN, "0.28 0.26", "off-car")
    made.reads("LF", IN, "0.27mm 0.26mm", "off-car")

    assert Suspicion.LINING_UNIT not in made.suspects()


def test_one_of_two_swapped_corners_read_again_is_enough() -> None:
    made = car()
    made.reads("LF", IN, "5.2 5.0", "off-car")
    made.reads("RF", IN, "8.8 8.7", "off-car")
    made.comes("2026-03-03", "70000")
    made.reads("RF", IN, "4.12 4.04", "off-car")
    made.reads("LF", IN, "7.72 7.54", "off-car")
    assert Suspicion.CORNERS in made.suspects()

    made.reads("LF", IN, "7.70 7.58", "off-car")

    assert Suspicion.CORNERS not in made.suspects()


def test_readings_as_found_confirm_a_part_that_was_left_alone() -> None:
    made = car()
    made.reads("LF", ROTOR, SLIPPED, "thimble")
    made.reads("LF", ROTOR, "27.41 27.41 27.40 27.90 27.40 27.40", "thimble", stage=Stage.AS_LEFT)

    assert made.asked(Stage.AS_LEFT) == ()


def test_a_clipped_profile_is_not_answered_by_another_clipped_one() -> None:
    made = car()
    first = "0.047 0.031 0.007 0.000 0.000 0.000 0.000 0.000 0.000 0.008 0.030 0.048"
    made.reads("LF", RUNOUT, first, "fine-dial")
    made.reads("LF", RUNOUT, first.replace("0.031", "0.032"), "fine-dial")

    assert made.suspects() == [Suspicion.CLIPPED]


def test_the_surest_question_comes_first_then_the_order_of_entry() -> None:
    made = car()
    made.reads("RF", IN, "6.2 6.1")
    made.comes("2026-03-03", "72000")
    made.reads("LF", ROTOR, "27.41 27.42 27.14 27.41 27.40 27.41", "thimble")
    made.reads("LR", ROTOR, "11.41 11.41 11.91 11.41 11.40 11.41", "thimble")
    made.reads("RR", ROTOR, "11.41 11.41 11.91 11.41 11.40 11.42", "thimble")
    made.reads("RF", IN, "7.4 7.3")

    asked = made.asked()

    assert [each.confidence for each in asked] == [
        Confidence.CERTAIN,
        Confidence.HIGH,
        Confidence.HIGH,
        Confidence.MEDIUM,
    ]
    assert [str(each.corners[0]) for each in asked] == ["RF", "LR", "RR", "LF"]


def test_a_key_names_its_evidence_and_nothing_else() -> None:
    made = car()
    made.reads("LF", ROTOR, SLIPPED, "thimble")
    before = made.the_question().key
    made.reads("RF", ROTOR, "27.30 27.31 27.30 27.31", "thimble")

    assert made.the_question().key == before
    assert before.startswith("Q201:")

    made.reads("LF", ROTOR, "27.40 27.91 27.40 27.41 27.40 27.41", "thimble")

    assert made.the_question().key != before


def test_a_vehicle_without_readings_asks_nothing() -> None:
    assert car().asked() == ()
    assert car().asked(Stage.AS_LEFT) == ()
