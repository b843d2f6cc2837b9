from __future__ import annotations

from fractions import Fraction

import pytest

from brakelog.errors import InvalidInput
from brakelog.record.agreement import parse_item, parse_work
from brakelog.record.closing import Check, parse_check, parse_said
from brakelog.record.torque import (
    Fastener,
    TorqueUnit,
    fastener_of,
    parse_torque,
    printed_torques,
)
from brakelog.record.vehicle import AxleBrake

DISC_DRUM = (AxleBrake.DISC, AxleBrake.DRUM)


def test_torques_are_exact_in_every_unit() -> None:
    """1 lbf ft = 1.355 817 948 331 4 N·m (NIST SP 811, App. B)."""
    assert TorqueUnit.POUND_FOOT.newton_metres == Fraction("1.3558179483314004")
    (printed,) = printed_torques("81 lb ft")
    assert printed.least == printed.most == 81 * Fraction("1.3558179483314004")
    assert TorqueUnit.POUND_FOOT.newton_metres == 12 * TorqueUnit.POUND_INCH.newton_metres


@pytest.mark.parametrize(
    "typed",
    [
        "110 N·m",
        "110Nm",
        "110 nm",
        "81 lb ft",
        "81 ft-lbs",
        "81 lbf.ft",
        "30 N·m + 90°",
        "11 kgf·m",
    ],
)
def test_a_torque_is_kept_as_it_was_typed(typed: str) -> None:
    assert parse_torque(typed) == typed


@pytest.mark.parametrize(
    "typed",
    ["110", "N·m", "1,100 N·m", "100-120 N·m", "110 N·m (81 lb ft)", "0.5 N·m", "9000 N·m",
     "110 N·m hand tight", "110 Nmm", ""],
)  # fmt: skip
def test_what_is_not_one_torque_with_its_unit_is_refused(typed: str) -> None:
    with pytest.raises(InvalidInput):
        parse_torque(typed)


def test_a_bare_number_takes_the_unit_that_the_prompt_shows() -> None:
    assert parse_torque("110", declared=TorqueUnit.NEWTON_METRE) == "110 N·m"
    assert parse_torque("81", declared=TorqueUnit.POUND_FOOT) == "81 lb ft"


@pytest.mark.parametrize(
    ("name", "fastener"),
    [
        ("Wheel bolts", Fastener.WHEEL),
        ("lug nuts", Fastener.WHEEL),
        ("calliper guide pin", Fastener.CALIPER),
        ("caliper bracket bolt", Fastener.BRACKET),
        ("carrier to knuckle", Fastener.BRACKET),
        ("wheel cylinder bolt", None),
        ("wheel bearing nut", None),
        ("wheel speed sensor", None),
        ("bleeder screw", None),
    ],
)
def test_fasteners_are_told_by_their_names_on_the_sheet(
    name: str, fastener: Fastener | None
) -> None:
    assert fastener_of(name) is fastener


@pytest.mark.parametrize("check", list(Check), ids=lambda check: check.value)
def test_every_check_can_be_answered_and_closed(check: Check) -> None:
    facts = check.facts

    assert parse_check(check.value.upper()) is check
    assert facts.good <= set(facts.answers)
    assert facts.good
    assert facts.question.endswith("?")
    assert facts.do or facts.good == set(facts.answers)
    for word in facts.answers:
        assert parse_said(check, word) == word
    with pytest.raises(InvalidInput):
        parse_said(check, "perhaps")


def test_the_pedal_is_asked_last_before_the_vehicle_moves() -> None:
    order = list(Check)

    assert order.index(Check.PEDAL_FIRM) + 1 == order.index(Check.ROAD_TEST)
    assert order.index(Check.FLUID_LEVEL) < order.index(Check.PEDAL_FIRM)


@pytest.mark.parametrize(
    ("text", "items"),
    [
        ("front pads", ["front pads"]),
        ("front pads and rotors, rear shoes", ["front pads", "front rotor", "rear shoes"]),
        ("front and rear brakes", ["front brakes", "rear brakes"]),
        ("LF rotor", ["LF rotor"]),
        ("axle 2 drums", ["rear drum"]),
        ("front discs front discs", ["front rotor"]),
        ("RF caliper, rear cylinders", ["RF caliper", "rear caliper"]),
    ],
)
def test_work_is_named_by_place_and_part(text: str, items: list[str]) -> None:
    read = [str(item) for item in parse_work(text, DISC_DRUM)]

    assert read == items
    assert [str(parse_item(each)) for each in read] == items


@pytest.mark.parametrize(
    "text", ["", "pads", "front", "rear pads", "front drums", "axle 3 pads", "front new pads"]
)
def test_work_that_could_be_anything_is_asked_back(text: str) -> None:
    with pytest.raises(InvalidInput):
        parse_work(text, DISC_DRUM)
