"""What may become of an axle: left as it is, or new linings beside iron kept, cut or new."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from brakelog.record.corner import Corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import Limit, LimitKind, OutWhen
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.record.visit import Visit
from brakelog.rules.casefile import CaseFile
from brakelog.rules.lives import PositionLife
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import Because
from brakelog.rules.world import Bar, Plan, World
from brakelog.rules.world_words import basis_sentence, world_sentence
from brakelog.wear.projection import Note, Refusal
from tests.unit.verdict_examples import (
    FRONT_DISC,
    LF,
    NOW,
    RF,
    case,
    circle,
    limit,
    readings,
    visit,
)

FIRST = visit("first", date(2024, 3, 4), km=20_000)
SECOND = visit("second", date(2025, 3, 3), km=40_000)
CORNERS = ("LF", "RF")


def sets_of(
    *, pads: tuple[str, str, str] = ("11.0", "8.0", "5.0"), rotor: tuple[str, str, str]
) -> tuple[ReadingSet, ...]:
    """Pads and rotors of both sides at three visits, all four linings alike."""
    found = []
    for of, pad, thickness in zip((FIRST, SECOND, NOW), pads, rotor, strict=True):
        for corner, more in zip(CORNERS, ("0", "1"), strict=True):
            found += [
                readings(corner, Quantity.ROTOR, circle(thickness + more), of=of),
                readings(corner, Quantity.PAD_INNER, f"{pad} {pad}", of=of),
                readings(corner, Quantity.PAD_OUTER, f"{pad} {pad}", of=of),
            ]
    return tuple(found)


ROTOR = ("28.00", "27.60", "27.20")
WORN = sets_of(rotor=ROTOR)
VISITS = (FIRST, SECOND, NOW)


def fitting(
    corner: Corner,
    position: Position,
    of: Visit = FIRST,
    event: FittingEvent = FittingEvent.NEW,
    size_nm: int | None = None,
) -> Fitting:
    """A part that went on, its size measured where one is given."""
    return Fitting(
        id=f"{of.id}-{corner}-{position.value}", visit_id=of.id, day=of.day,
        odometer_mm=of.odometer_mm, corner=corner, position=position, event=event,
        basis=SizeBasis.NOMINAL if size_nm is None else SizeBasis.MEASURED, size_nm=size_nm,
    )  # fmt: skip


DISC = (Position.PAD_INNER, Position.PAD_OUTER, Position.ROTOR)
FITTED = tuple(fitting(corner, position) for corner in (LF, RF) for position in DISC)
"""All parts of the axle went on at the first visit."""


def car(
    sets: tuple[ReadingSet, ...] = WORN,
    *,
    limits: tuple[Limit, ...] = FRONT_DISC,
    findings: tuple[Finding, ...] = (),
    fittings: tuple[Fitting, ...] = FITTED,
) -> CaseFile:
    return case(sets, visits=VISITS, limits=limits, findings=findings, fittings=fittings)


def world(file: CaseFile, plan: Plan) -> World:
    found = [each for each in judge_vehicle(file).worlds if each.plan is plan]
    assert len(found) == 1
    return found[0]


def bars(file: CaseFile, plan: Plan) -> set[tuple[Bar, Corner]]:
    return {(each.bar, each.corner) for each in world(file, plan).obstacles}


def life(told: World, corner: Corner, position: Position) -> PositionLife:
    return next(each for each in told.lives if (each.corner, each.position) == (corner, position))


def at_least(told: World, corner: Corner, position: Position) -> int:
    mm = life(told, corner, position).projection.at_least_mm
    assert mm is not None
    return mm


def sentence(file: CaseFile, plan: Plan) -> str:
    return world_sentence(world(file, plan), file.shop)


def finding(kind: FindingKind, part: Part, corner: Corner = LF) -> Finding:
    return Finding(
        id=kind.value, visit_id=NOW.id, corner=corner, part=part, kind=kind, stage=Stage.AS_FOUND
    )


def without(kind: LimitKind) -> tuple[Limit, ...]:
    return tuple(each for each in FRONT_DISC if each.kind is not kind)


def now(corner: str, quantity: Quantity, text: str) -> tuple[ReadingSet, ...]:
    """The usual car with one reading of today otherwise."""
    today = [
        each
        for each in WORN
        if each.visit_id == NOW.id and (each.corner.code, each.quantity) != (corner, quantity)
    ]
    before = [each for each in WORN if each.visit_id != NOW.id]
    return (*before, *today, readings(corner, quantity, text))


# The earliest end


@pytest.mark.parametrize(
    ("pad", "rotor", "first"),
    [
        ("3.5", "27.40", Part.PADS),
        ("7.0", "26.50", Part.ROTOR),
    ],
)
def test_the_part_with_the_shortest_distance_ends_an_axle_that_is_left(
    pad: str, rotor: str, first: Part
) -> None:
    pads = ("11.0", str((11 + float(pad)) / 2), pad)
    thickness = ("28.00", f"{(28 + float(rotor)) / 2:.2f}", rotor)
    left = world(car(sets_of(pads=pads, rotor=thickness)), Plan.LEFT)

    assert left.is_complete
    assert left.first is not None
    assert left.first.position.part is first
    assert left.at_least_mm == min(each.projection.at_least_mm or 0 for each in left.lives)
    assert left.not_before is not None


def test_new_pads_do_nothing_for_a_rotor_that_is_kept() -> None:
    file = car()
    left, kept = world(file, Plan.LEFT), world(file, Plan.KEPT)

    for corner in (LF, RF):
        assert life(kept, corner, Position.ROTOR) == life(left, corner, Position.ROTOR)
    assert at_least(kept, LF, Position.PAD_INNER) > at_least(left, LF, Position.PAD_INNER)


def test_an_axle_that_nobody_looked_at_has_no_worlds() -> None:
    file = replace(car(), vehicle=replace(car().vehicle, brakes=(AxleBrake.DISC, AxleBrake.DRUM)))

    assert {each.axle for each in judge_vehicle(file).worlds} == {1}


def test_with_a_part_unread_nobody_says_which_ends_first() -> None:
    unread = tuple(
        each
        for each in WORN
        if (each.visit_id, each.corner, each.quantity) != (NOW.id, RF, Quantity.PAD_OUTER)
    )
    file = car(unread)
    left = world(file, Plan.LEFT)

    assert not left.is_complete
    assert [(each.bar, each.corner) for each in left.passed_over] == [(Bar.NOT_MEASURED, RF)]
    assert "first" not in sentence(file, Plan.LEFT)
    assert "RF pads: not measured" in sentence(file, Plan.LEFT)


# What is required is never left


@pytest.mark.parametrize(
    "file",
    [
        car(now("LF", Quantity.PAD_INNER, "1.9 1.9")),
        car(findings=(finding(FindingKind.CRACK, Part.ROTOR),)),
        car(findings=(finding(FindingKind.STUCK_SLIDE, Part.PADS),)),
        car(findings=(finding(FindingKind.HEAVY_RUST, Part.ROTOR),)),
    ],
    ids=["lining out", "crack", "stuck slide", "rust to be cut away"],
)
def test_an_axle_with_required_work_must_not_be_left(file: CaseFile) -> None:
    left = world(file, Plan.LEFT)

    assert not left.is_told
    assert left.at_least_mm is None
    assert "it must not be left as it is (required: LF " in sentence(file, Plan.LEFT)


def test_what_must_only_be_put_right_is_put_right_first_in_all_other_plans() -> None:
    file = car(findings=(finding(FindingKind.STUCK_SLIDE, Part.PADS),))

    for plan in (Plan.KEPT, Plan.REFINISHED, Plan.NEW):
        assert world(file, plan).needs_correction
        assert "once what is required is put right" in sentence(file, plan)


# Rotors that are kept


@pytest.mark.parametrize(
    ("file", "bar"),
    [
        (car(now("LF", Quantity.ROTOR, circle("25.950"))), Bar.MUST_GO),
        (car(findings=(finding(FindingKind.CRACK, Part.ROTOR),)), Bar.MUST_GO),
        (car(now("LF", Quantity.ROTOR, circle("27.200", "0.030"))), Bar.MUST_BE_CUT),
        (car(now("LF", Quantity.ROTOR, "27.201 27.202 27.203 27.204 27.200")), Bar.MEASURE_AGAIN),
        (car(now("LF", Quantity.ROTOR, "27.201 27.202 27.701 27.204 27.200 27.203 27.202 27.201")),
         Bar.IN_QUESTION),
    ],
    ids=["out", "crack", "uneven", "few points", "a turn of the thimble"],
)  # fmt: skip
def test_no_rotor_is_kept_that_the_verdict_does_not_let_stay(file: CaseFile, bar: Bar) -> None:
    assert bars(file, Plan.KEPT) == {(bar, LF)}
    assert world(file, Plan.KEPT).lives == ()


def test_no_rotor_is_kept_that_was_not_read_or_has_no_limit() -> None:
    unread = tuple(each for each in WORN if each.quantity is not Quantity.ROTOR)

    assert bars(car(unread), Plan.KEPT) == {(Bar.NOT_MEASURED, LF), (Bar.NOT_MEASURED, RF)}
    assert bars(car(limits=without(LimitKind.ROTOR_DISCARD)), Plan.KEPT) == {
        (Bar.NO_LIMIT, LF),
        (Bar.NO_LIMIT, RF),
    }


def test_new_rotors_are_open_whatever_became_of_the_old_ones() -> None:
    file = car(findings=(finding(FindingKind.CRACK, Part.ROTOR),))

    assert world(file, Plan.NEW).is_complete


# Rotors that are cut


@pytest.mark.parametrize(
    ("file", "bar"),
    [
        (car(limits=without(LimitKind.ROTOR_MACHINE_TO)), Bar.CUT_LIMIT_UNKNOWN),
        (car(sets_of(rotor=("28.00", "27.20", "26.50"))), Bar.CANNOT_BE_CUT),
        (replace(car(), traits={(1, "machining"): "not-allowed"}), Bar.CANNOT_BE_CUT),
    ],
    ids=["machine-to not on file", "beyond machine-to", "not allowed"],
)
def test_no_cut_is_promised_that_may_not_be_made(file: CaseFile, bar: Bar) -> None:
    assert bars(file, Plan.REFINISHED) == {(bar, LF), (bar, RF)}


@pytest.mark.parametrize(
    ("rotor", "is_possible"),
    # 2 x 0.1 mm of clean-up; machine-to is out when below 26.4.
    [("26.600", True), ("26.599", False)],
)
def test_the_cut_may_end_at_machine_to_and_not_beyond_it(rotor: str, is_possible: bool) -> None:
    read = now("LF", Quantity.ROTOR, circle(rotor))

    assert world(car(read), Plan.REFINISHED).is_told is is_possible


def test_the_cut_counts_from_the_lowest_set_of_the_visit() -> None:
    low = readings("LF", Quantity.ROTOR, circle("27.180"))
    file = car((*[each for each in WORN if each.visit_id != NOW.id], low, *WORN[12:]))
    options = dict(world(file, Plan.REFINISHED).options)

    assert options[LF].cut.after_nm == 26_980_000


def test_a_rotor_after_its_cut_begins_anew_after_its_own_life() -> None:
    file = car()
    cut = life(world(file, Plan.REFINISHED), LF, Position.ROTOR)

    assert cut.start is not None
    assert (cut.start.event, cut.start.size_nm) == (FittingEvent.REFINISHED, 27_000_000)
    assert cut.projection.experience.after_earlier_set
    assert cut.read_on == NOW.day


def test_a_cut_never_makes_a_rotor_go_further() -> None:
    """It wears four times as fast as such rotors do: the belief about its next life is milder."""
    file = car(sets_of(rotor=("28.00", "26.90", "26.65")))
    uncut = life(world(file, Plan.KEPT), LF, Position.ROTOR).projection
    cut = life(world(file, Plan.REFINISHED), LF, Position.ROTOR).projection

    assert uncut.at_least_mm is not None
    assert cut.at_least_mm is not None
    assert cut.at_least_mm <= uncut.at_least_mm
    assert (cut.centre_mm or 0) <= (uncut.centre_mm or 0)


def test_a_cut_that_nothing_asks_for_is_called_so() -> None:
    assert "which is not asked for" in sentence(car(), Plan.REFINISHED)
    wavy = car(now("LF", Quantity.ROTOR, circle("27.200", "0.030")))
    assert "not asked for" not in sentence(wavy, Plan.REFINISHED)


def test_what_was_cut_in_this_visit_counts_with_the_size_that_it_has() -> None:
    done = fitting(LF, Position.ROTOR, NOW, FittingEvent.REFINISHED, 26_900_000)
    cut = life(world(car(fittings=(*FITTED, done)), Plan.REFINISHED), LF, Position.ROTOR)

    assert cut.start == done


# New linings


def test_new_linings_begin_today_at_the_size_of_the_sheet() -> None:
    pad = life(world(car(), Plan.KEPT), LF, Position.PAD_INNER)

    assert pad.start is not None
    assert (pad.start.size_nm, pad.start.odometer_mm) == (11_000_000, NOW.odometer_mm)
    assert pad.projection.from_odometer_mm == NOW.odometer_mm
    assert Note.NOMINAL_START in pad.projection.notes


def test_a_size_measured_at_fitting_counts_before_the_sheets() -> None:
    measured = fitting(LF, Position.PAD_INNER, NOW, size_nm=9_500_000)
    file = car(fittings=(*FITTED, measured))
    kept = world(file, Plan.KEPT)

    assert life(kept, LF, Position.PAD_INNER).start == measured
    assert Note.NOMINAL_START not in life(kept, LF, Position.PAD_INNER).projection.notes
    assert at_least(kept, LF, Position.PAD_INNER) < at_least(kept, RF, Position.PAD_INNER)


def test_without_a_new_size_on_file_nothing_is_said_of_new_linings() -> None:
    kept = world(car(limits=without(LimitKind.PAD_NEW)), Plan.KEPT)

    assert {(each.bar, each.part) for each in kept.passed_over} == {(Bar.NO_NEW_SIZE, Part.PADS)}
    assert {each.position for each in kept.lives} == {Position.ROTOR}


def test_a_new_size_with_its_plate_never_meets_a_limit_without() -> None:
    with_plate = limit(LimitKind.PAD_NEW, "17.0", datum=Datum.WITH_PLATE)
    kept = world(car(limits=(*without(LimitKind.PAD_NEW), with_plate)), Plan.KEPT)

    assert {each.bar for each in kept.passed_over} == {Bar.NO_NEW_SIZE}


def test_the_worn_set_moves_what_is_believed_of_the_next() -> None:
    slow = world(car(sets_of(pads=("11.0", "9.5", "8.0"), rotor=ROTOR)), Plan.KEPT)
    fast = world(car(sets_of(pads=("11.0", "7.0", "3.0"), rotor=ROTOR)), Plan.KEPT)

    for kept in (slow, fast):
        pad = life(kept, LF, Position.PAD_INNER).projection
        assert pad.experience.after_earlier_set
        assert Note.EXPERIENCE_ONLY in pad.notes
    assert at_least(fast, LF, Position.PAD_INNER) < at_least(slow, LF, Position.PAD_INNER)


def test_without_data_and_without_an_earlier_set_only_what_is_typical_is_said() -> None:
    """One reading and no fitting on record: the rate of this car is not known."""
    today = tuple(each for each in WORN if each.visit_id == NOW.id)
    file = car(today, fittings=())
    told = world(file, Plan.NEW)

    assert told.stated == ()
    assert {each.projection.refusal for each in told.lives} == {Refusal.NO_READING}
    assert sentence(file, Plan.NEW) == (
        "New pads and rotors: no projection for this car; typical ones would last: "
        "pads about 55,000 km, rotors about 105,000 km."
    )
    assert basis_sentence([told], file.shop) == ""


def test_what_a_stuck_slide_wore_says_nothing_of_the_next_set() -> None:
    kept = world(car(findings=(finding(FindingKind.STUCK_SLIDE, Part.PADS),)), Plan.KEPT)

    assert life(kept, LF, Position.PAD_INNER).projection.refusal is Refusal.NO_READING
    assert life(kept, RF, Position.PAD_INNER).projection.refusal is None


def test_new_linings_on_a_slide_that_nobody_freed_are_not_projected() -> None:
    stuck = replace(finding(FindingKind.STUCK_SLIDE, Part.PADS), visit_id=SECOND.id)
    kept = world(replace(car(), earlier_findings=(stuck,)), Plan.KEPT)

    assert life(kept, LF, Position.PAD_INNER).projection.refusal is Refusal.UNRESOLVED


def test_what_is_open_about_a_part_that_comes_off_holds_up_no_new_one() -> None:
    """0.9 mm of rotor at once beside pads that hardly wore: was it cut?"""
    file = car(sets_of(pads=("11.0", "10.0", "9.0"), rotor=("28.00", "27.07", "26.15")))

    kept = life(world(file, Plan.KEPT), LF, Position.ROTOR)
    assert kept.projection.refusal is Refusal.UNRESOLVED
    new = life(world(file, Plan.NEW), LF, Position.ROTOR)
    assert new.projection.refusal is Refusal.NO_READING
    assert not new.projection.experience.after_earlier_set


# As left


def test_where_new_pads_are_on_there_is_one_world() -> None:
    """Measured at fitting and not read again: known by that size."""
    pads = tuple(
        fitting(corner, position, NOW, size_nm=10_900_000)
        for corner in (LF, RF)
        for position in DISC[:2]
    )
    file = replace(car(fittings=(*FITTED, *pads)), stage=Stage.AS_LEFT)
    (told,) = judge_vehicle(file).worlds

    assert told.plan is Plan.KEPT
    assert told.is_complete
    assert life(told, LF, Position.PAD_INNER).start == pads[0]
    assert life(told, LF, Position.PAD_INNER).projection.experience.after_earlier_set


def test_where_the_rotors_were_changed_no_other_rotors_are_offered() -> None:
    rotors = tuple(fitting(corner, Position.ROTOR, NOW, size_nm=28_000_000) for corner in (LF, RF))
    file = replace(car(fittings=(*FITTED, *rotors)), stage=Stage.AS_LEFT)

    assert [each.plan for each in judge_vehicle(file).worlds] == [Plan.LEFT, Plan.KEPT]


# Drums


SHOES = (
    limit(LimitKind.DRUM_NEW, "203.2"),
    limit(LimitKind.DRUM_MACHINE_TO, "204.7", out_when=OutWhen.ABOVE),
    limit(LimitKind.DRUM_DISCARD, "205.2"),
    limit(LimitKind.SHOE_NEW, "4.5"),
    limit(LimitKind.SHOE_MINIMUM, "1.0", out_when=OutWhen.BELOW),
)
DRUM = (Position.SHOE_LEADING, Position.SHOE_TRAILING, Position.DRUM)


def drum_car(largest: str) -> CaseFile:
    """A drum axle with shoes half worn and drums of that diameter."""
    sets = [
        readings(corner, quantity, text, of=of)
        for of, shoe, drum in (
            (FIRST, "4.5 4.5", "203.20 203.21"),
            (NOW, "2.8 2.9", f"{largest} {largest}"),
        )
        for corner in CORNERS
        for quantity, text in (
            (Quantity.DRUM_OPEN, drum),
            (Quantity.DRUM_CLOSED, drum),
            (Quantity.SHOE_LEADING, shoe),
            (Quantity.SHOE_TRAILING, shoe),
        )
    ]
    fittings = tuple(fitting(corner, position) for corner in (LF, RF) for position in DRUM)
    return case(sets, visits=VISITS, limits=SHOES, brakes=(AxleBrake.DRUM,), fittings=fittings)


def test_a_drum_axle_has_the_same_worlds_with_shoes_and_drums() -> None:
    file = drum_car("203.80")
    told = judge_vehicle(file).worlds

    assert [each.plan for each in told] == list(Plan)
    assert all(each.is_complete for each in told)
    assert {(each.lining, each.iron) for each in told} == {(Part.SHOES, Part.DRUM)}
    # Highest and two cuts of clean-up.
    assert {option.cut.after_nm for _, option in told[2].options} == {204_000_000}
    assert sentence(file, Plan.NEW).startswith("New shoes and drums: ")


def test_a_drum_that_a_cut_would_take_beyond_machine_to_is_not_cut() -> None:
    file = drum_car("204.60")

    assert {bar for bar, _ in bars(file, Plan.REFINISHED)} == {Bar.CANNOT_BE_CUT}
    assert "beyond machine-to 204.7 mm: it cannot be refinished" in sentence(file, Plan.REFINISHED)


# Words


def suggested() -> CaseFile:
    """Pads that will not reach the next visit, on rotors that will."""
    return car(sets_of(pads=("11.0", "7.0", "3.0"), rotor=ROTOR))


def test_suggested_pads_that_are_left_have_a_distance_and_a_day_to_come_back_by() -> None:
    text = sentence(suggested(), Plan.LEFT)

    assert text.startswith("If left: come back within ")
    assert " km or by 2026-" in text
    assert "rotor would then be about 27.10 mm, still inside discard 26.0" in text
    assert text.endswith("come back at once.")


def test_parts_that_all_end_together_are_named_by_their_kind() -> None:
    assert "The pads first: 9 of 10 get at least " in sentence(car(), Plan.NEW).replace(
        "rotors: the", "rotors: The"
    )


def test_the_rotor_after_the_next_pads_stands_beside_the_distances() -> None:
    text = sentence(suggested(), Plan.KEPT)

    assert "LF: this car's rotor wears 0.100 mm for each mm of lining" in text
    assert "it would be 26.30 mm, inside discard 26.0" in text


def test_what_new_parts_rest_on_is_said_once() -> None:
    file = car()
    told = [each for each in judge_vehicle(file).worlds if each.is_told]

    assert basis_sentence(told, file.shop) == (
        "What is new or cut counts from a size on paper; its pace is that of general experience "
        "and this vehicle's earlier part; no shop data yet."
    )


def test_worlds_change_no_word_of_the_verdict() -> None:
    """A rotor that new pads would outlast is suggested by its life match, and may be kept."""
    file = car(sets_of(pads=("11.0", "7.0", "3.0"), rotor=("28.00", "27.20", "26.40")))
    verdict = judge_vehicle(file)
    rotor = next(each for each in verdict.parts if (each.corner, each.part) == (LF, Part.ROTOR))

    assert Because.WILL_NOT_OUTLAST_PADS in {each.because for each in rotor.reasons}
    kept = world(file, Plan.KEPT)
    assert kept.is_told
    assert kept.first is not None
    assert kept.first.position is Position.ROTOR
