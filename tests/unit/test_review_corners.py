"""Readings of another corner, another pad, another visit or another car."""

from __future__ import annotations

import pytest

from brakelog.record.finding import FindingKind
from brakelog.record.fitting import FittingEvent
from brakelog.record.quantity import Part, Position
from brakelog.record.reading import Stage
from brakelog.review.question import Confidence, Scope, Suspicion
from tests.unit.review_examples import IN, LEAD, OUT, ROTOR, RUNOUT, TRAIL, Car, car, instead_mm


def unlike_sides() -> Car:
    """Last year the left front had worn much more than the right front."""
    made = car()
    made.reads("LF", IN, "5.2 5.0")
    made.reads("RF", IN, "8.8 8.7")
    made.reads("LF", ROTOR, "26.901 26.902 26.901 26.902")
    made.reads("RF", ROTOR, "27.301 27.302 27.301 27.302")
    return made.comes("2026-03-03", "70000")


# Corners


def test_left_and_right_swapped() -> None:
    made = unlike_sides()
    left = made.reads("LF", IN, "7.7 7.5")
    right = made.reads("RF", IN, "4.1 4.0")
    made.reads("LF", ROTOR, "27.151 27.152 27.151 27.152")
    made.reads("RF", ROTOR, "26.751 26.752 26.751 26.752")
    runout = made.reads("LF", RUNOUT, "0.03")

    question = next(q for q in made.asked() if q.suspicion is Suspicion.CORNERS)

    assert (question.scope, question.confidence) == (Scope.CORNERS, Confidence.HIGH)
    assert [str(each) for each in question.corners] == ["LF", "RF"]
    assert instead_mm(question, left) == [4.1, 4.0]
    assert instead_mm(question, right) == [7.7, 7.5]
    assert instead_mm(question, runout) == [None]
    assert "Exchanged, LF and RF both fit" in question.evidence


def test_one_line_typed_at_the_other_corner_exchanges_only_that() -> None:
    made = unlike_sides()
    left = made.reads("LF", IN, "7.7 7.5")
    right = made.reads("RF", IN, "4.1 4.0")
    made.reads("LF", ROTOR, "26.751 26.752 26.751 26.752")
    made.reads("RF", ROTOR, "27.151 27.152 27.151 27.152")

    question = next(q for q in made.asked() if q.suspicion is Suspicion.CORNERS)

    assert set(question.instead_nm) == {left.id, right.id}


def test_unlike_sides_that_wear_on_are_not_asked() -> None:
    made = unlike_sides()
    made.reads("LF", IN, "4.1 4.0")
    made.reads("RF", IN, "7.7 7.5")
    made.reads("LF", ROTOR, "26.751 26.752 26.751 26.752")
    made.reads("RF", ROTOR, "27.151 27.152 27.151 27.152")

    assert made.asked() == ()


def test_sides_that_become_unlike_without_growth_are_not_exchanged() -> None:
    made = car()
    made.reads("LF", IN, "8.2 8.0")
    made.reads("RF", IN, "8.8 8.7")
    made.comes("2026-03-03", "75000")
    made.reads("LF", IN, "7.7 7.5")
    made.reads("RF", IN, "5.1 5.0")

    assert made.asked() == ()


def test_front_and_rear_swapped() -> None:
    made = car()
    made.reads("LF", ROTOR, "27.301 27.302 27.301 27.302")
    made.reads("LR", ROTOR, "11.501 11.502 11.501 11.502")
    made.comes("2026-03-03", "70000")
    front = made.reads("LF", ROTOR, "11.401 11.402 11.401 11.402")
    rear = made.reads("LR", ROTOR, "27.151 27.152 27.151 27.152")

    question = next(q for q in made.asked() if q.suspicion is Suspicion.CORNERS)

    assert instead_mm(question, front) == [27.151, 27.152, 27.151, 27.152]
    assert instead_mm(question, rear) == [11.401, 11.402, 11.401, 11.402]


def test_front_and_rear_swapped_at_a_first_visit_show_by_the_new_size() -> None:
    made = car()
    made.reads("LF", ROTOR, "11.401 11.402 11.401 11.402")
    made.reads("LR", ROTOR, "27.151 27.152 27.151 27.152")

    question = next(q for q in made.asked() if q.suspicion is Suspicion.CORNERS)

    assert question.confidence is Confidence.MEDIUM
    assert Suspicion.BEYOND_NEW in made.suspects()


