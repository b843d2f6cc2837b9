"""Odometers: digits, unit, tenths, trip meter; none of them holds a limit back."""

from __future__ import annotations

from brakelog.lengths import DistanceUnit
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from tests.unit.review_examples import IN, Car


def visits(
    *rows: tuple[str, str, str], unit: DistanceUnit = DistanceUnit.KM, **facts: object
) -> Car:
    """A car with one inner pad read at each visit: day, odometer, thinnest lining."""
    made = Car(odometer_unit=unit, **facts)  # type: ignore[arg-type]
    for day, odometer, lining in rows:
        made.comes(day, odometer)
        if lining:
            made.reads("LF", IN, lining)
    return made


def the_odometer_question(made: Car) -> Question:
    (question,) = [each for each in made.asked() if each.scope is Scope.ODOMETER]
    return question


HISTORY = (("2024-03-12", "61350", "8.2"), ("2025-02-10", "76930", "6.6"))


def test_two_digits_swapped_although_it_still_rises() -> None:
    """The worked case: 78,690 typed for 87,690."""
    made = visits(*HISTORY, ("2025-10-30", "78690", "5.4"))

    question = made.the_question()

    assert question.suspicion is Suspicion.ODOMETER_DIGITS
    assert (question.scope, question.confidence) == (Scope.ODOMETER, Confidence.HIGH)
    assert not question.scope.holds_back
    assert question.visit_id == made.visits[-1].id
    assert question.ask.startswith("87690 km?")
    assert "7 km a day, where 47 km were usual" in question.evidence
    assert "0.68 mm in 1000 km of lining, where 0.10 were" in question.evidence
    assert "41 km a day and 0.11 mm in 1000 km" in question.evidence
    assert "9000, is divisible by 9" in question.evidence
    assert question.instead_nm == {}


def test_a_car_that_stood_and_did_not_wear_is_believed() -> None:
    assert visits(*HISTORY, ("2025-10-30", "78690", "6.4")).asked() == ()


def test_a_car_that_wore_much_at_its_usual_distance_is_believed() -> None:
    assert visits(*HISTORY, ("2025-10-30", "87690", "4.4")).asked() == ()


def test_after_the_correction_nothing_is_asked() -> None:
    assert visits(*HISTORY, ("2025-10-30", "87690", "5.4")).asked() == ()


def test_the_question_stays_with_its_visit_and_does_not_spread_to_the_next() -> None:
    made = visits(*HISTORY, ("2025-10-30", "78690", "5.4"), ("2026-05-02", "95000", "4.6"))

    question = the_odometer_question(made)

    assert question.suspicion is Suspicion.ODOMETER_DIGITS
    assert question.visit_id == made.visits[2].id


def test_an_odometer_lower_than_before_is_certainly_wrong() -> None:
    made = visits(*HISTORY, ("2025-10-30", "71200", "5.4"))
    question = the_odometer_question(made)

    assert question.suspicion is Suspicion.ODOMETER_LOWER
    assert question.confidence is Confidence.CERTAIN
    assert "71200 km after 76930 km on 2025-02-10" in question.evidence
    assert "replaced cluster" in question.ask


def test_a_lower_odometer_names_the_digits_that_fit() -> None:
    made = visits(*HISTORY, ("2025-10-30", "68790", "5.4"))

    assert the_odometer_question(made).ask.startswith("86790 km?")


def test_miles_typed_as_kilometres() -> None:
    """The cluster shows 54,488 miles; typed without a unit it runs back."""
    made = visits(*HISTORY, ("2025-10-30", "54488", "5.4"))
    question = the_odometer_question(made)

    assert (question.suspicion, question.confidence) == (
        Suspicion.ODOMETER_UNIT,
        Confidence.MEDIUM,
    )
    assert question.ask.startswith("54488 mi?")


def test_kilometres_typed_as_miles() -> None:
    made = visits(*HISTORY, ("2025-10-30", "87690 mi", "5.4"))
    question = the_odometer_question(made)

    assert question.suspicion is Suspicion.ODOMETER_UNIT
    assert question.ask.startswith("87690 km?")
    assert "87690 mi (141123 km)" in question.evidence


def test_a_car_in_miles_that_is_typed_in_miles_is_fine() -> None:
    rows = (
        ("2024-03-12", "38121", "8.2"),
        ("2025-02-10", "47802", "6.6"),
        ("2025-10-30", "54488", "5.4"),
    )

    assert visits(*rows, unit=DistanceUnit.MILE).asked() == ()


def test_the_tenths_digit_typed_too() -> None:
    made = visits(*HISTORY, ("2025-10-30", "876904", "5.4"))
    question = the_odometer_question(made)

    assert (question.suspicion, question.confidence) == (
        Suspicion.ODOMETER_TENTHS,
        Confidence.HIGH,
    )
    assert question.ask.startswith("87690 km?")


def test_further_than_anybody_drives() -> None:
    made = visits(("2025-02-10", "6930", ""), ("2025-02-12", "10930", ""))

    assert the_odometer_question(made).suspicion is Suspicion.ODOMETER_FAST


def test_a_long_journey_is_believed() -> None:
    assert visits(("2025-02-10", "76930", ""), ("2025-02-12", "78430", "")).asked() == ()


def test_a_trip_meter_on_an_old_car() -> None:
    made = visits(*HISTORY, ("2025-10-30", "431", "5.4"))

    assert the_odometer_question(made).suspicion is Suspicion.TRIP_METER


def test_a_trip_meter_at_a_first_visit_shows_by_the_wear() -> None:
    made = visits(("2025-10-30", "431", "5.4"))
    question = the_odometer_question(made)

    assert (question.suspicion, question.confidence) == (Suspicion.TRIP_METER, Confidence.MEDIUM)
    assert "worn by 5.6 mm" in question.evidence


def test_a_young_car_may_have_a_low_odometer() -> None:
    assert visits(("2025-10-30", "431", "10.9")).asked() == ()


def test_a_first_visit_asks_nothing_about_its_odometer() -> None:
    assert visits(("2025-10-30", "187690", "5.4")).asked() == ()
