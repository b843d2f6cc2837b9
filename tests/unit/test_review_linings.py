"""Linings in the wrong unit, with the point or digits moved, with their plate, beyond new."""

from __future__ import annotations

import pytest

from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Position
from brakelog.record.reading import Datum
from brakelog.review.question import Confidence, Scope, Suspicion
from tests.unit.review_examples import IN, INCH, MM, OUT, ROTOR, Car, car, instead_mm


def worn_car(first: str = "8.3 8.2") -> Car:
    """A car of which the left front inner pad was read once, a year and 12,000 km ago."""
    made = car()
    made.reads("LF", IN, first)
    return made.comes("2026-03-03", "72000")


def test_a_lining_that_wears_on_asks_nothing() -> None:
    made = worn_car()
    made.reads("LF", IN, "6.7 6.5")

    assert made.asked() == ()


# Unit


def test_inches_typed_as_millimetres_show_by_the_history() -> None:
    made = worn_car()
    reading = made.reads("LF", IN, "0.27 0.26", unit=MM)

    question = made.the_question()

    assert question.suspicion is Suspicion.LINING_UNIT
    assert (question.scope, question.confidence) == (Scope.UNIT, Confidence.HIGH)
    assert question.scope.holds_back
    assert question.reads_high is False
    assert instead_mm(question, reading) == [6.858, 6.604]
    assert "0.27 0.26 mm" in question.evidence
    assert "in inches it is 6.86 mm, 6.60 mm" in question.evidence


def test_thirty_seconds_typed_as_millimetres_show_by_the_history() -> None:
    made = worn_car()
    reading = made.reads("LF", IN, "10 10", unit=MM)

    question = next(q for q in made.asked() if q.suspicion is Suspicion.LINING_UNIT)

    assert question.reads_high is True
    assert instead_mm(question, reading) == [7.9375, 7.9375]
    assert "in 32nds of an inch" in question.evidence


def test_millimetres_typed_as_inches_show_by_the_history() -> None:
    made = worn_car("1.6 1.5")
    reading = made.reads("LF", IN, "1.2 1.1", "inch-depth")

    question = next(q for q in made.asked() if q.suspicion is Suspicion.LINING_UNIT)

    assert instead_mm(question, reading) == [1.2, 1.1]
    assert "1.2 1.1 in (27.94 to 30.48 mm)" in question.evidence


def test_inches_typed_as_millimetres_show_by_the_other_side() -> None:
    made = car()
    made.reads("LF", IN, "0.27 0.26", unit=MM)
    made.reads("RF", IN, "6.9 6.8")

    question = made.the_question()

    assert (question.suspicion, question.confidence) == (Suspicion.LINING_UNIT, Confidence.MEDIUM)
    assert [str(each) for each in question.corners] == ["LF"]


@pytest.mark.parametrize("typed", ["0.5 0.5", "8 8", "0.3 0.3"])
def test_without_anything_to_hold_it_against_no_unit_is_guessed(typed: str) -> None:
    made = car()
    made.reads("LF", IN, typed, unit=MM)

    assert made.asked() == ()


def test_one_side_worn_out_is_no_slip_of_unit() -> None:
    made = car()
    made.reads("LF", IN, "1.4 1.2")
    made.reads("RF", IN, "6.9 6.8")

    assert made.asked() == ()


# Decimal point and digits


def test_a_tenth_of_the_lining() -> None:
    made = worn_car()
    reading = made.reads("LF", IN, "0.67 0.65", "off-car")

    question = made.the_question()

    assert (question.suspicion, question.scope) == (Suspicion.DECIMAL, Scope.SET)
    assert instead_mm(question, reading) == [6.7, 6.5]


def test_ten_times_the_lining() -> None:
    made = worn_car("2.9 2.8")
    reading = made.reads("LF", IN, "16 16")

    question = next(q for q in made.asked() if q.suspicion is Suspicion.DECIMAL)

    assert question.reads_high is True
    assert instead_mm(question, reading) == [1.6, 1.6]


def test_two_digits_of_one_end_swapped() -> None:
    made = worn_car("5.6 5.5")
    reading = made.reads("LF", IN, "3.5 5.1")

    question = made.the_question()

    assert (question.suspicion, question.points) == (Suspicion.DIGITS, (0,))
    assert instead_mm(question, reading) == [5.3, 5.1]
    assert "3.5 mm with two digits swapped is 5.30 mm" in question.evidence


def test_a_tapered_lining_is_no_swap_of_digits() -> None:
    made = worn_car("5.6 5.5")
    made.reads("LF", IN, "3.7 4.9")

    assert made.asked() == ()


# Plate and new size


def test_a_lining_a_plate_above_new_includes_the_plate() -> None:
    made = car()
    inner = made.reads("LF", IN, "14.8 14.7")
    outer = made.reads("LF", OUT, "15.1 15.0")

    question = made.the_question()

    assert (question.suspicion, question.scope) == (Suspicion.PLATE, Scope.SET)
    assert question.set_ids == (inner.id, outer.id)
    assert question.reads_high is True
    assert instead_mm(question, inner) == [None, None]
    assert "4.5 to 6.5 mm" in question.evidence


def test_a_lining_a_plate_above_its_history_includes_the_plate() -> None:
    made = worn_car("5.2 5.1")
    made.reads("LF", IN, "9.0 8.9")

    assert made.suspects() == [Suspicion.PLATE]


def test_a_reading_that_says_so_may_include_the_plate() -> None:
    made = car()
    made.reads("LF", IN, "14.8 14.7", datum=Datum.WITH_PLATE)

    assert made.asked() == ()


def test_a_thicker_set_that_was_measured_at_fitting_explains_itself() -> None:
    made = car().fits("LF", Position.PAD_INNER, FittingEvent.NEW, "13.0")
    made.comes("2026-03-03", "61000")
    made.reads("LF", IN, "12.9 12.9")

    assert made.asked() == ()


@pytest.mark.parametrize("typed", ["28.42 28.41 28.40 28.41", "45.3 45.3 45.3 45.4"])
def test_a_rotor_thicker_than_new_is_asked(typed: str) -> None:
    made = car()
    reading = made.reads("LF", ROTOR, typed, "thimble")

    question = made.the_question()

    assert (question.suspicion, question.reads_high) == (Suspicion.BEYOND_NEW, True)
    assert instead_mm(question, reading) == [None] * 4
    assert "New is 28.000 mm" in question.evidence


def test_new_parts_may_differ_a_little_from_the_sheet() -> None:
    made = car()
    made.reads("LF", ROTOR, "28.20 28.21 28.20 28.21", "thimble")
    made.reads("LF", IN, "11.9 11.9")

    assert made.asked() == ()


def test_a_lining_in_inches_is_compared_in_nanometres() -> None:
    made = car()
    made.reads("LF", IN, "0.325 0.320", "inch-depth")
    made.comes("2026-03-03", "72000")
    made.reads("LF", IN, "0.265 0.260", "inch-depth", unit=INCH)

    assert made.asked() == ()