def test_the_exchanged_set_has_as_many_points_as_its_place() -> None:
    """Of too many values the extremes stay, of too few the rest is not measured."""
    made = car()
    front = made.reads("LF", ROTOR, "11.408 11.402 11.401 11.409 11.405 11.404")
    rear = made.reads("LR", ROTOR, "27.151 27.158 27.150 27.152")

    question = next(q for q in made.asked() if q.suspicion is Suspicion.CORNERS)

    assert instead_mm(question, front) == [27.151, 27.158, 27.15, 27.152, None, None]
    assert instead_mm(question, rear)[:2] == [11.401, 11.409]
    assert len(question.instead_nm[rear.id]) == 4


# Pads


def pads(before: tuple[str, str], now: tuple[str, str], **facts: object) -> Car:
    made = car(**facts)
    made.reads("LF", IN, before[0])
    made.reads("LF", OUT, before[1])
    made.comes("2026-03-03", "70000")
    made.reads("LF", IN, now[0])
    made.reads("LF", OUT, now[1])
    return made


SWAPPED = (("6.9 6.8", "8.2 8.1"), ("7.1 7.0", "5.6 5.5"))


def test_inner_and_outer_swapped() -> None:
    made = pads(*SWAPPED)
    question = made.the_question()
    inner, outer = made.sets[-2:]

    assert (question.suspicion, question.scope) == (Suspicion.PADS, Scope.CORNERS)
    assert question.confidence is Confidence.MEDIUM
    assert instead_mm(question, inner) == [5.6, 5.5]
    assert instead_mm(question, outer) == [7.1, 7.0]
    assert "was 1.30 mm thinner" in question.evidence
    assert "is 1.50 mm thicker now" in question.evidence


def test_inner_and_outer_that_keep_their_order_are_not_asked() -> None:
    assert pads(("6.9 6.8", "8.2 8.1"), ("5.6 5.5", "7.1 7.0")).asked() == ()


def test_a_pad_that_is_known_to_wear_faster_may_become_the_thinner_one() -> None:
    assert pads(*SWAPPED, traits={(1, "faster-pad"): "outer"}).asked() == ()
    assert pads(*SWAPPED, traits={(1, "faster-pad"): "inner"}).suspects() == [Suspicion.PADS]


def test_a_stuck_slide_explains_it() -> None:
    made = pads(*SWAPPED).shows("LF", FindingKind.STUCK_SLIDE, Part.PADS)

    assert made.asked() == ()


def test_leading_and_trailing_shoe_swapped() -> None:
    made = car(brakes="disc/drum")
    made.reads("LR", LEAD, "2.5 2.4", "off-car")
    made.reads("LR", TRAIL, "4.1 4.0", "off-car")
    made.comes("2026-03-03", "70000")
    made.reads("LR", LEAD, "3.9 3.8", "off-car")
    made.reads("LR", TRAIL, "2.2 2.1", "off-car")

    assert Suspicion.PADS in made.suspects()


# Copies

CIRCLE = "27.402 27.404 27.406 27.405 27.401 27.399 27.400 27.401"


def test_two_corners_with_the_same_circle_are_copied() -> None:
    made = car()
    left = made.reads("LF", ROTOR, CIRCLE)
    right = made.reads("RF", ROTOR, CIRCLE)

    question = made.the_question()

    assert (question.suspicion, question.scope) == (Suspicion.COPIED, Scope.SET)
    assert question.set_ids == (left.id, right.id)
    assert instead_mm(question, left) == instead_mm(question, right) == [None] * 8


def test_a_circle_of_the_last_visit_is_copied() -> None:
    made = car()
    made.reads("LF", ROTOR, CIRCLE)
    made.comes("2026-03-03", "70000")
    reading = made.reads("LF", ROTOR, CIRCLE)

    question = made.the_question()

    assert (question.suspicion, question.set_ids) == (Suspicion.COPIED, (reading.id,))
    assert "2025-03-03" in question.evidence


def test_two_circles_that_differ_in_one_digit_are_not() -> None:
    made = car()
    made.reads("LF", ROTOR, CIRCLE)
    made.reads("RF", ROTOR, CIRCLE.replace("27.399", "27.398"))

    assert made.asked() == ()


