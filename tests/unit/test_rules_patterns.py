"""What the wear says: each difference and each pattern with its innocent twin."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from brakelog.record.corner import parse_corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake
from brakelog.reports.counter import counter_sheet
from brakelog.reports.customer import customer_summary
from brakelog.reports.wear_notes import wear_notes
from brakelog.review.question import Confidence, Question, Scope, Suspicion
from brakelog.rules.casefile import CaseFile
from brakelog.rules.document import verdict_document
from brakelog.rules.evenness import flags_of
from brakelog.rules.flag import Flag, FlagKind
from brakelog.rules.flag_words import flag_sentence
from brakelog.rules.hint import Hint, Pattern
from brakelog.rules.patterns import _MOST_CERTAIN_FIRST, hints_of
from brakelog.rules.vehicle import judge_vehicle
from tests.unit.verdict_examples import FRONT_DISC, NOW, case, limit, readings, runout, visit

OLD = visit("old", date(2024, 3, 2), 45_000)
"""The visit before: two years and 15,000 km ago."""
ROTOR = "27.402 27.404 27.406 27.405 27.401 27.399 27.400 27.401"
WAVY = "27.402 27.404 27.436 27.405 27.401 27.399 27.400 27.401"
"""A thickness variation of 0.037 mm, where 0.015 mm is the limit."""

REAR_DISC = (
    limit(LimitKind.ROTOR_NEW, "12.0", axle=2),
    limit(LimitKind.ROTOR_DISCARD, "10.0", axle=2, out_when=OutWhen.AT_OR_BELOW),
    limit(LimitKind.PAD_NEW, "10.0", axle=2),
    limit(LimitKind.PAD_MINIMUM, "2.0", axle=2, out_when=OutWhen.BELOW),
)
REAR_DRUM = (
    limit(LimitKind.DRUM_NEW, "203.2", axle=2),
    limit(LimitKind.DRUM_DISCARD, "205.2", axle=2),
    limit(LimitKind.BELL_MOUTH, "0.10", axle=2, out_when=OutWhen.ABOVE),
    limit(LimitKind.SHOE_NEW, "4.5", axle=2),
    limit(LimitKind.SHOE_MINIMUM, "1.0", axle=2, out_when=OutWhen.BELOW),
)
DISC_DISC = (AxleBrake.DISC, AxleBrake.DISC)
DISC_DRUM = (AxleBrake.DISC, AxleBrake.DRUM)
PADS = {
    "LF pad-in": "8.2 8.0",
    "LF pad-out": "8.5 8.4",
    "RF pad-in": "8.2 8.0",
    "RF pad-out": "8.5 8.4",
}
REAR_PADS = {each.replace("F", "R"): text for each, text in PADS.items()}
SHOES = {
    "LR shoe-lead": "3.2 3.1",
    "LR shoe-trail": "3.5 3.4",
    "RR shoe-lead": "3.2 3.1",
    "RR shoe-trail": "3.5 3.4",
}


def read(lines: Mapping[str, str], **circumstances: Any) -> tuple[ReadingSet, ...]:
    """Sets by their line: ``{"RF pad-in": "3.4 2.1"}``."""
    sets = []
    for line, text in lines.items():
        corner, word = line.split()
        if word == "runout":
            sets.append(runout(corner, text, **circumstances))
        elif word == "rotor":
            sets.append(readings(corner, Quantity.ROTOR, text, lip=False, **circumstances))
        else:
            sets.append(readings(corner, Quantity(word), text, **circumstances))
    return tuple(sets)


def car(*lines: Mapping[str, str], traits: Mapping[tuple[int, str], str] | None = None) -> CaseFile:
    """A car with disc brakes in front, later lines in place of earlier ones."""
    merged = {line: text for each in lines for line, text in each.items()}
    return replace(case(read(merged)), traits=traits or {})


def rear_disc(*lines: Mapping[str, str], **known: Any) -> CaseFile:
    return four_wheels(DISC_DISC, REAR_DISC, *lines, **known)


def rear_drum(*lines: Mapping[str, str], **known: Any) -> CaseFile:
    return four_wheels(DISC_DRUM, REAR_DRUM, *lines, **known)


def four_wheels(
    brakes: tuple[AxleBrake, ...],
    rear: tuple[Any, ...],
    *lines: Mapping[str, str],
    traits: Mapping[tuple[int, str], str] | None = None,
    fittings: tuple[Fitting, ...] = (),
    findings: tuple[Finding, ...] = (),
    earlier: tuple[ReadingSet, ...] = (),
) -> CaseFile:
    merged = {line: text for each in lines for line, text in each.items()}
    file = case(
        (*earlier, *read(merged)),
        limits=(*FRONT_DISC, *rear),
        brakes=brakes,
        visits=(OLD, NOW),
        fittings=fittings,
        findings=findings,
    )
    return replace(file, traits=traits or {})


def found(corner: str, kind: FindingKind, part: Part, **more: Any) -> Finding:
    return Finding(
        id=f"{corner} {kind.value} {more}",
        visit_id="visit",
        corner=parse_corner(corner),
        stage=more.pop("stage", Stage.AS_FOUND),
        kind=kind,
        part=part,
        **more,
    )


def fitted(
    corners: str, *positions: Position, size: str = "", event: FittingEvent = FittingEvent.NEW
) -> tuple[Fitting, ...]:
    """What was fitted in the visit before."""
    return tuple(
        Fitting(
            id=f"{corner} {position.value}",
            visit_id=OLD.id,
            day=OLD.day,
            odometer_mm=OLD.odometer_mm,
            corner=parse_corner(corner),
            position=position,
            event=event,
            basis=SizeBasis.MEASURED if size else SizeBasis.NOMINAL,
            size_nm=round(float(size) * 1e6) if size else None,
        )
        for corner in corners.split()
        for position in positions
    )


BOTH_PADS = (Position.PAD_INNER, Position.PAD_OUTER)
BOTH_SHOES = (Position.SHOE_LEADING, Position.SHOE_TRAILING)
NEW_FRONT = fitted("LF RF", *BOTH_PADS, size="11.0")
NEW_REAR = fitted("LR RR", *BOTH_PADS, size="10.0")
NEW_SHOES = fitted("LR RR", *BOTH_SHOES, size="4.5")


def flags(file: CaseFile) -> tuple[Flag, ...]:
    return judge_vehicle(file).flags


def kinds(file: CaseFile) -> set[FlagKind]:
    return {each.kind for each in flags(file)}


def hints(file: CaseFile) -> tuple[Hint, ...]:
    return judge_vehicle(file).hints


def patterns(file: CaseFile) -> list[Pattern]:
    return [each.pattern for each in hints(file)]


# Uneven wear


def test_an_even_axle_raises_nothing() -> None:
    verdict = judge_vehicle(car(PADS))

    assert verdict.flags == ()
    assert verdict.hints == ()


@pytest.mark.parametrize(("outer", "is_flagged"), [("7.9", False), ("8.0", True)])
def test_pads_of_one_wheel_are_flagged_from_two_millimetres_on(
    outer: str, is_flagged: bool
) -> None:
    file = car(PADS, {"RF pad-in": "6.0", "RF pad-out": outer})

    assert (FlagKind.INNER_OUTER in kinds(file)) is is_flagged


@pytest.mark.parametrize(("outer", "is_flagged"), [("6.9", False), ("7.0", True)])
def test_a_fixed_caliper_is_flagged_from_one_millimetre_on(outer: str, is_flagged: bool) -> None:
    lines = {"RF pad-in": "6.0", "RF pad-out": outer, "LF pad-in": "6.0", "LF pad-out": "6.2"}
    fixed = car(lines, traits={(1, "caliper"): "fixed"})

    assert (FlagKind.INNER_OUTER in kinds(fixed)) is is_flagged
    assert FlagKind.INNER_OUTER not in kinds(car(lines))


@pytest.mark.parametrize(("faster", "is_flagged"), [("inner", False), ("outer", True)])
def test_the_pad_that_is_known_to_wear_faster_raises_no_alarm(
    faster: str, is_flagged: bool
) -> None:
    lines = {"RF pad-in": "6.0", "RF pad-out": "8.4"}
    file = car(PADS, lines, traits={(1, "faster-pad"): faster})

    assert (FlagKind.INNER_OUTER in kinds(file)) is is_flagged
    assert (Pattern.INNER_WORN in patterns(file)) is is_flagged


@pytest.mark.parametrize(
    ("ends", "taper"),
    [("8.2 6.8", None), ("8.2 6.7", False), ("8.2 5.2", False), ("8.2 5.1", True)],
)
def test_taper_is_flagged_from_one_and_a_half_and_severe_beyond_three(
    ends: str, taper: bool | None
) -> None:
    found_ones = [each for each in flags(car({"RF pad-in": ends})) if each.kind is FlagKind.TAPER]

    assert [each.is_severe for each in found_ones] == ([] if taper is None else [taper])
    if taper:
        assert "replace" in flag_sentence(found_ones[0], Shop())


def test_the_thinnest_linings_of_both_sides_are_compared() -> None:
    """Seized slide pin: inner against outer 4.7 mm, thinnest left against right 4.0 mm."""
    file = car(
        {"LF pad-in": "6.3 6.1", "LF pad-out": "6.6 6.5"},
        {"RF pad-in": "3.4 2.1", "RF pad-out": "6.9 6.8"},
    )

    assert [(each.kind, each.difference_nm) for each in flags(file)] == [
        (FlagKind.INNER_OUTER, 4_700_000),
        (FlagKind.SIDES, 4_000_000),
    ]
    texts = [flag_sentence(each, Shop()) for each in flags(file)]
    assert texts == [
        "RF inner pad 2.1 mm, outer pad 6.8 mm: 4.7 mm (0.185 in) apart; look for the cause from "
        "2.0 mm on (common practice).",
        "Front pads, thinnest: RF 2.1 mm, LF 6.1 mm, 4.0 mm (0.157 in) apart; look for the cause "
        "from 2.0 mm on (common practice).",
    ]


def test_a_trailing_shoe_that_wears_faster_is_flagged_and_a_leading_one_is_not() -> None:
    trailing = {"LR shoe-lead": "3.2", "LR shoe-trail": "2.2"}
    leading = {"LR shoe-lead": "2.2", "LR shoe-trail": "3.2"}

    assert kinds(rear_drum(SHOES, trailing)) == {FlagKind.SHOES}
    assert kinds(rear_drum(SHOES, leading)) == set()
    duo_servo = {(2, "shoes"): "duo-servo"}
    assert kinds(rear_drum(SHOES, trailing, traits=duo_servo)) == set()


def test_rotors_and_drums_that_differ_are_information_only() -> None:
    thin = "27.182 27.184 27.186 27.185 27.181 27.179 27.180 27.183"
    discs = car(PADS, {"LF rotor": ROTOR, "RF rotor": thin})
    drums = rear_drum(SHOES, {"LR drum-open": "204.0 204.0", "RR drum-open": "203.8 203.8"})

    assert kinds(discs) == {FlagKind.ROTORS}
    assert [each.worn.corner.code for each in flags(drums)] == ["LR"]
    assert "for information" in flag_sentence(flags(drums)[0], Shop())
    assert told(discs) == told(drums) == []


def test_what_cannot_be_told_apart_by_eye_is_not_flagged() -> None:
    """Two readings by eye differ by chance by up to 2.1 mm."""
    by_eye = [
        readings("RF", Quantity.PAD_INNER, "5.0", gauge=None),
        readings("RF", Quantity.PAD_OUTER, "7.1", gauge=None),
    ]
    far = [by_eye[0], readings("RF", Quantity.PAD_OUTER, "7.2", gauge=None)]

    assert kinds(case(by_eye)) == set()
    assert kinds(case(far)) == {FlagKind.INNER_OUTER}


def test_a_pad_that_was_not_read_or_read_with_its_plate_is_compared_with_nothing() -> None:
    alone = case(read({"RF pad-in": "2.1", "LF pad-in": "6.1", "LF pad-out": "6.5"}))
    plate = readings("RF", Quantity.PAD_OUTER, "12.0", datum=Datum.WITH_PLATE)

    assert kinds(alone) == set()
    assert kinds(replace(alone, sets=(*alone.sets, plate))) == set()


def test_readings_with_an_open_question_are_not_used() -> None:
    verdict = judge_vehicle(car(PADS, {"RF pad-in": "4.0 2.1", "RF pad-out": "7.0 6.8"}))
    inner = next(each for each in verdict.file.sets if each.typed == ("4.0", "2.1"))
    question = Question(
        suspicion=next(iter(Suspicion)),
        scope=Scope.CORNERS,
        confidence=Confidence.HIGH,
        key="swapped",
        visit_id=NOW.id,
        set_ids=(inner.id,),
        evidence="",
        ask="",
    )
    asked = replace(verdict.file, questions=(question,))

    assert verdict.flags
    assert verdict.hints
    assert flags_of(asked, verdict.parts) == ()
    assert hints_of(asked, verdict.parts, ()) == ()


# Patterns: what shows each, and a twin that does not


@dataclass(frozen=True, kw_only=True)
class Row:
    """One pattern: the car that shows it, its wheels, and the car that all but shows it."""

    pattern: Pattern
    alarm: CaseFile
    corners: str
    twin: CaseFile


def worn(corner: str, inner: str, outer: str) -> dict[str, str]:
    return {f"{corner} pad-in": inner, f"{corner} pad-out": outer}


def shoes(corner: str, leading: str, trailing: str) -> dict[str, str]:
    return {f"{corner} shoe-lead": leading, f"{corner} shoe-trail": trailing}


def rotor(variation: str, tir: str, **job: Any) -> CaseFile:
    return four_wheels(DISC_DISC, (), {"RF rotor": variation, "RF runout": tir}, **job)


FAST_FRONT = dict.fromkeys(PADS, "4.2 4.0")
"""7 mm of lining in 15,000 km, where 2.5 mm is usual."""
FAST_REAR = dict.fromkeys(REAR_PADS, "5.2 5.0")
"""5 mm in 15,000 km, where 1.5 mm is usual."""
USED_FRONT = dict.fromkeys(PADS, "8.7 8.6")
USED_REAR = dict.fromkeys(REAR_PADS, "8.6 8.5")
LONG_AGO = replace(OLD, odometer_mm=20_000 * 1_000_000, odometer_text="20000")


def since_long(file: CaseFile) -> CaseFile:
    """The same car, whose last visit was 40,000 km ago."""
    fittings = tuple(replace(each, odometer_mm=LONG_AGO.odometer_mm) for each in file.fittings)
    return replace(file, visits=(LONG_AGO, NOW), fittings=fittings)


def speeding(rear_then: str) -> CaseFile:
    """Front linings: 1 mm in the first 15,000 km, 5 mm in the last; the rear as given before."""
    first = visit("first", date(2023, 3, 2), 30_000)
    begun = tuple(
        replace(each, visit_id=first.id, day=first.day, odometer_mm=first.odometer_mm)
        for each in (*NEW_FRONT, *NEW_REAR)
    )
    then = dict.fromkeys(PADS, "10.0") | dict.fromkeys(REAR_PADS, rear_then)
    file = rear_disc(
        dict.fromkeys(PADS, "5.0") | dict.fromkeys(REAR_PADS, "7.0"),
        fittings=begun,
        earlier=read(then, of=OLD),
    )
    return replace(file, visits=(first, OLD, NOW))


RUSTED = (found("LF", FindingKind.DEEP_PITTING, Part.ROTOR),)
NEARLY_NEW = dict.fromkeys(PADS, "10.6 10.5")

ROWS = (
    Row(
        pattern=Pattern.INNER_WORN,
        alarm=car(PADS, worn("RF", "4.0 3.8", "8.2 8.1")),
        corners="RF",
        twin=car(PADS, worn("RF", "6.6 6.5", "8.2 8.1")),
    ),
    Row(
        pattern=Pattern.OUTER_WORN,
        alarm=car(PADS, worn("RF", "8.2 8.0", "4.1 3.9")),
        corners="RF",
        twin=car(PADS, worn("RF", "8.2 8.0", "4.1 3.9"), traits={(1, "faster-pad"): "outer"}),
    ),
    Row(
        pattern=Pattern.ONE_WHEEL_WORN,
        alarm=car(PADS, worn("RF", "4.0 3.8", "4.4 4.2")),
        corners="RF",
        twin=car(PADS, worn("RF", "4.0 3.8", "8.4 8.2")),
    ),
    Row(
        pattern=Pattern.ONE_WHEEL_IDLE,
        alarm=car(worn("LF", "10.6", "10.8"), worn("RF", "6.0", "6.2")),
        corners="LF",
        twin=four_wheels(
            DISC_DISC,
            (),
            worn("LF", "10.6", "10.8"),
            worn("RF", "6.0", "6.2"),
            fittings=fitted("LF", *BOTH_PADS, size="11.0"),
        ),
    ),
    Row(
        pattern=Pattern.TAPERED,
        alarm=car(PADS, {"RF pad-in": "8.2 6.5"}),
        corners="RF",
        twin=car(PADS, {"RF pad-in": "8.2 6.8"}),
    ),
    Row(
        pattern=Pattern.TAPERED_OPPOSITE,
        alarm=car(PADS, worn("RF", "8.2 6.5", "6.6 8.2")),
        corners="RF",
        twin=car(PADS, worn("RF", "8.2 6.5", "8.2 6.6")),
    ),
    Row(
        pattern=Pattern.AXLE_FAST,
        alarm=rear_disc(FAST_FRONT, USED_REAR, fittings=(*NEW_FRONT, *NEW_REAR)),
        corners="LF RF",
        twin=rear_disc(USED_FRONT, USED_REAR, fittings=(*NEW_FRONT, *NEW_REAR)),
    ),
    Row(
        pattern=Pattern.REAR_FAST,
        alarm=rear_disc(USED_FRONT, FAST_REAR, fittings=(*NEW_FRONT, *NEW_REAR)),
        corners="LR RR",
        twin=rear_disc(
            USED_FRONT,
            FAST_REAR,
            fittings=(*NEW_FRONT, *NEW_REAR),
            traits={(0, "faster-axle"): "rear"},
        ),
    ),
    Row(
        pattern=Pattern.PARKING_BRAKE,
        alarm=rear_disc(
            REAR_PADS, worn("RR", "4.0 3.8", "4.4 4.2"), traits={(2, "parking-brake"): "cable"}
        ),
        corners="RR",
        twin=rear_disc(
            REAR_PADS,
            worn("RR", "4.0 3.8", "4.4 4.2"),
            traits={(2, "parking-brake"): "drum-in-hat"},
        ),
    ),
    Row(
        pattern=Pattern.SHOES_IDLE,
        alarm=since_long(
            rear_drum(
                dict.fromkeys(PADS, "2.2 2.1"),
                dict.fromkeys(SHOES, "4.4"),
                fittings=(*fitted("LF RF", *BOTH_PADS, size="17.0"), *NEW_SHOES),
            )
        ),
        corners="LR RR",
        twin=since_long(
            rear_drum(
                dict.fromkeys(PADS, "2.2 2.1"),
                dict.fromkeys(SHOES, "3.3"),
                fittings=(*fitted("LF RF", *BOTH_PADS, size="17.0"), *NEW_SHOES),
            )
        ),
    ),
    Row(
        pattern=Pattern.SHOES_ONE_SIDE,
        alarm=rear_drum(shoes("LR", "4.3", "4.4"), shoes("RR", "2.0", "2.2")),
        corners="LR",
        twin=rear_drum(shoes("LR", "3.5", "3.6"), shoes("RR", "2.0", "2.2")),
    ),
    Row(
        pattern=Pattern.BELL_MOUTHED,
        alarm=rear_drum(
            shoes("LR", "1.9 1.4", "3.0"),
            shoes("RR", "2.7 2.6", "3.3"),
            {"LR drum-open": "204.72 204.70", "LR drum-closed": "204.35 204.38"},
        ),
        corners="LR",
        twin=rear_drum(
            shoes("LR", "1.9 1.4", "3.0"),
            shoes("RR", "2.7 2.6", "3.3"),
            {"LR drum-open": "204.42 204.40", "LR drum-closed": "204.35 204.38"},
        ),
    ),
    Row(
        pattern=Pattern.ALL_FAST,
        alarm=rear_disc(FAST_FRONT, FAST_REAR, fittings=(*NEW_FRONT, *NEW_REAR)),
        corners="LF RF LR RR",
        twin=rear_disc(FAST_FRONT, USED_REAR, fittings=(*NEW_FRONT, *NEW_REAR)),
    ),
    Row(
        pattern=Pattern.FASTER_THAN_BEFORE,
        alarm=speeding(rear_then="8.5"),
        corners="LF RF",
        twin=speeding(rear_then="9.8"),
    ),
    Row(
        pattern=Pattern.LITTLE_USE,
        alarm=rear_disc(NEARLY_NEW, fittings=NEW_FRONT, findings=RUSTED),
        corners="LF",
        twin=rear_disc(PADS, fittings=NEW_FRONT, findings=RUSTED),
    ),
    Row(
        pattern=Pattern.VARIATION_AND_RUNOUT,
        alarm=rotor(WAVY, "0.09"),
        corners="RF",
        twin=rotor(ROTOR, "0.03"),
    ),
    Row(
        pattern=Pattern.VARIATION_ALONE,
        alarm=rotor(WAVY, "0.02"),
        corners="RF",
        twin=rotor("27.402 27.404", "0.02"),
    ),
    Row(
        pattern=Pattern.RUNOUT_ALONE,
        alarm=rotor(ROTOR, "0.09", fittings=fitted("RF", Position.ROTOR)),
        corners="RF",
        twin=since_long(rotor(ROTOR, "0.09", fittings=fitted("RF", Position.ROTOR))),
    ),
    Row(
        pattern=Pattern.BACK_SOON,
        alarm=rotor(WAVY, "0.09", fittings=fitted("RF", Position.ROTOR)),
        corners="RF",
        twin=since_long(rotor(WAVY, "0.09", fittings=fitted("RF", Position.ROTOR))),
    ),
)
IDS = [row.pattern.name.lower() for row in ROWS]


def test_every_pattern_has_an_alarm_and_a_twin() -> None:
    assert {row.pattern for row in ROWS} == set(Pattern) == set(_MOST_CERTAIN_FIRST)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_the_pattern_is_seen_where_it_is(row: Row) -> None:
    seen = next(each for each in hints(row.alarm) if each.pattern is row.pattern)

    assert " ".join(corner.code for corner in seen.corners) == row.corners
    assert seen.evidence
    assert seen.probable_causes
    assert seen.next_checks


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_the_innocent_twin_is_left_alone(row: Row) -> None:
    assert row.pattern not in patterns(row.twin)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_a_pattern_takes_three_lines_of_the_counter_sheet_at_most(row: Row) -> None:
    verdict = judge_vehicle(row.alarm)
    seen = replace(verdict, flags=())
    lines = [line.text for line in wear_notes(seen, 80)][3:]

    assert len(lines) <= 3 * len(verdict.hints)
    assert max(len(line) for line in lines) <= 80
    sheet = [line.text for line in counter_sheet(verdict, width=60)]
    assert max(len(line) for line in sheet) <= 60


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_no_pattern_is_ever_among_the_reasons_of_a_verdict(row: Row) -> None:
    document = verdict_document(judge_vehicle(row.alarm))
    codes = {reason["code"] for part in document["parts"] for reason in part["reasons"]}

    assert not {code for code in codes if code.startswith("H")}
    assert row.pattern.value in {each["code"] for each in document["hints"]}


# What comes first, and whether a cause is still open


STUCK_PIN = found("RF", FindingKind.STUCK_SLIDE, Part.PADS, note="lower pin")
STUCK_PISTON = found("RF", FindingKind.STUCK_PISTON, Part.PADS)


def seized(*findings: Finding) -> Hint:
    lines = worn("LF", "6.3 6.1", "6.6 6.5") | worn("RF", "3.4 2.1", "6.9 6.8")
    return hints(replace(car(lines), findings=findings))[0]


def test_a_caliper_that_does_not_slide_comes_before_piston_and_hose() -> None:
    first = seized(STUCK_PIN)

    assert first.probable_causes == (
        "caliper not sliding",
        "piston not retracting",
        "hose holding pressure",
    )
    assert first.evidence[-1] == "RF: slide or pin stuck (lower pin)"
    assert first.is_borne_out


def test_a_cause_that_was_found_comes_first() -> None:
    assert seized(STUCK_PISTON).probable_causes[0] == "piston not retracting"


def test_a_cause_stays_open_until_somebody_says_that_it_was_put_right() -> None:
    put_right = replace(STUCK_PIN, id="right", stage=Stage.AS_LEFT, put_right=True)

    assert seized().cause_open
    assert seized(STUCK_PIN).cause_open
    assert not seized(STUCK_PIN, put_right).cause_open


def test_what_a_finding_bears_out_is_said_first() -> None:
    """A stuck piston in front outweighs what the rear pads show against each other."""
    lines = worn("RF", "4.0 3.8", "4.4 4.2") | worn("RR", "4.0 3.8", "8.2 8.1")
    file = rear_disc(PADS, REAR_PADS, lines)

    assert patterns(file) == [Pattern.INNER_WORN, Pattern.ONE_WHEEL_WORN]
    assert patterns(replace(file, findings=(STUCK_PISTON,))) == [
        Pattern.ONE_WHEEL_WORN,
        Pattern.INNER_WORN,
    ]


def test_a_dragging_wheel_is_borne_out_by_its_hotter_rotor() -> None:
    lines = PADS | worn("RF", "4.0 3.8", "4.4 4.2")
    warm = read({"RF rotor": ROTOR}, temperature_dc=620) + read(
        {"LF rotor": ROTOR.replace("27.40", "27.41")}, temperature_dc=310
    )
    blue = found("RF", FindingKind.BLUEING, Part.ROTOR)
    file = case([*read(lines), *warm], findings=(blue,))
    dragging = next(each for each in hints(file) if each.pattern is Pattern.ONE_WHEEL_WORN)

    assert dragging.evidence[1:] == ("RF rotor: blueing", "RF rotor 31 degrees C hotter than LF")


def test_a_fixed_caliper_has_no_pins_to_look_at() -> None:
    file = car(PADS, worn("RF", "6.0", "8.0"), traits={(1, "caliper"): "fixed"})
    causes = " ".join(hints(file)[0].probable_causes)

    assert "slid" not in causes
    assert "outer piston seized" in causes


def test_the_same_at_both_wheels_may_be_usual_for_the_variant() -> None:
    both = car(worn("LF", "4.0", "8.0"), worn("RF", "4.0", "8.0"))

    assert [corner.code for corner in hints(both)[0].corners] == ["LF", "RF"]
    assert "usual" in hints(both)[0].probable_causes[-1]


def test_hard_use_and_no_use_leave_no_cause_open() -> None:
    for row in ROWS:
        if row.pattern in (Pattern.ALL_FAST, Pattern.LITTLE_USE):
            assert not any(each.cause_open for each in hints(row.alarm))


@pytest.mark.parametrize(
    ("left", "said"),
    [
        (None, "as left not on file"),
        ("0.09", "left at 0.090 mm, out"),
        ("0.03", "left at 0.030 mm"),
    ],
)
def test_a_rotor_that_is_back_soon_is_held_against_the_runout_that_it_left_with(
    left: str | None, said: str
) -> None:
    file = rotor(WAVY, "0.09", fittings=fitted("RF", Position.ROTOR))
    if left is not None:
        then = runout("RF", left, of=OLD, stage=Stage.AS_LEFT)
        file = replace(file, sets=(then, *file.sets))
    back = next(each for each in hints(file) if each.pattern is Pattern.BACK_SOON)

    assert back.evidence[0] == f"15,000 km, runout {said}"


def test_runout_that_was_put_right_and_read_as_left_closes_the_cause() -> None:
    file = rotor(WAVY, "0.09")
    left = runout("RF", "0.02", stage=Stage.AS_LEFT)

    assert hints(file)[0].cause_open
    assert not hints(replace(file, sets=(*file.sets, left)))[0].cause_open


def test_runout_read_without_all_fasteners_is_read_again_first() -> None:
    loose = runout("RF", "0.09", fasteners_fitted=2)
    file = case([*read({"RF rotor": ROTOR}), loose])

    assert "fasteners" in hints(file)[0].next_checks[0]


def test_an_odometer_in_doubt_says_nothing_about_how_fast_it_wears() -> None:
    row = next(each for each in ROWS if each.pattern is Pattern.AXLE_FAST)
    verdict = judge_vehicle(row.alarm)
    question = Question(
        suspicion=next(iter(Suspicion)),
        scope=Scope.ODOMETER,
        confidence=Confidence.HIGH,
        key="odometer",
        visit_id=NOW.id,
        evidence="",
        ask="",
    )
    asked = replace(verdict.file, questions=(question,))

    assert verdict.hints
    assert hints_of(asked, verdict.parts, verdict.flags) == ()


# What the page says


def test_the_page_on_wear_patterns_has_every_flag_and_every_code() -> None:
    page = Path(__file__).parents[2] / "docs" / "reference" / "wear-patterns.md"
    rows = re.findall(r"^\| `?([^|`]+?)`? \| ([^|]+?) \|", page.read_text("utf-8"), re.MULTILINE)
    codes = [(first, second) for first, second in rows if first.startswith("H3")]

    assert codes == [(each.value, each.label) for each in Pattern]
    assert [each.value for each in FlagKind] == [
        first for first, _ in rows if first in {each.value for each in FlagKind}
    ]


# What a customer reads


def told(file: CaseFile) -> list[str]:
    """What the customer's page says about causes."""
    return [
        sentence
        for meaning in customer_summary(judge_vehicle(file), None).meanings
        for sentence in meaning.sentences
        if "cause should be found" in sentence
    ]


def test_the_customer_is_told_once_for_an_axle_that_a_cause_should_be_found() -> None:
    assert told(car(PADS, worn("RF", "4.0 2.4", "8.2 8.1"))) == [
        "One pad wears faster than its partner; the cause should be found before new ones go on."
    ]
    fast = next(row.alarm for row in ROWS if row.pattern is Pattern.AXLE_FAST)
    assert told(fast) == [
        "The linings wear faster than they should; the cause should be found before new ones go on."
    ]
