from __future__ import annotations

from datetime import date

import pytest

from brakelog.errors import InvalidInput
from brakelog.intake.closing_line import (
    AgreementEntry,
    CheckEntry,
    OdometerOut,
    TorqueEntry,
    parse_closing_line,
)
from brakelog.intake.context import Context
from brakelog.intake.entry import FindingEntry, ReadingEntry
from brakelog.lengths import LengthUnit
from brakelog.record.agreement import Consent, How, WorkItem
from brakelog.record.closing import Check
from brakelog.record.corner import parse_corner
from brakelog.record.quantity import Part
from brakelog.record.reading import Stage
from brakelog.record.vehicle import AxleBrake

CONTEXT = Context(
    declared=LengthUnit.MM, stage=Stage.AS_LEFT, brakes=(AxleBrake.DISC, AxleBrake.DRUM)
)


def read(text: str) -> object:
    return parse_closing_line(text, 1, CONTEXT)


def test_torques_are_for_an_axle_or_a_corner() -> None:
    assert read("torque front wheel 110 N·m") == TorqueEntry(
        axle=1, corner=None, fastener="wheel", figure="110 N·m"
    )
    assert read("Torque LF caliper guide pin 28Nm") == TorqueEntry(
        axle=1, corner=parse_corner("LF"), fastener="caliper", figure="28Nm"
    )
    assert read("torque rear hub nut 180 N·m") == TorqueEntry(
        axle=2, corner=None, fastener="hub nut", figure="180 N·m"
    )
    assert read("torque axle 2 wheel untouched") == TorqueEntry(
        axle=2, corner=None, fastener="wheel", figure=""
    )


def test_a_torque_may_stand_in_quotes_as_the_hint_shows_it() -> None:
    assert read('torque front wheel "110 N·m"') == read("torque front wheel 110 N·m")


def test_checks_name_what_they_are_about() -> None:
    assert read("check pedal-firm Y") == CheckEntry(check=Check.PEDAL_FIRM, said="yes")
    assert read('check wear-sensor front no note="plug broken"') == CheckEntry(
        check=Check.WEAR_SENSOR, said="no", axle=1, note="plug broken"
    )
    assert read("check parking-brake rear not fitted") == CheckEntry(
        check=Check.PARKING_BRAKE, said="not-fitted", axle=2
    )
    assert read("check runout-cure RF plate") == CheckEntry(
        check=Check.RUNOUT_CURE, said="plate", corner=parse_corner("RF")
    )
    assert read("check right-part LR drum yes note=compared") == CheckEntry(
        check=Check.RIGHT_PART,
        said="yes",
        corner=parse_corner("LR"),
        part=Part.DRUM,
        note="compared",
    )


def test_what_the_customer_said_is_kept_with_who_when_and_how() -> None:
    assert read(
        'agreed front pads and rotors who="Pia Quill" how=phone when="2026-03-02 9:05" '
        'number="555 0100" cost="420 EUR" note="call before six"'
    ) == AgreementEntry(
        consent=Consent.AGREED,
        items=read_items("front pads, front rotor"),
        who="Pia Quill",
        how=How.PHONE,
        day=date(2026, 3, 2),
        time="09:05",
        number="555 0100",
        cost="420 EUR",
        note="call before six",
    )
    declined = read("declined rear shoes who=Quill how=signed")
    assert isinstance(declined, AgreementEntry)
    assert (declined.consent, declined.day) == (Consent.DECLINED, None)


def read_items(text: str) -> tuple[WorkItem, ...]:
    entry = read(f"agreed {text} who=x how=mail")
    assert isinstance(entry, AgreementEntry)
    return entry.items


def test_a_line_that_begins_with_a_corner_is_a_reading_or_finding_as_left() -> None:
    runout = read("LF runout 0.03 nuts=5/5 bearing=ok")
    fixed = read("LF finding stuck-slide fixed=yes pin cleaned")

    assert isinstance(runout, ReadingEntry)
    assert runout.stage is Stage.AS_LEFT
    assert isinstance(fixed, FindingEntry)
    assert (fixed.stage, fixed.put_right) == (Stage.AS_LEFT, True)


def test_blank_lines_and_comments_say_nothing_and_the_odometer_is_kept_as_typed() -> None:
    assert read("  ") is None
    assert read("# torque front wheel 1") is None
    assert read("odometer-out 62403 km") == OdometerOut(text="62403 km")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("torque front wheel", "missing"),
        ("torque front 110 N·m", "fastener"),
        ("torque axle 3 wheel 110 N·m", "no "),
        ("torque front wheel 110", "unit"),
        ("check", "missing"),
        ("check pedal yes", "not a check"),
        ("check pedal-firm", "not answered"),
        ("check wear-sensor yes", "not an axle"),
        ("check wear-sensor LF yes", "about an axle"),
        ("check runout-cure front plate", "about a corner"),
        ("check right-part LR rotor yes note=x", "has no rotor"),
        ("check right-part LR drum yes", "needs a note"),
        ("check pedal-firm yes why=x", "not known here"),
        ('check pedal-firm yes note="open', "cannot be read"),
        ("agreed front pads how=phone", "who agreed it"),
        ("agreed front pads who=Quill", "how it was said"),
        ("agreed pads who=Quill how=phone", "where"),
        ("agreed front pads who=Quill how=shouted", "does not say how"),
        ("agreed front pads who=Quill how=phone when=monday", "not a date"),
        ("agreed front pads who=Quill who=Pia how=phone", "said twice"),
        ("odometer-out", "missing"),
        ("tork front wheel 110 N·m", "begins no line"),
        ("check pedal-firm yes\x07", "no text"),
    ],
)
def test_what_cannot_be_read_is_said_in_one_line(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=said) as refused:
        read(text)

    assert len(str(refused.value)) <= 80
    assert refused.value.hint
