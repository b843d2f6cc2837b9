"""Parts that gained material, or lost as much as a cut takes, without a record."""

from __future__ import annotations

import pytest

from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import Stage
from brakelog.review.question import Confidence, Scope, Suspicion
from tests.unit.review_examples import IN, OPEN, OUT, ROTOR, Car, car, instead_mm


def grown(quantity: Quantity, before: str, now: str, gauge: str = "usual", **facts: object) -> Car:
    made = car(**facts)
    corner = "LR" if quantity is OPEN else "LF"
    made.reads(corner, quantity, before, gauge)
    made.comes("2026-03-03", "72000")
    made.reads(corner, quantity, now, gauge)
    return made


@pytest.mark.parametrize(
    ("quantity", "before", "now"),
    [
        (ROTOR, "27.001 27.002 27.001 27.002", "27.031 27.032 27.031 27.032"),
        (IN, "6.2 6.1", "7.3 7.2"),
        (OPEN, "203.70 203.75", "203.50 203.55"),
    ],
)
def test_a_part_with_more_material_than_before(quantity: Quantity, before: str, now: str) -> None:
    brakes = "disc/drum" if quantity is OPEN else "disc/disc"
    question = grown(quantity, before, now, brakes=brakes).the_question()

    assert (question.suspicion, question.scope) == (Suspicion.GREW, Scope.SET)
    assert question.confidence is Confidence.CERTAIN
    assert question.reads_high is (quantity is not OPEN)
    assert f"{before} mm on 2025-03-03 at 60000 km" in question.evidence


@pytest.mark.parametrize(
    ("quantity", "before", "now"),
    [
        (ROTOR, "27.001 27.002 27.001 27.002", "27.016 27.017 27.016 27.017"),
        (IN, "6.2 6.1", "6.6 6.5"),
        (OPEN, "203.70 203.75", "203.65 203.65"),
    ],
)
def test_what_gauge_and_placement_explain_is_no_growth(
    quantity: Quantity, before: str, now: str
) -> None:
    brakes = "disc/drum" if quantity is OPEN else "disc/disc"

    assert grown(quantity, before, now, brakes=brakes).asked() == ()


def test_the_other_world_is_the_last_reading_less_fast_wear() -> None:
    """12,000 km at 2.5 times the usual 8 mm in 55,000 km."""
    made = grown(IN, "8.1 8.0", "9.2 9.1")

    assert instead_mm(made.the_question(), made.sets[-1]) == [3.7364, 3.6364]


@pytest.mark.parametrize(
    ("traits", "trailing"), [({}, 5.55), ({(0, "faster-axle"): "rear"}, 4.186)]
)
def test_a_variant_that_wears_its_rear_faster_is_expected_to(
    traits: dict[tuple[int, str], str], trailing: float
) -> None:
    made = car(traits=traits)
    made.reads("LR", IN, "8.6 8.5")
    made.comes("2026-03-03", "72000")
    made.reads("LR", IN, "9.6 9.6")

    assert instead_mm(made.the_question(), made.sets[-1])[1] == pytest.approx(trailing, abs=0.001)


def test_the_other_world_is_never_below_nothing() -> None:
    made = grown(IN, "3.1 3.0", "5.0 4.9")
    question = next(each for each in made.asked() if each.suspicion is Suspicion.GREW)

    assert instead_mm(question, made.sets[-1]) == [0.0, 0.0]


def test_an_end_alone_may_grow() -> None:
    assert grown(IN, "6.2 6.1", "5.0 8.9", "off-car").suspects() == [Suspicion.GREW]


def test_a_part_that_reads_like_new_is_asked_to_be_looked_at() -> None:
    made = car()
    for corner in ("LF", "RF"):
        made.reads(corner, IN, "3.1 3.0")
        made.reads(corner, OUT, "3.3 3.2")
    made.comes("2026-03-03", "72000")
    for corner in ("LF", "RF"):
        made.reads(corner, IN, "10.9 10.8")
        made.reads(corner, OUT, "10.9 10.9")

    question = made.the_question()

    assert question.settled_by_looking
    assert len(question.set_ids) == 4
    assert "Look for new pads at LF and RF" in question.ask


@pytest.mark.parametrize(
    "event",
    [FittingEvent.NEW, FittingEvent.USED, FittingEvent.MOVED, FittingEvent.REFINISHED],
)
def test_a_fitting_in_between_explains_growth(event: FittingEvent) -> None:
    made = car()
    made.reads("LF", IN, "3.1 3.0")
    made.comes("2025-09-03", "66000").fits("LF", Position.PAD_INNER, event, "10.0")
    made.comes("2026-03-03", "72000")
    made.reads("LF", IN, "9.1 9.0")

    assert made.asked() == ()


def test_a_part_moved_away_begins_a_new_life_at_both_corners() -> None:
    made = car()
    made.reads("LF", ROTOR, "26.001 26.002 26.001 26.002")
    made.comes("2025-09-03", "66000")
    made.fits("RF", Position.ROTOR, FittingEvent.MOVED, "26.0", from_corner="LF")
    made.comes("2026-03-03", "72000")
    made.reads("LF", ROTOR, "27.501 27.502 27.501 27.502")

    assert made.asked() == ()


