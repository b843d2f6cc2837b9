"""What keeps a job open, on a small invented car."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from brakelog.lengths import LengthUnit, parse_length
from brakelog.record.agreement import Agreement, Consent, How, WorkItem, parse_item
from brakelog.record.closing import Check, ClosingAnswer, TorqueLeft
from brakelog.record.corner import parse_corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind, OutWhen, Torque
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.closing import Closing, ClosingRecord, Status, close
from brakelog.rules.closing_item import Gap, Hand
from brakelog.rules.recheck import Basis
from brakelog.rules.unfiled import going_on, unfiled_count
from brakelog.rules.vehicle import judge_vehicle
from tests.unit.verdict_examples import (
    FRONT_DISC,
    NOW,
    UNFILED,
    case,
    circle,
    healthy,
    limit,
    readings,
    runout,
    visit,
)

DRUM = (
    limit(LimitKind.DRUM_NEW, "203.2"),
    limit(LimitKind.DRUM_DISCARD, "205.2", out_when=OutWhen.AT_OR_ABOVE),
    limit(LimitKind.SHOE_NEW, "4.5"),
    limit(LimitKind.SHOE_MINIMUM, "1.0", out_when=OutWhen.BELOW),
)
WORN = (*healthy("LF"), *healthy("RF"))
LEFT = (runout("LF", "0.03", stage=Stage.AS_LEFT), runout("RF", "0.03", stage=Stage.AS_LEFT))
LONG_AGO = visit("long ago", date(2022, 3, 2), 10_000)


def fitting(
    corner: str,
    position: Position,
    size: str = "",
    *,
    event: FittingEvent = FittingEvent.NEW,
    of: Visit = NOW,
    basis: SizeBasis | None = None,
    from_corner: str = "",
) -> Fitting:
    size_nm = parse_length(f"{size} mm", declared=None).nm if size else None
    return Fitting(
        id=f"{corner} {position.value} {event.value} {of.id}",
        visit_id=of.id,
        day=of.day,
        odometer_mm=of.odometer_mm,
        corner=parse_corner(corner),
        position=position,
        event=event,
        basis=basis or (SizeBasis.MEASURED if size else SizeBasis.UNKNOWN),
        size_nm=size_nm,
        size_typed=size,
        from_corner=parse_corner(from_corner) if from_corner else None,
    )


def pads(*corners: str, size: str = "11.0") -> tuple[Fitting, ...]:
    return tuple(
        fitting(corner, position, size)
        for corner in corners
        for position in (Position.PAD_INNER, Position.PAD_OUTER)
    )


def rotors(*corners: str, size: str = "28.0") -> tuple[Fitting, ...]:
    return tuple(fitting(corner, Position.ROTOR, size) for corner in corners)


def said(check: Check, word: str, **about: Any) -> ClosingAnswer:
    row = {"id": f"{check.value} {word}", "visit_id": NOW.id, "person_id": "AM", **about}
    return ClosingAnswer(check=check, said=word, **row)


def torque(fastener: str, figure: str, axle: int = 1) -> TorqueLeft:
    return TorqueLeft(
        id=f"{axle} {fastener} {figure}", visit_id=NOW.id, axle=axle, fastener=fastener,
        figure=figure, person_id="AM",
    )  # fmt: skip


def agreement(*items: str, consent: Consent = Consent.AGREED) -> Agreement:
    work: tuple[WorkItem, ...] = tuple(parse_item(item) for item in items)
    return Agreement(
        id=" ".join(items), visit_id=NOW.id, consent=consent, items=work, day=NOW.day,
        how=How.SIGNED,
    )  # fmt: skip


GOOD = tuple(
    said(check, word)
    for check, word in (
        (Check.TIGHTENED, "yes"),
        (Check.FLUID_LEVEL, "between"),
        (Check.PEDAL_FIRM, "yes"),
        (Check.ROAD_TEST, "yes"),
        (Check.NO_LEAK, "yes"),
        (Check.LAMPS_OFF, "yes"),
        (Check.BEDDING_IN, "shop"),
    )
)
TORQUES = (torque("caliper", "28 N·m"), torque("bracket", "100 N·m"), torque("wheel", "110 N·m"))


def record(
    *more: ClosingAnswer,
    torques: tuple[TorqueLeft, ...] = TORQUES,
    wanted: tuple[Torque, ...] = (),
    agreements: tuple[Agreement, ...] = (agreement("front brakes"),),
) -> ClosingRecord:
    sensor = said(Check.WEAR_SENSOR, "yes", axle=1)
    return ClosingRecord(
        answers=(*GOOD, sensor, *more), torques=torques, wanted=wanted, agreements=agreements
    )


def job(sets: Iterable[ReadingSet], fittings: tuple[Fitting, ...] = (), **other: Any) -> CaseFile:
    """The car at its end, 4 km driven since it came in."""
    out = replace(NOW, odometer_out_mm=NOW.odometer_mm + 4_000_000, odometer_out_text="60004")
    traits = other.pop("traits", {})
    visits = (*other.pop("visits", ()), out)
    file = case(sets, fittings=fittings, visits=visits, stage=Stage.AS_LEFT, **other)
    return replace(file, traits=traits)


def closing(file: CaseFile, said_then: ClosingRecord | None = None) -> Closing:
    left = judge_vehicle(file)
    found = judge_vehicle(replace(file, stage=Stage.AS_FOUND))
    return close(left, found, said_then or record())


def gaps(file: CaseFile, said_then: ClosingRecord | None = None) -> list[Gap]:
    return [item.gap for item in closing(file, said_then).open]


FITTED = job((*WORN, *LEFT), pads("LF", "RF"))


def test_a_job_with_everything_on_record_is_finished() -> None:
    assert closing(FITTED).status is Status.FINISHED


def test_a_visit_without_work_has_nothing_to_finish_whatever_was_answered() -> None:
    assert closing(job(WORN), ClosingRecord()).status is Status.NO_WORK


@pytest.mark.parametrize(
    "file",
    [
        job(WORN, pads("LF")),
        job((*WORN, LEFT[0])),
        job(WORN, (fitting("LF", Position.ROTOR, event=FittingEvent.REMOVED),)),
    ],
    ids=["fitted", "read as left", "removed"],
)
def test_anything_done_makes_a_visit_a_job(file: CaseFile) -> None:
    assert closing(file, ClosingRecord()).status is Status.NOT_FINISHED


def test_what_is_open_comes_in_the_order_of_the_hand() -> None:
    hands = [item.hand for item in closing(job(WORN, pads("LF", "RF")), ClosingRecord()).open]

    assert hands == sorted(hands)
    assert hands[0] is Hand.PARTS
    assert hands[-1] is Hand.PAPER
    assert hands.index(Hand.PEDAL) < hands.index(Hand.DRIVE)


def test_every_open_thing_says_what_to_do() -> None:
    for item in closing(job(WORN, pads("LF", "RF")), ClosingRecord()).open:
        assert item.text
        assert item.do
        assert item.line


# As left


def test_a_corner_where_nothing_was_touched_keeps_its_runout_as_found() -> None:
    one_side = job((*WORN, LEFT[0]), pads("LF"))
    assert Gap.NO_BASELINE not in gaps(one_side)

    nowhere = [each for each in WORN if each.quantity is not Quantity.RUNOUT]
    assert gaps(job((*nowhere, LEFT[0]), pads("LF"))) == [Gap.NO_BASELINE]


def test_new_parts_are_measured_at_fitting_or_as_left() -> None:
    nominal = tuple(replace(each, basis=SizeBasis.NOMINAL) for each in pads("LF", "RF"))
    blank = job((*WORN, *LEFT), nominal)
    assert gaps(blank) == [Gap.SIZE_BLANK] * 4

    read = [
        readings(corner, quantity, "11.0 10.9", stage=Stage.AS_LEFT)
        for corner in ("LF", "RF")
        for quantity in (Quantity.PAD_INNER, Quantity.PAD_OUTER)
    ]
    assert gaps(job((*WORN, *LEFT, *read), nominal)) == []


@pytest.mark.parametrize(
    ("size", "event", "is_doubted"),
    [
        ("28.3", FittingEvent.NEW, False),
        ("28.300001", FittingEvent.NEW, True),
        ("27.7", FittingEvent.NEW, False),
        ("27.699999", FittingEvent.NEW, True),
        ("26.5", FittingEvent.USED, False),
        ("28.4", FittingEvent.USED, True),
        ("26.5", FittingEvent.REFINISHED, False),
    ],
)
def test_iron_more_than_0_3_mm_off_a_new_one_may_be_the_wrong_part(
    size: str, event: FittingEvent, is_doubted: bool
) -> None:
    fitted = tuple(replace(each, event=event) for each in rotors("LF", "RF", size=size))
    file = job((*WORN, *LEFT), fitted)

    assert (Gap.WRONG_PART in gaps(file)) is is_doubted


def test_the_wrong_part_is_passed_only_by_a_person_who_says_why() -> None:
    file = job((*WORN, *LEFT), rotors("LF", size="26.9"))
    about = {"corner": parse_corner("LF"), "part": Part.ROTOR}
    yes = said(Check.RIGHT_PART, "yes", note="number compared", **about)

    assert gaps(file) == [Gap.WRONG_PART]
    assert gaps(file, record(said(Check.RIGHT_PART, "yes", **about))) == [Gap.WRONG_PART]
    assert gaps(file, record(replace(yes, corner=parse_corner("RF")))) == [Gap.WRONG_PART]
    assert gaps(file, record(yes)) == []
    assert gaps(file, record(yes, said(Check.RIGHT_PART, "no", **about))) == [Gap.WRONG_PART]


def test_a_used_part_past_its_limit_does_not_leave_although_nobody_read_it_as_left() -> None:
    at_discard = (fitting("LF", Position.ROTOR, "26.0", event=FittingEvent.USED),)

    assert gaps(job((*WORN, *LEFT), at_discard)) == [Gap.SIZE_OUT]


def test_a_rotor_that_was_cut_on_the_car_is_measured_again() -> None:
    cut = record(said(Check.RUNOUT_CURE, "cut", corner=parse_corner("LF")))
    assert gaps(FITTED, cut) == [Gap.SIZE_BLANK]

    sized = (fitting("LF", Position.ROTOR, "26.9", event=FittingEvent.REFINISHED),)
    file = job((*WORN, *LEFT), (*pads("LF", "RF"), *sized))
    assert gaps(file, cut) == [Gap.SIZE_BLANK]

    read = readings("LF", Quantity.ROTOR, circle("26.9"), stage=Stage.AS_LEFT)
    assert gaps(replace(file, sets=(*file.sets, read)), cut) == []


def test_rotors_that_change_sides_leave_no_corner_empty() -> None:
    swapped = tuple(
        fitting(to, Position.ROTOR, "27.4", event=FittingEvent.MOVED, from_corner=of)
        for to, of in (("LF", "RF"), ("RF", "LF"))
    )
    assert gaps(job((*WORN, *LEFT), swapped)) == []
    assert gaps(job((*WORN, *LEFT), swapped[:1])) == [Gap.NOTHING_FITTED]


def test_a_reading_as_left_that_proves_nothing_keeps_the_job_open() -> None:
    loose = runout("LF", "0.03", stage=Stage.AS_LEFT, fasteners_fitted=3)

    assert gaps(job((*WORN, loose, LEFT[1]), pads("LF", "RF"))) == [Gap.LEFT_NOT_PROVEN]


def test_an_entry_that_was_interrupted_is_named_first() -> None:
    assert gaps(replace(FITTED, unfiled=(UNFILED,)))[0] is Gap.UNFILED


def test_an_interrupted_entry_goes_on_at_its_stage_with_the_hand_that_began_it() -> None:
    left = replace(UNFILED, stage=Stage.AS_LEFT, person_id="p", unit=LengthUnit.INCH)
    file = replace(FITTED, unfiled=(UNFILED, left), people={"p": "JN", "q": "MK"})

    day = f"--date {file.visit.day.isoformat()}"
    first = f"brakelog measure {file.vehicle.tag} {day}"
    as_left = f"brakelog measure {file.vehicle.tag} --as-left {day} --unit in"
    assert going_on(file) == f"{first} and {as_left} --by JN"
    assert unfiled_count(file) == 6

    # Whoever goes on files the answers of both.
    file = replace(file, unfiled=(left, replace(left, person_id="q")))
    assert going_on(file) == as_left


# Which checks


@pytest.mark.parametrize(
    ("traits", "asked"),
    [
        ({}, True),
        ({(1, "wear-sensor"): "yes"}, True),
        ({(1, "wear-sensor"): "no"}, False),
    ],
)
def test_a_wear_sensor_is_asked_unless_the_sheet_says_that_there_is_none(
    traits: dict[tuple[int, str], str], asked: bool
) -> None:
    file = replace(FITTED, traits=traits)
    without = ClosingRecord(answers=GOOD, torques=TORQUES, agreements=(agreement("front pads"),))

    assert (Check.WEAR_SENSOR in [i.check for i in closing(file, without).open]) is asked


@pytest.mark.parametrize(
    ("kind", "asked"), [("electric", True), ("", True), ("cable", False), ("drum-in-hat", False)]
)
def test_an_electric_parking_brake_is_asked_at_the_rear_unless_it_is_another_kind(
    kind: str, asked: bool
) -> None:
    rear = tuple(replace(each, axle=2) for each in FRONT_DISC)
    file = job(
        (*WORN, *healthy("LR"), *healthy("RR")),
        pads("LR", "RR"),
        limits=(*FRONT_DISC, *rear),
        brakes=(AxleBrake.DISC, AxleBrake.DISC),
        traits={(2, "parking-brake"): kind} if kind else {},
    )
    asked_of = [(i.check, i.axle) for i in closing(file, ClosingRecord()).open]

    assert ((Check.PARKING_BRAKE, 2) in asked_of) is asked
    assert (Check.PARKING_BRAKE, 1) not in asked_of


def test_a_drum_axle_asks_for_its_shoes_and_for_no_runout_and_no_caliper() -> None:
    found = (
        readings("LF", Quantity.DRUM_OPEN, "203.5 203.5"),
        readings("RF", Quantity.DRUM_OPEN, "203.5 203.5"),
    )
    shoes = tuple(
        fitting(corner, position, "4.5")
        for corner in ("LF", "RF")
        for position in (Position.SHOE_LEADING, Position.SHOE_TRAILING)
    )
    file = job(found, shoes, limits=DRUM, brakes=(AxleBrake.DRUM,))
    items = closing(file, record(torques=(), agreements=(agreement("front shoes"),))).open

    assert [(item.check, item.fastener) for item in items] == [
        (Check.SHOES_SET, ""),
        (None, "wheel"),
    ]


def test_wheels_of_an_axle_that_was_only_measured_are_tightened_too() -> None:
    rear = tuple(replace(each, axle=2) for each in FRONT_DISC)
    measured = (
        readings("LR", Quantity.PAD_INNER, "6.5 6.4"),
        readings("RR", Quantity.PAD_INNER, "6.6 6.3"),
    )
    file = job(
        (*WORN, *LEFT, *measured),
        pads("LF", "RF"),
        limits=(*FRONT_DISC, *rear),
        brakes=(AxleBrake.DISC, AxleBrake.DISC),
    )
    (rear_wheels,) = closing(file).open
    assert (rear_wheels.gap, rear_wheels.axle, rear_wheels.fastener) == (
        *(Gap.TORQUE_BLANK, 2),
        "wheel",
    )

    left_on = record(torques=(*TORQUES, torque("wheel", "", axle=2)))
    assert closing(file, left_on).status is Status.FINISHED
    off_again = record(torques=(*TORQUES, torque("wheel", "")))
    assert Gap.TORQUE_BLANK in gaps(FITTED, off_again)


def test_a_fixed_caliper_has_no_bracket() -> None:
    file = job((*WORN, *LEFT), rotors("LF", "RF"))
    no_bracket = record(torques=(TORQUES[0], TORQUES[2]))

    assert gaps(file, no_bracket) == [Gap.TORQUE_BLANK]
    assert gaps(replace(file, traits={(1, "caliper"): "fixed"}), no_bracket) == []


def test_of_several_torques_of_a_kind_on_the_sheet_one_has_to_agree() -> None:
    def wanted(fastener: str, figure: str) -> Torque:
        return Torque(id=fastener, sheet="S", axle=1, fastener=fastener, figure=figure, source="p")

    both = (wanted("caliper upper pin", "28 N·m"), wanted("caliper lower pin", "35 N·m"))
    assert gaps(FITTED, record(wanted=both)) == []
    assert gaps(FITTED, record(wanted=both[1:])) == [Gap.TORQUE_OFF]


def test_fluid_is_not_asked_where_no_axle_is_hydraulic() -> None:
    def asked(kind: str) -> list[Check | None]:
        file = replace(FITTED, traits={(1, "actuation"): kind})
        return [item.check for item in closing(file, ClosingRecord()).open]

    assert Check.FLUID_LEVEL in asked("hydraulic")
    assert Check.FLUID_LEVEL not in asked("air")
    assert Check.PEDAL_FIRM in asked("air")


def test_a_lining_read_with_its_plate_is_on_record_but_is_no_size() -> None:
    nominal = tuple(replace(each, basis=SizeBasis.NOMINAL) for each in pads("LF", "RF"))
    read = [
        readings(corner, quantity, "17.0 16.9", stage=Stage.AS_LEFT, datum=Datum.WITH_PLATE)
        for corner in ("LF", "RF")
        for quantity in (Quantity.PAD_INNER, Quantity.PAD_OUTER)
    ]
    found = gaps(job((*WORN, *LEFT, *read), nominal))

    assert Gap.SIZE_BLANK not in found
    assert Gap.WRONG_PART not in found


def test_the_newest_answer_counts() -> None:
    soft = said(Check.PEDAL_FIRM, "no", note="soft again")
    assert gaps(FITTED, record(soft)) == [Gap.CHECK_FAILED]
    assert "soft again" in closing(FITTED, record(soft)).open[0].text

    assert gaps(FITTED, record(soft, said(Check.PEDAL_FIRM, "yes"))) == []


# Agreements


def test_a_refusal_never_excuses_a_part_that_the_shop_fitted_itself() -> None:
    out = runout("LF", "0.09", stage=Stage.AS_LEFT)
    file = job((*WORN, out, LEFT[1]), rotors("LF", "RF"))
    no = agreement("front rotor", consent=Consent.DECLINED)

    assert gaps(file, record(agreements=(no, agreement("front brakes")))) == [Gap.LEFT_OUT]


def test_parts_that_change_places_need_no_agreement() -> None:
    swapped = tuple(
        fitting(to, Position.ROTOR, "27.4", event=FittingEvent.MOVED, from_corner=of)
        for to, of in (("LF", "RF"), ("RF", "LF"))
    )

    assert gaps(job((*WORN, *LEFT), swapped), record(agreements=())) == []


# New parts by themselves


def test_what_a_new_rotor_may_have_by_itself_is_a_note_and_no_limit() -> None:
    no_runout_limit = tuple(e for e in FRONT_DISC if e.kind is not LimitKind.RUNOUT)
    read = (runout("LF", "0.06", stage=Stage.AS_LEFT), LEFT[1])
    file = job((*WORN, *read), rotors("LF", "RF"), limits=no_runout_limit)

    done = closing(file)
    assert done.status is Status.FINISHED
    (note,) = done.notes
    assert note.startswith("LF new rotor: runout 0.060 mm as left, hub included; UN R90 allows")
    assert closing(replace(file, traits={(0, "class"): "heavy"})).notes == ()


# The early re-check


def uneven(*fittings: Fitting, visits: tuple[Visit, ...] = (), earlier: Any = ()) -> CaseFile:
    worn = [each for each in healthy("RF") if each.quantity is not Quantity.PAD_INNER]
    thin = readings("RF", Quantity.PAD_INNER, "3.4 3.0")
    sets = (*earlier, *healthy("LF"), *worn, thin, *LEFT)
    return job(sets, (*fittings, *pads("LF", "RF")), visits=visits)


def recheck(file: CaseFile) -> tuple[int, date, Basis]:
    no = record(said(Check.CAUSE_PROVEN, "no", axle=1))
    (found,) = closing(file, no).rechecks
    assert closing(file, no).status is Status.FINISHED
    return found.distance_mm // 1_000_000, found.day, found.basis


def test_half_of_what_the_last_set_took_from_its_fitting() -> None:
    old = fitting("RF", Position.PAD_INNER, "11.0", of=LONG_AGO)

    assert recheck(uneven(old, visits=(LONG_AGO,))) == (25_000, date(2028, 3, 1), Basis.FITTED)


def test_half_of_what_is_known_where_no_fitting_is_on_record() -> None:
    first = readings("RF", Quantity.PAD_INNER, "9.0", of=LONG_AGO)
    found = recheck(uneven(visits=(LONG_AGO,), earlier=(first,)))

    assert found == (25_000, date(2028, 3, 1), Basis.FIRST_READING)


def test_half_of_the_planned_interval_where_nothing_is_known() -> None:
    assert recheck(uneven()) == (7_500, date(2026, 8, 29), Basis.PLANNED)


def test_a_stuck_pin_asks_for_its_cause_although_the_pads_wore_evenly() -> None:
    stuck = Finding(
        id="stuck",
        visit_id=NOW.id,
        corner=parse_corner("RF"),
        stage=Stage.AS_FOUND,
        kind=FindingKind.STUCK_SLIDE,
        part=Part.PADS,
    )
    fixed = replace(stuck, id="fixed", stage=Stage.AS_LEFT, put_right=True)
    file = job((*WORN, *LEFT), pads("LF", "RF"), findings=(stuck, fixed))

    assert [item.check for item in closing(file).open] == [Check.CAUSE_PROVEN]
    assert len(closing(file).rechecks) == 1
    proven = record(said(Check.CAUSE_PROVEN, "yes", axle=1))
    assert closing(file, proven).rechecks == ()


def test_even_pads_need_no_early_re_check() -> None:
    assert closing(FITTED).rechecks == ()


# What came before the work


def at(minute: int) -> datetime:
    return datetime(2026, 3, 2, 9, minute, tzinfo=UTC)


def put_in(file: CaseFile, minute: int) -> CaseFile:
    """The same, with everything that was fitted put on file at that minute."""
    fitted = tuple(replace(each, recorded_at=at(minute)) for each in file.fittings)
    return replace(file, fittings=fitted)


def kept_at(minute: int, said_then: ClosingRecord) -> ClosingRecord:
    return replace(
        said_then,
        answers=tuple(replace(each, recorded_at=at(minute)) for each in said_then.answers),
        torques=tuple(replace(each, recorded_at=at(minute)) for each in said_then.torques),
    )


def read_at(minute: int, file: CaseFile) -> CaseFile:
    left = replace(file.visit, odometer_out_at=at(minute))
    sets = tuple(replace(each, recorded_at=at(minute)) for each in file.sets)
    return replace(file, visit=left, visits=(*file.visits[:-1], left), sets=sets)


def test_answers_from_before_a_fitting_say_nothing_of_it() -> None:
    file = put_in(job((*WORN, *LEFT), rotors("LF", "RF")), 5)

    assert gaps(read_at(6, file), kept_at(6, record())) == []
    early = closing(read_at(6, file), kept_at(5, record())).open
    assert [each.fastener for each in early if each.fastener] == ["caliper", "bracket", "wheel"]
    assert [each.check for each in early if each.check] == [
        *(Check.TIGHTENED, Check.FLUID_LEVEL, Check.PEDAL_FIRM, Check.ROAD_TEST),
        *(Check.NO_LEAK, Check.LAMPS_OFF, Check.BEDDING_IN),
    ]
    assert gaps(read_at(5, file), kept_at(6, record())) == [
        *(Gap.NO_BASELINE, Gap.NO_BASELINE, Gap.ODOMETER_OUT_BLANK)
    ]


def test_new_pads_leave_the_runout_of_the_rotor_that_stayed() -> None:
    file = put_in(job((*WORN, *LEFT), pads("LF", "RF")), 5)

    assert gaps(read_at(4, file), kept_at(6, record())) == [Gap.ODOMETER_OUT_BLANK]


def test_a_fitting_on_one_side_leaves_the_torques_of_the_other() -> None:
    file = put_in(job((*WORN, *LEFT), pads("RF")), 5)
    items = closing(read_at(6, file), kept_at(4, record())).open

    assert {each.corner for each in items if each.fastener} == {parse_corner("RF")}


# Machined, moved, declined


@pytest.mark.parametrize(
    ("left", "open_gaps"),
    [
        ((), [Gap.SIZE_BLANK]),
        ((readings("LF", Quantity.ROTOR, circle("26.9"), stage=Stage.AS_LEFT),), []),
        ((readings("LF", Quantity.ROTOR, circle("26.3"), stage=Stage.AS_LEFT),), [Gap.SIZE_OUT]),
    ],
)
def test_a_refinished_rotor_is_proven_by_what_is_read_of_it(
    left: tuple[ReadingSet, ...], open_gaps: list[Gap]
) -> None:
    cut = (fitting("LF", Position.ROTOR, "26.9", event=FittingEvent.REFINISHED),)

    assert gaps(job((*WORN, *LEFT, *left), cut)) == open_gaps


def test_a_rotor_cut_on_the_car_is_machined_too() -> None:
    forbidden = replace(FITTED, traits={(1, "machining"): "not-allowed"})
    cut = record(said(Check.RUNOUT_CURE, "cut", corner=parse_corner("LF")))

    assert gaps(forbidden, cut) == [Gap.SIZE_BLANK, Gap.MACHINED]


def test_a_rotor_that_was_uneven_at_its_other_place_is_read_again() -> None:
    uneven_one = readings("RF", Quantity.ROTOR, circle("27.4", "0.03"))
    sets = (*healthy("LF"), *(e for e in healthy("RF") if e.quantity is not Quantity.ROTOR))
    swapped = tuple(
        fitting(to, Position.ROTOR, "27.4", event=FittingEvent.MOVED, from_corner=of)
        for to, of in (("LF", "RF"), ("RF", "LF"))
    )
    items = closing(job((*sets, uneven_one, *LEFT), swapped)).open

    assert [(each.gap, each.corner) for each in items] == [(Gap.SIZE_BLANK, parse_corner("LF"))]


def test_a_refusal_covers_what_the_verdict_asked_for_when_it_was_recorded() -> None:
    thin = readings("LF", Quantity.ROTOR, circle("25.9"))
    rest = [e for e in (*WORN, *LEFT) if (e.corner.code, e.quantity) != ("LF", Quantity.ROTOR)]
    file = read_at(1, job((*rest, thin), pads("LF", "RF")))
    no = agreement("front rotor", consent=Consent.DECLINED)
    both = (agreement("front pads"), replace(no, recorded_at=at(3)))
    assert gaps(file, record(agreements=both)) == []

    cracked = Finding(
        id="crack",
        visit_id=NOW.id,
        corner=parse_corner("LF"),
        stage=Stage.AS_FOUND,
        kind=FindingKind.CRACK,
        part=Part.ROTOR,
        recorded_at=at(4),
    )
    assert gaps(replace(file, findings=(cracked,)), record(agreements=both)) == [Gap.NOT_DONE]
    again = (*both, replace(no, recorded_at=at(5)))
    assert gaps(replace(file, findings=(cracked,)), record(agreements=again)) == []


def test_by_whom_is_asked_once() -> None:
    nobody = replace(record(), torques=tuple(replace(each, person_id=None) for each in TORQUES))
    (item,) = closing(FITTED, nobody).open

    assert item.gap is Gap.BY_WHOM
    assert item.text.endswith("for: caliper torque, bracket torque, wheel torque")
