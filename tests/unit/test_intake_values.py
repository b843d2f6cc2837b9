"""One value: what it is when it is no reading, and what it was meant to be when it cannot be."""

from __future__ import annotations

import pytest

from brakelog.errors import InvalidInput
from brakelog.intake.value import read_value
from brakelog.lengths import LengthUnit
from brakelog.record.quantity import Quantity

MM, INCH = LengthUnit.MM, LengthUnit.INCH


def refused(quantity: Quantity, text: str, unit: LengthUnit) -> tuple[str, str]:
    with pytest.raises(InvalidInput) as caught:
        read_value(quantity, text, unit)
    assert len(str(caught.value)) <= 80
    assert len(f"hint: {caught.value.hint}") <= 80
    return str(caught.value), caught.value.hint


@pytest.mark.parametrize(
    ("text", "meaning"),
    [
        ("Err", "an error of the gauge"),
        ("E1", "an error of the gauge"),
        ("ERROR 3", "an error of the gauge"),
        ("OL", "beyond the range"),
        ("Lo", "below the range of the gauge, or its battery"),
        ("low", "below the range of the gauge, or its battery"),
        ("low bat", "a low battery"),
        ("LOBAT", "a low battery"),
        ("batt", "a low battery"),
        ("----", "the gauge had no reading"),
        ("---- mm", "the gauge had no reading"),
        ("--", "the gauge had no reading"),
        ("HOLD", "a gauge on hold"),
    ],
)
def test_what_a_gauge_sends_instead_of_a_number_is_named(text: str, meaning: str) -> None:
    message, hint = refused(Quantity.ROTOR, text, MM)

    assert message.startswith(f"{text!r} is not a number")
    assert meaning in message
    assert "x for a point that was not measured" in hint


@pytest.mark.parametrize("text", ["5ZZAL18E2M4002143", "5zzal18e2m4002143", "11111111111111111"])
def test_seventeen_characters_are_a_vin(text: str) -> None:
    message, _ = refused(Quantity.PAD_INNER, text, MM)

    assert "is a VIN, not a reading" in message


def test_a_number_of_seventeen_characters_with_a_point_is_a_number() -> None:
    assert read_value(Quantity.ROTOR, "27.40000000000000", MM).nm == 27_400_000


@pytest.mark.parametrize(
    ("quantity", "text", "unit", "meant"),
    [
        (Quantity.ROTOR, "27.4", INCH, "27.4 mm?"),
        (Quantity.ROTOR, "1.079", MM, "1.079 in (27.407 mm)?"),
        (Quantity.ROTOR, "274", MM, "27.4 mm?"),
        (Quantity.ROTOR, "10.79", INCH, "10.79 mm or 1.079 in (27.407 mm)?"),
        (Quantity.DRUM_OPEN, "203.25", INCH, "203.25 mm?"),
        (Quantity.DRUM_OPEN, "10.519", MM, "10.519 in (267.183 mm)?"),
        (Quantity.DRUM_OPEN, "2032.5", MM, "203.25 mm?"),
        (Quantity.PAD_INNER, "8", INCH, "8 mm or 0.8 in (20.320 mm)?"),
        (Quantity.PAD_INNER, "53", MM, "5.3 mm?"),
        (Quantity.RUNOUT, "5", MM, "5 thou (0.127 mm)?"),
        (Quantity.RUNOUT, "0.3", INCH, "0.3 mm?"),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_what_it_may_be(
    quantity: Quantity, text: str, unit: LengthUnit, meant: str
) -> None:
    message, hint = refused(quantity, text, unit)

    assert quantity.facts.label in message
    assert message.endswith(" is never that")
    assert "a inner" not in message
    assert len(message) <= 80
    assert meant.removesuffix("?") in hint or quantity is Quantity.PAD_INNER
    assert hint.startswith(meant.split(" or ")[0].removesuffix("?"))


@pytest.mark.parametrize(("text", "unit"), [("0.019", INCH), ("0.48", MM), ("1.2", MM)])
def test_a_small_drum_diameter_is_the_oversize_alone(text: str, unit: LengthUnit) -> None:
    _, hint = refused(Quantity.DRUM_CLOSED, text, unit)

    assert "the gauge's oversize alone" in hint


def test_a_rotor_around_zero_comes_from_a_gauge_zeroed_on_the_part() -> None:
    _, hint = refused(Quantity.ROTOR, "0.012", MM)

    assert "zero set on the part" in hint


@pytest.mark.parametrize(
    ("quantity", "text", "unit"),
    [
        (Quantity.ROTOR, "27.4", MM),
        (Quantity.ROTOR, "1.079", INCH),
        (Quantity.DRUM_OPEN, "10.519", INCH),
        (Quantity.PAD_INNER, "0.5", MM),
        (Quantity.PAD_INNER, "8", MM),
        (Quantity.RUNOUT, "0.002", INCH),
    ],
)
def test_what_can_be_is_taken_and_never_changed(
    quantity: Quantity, text: str, unit: LengthUnit
) -> None:
    assert read_value(quantity, text, unit).text == text