def test_a_coarse_circle_may_come_out_the_same() -> None:
    made = car()
    made.reads("LF", ROTOR, "28.00 28.00 28.00 28.01 28.00 28.00", "thimble")
    made.reads("RF", ROTOR, "28.00 28.00 28.00 28.01 28.00 28.00", "thimble")

    assert made.asked() == ()


def test_all_linings_of_the_last_visit_again_are_copied() -> None:
    made = car()
    for day, km in (("2025-03-03", "60000"), ("2026-03-03", "70000")):
        if day != "2025-03-03":
            made.comes(day, km)
        for corner in ("LF", "RF"):
            made.reads(corner, IN, "7.2 7.0")
            made.reads(corner, OUT, "7.5 7.4")

    assert made.suspects() == [Suspicion.COPIED]


# As left


def as_left(
    found: str, left: str, event: FittingEvent = FittingEvent.NEW, size: str = "11.0"
) -> Car:
    made = car()
    made.reads("LF", IN, found)
    made.fits("LF", Position.PAD_INNER, event, size)
    made.reads("LF", IN, left, stage=Stage.AS_LEFT)
    return made


def test_the_readings_as_found_typed_as_left() -> None:
    made = as_left("3.2 3.0", "3.2 3.0")
    question = made.the_question(Stage.AS_LEFT)

    assert (question.suspicion, question.confidence) == (Suspicion.NOT_AS_LEFT, Confidence.HIGH)
    assert instead_mm(question, made.sets[-1]) == [None, None]
    assert made.asked(Stage.AS_FOUND) == ()


def test_a_lining_as_left_thinner_than_the_set_that_went_on() -> None:
    assert as_left("3.2 3.0", "3.4 3.1").suspects(Stage.AS_LEFT) == [Suspicion.NOT_AS_LEFT]


@pytest.mark.parametrize(
    ("event", "size", "left"),
    [(FittingEvent.NEW, "11.0", "10.8 10.9"), (FittingEvent.USED, "6.0", "6.1 6.0")],
)
def test_what_went_on_is_read_as_left(event: FittingEvent, size: str, left: str) -> None:
    assert as_left("3.2 3.0", left, event, size).asked(Stage.AS_LEFT) == ()


# The vehicle


def test_most_corners_against_their_history_are_another_car() -> None:
    made = car()
    for corner, pad, rotor in (
        ("LF", "4.1 4.0", "26.601 26.602 26.601 26.602"),
        ("RF", "4.2 4.1", "26.611 26.612 26.611 26.612"),
        ("LR", "5.2 5.1", "11.301 11.302 11.301 11.302"),
        ("RR", "5.3 5.2", "11.311 11.312 11.311 11.312"),
    ):
        made.reads(corner, IN, pad)
        made.reads(corner, ROTOR, rotor)
    made.comes("2025-09-03", "66000")
    for corner, pad, rotor in (
        ("LF", "7.8 7.7", "27.401 27.402 27.401 27.402"),
        ("RF", "7.9 7.8", "27.411 27.412 27.411 27.412"),
        ("LR", "8.1 8.0", "11.701 11.702 11.701 11.702"),
        ("RR", "8.0 7.9", "11.711 11.712 11.711 11.712"),
    ):
        made.reads(corner, IN, pad)
        made.reads(corner, ROTOR, rotor)

    question = next(q for q in made.asked() if q.suspicion is Suspicion.VEHICLE)

    assert (question.scope, question.settled_by_looking) == (Scope.VEHICLE, True)
    assert len(question.instead_nm) == 8
    assert "VIN" in question.ask


def test_new_brakes_all_round_are_not_another_car() -> None:
    made = car()
    for corner, worn in (
        ("LF", "3.1 3.0"),
        ("RF", "3.2 3.1"),
        ("LR", "2.9 2.8"),
        ("RR", "3.0 2.9"),
    ):
        made.reads(corner, IN, worn)
        made.reads(corner, OUT, worn)
    made.comes("2025-09-03", "66000")
    for corner, new in (
        ("LF", "10.9 10.9"),
        ("RF", "10.9 10.8"),
        ("LR", "9.9 9.8"),
        ("RR", "9.9 9.9"),
    ):
        made.reads(corner, IN, new)
        made.reads(corner, OUT, new)

    assert set(made.suspects()) == {Suspicion.GREW}