def test_what_was_fitted_today_does_not_explain_what_was_found() -> None:
    made = grown(IN, "3.1 3.0", "10.9 10.8").fits("LF", Position.PAD_INNER, size="11.0")

    assert "typed as found" in made.the_question().ask


def test_another_radius_may_show_a_few_hundredths_more() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.001 27.002 27.001 27.002", radius_nm=10_000_000)
    made.comes("2026-03-03", "72000")
    made.reads("LF", ROTOR, "27.061 27.062 27.061 27.062", radius_nm=25_000_000)

    assert made.asked() == ()


def test_a_hot_drum_last_time_explains_itself() -> None:
    made = car(brakes="disc/drum")
    made.reads("LR", OPEN, "203.80 203.85", temperature_dc=700)
    made.comes("2026-03-03", "61000")
    made.reads("LR", OPEN, "203.65 203.65", temperature_dc=200)

    assert made.asked() == ()


def test_growth_of_an_earlier_visit_only_touches_its_history() -> None:
    made = grown(IN, "3.1 3.0", "5.0 4.9")
    at_the_time = next(q for q in made.asked() if q.suspicion is Suspicion.GREW)
    earlier, later = made.sets
    made.comes("2026-09-03", "78000")
    made.reads("LF", IN, "4.4 4.3")

    question = made.the_question()

    assert (question.suspicion, question.scope) == (Suspicion.REPLACED, Scope.LIFE)
    assert question.key == at_the_time.key
    assert question.visit_id == later.visit_id
    assert question.set_ids == (later.id, earlier.id)
    assert question.instead_nm == {}


# Refinished


def cut_rotors(pads_before: str, pads_now: str, rotor_now: str) -> Car:
    made = car()
    made.reads("LF", ROTOR, "27.401 27.402 27.401 27.402")
    made.reads("LF", IN, pads_before)
    made.comes("2026-03-03", "70000")
    made.reads("LF", ROTOR, rotor_now)
    made.reads("LF", IN, pads_now)
    return made


def test_a_rotor_that_lost_a_cut_while_its_pads_hardly_wore() -> None:
    made = cut_rotors("8.2 8.1", "8.0 7.9", "26.951 26.952 26.951 26.952")
    question = made.the_question()

    assert (question.suspicion, question.scope) == (Suspicion.REFINISHED, Scope.LIFE)
    assert question.confidence is Confidence.HIGH
    assert question.instead_nm == {}
    assert "0.450 mm" in question.evidence


def test_a_rotor_that_wears_with_its_pads_was_not_cut() -> None:
    assert cut_rotors("8.2 8.1", "5.7 5.6", "27.051 27.052 27.051 27.052").asked() == ()


def test_a_cut_on_record_is_not_asked_about() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.401 27.402 27.401 27.402")
    made.reads("LF", IN, "8.2 8.1")
    made.fits("LF", Position.ROTOR, FittingEvent.REFINISHED, "26.98")
    made.comes("2026-03-03", "70000")
    made.reads("LF", ROTOR, "26.951 26.952 26.951 26.952")
    made.reads("LF", IN, "8.0 7.9")

    assert made.asked() == ()


def test_a_rotor_as_left_thinner_than_as_found_was_cut() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.401 27.402 27.401 27.402")
    made.reads("LF", ROTOR, "27.001 27.002 27.001 27.002", stage=Stage.AS_LEFT)

    assert made.suspects(Stage.AS_LEFT) == [Suspicion.REFINISHED]


# All points of one rotor


def test_a_half_turn_line_missed_shows_by_the_other_side() -> None:
    made = car()
    for corner in ("LF", "RF"):
        made.reads(corner, ROTOR, "27.40 27.41 27.40 27.41", "thimble")
    made.comes("2026-03-03", "70000")
    made.reads("LF", ROTOR, "27.25 27.26 27.25 27.26", "thimble")
    reading = made.reads("RF", ROTOR, "26.75 26.76 26.75 26.76", "thimble")

    question = made.the_question()

    assert (question.suspicion, question.confidence) == (Suspicion.TURN_ON_ALL, Confidence.MEDIUM)
    assert question.set_ids == (reading.id,)
    assert question.reads_high is False
    assert instead_mm(question, reading) == [27.25, 27.26, 27.25, 27.26]


def test_a_display_misses_no_half_turn_line() -> None:
    made = car()
    for corner in ("LF", "RF"):
        made.reads(corner, ROTOR, "27.401 27.412 27.401 27.412")
    made.comes("2026-03-03", "70000")
    made.reads("LF", ROTOR, "27.251 27.262 27.251 27.262")
    made.reads("RF", ROTOR, "26.751 26.762 26.751 26.762")

    assert made.asked() == ()


def test_both_sides_worn_alike_missed_nothing() -> None:
    made = car()
    for corner in ("LF", "RF"):
        made.reads(corner, ROTOR, "27.40 27.41 27.40 27.41", "thimble")
    made.comes("2026-03-03", "90000")
    for corner in ("LF", "RF"):
        made.reads(corner, ROTOR, "26.90 26.91 26.90 26.91", "thimble")

    assert made.asked() == ()
