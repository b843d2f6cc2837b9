"""What a customer is told before a part runs out."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pytest

from brakelog.lengths import DistanceUnit
from brakelog.record.people import Customer
from brakelog.record.quantity import Position
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.reports.customer_reminder import (
    Note,
    reminder_document,
    reminder_note,
    reminder_text,
)
from brakelog.rules.due import DueListing, Wanted
from brakelog.rules.outlook import PartOutlook, VehicleOutlook
from brakelog.wear.projection import Refusal
from brakelog.wear.usage import Usage
from tests.unit.verdict_examples import LF, RF

TODAY = date(2026, 6, 1)
KM = 1_000_000
PART = PartOutlook(
    corner=LF,
    position=Position.PAD_INNER,
    grounds="",
    refusal=None,
    ask="",
    at_least_mm=4_300 * KM,
    median_mm=8_000 * KM,
    latest_mm=12_000 * KM,
    from_odometer_mm=86_420 * KM,
    read_on=date(2026, 3, 2),
    not_before=date(2026, 7, 6),
    median_day=date(2026, 10, 20),
    margin_nm=1_000_000,
    limit_nm=2_000_000,
    readings=3,
    own_share=0.8,
    source="general experience",
)
VEHICLE = Vehicle(
    id="v",
    tag="TEAL-3",
    description="Orrin Sallow 2.0",
    brakes=(AxleBrake.DISC, AxleBrake.DISC),
    odometer_unit=DistanceUnit.KM,
)
OWNER = Customer(id="c", tag="pia", name="Pia Quill", contact="555-0102")


def note(
    *parts: PartOutlook,
    today: date = TODAY,
    last_day: date = date(2026, 3, 2),
    km: float = 35.0,
    owner: Customer = OWNER,
) -> Note:
    outlook = VehicleOutlook(
        vehicle_class=None,
        visits=3,
        last_day=last_day,
        last_odometer_mm=86_420 * KM,
        planned_months=12,
        wears_by_age=False,
        usage=Usage(log_km_per_day=math.log(km), log_sd=0.2, days_behind=700),
        parts=parts,
    )
    listing = DueListing(Wanted(), today)
    listing.take("v", "TEAL-3", outlook)
    (entry,) = listing.finished().entries
    shop = Shop(name="Tidewater Brake Bench", phone="555-0100")
    return reminder_note(VEHICLE, owner, entry, parts, shop, today)


def test_the_earliest_day_comes_first_and_the_range_is_honest() -> None:
    found = note(PART)

    assert found.lead == "By our estimate a part of your brakes will reach its limit before long."
    # 86,420 km and 4,300 km are 90,720 km, which is told as less and never as more.
    assert found.parts == (
        "Left front inner pad: 9 of 10 such parts last at least until 6 Jul 2026, or until the "
        "odometer shows 90,500 km; half of them last until Oct 2026.",
    )
    assert found.do == (
        "Please make an appointment with us before 6 Jul 2026, so that we can measure it."
    )


@pytest.mark.parametrize(
    ("part", "lead", "sentence", "do"),
    [
        (
            replace(PART, refusal=Refusal.AT_LIMIT, grounds="required", at_least_mm=None),
            "a part was at or past its limit",
            "Left front inner pad: at or past its limit on 2 Mar 2026.",
            "Please call us before you drive any further.",
        ),
        (
            replace(PART, refusal=Refusal.UNRESOLVED, grounds="required", at_least_mm=None),
            "work was needed",
            "Left front inner pad: work was needed on 2 Mar 2026.",
            "Please call us before you drive any further.",
        ),
        (
            replace(PART, refusal=Refusal.WITHIN_ERROR, grounds="suggested", at_least_mm=0),
            "so close to its limit that we cannot say how long it will go",
            "Left front inner pad: too close to its limit to be sure on 2 Mar 2026.",
            "Please call us now, so that we can measure it.",
        ),
        (
            replace(PART, not_before=date(2026, 5, 18)),
            "may have reached its limit by now",
            "Left front inner pad: 9 of 10 such parts last until 18 May 2026, or until the "
            "odometer shows 90,500 km. That day is past: it may be at its limit now.",
            "Please call us now, so that we can measure it.",
        ),
        (
            replace(PART, not_before=None, median_day=None),
            "will reach its limit before long",
            "Left front inner pad: 9 of 10 such parts last at least until the odometer shows "
            "90,500 km.",
            "Please make an appointment with us before then, so that we can measure it.",
        ),
    ],
    ids=["at its limit", "work was needed", "not proven", "past", "no day"],
)
def test_each_state_is_told_as_what_it_is(
    part: PartOutlook, lead: str, sentence: str, do: str
) -> None:
    found = note(part)

    assert lead in found.lead
    assert (found.parts, found.do) == ((sentence,), do)


def test_what_stands_still_is_due_by_age_and_not_in_the_past() -> None:
    far = replace(PART, not_before=date(2030, 1, 7), median_day=None)

    ahead = note(far, km=2.0)
    assert ahead.lead == "Your brakes are due to be looked at, however little the car was driven."
    assert "before 2 Mar 2027" in ahead.do
    past = note(far, km=2.0, last_day=date(2025, 3, 2))
    assert past.do == "Please call us now, so that we can measure it."


def test_an_old_odometer_is_said() -> None:
    assert not any("We last saw your odometer" in each for each in note(PART).rest)
    old = note(PART, last_day=date(2025, 3, 2))
    assert any("We last saw your odometer on 2 Mar 2025" in each for each in old.rest)


def test_the_text_fits_a_mail_and_keeps_the_number_of_the_customer_to_itself() -> None:
    disc = replace(PART, corner=RF, position=Position.ROTOR, not_before=date(2026, 8, 3))
    text = reminder_text(note(PART, disc))

    assert max(map(len, text.splitlines())) <= 80
    assert text.index("Left front inner pad") < text.index("Right front brake disc")
    assert "For Pia Quill" in text
    assert "555-0102" not in text
    assert text.endswith("Tidewater Brake Bench, 555-0100\n")


def test_a_name_cannot_steer_the_terminal_that_shows_the_note() -> None:
    found = note(PART, owner=replace(OWNER, name="Ann\x1b[31m", contact="a\nb"))

    assert "\x1b" not in reminder_text(found)
    assert "\n" not in str(reminder_document("TEAL-3", found)["contact"])
