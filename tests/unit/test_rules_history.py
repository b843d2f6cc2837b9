"""The history of one place: its parts, their readings, and the lines drawn from them."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from brakelog.lengths import MM_PER_KM, DistanceUnit
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.fan import Share
from brakelog.rules.life_words import life_sentence
from brakelog.rules.measure import Measure
from brakelog.rules.part_history import RunningPart
from brakelog.wear.projection import Note, Refusal
from tests.unit.history_examples import (
    FIRST,
    FITS_BADLY,
    SECOND,
    STEADY,
    THIRD,
    VISITS,
    fitted,
    history,
    pad,
    place,
    running,
    stuck_slide,
)
from tests.unit.verdict_examples import limit, readings, visit


def km(mm: int) -> int:
    return mm // MM_PER_KM


def distances(part: RunningPart) -> dict[Share, int]:
    assert part.fan is not None
    return {end.share: km(end.distance_mm) for end in part.fan.ends}


# What is gathered


def test_every_reading_stands_there_as_typed_oldest_first() -> None:
    part = running(history(STEADY))

    assert [each.typed for each in part.readings] == ["9.0", "7.5", "5.9"]
    assert [km(each.odometer_mm) for each in part.readings] == [20_000, 32_000, 45_000]
    assert all(each.counts for each in part.readings)


def test_the_lower_end_of_a_pad_is_its_size() -> None:
    part = running(history([pad("9.2 9.0", FIRST), pad("7.5 7.8", SECOND), pad("5.9 6.2", THIRD)]))

    assert [each.typed for each in part.readings] == ["9.0", "7.5", "5.9"]


def test_a_part_that_the_newest_visit_did_not_measure_is_told_from_its_last_reading() -> None:
    part = running(history(STEADY[:2]))

    assert part.told.read_on == SECOND.day
    assert part.told.projection.from_odometer_mm == SECOND.odometer_mm
    assert part.told.projection.refusal is None


def test_a_reading_that_is_too_old_on_the_day_of_asking_says_nothing_any_more() -> None:
    found = running(history(STEADY, today=date(2028, 3, 3)))

    assert running(history(STEADY, today=date(2028, 3, 2))).fan is not None
    assert found.told.projection.refusal is Refusal.TOO_OLD
    assert found.fan is None


def test_driving_on_without_measuring_makes_a_reading_too_old() -> None:
    later = visit("later", date(2026, 3, 2), 70_000)

    part = running(history(STEADY[:2], visits=(FIRST, SECOND, later)))

    assert part.told.projection.refusal is Refusal.TOO_OLD


def test_a_fault_found_since_the_last_reading_ends_what_is_told() -> None:
    part = running(history(STEADY[:2], findings=[stuck_slide(THIRD)]))

    assert part.told.projection.refusal is Refusal.UNRESOLVED
    assert part.fan is None


def test_a_part_that_was_read_only_after_the_work_is_known_at_the_next_visit() -> None:
    as_left = pad("7.5", SECOND, stage=Stage.AS_LEFT)

    part = running(history([STEADY[0], as_left, STEADY[2]]))

    assert [each.stage for each in part.readings] == [
        Stage.AS_FOUND,
        Stage.AS_LEFT,
        Stage.AS_FOUND,
    ]
    assert part.told.projection.readings_used == 3


def test_readings_before_a_fault_was_put_right_are_shown_and_not_counted() -> None:
    cure = [stuck_slide(SECOND), stuck_slide(SECOND, put_right=True)]

    part = running(history(STEADY, findings=cure))

    assert [each.counts for each in part.readings] == [False, True, True]
    assert part.told.restarted_on == SECOND.day


def test_a_reading_with_its_backing_plate_is_shown_and_not_counted() -> None:
    with_plate = replace(pad("14.1", FIRST), datum=Datum.WITH_PLATE)

    part = running(history([with_plate, *STEADY[1:]]))

    assert [each.counts for each in part.readings] == [False, True, True]


def test_a_reading_that_fits_badly_is_marked() -> None:
    part = running(FITS_BADLY)

    assert [each.is_flagged for each in part.readings] == [False, False, True]


def test_where_nothing_was_ever_read_there_is_nothing() -> None:
    found = place(history([readings("LF", Quantity.PAD_OUTER, "8.0", of=THIRD)]))

    assert found.is_bare


# New parts


NEW_PADS = [fitted("LF", Position.PAD_INNER, "11.0", of=SECOND)]
CHANGED = (pad("9.0", FIRST), pad("2.4", SECOND), pad("9.4", THIRD))


def test_a_new_part_begins_a_new_life_and_ends_the_one_before() -> None:
    found = place(history(CHANGED, fittings=NEW_PADS))

    (before,) = found.finished
    assert found.running is not None
    assert [each.typed for each in before.readings] == ["9.0", "2.4"]
    assert [each.typed for each in found.running.readings] == ["9.4"]
    assert found.running.begun is NEW_PADS[0]


def test_what_an_earlier_part_lasted() -> None:
    fittings = [fitted("LF", Position.PAD_INNER, "11.0", of=FIRST), *NEW_PADS]

    (before,) = place(history(CHANGED[1:], fittings=fittings)).finished

    assert before.is_whole
    assert (km(before.lasted_mm or 0), before.lasted_days) == (12_000, 364)
    assert before.worn_nm == 8_600_000
    # 8.6 mm in 12,000 km
    assert before.rate_nm_per_1000km == 716_666
    assert not before.worn_by_fault


def test_a_part_without_a_fitting_lasted_longer_than_is_known() -> None:
    (before,) = place(history(CHANGED, fittings=NEW_PADS)).finished

    assert not before.is_whole
    assert km(before.lasted_mm or 0) == 12_000
    assert before.worn_nm == 6_600_000


def test_a_part_that_a_stuck_slide_wore_is_marked() -> None:
    cure = [stuck_slide(SECOND), stuck_slide(SECOND, put_right=True)]

    (before,) = place(history(CHANGED, fittings=NEW_PADS, findings=cure)).finished

    assert before.worn_by_fault


def test_a_part_that_was_just_fitted_says_nothing_where_nothing_is_known_of_such_parts() -> None:
    new = [fitted("LF", Position.PAD_INNER, "11.0", of=THIRD)]

    part = running(history([], fittings=new))

    assert part.readings == ()
    assert (part.trend, part.fan) == (None, None)
    assert part.told.projection.refusal is Refusal.NO_READING


def test_a_part_that_was_just_fitted_goes_as_far_as_the_one_before_it_promises() -> None:
    new = [fitted("LF", Position.PAD_INNER, "11.0", of=THIRD)]

    part = running(history([*STEADY[:2], pad("2.4", THIRD)], fittings=new))

    assert (part.readings, part.trend) == ((), None)
    assert part.fan is not None
    assert (part.fan.from_mm, part.fan.from_nm) == (THIRD.odometer_mm, 11_000_000)


def test_where_a_part_was_taken_off_and_none_put_on_nothing_runs() -> None:
    off = [fitted("LF", Position.PAD_INNER, of=THIRD, event=FittingEvent.REMOVED)]

    found = place(history(STEADY, fittings=off))

    assert found.running is None
    assert [part.ended.event for part in found.finished] == [FittingEvent.REMOVED]


def test_the_time_without_a_part_is_no_life() -> None:
    fittings = [
        fitted("LF", Position.PAD_INNER, of=SECOND, event=FittingEvent.REMOVED),
        fitted("LF", Position.PAD_INNER, "11.0", of=THIRD),
    ]

    found = place(history(STEADY[:2], fittings=fittings))

    assert len(found.finished) == 1
    assert found.running is not None


# The lines


def test_the_fan_holds_the_distances_of_the_sentence_and_no_other() -> None:
    found = history(STEADY)
    part = running(found)

    told = life_sentence(part.told, found.file.shop).split("(")[0]

    said = [int(text.replace(",", "")) for text in re.findall(r"([\d,]+) km", told)]
    assert list(distances(part).values()) == said
    assert list(distances(part)) == list(Share)


def test_the_fan_runs_from_the_line_to_the_limit() -> None:
    part = running(history(STEADY))

    assert part.trend is not None
    assert part.fan is not None
    assert (part.fan.from_mm, part.fan.from_nm) == (part.trend.to_mm, part.trend.to_nm)
    assert {end.size_nm for end in part.fan.ends} == {part.life.limit_nm}
    assert [end.odometer_mm for end in part.fan.ends] == sorted(
        THIRD.odometer_mm + end.distance_mm for end in part.fan.ends
    )


def test_the_line_passes_the_readings_within_what_they_are_good_for() -> None:
    part = running(history(STEADY))

    assert part.trend is not None
    first, *_, last = part.readings
    assert abs(part.trend.from_nm - first.size_nm) < 2 * first.u1_nm
    assert abs(part.trend.to_nm - last.size_nm) < 2 * last.u1_nm
    assert part.trend.from_mm == FIRST.odometer_mm


def test_the_late_end_of_iron_is_not_drawn() -> None:
    sets = [
        readings("LF", Quantity.ROTOR, text, of=of)
        for text, of in (("27.402 27.410", FIRST), ("27.202 27.210", SECOND), ("27.0 27.1", THIRD))
    ]

    part = running(history(sets, measures=[Measure.ROTOR_THICKNESS]))

    assert Share.ONE_IN_TEN not in distances(part)


def test_of_a_far_extrapolation_only_the_cut_bound_is_drawn_and_short_of_the_limit() -> None:
    slow = [pad("10.8", FIRST), pad("10.6", SECOND), pad("10.3", THIRD)]

    part = running(history(slow))

    assert Note.FAR_EXTRAPOLATION in part.told.projection.notes
    assert distances(part) == {Share.NINE_OF_TEN: 75_000}  # three times 25,000 km
    assert part.fan is not None
    assert part.life.limit_nm is not None
    assert part.fan.ends[0].size_nm > part.life.limit_nm


@pytest.mark.parametrize(
    ("sets", "refusal"),
    [
        ((pad("1.8", THIRD),), Refusal.AT_LIMIT),
        ((pad("6.0", THIRD),), Refusal.NO_BASIS),
        ((*STEADY[:2], pad("2.1", THIRD)), Refusal.WITHIN_ERROR),
        ((*STEADY[:2], pad("9.9", THIRD)), Refusal.UNRESOLVED),
    ],
)
def test_where_no_distance_is_told_no_fan_and_no_straight_line_is_shown(
    sets: tuple[object, ...], refusal: Refusal
) -> None:
    part = running(history(sets))  # type: ignore[arg-type]

    assert part.told.projection.refusal is refusal
    assert (part.fan, part.check) == (None, None)


def test_without_a_limit_there_are_readings_and_no_line() -> None:
    part = running(history(STEADY, limits=[limit(LimitKind.PAD_NEW, "11.0")]))

    assert part.told.projection.refusal is Refusal.NO_LIMIT
    assert len(part.readings) == 3
    assert (part.trend, part.fan, part.limit) == (None, None, None)


def test_accelerating_wear_is_drawn_at_the_pace_of_the_last_stretch() -> None:
    fourth = visit("fourth", date(2026, 3, 30), 55_000)
    sets = [pad("9.9", FIRST), pad("9.4", SECOND), pad("8.9", THIRD), pad("4.4", fourth)]

    part = running(history(sets, visits=(*VISITS, fourth)))

    assert Note.ACCELERATING in part.told.projection.notes
    assert part.trend is not None
    assert part.trend.from_mm == THIRD.odometer_mm


def test_the_line_of_a_drum_goes_up() -> None:
    sheet = (limit(LimitKind.DRUM_NEW, "200.0"), limit(LimitKind.DRUM_DISCARD, "201.0"))
    sets = [
        readings("LF", Quantity.DRUM_OPEN, text, of=of)
        for text, of in (("200.20", FIRST), ("200.35", SECOND), ("200.50", THIRD))
    ]

    part = running(
        history(sets, limits=sheet, brakes=(AxleBrake.DRUM,), measures=[Measure.DRUM_DIAMETER])
    )

    assert part.trend is not None
    assert part.fan is not None
    assert part.trend.from_nm < part.trend.to_nm < part.fan.ends[0].size_nm


def test_a_nominal_size_is_no_reading() -> None:
    nominal = [fitted("LF", Position.PAD_INNER, "11.0", basis=SizeBasis.NOMINAL)]

    part = running(history(STEADY[1:], fittings=nominal))

    assert [each.typed for each in part.readings] == ["7.5", "5.9"]
    assert part.life.start is not None
    assert not part.life.start.measured


def test_distances_are_rounded_in_the_unit_of_the_odometer() -> None:
    found = history(STEADY)
    miles = replace(found.file.shop, distance_unit=DistanceUnit.MILE)

    part = running(history(STEADY, shop=miles))

    assert part.fan is not None
    assert part.fan.ends[0].distance_mm % (500 * DistanceUnit.MILE.mm) == 0
