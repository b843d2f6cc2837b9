"""Drum gauges, indicators and micrometers: what the instrument did, not the part."""

from __future__ import annotations

import pytest

from brakelog.review.question import Confidence, Scope, Suspicion
from tests.unit.review_examples import (
    CLOSED,
    IN,
    INCH,
    MM,
    OPEN,
    OUT,
    ROTOR,
    RUNOUT,
    SCORING,
    Car,
    car,
    instead_mm,
)

WAVE = "0.02 0.03 0.04 0.04 0.03 0.02 0.01 0.00 0.00 0.01"


def drum_car() -> Car:
    """A car of which both rear drums were read last year."""
    made = car(brakes="disc/drum")
    made.reads("LR", OPEN, "203.60 203.65")
    made.reads("RR", OPEN, "203.55 203.60")
    return made.comes("2026-03-03", "72000")


# Drum gauge


def test_a_drum_that_wears_on_asks_nothing() -> None:
    made = drum_car()
    made.reads("LR", OPEN, "203.70 203.75")
    made.reads("RR", OPEN, "203.65 203.70")

    assert made.asked() == ()


@pytest.mark.parametrize(
    ("typed", "real", "high"),
    [("205.70 205.75", [203.7, 203.75], True), ("201.70 201.75", [203.7, 203.75], False)],
)
def test_a_drum_a_notch_from_its_history(typed: str, real: list[float], high: bool) -> None:
    made = drum_car()
    reading = made.reads("LR", OPEN, typed)

    question = next(q for q in made.asked() if q.suspicion is Suspicion.NOTCH)

    assert (question.confidence, question.reads_high) == (Confidence.HIGH, high)
    assert instead_mm(question, reading) == real
    assert "One notch of the rods is 2.00 mm" in question.evidence


def test_an_inch_gauge_has_notches_of_an_eighth() -> None:
    made = car(brakes="disc/drum", new={})
    made.reads("LR", OPEN, "10.520 10.525", "inch-drum")
    made.comes("2026-03-03", "72000")
    reading = made.reads("LR", OPEN, "10.645 10.650", "inch-drum")

    question = made.the_question()

    assert question.suspicion is Suspicion.NOTCH
    assert instead_mm(question, reading) == [round(10.52 * 25.4, 4), round(10.525 * 25.4, 4)]
    assert "0.125 in (3.18 mm)" in question.evidence


def test_without_history_either_of_two_drums_a_notch_apart_may_be_off() -> None:
    made = car(brakes="disc/drum")
    left = made.reads("LR", OPEN, "205.60 205.65")
    right = made.reads("RR", OPEN, "203.60 203.65")

    question = made.the_question()

    assert (question.suspicion, question.confidence) == (Suspicion.NOTCH, Confidence.MEDIUM)
    assert instead_mm(question, left) == [203.6, 203.65]
    assert instead_mm(question, right) == [205.6, 205.65]


def test_drums_that_differ_by_wear_are_not_asked() -> None:
    made = car(brakes="disc/drum")
    made.reads("LR", OPEN, "204.70 204.72")
    made.reads("LR", CLOSED, "204.35 204.40")
    made.reads("RR", OPEN, "203.95 204.00")

    assert made.asked() == ()


def test_a_drum_smaller_than_new_is_asked() -> None:
    made = car(brakes="disc/drum")
    made.reads("LR", OPEN, "202.60 202.65")

    question = made.the_question()

    assert (question.suspicion, question.reads_high) == (Suspicion.BEYOND_NEW, False)


# Indicator


def test_a_profile_like_a_wave_asks_nothing() -> None:
    made = car()
    made.reads("LF", RUNOUT, WAVE, again="0.02")
    made.reads("RF", RUNOUT, "0.034")

    assert made.asked() == ()


def test_a_profile_with_a_flat_bottom_lost_contact() -> None:
    made = car()
    clipped = "0.047 0.031 0.007 0.000 0.000 0.000 0.000 0.000 0.000 0.008 0.030 0.048"
    reading = made.reads("LF", RUNOUT, clipped, "fine-dial")

    question = made.the_question()

    assert (question.suspicion, question.reads_high) == (Suspicion.CLIPPED, False)
    assert "6 readings in a row are the same minimum" in question.evidence
    assert instead_mm(question, reading) == [None] * 12


def test_a_profile_below_zero_is_asked_and_its_span_kept() -> None:
    made = car()
    reading = made.reads("LF", RUNOUT, "0.00 0.01 0.02 0.02 0.01 0.00 -0.01 -0.02 -0.02 -0.01")

    question = made.the_question()

    assert (question.suspicion, question.confidence) == (Suspicion.BELOW_ZERO, Confidence.MEDIUM)
    assert question.settled_by_looking
    assert instead_mm(question, reading)[:4] == [0.02, 0.03, 0.04, 0.04]


