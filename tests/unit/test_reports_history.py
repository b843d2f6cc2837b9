"""The history as people read it: one sheet of 80 columns, tables that say all that is drawn."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.corner import Corner, Side
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.quantity import Position, Quantity
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake
from brakelog.reports.history import history_sheet
from brakelog.reports.history_chart import ENDS, wear_chart
from brakelog.reports.history_document import history_document
from brakelog.reports.plain import as_text
from brakelog.rules.fan import Share
from brakelog.rules.measure import Measure
from brakelog.rules.part_history import VehicleHistory
from tests.unit.history_examples import (
    FIRST,
    FITS_BADLY,
    SECOND,
    STEADY,
    THIRD,
    TODAY,
    fitted,
    history,
    pad,
    place,
    stuck_slide,
)
from tests.unit.verdict_examples import FRONT_DISC, LF, RF, readings

FAST = (pad("8.8", FIRST, "RF"), pad("6.6", SECOND, "RF"), pad("4.1", THIRD, "RF"))
BOTH = history([*STEADY, *FAST], corners=(LF, RF))
CHANGED = history(
    [pad("9.0", FIRST), pad("2.4", SECOND), pad("9.4", THIRD)],
    fittings=[fitted("LF", Position.PAD_INNER, "11.0", of=SECOND, basis=SizeBasis.NOMINAL)],
)


def sheet(found: VehicleHistory, *, draws: bool = False, width: int = 80) -> str:
    return as_text(history_sheet(found, width=width, today=TODAY, draws=draws))


def section(text: str, title: str) -> list[str]:
    return text.split(f"\n{title}\n")[1].split("\n\n")[0].splitlines()


# The sheet


def test_what_ends_first_stands_first() -> None:
    rows = section(sheet(BOTH), "What ends first")

    assert [row.split()[0] for row in rows[1:]] == ["RF", "LF"]


def test_what_is_at_its_limit_or_asked_about_stands_before_what_goes_on() -> None:
    stuck = [stuck_slide(THIRD)]
    corners = (LF, RF, Corner(axle=2, side=Side.LEFT))
    rear = tuple(replace(each, axle=2) for each in FRONT_DISC)
    worn = [pad(text, of, "LR") for text, of in (("5.0", FIRST), ("3.5", SECOND), ("1.9", THIRD))]
    found = history(
        [*STEADY, *FAST, *worn],
        findings=stuck,
        corners=corners,
        limits=(*FRONT_DISC, *rear),
        brakes=(AxleBrake.DISC, AxleBrake.DISC),
    )

    rows = section(sheet(found), "What ends first")

    assert [row.split()[0] for row in rows[1:]] == ["LR", "LF", "RF"]
    assert "at or beyond the limit" in rows[1]
    assert "to be cleared up first" in rows[2]


def test_a_bound_that_was_cut_is_marked() -> None:
    slow = [pad("10.8", FIRST), pad("10.6", SECOND), pad("10.3", THIRD)]

    rows = section(sheet(history([*slow, *FAST], corners=(LF, RF))), "What ends first")

    assert "75,000 km+" in rows[2]
    assert rows[-1] == "  + no more is said than three times what was driven."


def test_a_day_that_is_past_is_told_as_due() -> None:
    late = replace(THIRD, day=THIRD.day)
    text = as_text(history_sheet(BOTH, today=late.day.replace(year=2027)))

    assert "may be due" in section(text, "What ends first")[1]
    assert "The newest visit is 12 months old." in text


def test_readings_stand_in_a_row_for_each_visit_and_a_column_for_each_place() -> None:
    rows = section(sheet(BOTH), "Front pads")

    assert rows[0].split() == ["day", "odometer", "mm", "LF", "inner", "RF", "inner"]
    assert [row.split()[-2:] for row in rows[1:4]] == [
        ["9.0", "8.8"],
        ["7.5", "6.6"],
        ["5.9", "4.1"],
    ]
    assert rows[4].startswith("  wear per 1,000 km")


def test_a_visit_shows_what_was_found_and_what_was_fitted() -> None:
    rows = section(sheet(CHANGED), "Front pads")

    assert rows[2] == "  2025-03-03   32,000 km found           2.4"
    assert rows[3] == "                         fitted    ~11.0 new"
    assert "  ~ looked up, not measured." in rows


def test_what_an_earlier_part_lasted_stands_below() -> None:
    text = sheet(CHANGED)

    (row,) = [line for line in text.splitlines() if line.startswith("  LF inner  ")]
    assert row.split() == [
        *("LF", "inner", ">2024-03-04", "2025-03-03", ">12,000", "km", "6.6", "0.550"),
    ]
    assert "> fitted before the record began: it lasted longer." in text


def test_a_part_worn_by_a_fault_is_marked_where_it_ended() -> None:
    cure = [stuck_slide(SECOND), stuck_slide(SECOND, put_right=True)]
    found = history(
        [pad("9.0", FIRST), pad("2.4", SECOND)],
        fittings=[fitted("LF", Position.PAD_INNER, "11.0", of=SECOND)],
        findings=cure,
    )

    assert "! a stuck slide or piston wore it." in " ".join(sheet(found).split())


def test_signs_are_explained_only_where_they_stand() -> None:
    assert "fits the others badly" not in sheet(BOTH)
    assert "? fits the others badly and counts less." in sheet(FITS_BADLY)


def test_the_plain_straight_line_stands_beside_the_projection_and_says_what_it_is() -> None:
    text = " ".join(sheet(BOTH).split())

    assert "Plain straight line through the readings: at the limit after" in text
    assert "; a check only, it decides nothing." in text


def test_where_no_distance_is_told_the_reason_is_and_no_straight_line() -> None:
    text = " ".join(sheet(history(STEADY, findings=[stuck_slide(THIRD)])).split())

    assert "No projection until this is cleared up: a slide or piston was stuck" in text
    assert "straight line" not in text


def test_the_same_reason_is_given_once() -> None:
    found = history([pad("6.0", THIRD), pad("6.2", THIRD, "RF")], corners=(LF, RF))

    assert sheet(found).count("says how thick, not how fast") <= 2
    later = history(
        [*STEADY, *FAST],
        corners=(LF, RF),
        today=THIRD.day.replace(year=2029),
    )
    assert "LF inner pad, RF inner pad: No projection: the reading is too old" in sheet(later)


def test_what_nobody_read_is_named() -> None:
    found = history(STEADY, corners=(LF, RF))

    assert "Nothing on record: RF inner pad." in sheet(found)


def test_an_empty_history_is_said_so() -> None:
    text = sheet(history([], corners=(LF, RF)))

    assert "Nothing on record: LF inner pad, RF inner pad." in text
    assert "What ends first" not in text


@pytest.mark.parametrize("draws", [False, True])
def test_no_line_is_wider_than_the_screen(draws: bool) -> None:
    rear = tuple(replace(each, axle=2) for each in FRONT_DISC)
    corners = tuple(Corner(axle=axle, side=side) for axle in (1, 2) for side in Side)
    quantities = (Quantity.PAD_INNER, Quantity.PAD_OUTER)
    found = history(
        [
            readings(corner.code, quantity, text, of=of)
            for corner in corners
            for quantity in quantities
            for text, of in (("9.35", FIRST), ("7.55", SECOND), ("5.95", THIRD))
        ],
        limits=(*FRONT_DISC, *rear),
        brakes=(AxleBrake.DISC, AxleBrake.DISC),
        corners=corners,
        measures=(Measure.INNER_LINING, Measure.OUTER_LINING),
        fittings=[
            fitted(corner.code, quantity.position, "11.05", of=FIRST)
            for corner in corners
            for quantity in quantities
            if quantity.position
        ],
        tag="A tag as long as " + "somebody liked " * 4,
    )

    assert max(len(line) for line in sheet(found, draws=draws).splitlines()) <= 80


def test_a_shop_that_reads_inches_sees_inches_and_an_odometer_its_miles() -> None:
    shop = Shop(unit=LengthUnit.INCH, distance_unit=DistanceUnit.MILE)
    text = sheet(history([*STEADY, *FAST], corners=(LF, RF), shop=shop), draws=True)

    assert "RF inner pad: in against odometer in mi" in text
    assert "limit 0.0787" in text
    assert "wear per 1,000 mi" in text
    assert " 0.161 " in section(text, "What ends first")[1]


HOSTILE = "<script>alert(1)</script>[/red]$x^2$\x1b[31m\u202eTAC"


def test_a_name_cannot_steer_the_terminal_or_turn_its_order() -> None:
    text = sheet(history(STEADY, tag=HOSTILE), draws=True)

    assert "<script>alert(1)</script>[/red]$x^2$" in text
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_what_is_out_is_said_to_be_out_although_something_else_is_open() -> None:
    worn = [*STEADY[:2], pad("1.8", THIRD)]
    found = history(worn, findings=[stuck_slide(THIRD)], corners=(LF, RF))

    text = " ".join(sheet(found).split())

    assert "at or beyond the limit" in section(sheet(found), "What ends first")[1]
    assert "LF inner pad: At or beyond the limit now." in text


# The drawing


def marks(found: VehicleHistory, sign: str) -> int:
    rows = wear_chart(place(found), found.file.shop, 78)
    inside = [re.split("[│┤┼]", row, maxsplit=1)[-1] for row in rows[1:-2]]
    return sum(row.count(sign) for row in inside)


def test_each_kind_of_mark_is_a_sign_of_its_own() -> None:
    assert marks(history(STEADY), "O") == 3
    assert [marks(history(STEADY), ENDS[share]) for share in Share] == [1, 1, 1]
    assert marks(FITS_BADLY, "?") == 1
    assert marks(CHANGED, "+") == 1
    assert marks(CHANGED, "~") > 5


def test_readings_before_a_fault_was_put_right_are_drawn_as_not_counted() -> None:
    cure = [stuck_slide(SECOND), stuck_slide(SECOND, put_right=True)]

    assert marks(history(STEADY, findings=cure), "x") == 1


def test_where_no_distance_is_told_no_line_leads_to_the_limit() -> None:
    found = history(STEADY, findings=[stuck_slide(THIRD)])

    assert marks(found, "O") == 3
    assert [marks(found, sign) for sign in (".", *ENDS.values())] == [0, 0, 0, 0]


def test_the_limit_and_the_new_size_are_named_at_the_edge() -> None:
    rows = wear_chart(place(history(STEADY)), Shop(), 78)

    assert any(row.strip().startswith("limit 2.0┼") for row in rows)
    assert any(row.strip().startswith("new 11.0┤") for row in rows)


@pytest.mark.parametrize(("width", "height"), [(40, 8), (78, 16), (120, 30), (198, 40)])
def test_a_drawing_has_the_size_that_was_asked_for(width: int, height: int) -> None:
    rows = wear_chart(place(history(STEADY)), Shop(), width, height)

    assert len(rows) == height
    assert max(len(row) for row in rows) == width


def test_a_drawing_is_the_same_every_time_and_holds_no_escapes() -> None:
    first, second = (wear_chart(place(BOTH_PLACES[0]), Shop(), 78) for _ in range(2))

    assert first == second
    assert "\x1b" not in "".join(first)


BOTH_PLACES = [history(STEADY), history(FAST, corners=(RF,))]


def test_one_reading_without_a_limit_can_be_drawn() -> None:
    rows = wear_chart(place(history([pad("6.0", THIRD)], limits=())), Shop(), 78)

    assert "O" in "".join(rows)


def test_the_whole_vehicle_shows_what_ends_first_of_each_set_a_part_of_it_everything() -> None:
    whole = sheet(BOTH, draws=True)
    narrowed = sheet(replace(BOTH, is_narrowed=True), draws=True)

    assert (whole.count("against odometer"), narrowed.count("against odometer")) == (1, 2)
    assert "RF inner pad: mm against odometer in km" in whole


def test_without_the_drawing_nothing_else_is_missing() -> None:
    with_it, without = sheet(BOTH, draws=True).splitlines(), sheet(BOTH).splitlines()

    assert [line for line in without if line not in with_it] == []


# The document


def test_the_document_holds_what_was_typed_and_what_is_drawn() -> None:
    (found,) = history_document(CHANGED)["places"]

    (before,) = found["finished"]
    assert [each["typed"] for each in before["readings"]] == ["9.0", "2.4"]
    assert (before["lasted_km"], before["lasted_days"], before["worn_mm"]) == (
        "12000.0",
        364,
        "6.6",
    )
    assert found["running"]["fitted"]["basis"] == "nominal"
    assert found["running"]["limit_mm"] == "2"


def test_the_fan_of_the_document_is_that_of_the_sentence() -> None:
    (found,) = history_document(history(STEADY))["places"]
    running = found["running"]

    assert [each["share"] for each in running["fan"]["ends"]] == [each.value for each in Share]
    first = running["fan"]["ends"][0]
    assert f"{float(first['distance_km']):,.0f} km" in running["life"]["text"]
    assert first["day"] == running["life"]["not_before"]


def test_a_place_without_a_record_stands_in_the_document_as_such() -> None:
    found = history_document(history(STEADY, corners=(LF, RF)))["places"]

    assert [(each["corner"], each["running"] is None) for each in found] == [
        ("LF", False),
        ("RF", True),
    ]


def test_a_removed_part_leaves_an_empty_place() -> None:
    off = [fitted("LF", Position.PAD_INNER, of=THIRD, event=FittingEvent.REMOVED)]
    found = history(STEADY, fittings=off)

    assert history_document(found)["places"][0]["running"] is None
    assert any(line.split()[-1:] == ["off"] for line in sheet(found).splitlines())
    assert wear_chart(place(found), Shop(), 78)