def test_an_indicator_that_does_not_come_back_slipped() -> None:
    made = car()
    reading = made.reads("LF", RUNOUT, WAVE, again="0.05")

    question = made.the_question()

    assert question.suspicion is Suspicion.BASE_SLIPPED
    assert instead_mm(question, reading) == [None] * 10


def test_an_indicator_may_come_back_a_hundredth_off() -> None:
    made = car()
    made.reads("LF", RUNOUT, WAVE, again="0.03")

    assert made.asked() == ()


def test_a_rotor_without_any_runout_was_not_touched() -> None:
    made = car()
    made.reads("LF", RUNOUT, "0.00")

    question = made.the_question()

    assert (question.suspicion, question.reads_high) == (Suspicion.HOLD, False)


def test_a_runout_ten_times_too_large() -> None:
    made = car()
    reading = made.reads("LF", RUNOUT, "0.5")

    question = made.the_question()

    assert (question.suspicion, question.confidence) == (Suspicion.DECIMAL, Confidence.HIGH)
    assert instead_mm(question, reading) == [0.05]


def test_a_runout_in_thou_names_what_it_may_be_and_guesses_nothing() -> None:
    made = car()
    reading = made.reads("LF", RUNOUT, "2")

    question = made.the_question()

    assert (question.suspicion, question.scope) == (Suspicion.RUNOUT_UNIT, Scope.UNIT)
    assert instead_mm(question, reading) == [None]
    assert "in thou 0.051 mm" in question.evidence
    assert "in hundredths of a mm 0.020 mm" in question.evidence


def test_a_runout_finer_than_the_dial_is_in_inches() -> None:
    made = car()
    reading = made.reads("LF", RUNOUT, "0.002", unit=MM)

    question = made.the_question()

    assert question.suspicion is Suspicion.RUNOUT_UNIT
    assert instead_mm(question, reading) == [0.0508]


def test_millimetres_typed_as_inches_of_runout() -> None:
    made = car()
    reading = made.reads("LF", RUNOUT, "0.05", None, unit=INCH)

    question = made.the_question()

    assert question.suspicion is Suspicion.RUNOUT_UNIT
    assert instead_mm(question, reading) == [None]
    assert "in mm 0.0020 in (0.050 mm)" in question.evidence


def test_a_bad_but_possible_runout_is_not_asked() -> None:
    made = car()
    made.reads("LF", RUNOUT, "0.24")
    made.reads("LF", SCORING, "1.6")

    assert made.asked() == ()


# Readings that nobody took


def test_no_variation_at_all_is_asked_politely() -> None:
    made = car()
    reading = made.reads("LF", ROTOR, "27.402 27.402 27.402 27.402 27.402 27.402 27.402 27.402")

    question = made.the_question()

    assert (question.suspicion, question.confidence) == (Suspicion.TOO_EVEN, Confidence.MEDIUM)
    assert instead_mm(question, reading) == [None] * 8
    assert "Please" in question.ask


@pytest.mark.parametrize(
    ("typed", "gauge"),
    [
        ("27.40 27.40 27.40 27.40 27.40 27.40 27.40 27.40", "thimble"),
        ("27.402 27.402 27.402 27.402 27.402", "fine"),
    ],
)
def test_a_coarse_gauge_or_few_points_may_show_no_variation(typed: str, gauge: str) -> None:
    made = car()
    made.reads("LF", ROTOR, typed, gauge)

    assert made.asked() == ()


def test_a_display_that_froze_half_way_round() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.401 27.404 27.406 27.406 27.406 27.406 27.406 27.406 27.406")

    assert made.suspects() == [Suspicion.HOLD]


def test_a_fine_gauge_that_shows_the_same_at_every_lining_is_on_hold() -> None:
    made = car()
    for corner in ("LF", "RF"):
        made.reads(corner, IN, "5.31 5.31", "off-car")
        made.reads(corner, OUT, "5.31 5.31", "off-car")

    assert made.suspects() == [Suspicion.HOLD]


def test_a_coarse_gauge_may_show_the_same_at_every_lining() -> None:
    made = car()
    for corner in ("LF", "RF"):
        made.reads(corner, IN, "5.3 5.3")
        made.reads(corner, OUT, "5.3 5.3")

    assert made.asked() == ()


def test_linings_around_zero_come_from_a_gauge_zeroed_on_them() -> None:
    made = car()
    made.reads("LF", IN, "8.3 8.2")
    made.comes("2025-06-03", "63000")
    made.reads("LF", IN, "0.0 0.1")

    question = made.the_question()

    assert (question.suspicion, question.reads_high) == (Suspicion.HOLD, False)


def test_a_lining_worn_to_nothing_in_its_time_is_believed() -> None:
    made = car()
    made.reads("LF", IN, "2.1 2.0")
    made.comes("2026-06-03", "80000")
    made.reads("LF", IN, "0.0 0.1")

    assert made.asked() == ()
