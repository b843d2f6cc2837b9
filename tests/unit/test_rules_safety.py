"""Ways in which a part beyond its limit once ended as reuse; each stays closed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from brakelog.record.corner import parse_corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.gauge import Tips
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.reports.customer import customer_summary
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Doubt
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import Because, Grounds, PartVerdict, Word
from tests.unit.verdict_examples import (
    EIGHT,
    FRONT_DISC,
    LF,
    MICROMETER,
    NOW,
    RF,
    UNFILED,
    case,
    circle,
    healthy,
    instead,
    limit,
    readings,
    verdict_on,
    visit,
)

BOTH = (*healthy("LF"), *healthy("RF"))
LEFT_ROTOR = readings("LF", Quantity.ROTOR, EIGHT, stage=Stage.AS_LEFT)


def seen(kind: FindingKind, part: Part, corner: str = "LF") -> Finding:
    return Finding(
        id=kind.value, visit_id="visit", corner=parse_corner(corner), stage=Stage.AS_FOUND,
        kind=kind, part=part,
    )  # fmt: skip


def fitted(
    position: Position, event: FittingEvent, *, at: str = "LF", come_from: str | None = None
) -> Fitting:
    return Fitting(
        id=f"{position.value}-{at}", visit_id="visit", day=NOW.day, odometer_mm=NOW.odometer_mm,
        corner=parse_corner(at), position=position, event=event, basis=SizeBasis.UNKNOWN,
        from_corner=parse_corner(come_from) if come_from else None,
    )  # fmt: skip


def as_left(
    sets: Iterable[ReadingSet], *fittings: Fitting, findings: tuple[Finding, ...] = ()
) -> CaseFile:
    return case(sets, stage=Stage.AS_LEFT, fittings=fittings, findings=findings)


def is_open_or_goes(part: PartVerdict) -> bool:
    return part.word is not Word.REUSE


@pytest.mark.parametrize("kind", [FindingKind.CRACK, FindingKind.HOT_SPOTS])
def test_a_cut_does_not_take_a_crack_or_hot_spots_away(kind: FindingKind) -> None:
    file = as_left(
        (*BOTH, LEFT_ROTOR),
        fitted(Position.ROTOR, FittingEvent.REFINISHED),
        findings=(seen(kind, Part.ROTOR),),
    )

    assert verdict_on(file, LF, Part.ROTOR).reasons[0].because is Because.CONDEMNED


def test_one_new_pad_leaves_the_condemned_one_in_question() -> None:
    left = [
        readings("LF", quantity, "10.9 10.9", stage=Stage.AS_LEFT)
        for quantity in (Quantity.PAD_INNER, Quantity.PAD_OUTER)
    ]
    file = as_left(
        (*BOTH, *left),
        fitted(Position.PAD_INNER, FittingEvent.NEW),
        findings=(seen(FindingKind.DELAMINATION, Part.PADS),),
    )

    assert verdict_on(file, LF, Part.PADS).reasons[0].because is Because.CONDEMNED


def test_a_crack_moves_with_its_rotor() -> None:
    file = as_left(
        (*BOTH, LEFT_ROTOR, replace(LEFT_ROTOR, id="other", corner=RF)),
        fitted(Position.ROTOR, FittingEvent.MOVED, at="RF", come_from="LF"),
        fitted(Position.ROTOR, FittingEvent.MOVED, at="LF", come_from="RF"),
        findings=(seen(FindingKind.CRACK, Part.ROTOR),),
    )

    assert verdict_on(file, RF, Part.ROTOR).reasons[0].because is Because.CONDEMNED


def test_a_part_that_was_moved_away_leaves_no_reading_behind() -> None:
    file = as_left(BOTH, fitted(Position.PAD_INNER, FittingEvent.MOVED, at="RF", come_from="LF"))

    assert verdict_on(file, LF, Part.PADS).word is Word.NO_VERDICT


def test_zero_error_counts_for_scoring_too() -> None:
    """1.42 mm read with a gauge that shows 0.2 too little is 1.62, over 1.5."""
    groove = readings("LF", Quantity.SCORING, "1.42", zero_error_nm=-200_000)
    rotor = verdict_on(case((*BOTH, groove)), LF, Part.ROTOR)

    assert rotor.grounds is Grounds.REQUIRED


DRUM = (
    limit(LimitKind.DRUM_DISCARD, "205.2"),
    limit(LimitKind.BELL_MOUTH, "0.10", out_when=OutWhen.ABOVE),
    limit(LimitKind.SHOE_MINIMUM, "1.0", out_when=OutWhen.BELOW),
)


@pytest.mark.parametrize(
    ("opened", "closed"),
    [
        pytest.param(
            ("204.05 204.05", {}), ("204.00 204.00", {"zero_error_nm": -1_250_000}), id="zero"
        ),
        pytest.param(
            ("205.13 205.13", {"temperature_dc": 1200}),
            ("205.12 205.12", {"temperature_dc": -200}),
            id="warm and cold edge",
        ),
        pytest.param(
            ("203.98 204.00", {"zero_error_nm": -150_000}), ("203.94 203.96", {}), id="bell-mouth"
        ),
    ],
)
def test_drum_edges_are_compared_after_their_own_corrections(
    opened: tuple[str, dict[str, Any]], closed: tuple[str, dict[str, Any]]
) -> None:
    sets = (
        readings("LF", Quantity.DRUM_OPEN, opened[0], **opened[1]),
        readings("LF", Quantity.DRUM_CLOSED, closed[0], **closed[1]),
    )
    drum = verdict_on(case(sets, limits=DRUM, brakes=(AxleBrake.DRUM,)), LF, Part.DRUM)

    assert (drum.word, drum.grounds) == (Word.REPLACE, Grounds.REQUIRED)


def test_a_smaller_second_set_proves_nothing_that_the_first_left_open() -> None:
    first = readings("LF", Quantity.PAD_INNER, "8.0 2.1")
    second = readings("LF", Quantity.PAD_INNER, "8.0")
    pads = verdict_on(case((*instead(BOTH, first), second)), LF, Part.PADS)

    assert pads.reasons[0].because is Because.NOT_PROVEN
    assert pads.reasons[0].judgement is not None
    assert Doubt.FEWER_POINTS in pads.reasons[0].judgement.doubts


def test_the_cut_counts_from_the_lowest_of_all_sets() -> None:
    first = readings("LF", Quantity.ROTOR, circle("26.450"))
    second = readings("LF", Quantity.ROTOR, circle("27.400", "0.030"))
    rotor = verdict_on(case((*instead(BOTH, first), second)), LF, Part.ROTOR)

    assert rotor.reasons[0].because is Because.CUT_IMPOSSIBLE


def test_a_part_that_was_out_is_not_in_as_left_without_a_new_one() -> None:
    worn = readings("LF", Quantity.PAD_INNER, "1.5 1.5")
    left = readings("LF", Quantity.PAD_INNER, "8.0 8.0", stage=Stage.AS_LEFT)
    pads = verdict_on(as_left((*instead(BOTH, worn), left)), LF, Part.PADS)

    assert (pads.word, pads.grounds) == (Word.REPLACE, Grounds.REQUIRED)


def test_an_unrecorded_new_part_does_not_switch_the_suggestion_off() -> None:
    """3.0, then 10.9, then 2.6 mm against 2.0: no projection, and still not fine."""
    visits = (
        visit("a", date(2024, 1, 9), 20_000),
        visit("b", date(2025, 1, 9), 40_000),
        NOW,
    )
    history = [
        readings("LF", Quantity.PAD_INNER, text, of=when)
        for when, text in zip(visits, ("3.0", "10.9", "2.6"), strict=True)
    ]
    sets = [s for s in BOTH if (s.corner, s.quantity) != (LF, Quantity.PAD_INNER)]
    pads = verdict_on(case((*sets, *history), visits=visits), LF, Part.PADS)

    assert (pads.word, pads.grounds) == (Word.REPLACE, Grounds.SUGGESTED)


def test_a_contradicting_service_limit_lets_nothing_pass() -> None:
    limits = [
        limit(LimitKind.RUNOUT, "0.05 mm", "0.02 in") if each.kind is LimitKind.RUNOUT else each
        for each in FRONT_DISC
    ]

    assert verdict_on(case(BOTH, limits=limits), LF, Part.ROTOR).word is Word.NO_VERDICT


def test_what_has_no_limit_is_not_called_in_limits() -> None:
    limits = [each for each in FRONT_DISC if each.kind is not LimitKind.RUNOUT]
    page = customer_summary(judge_vehicle(case(BOTH, limits=limits)), None)

    assert not any("Everything" in sentence for sentence in page.know)
    assert any("no limit for: left front runout" in sentence for sentence in page.know)


def test_an_unfinished_entry_is_said_first_on_the_page() -> None:
    page = customer_summary(judge_vehicle(replace(case(BOTH), unfiled=(UNFILED,))), None)

    assert page.know[0].startswith("The inspection is not finished")


def test_a_customer_is_told_where_nobody_looked_over_what_was_measured() -> None:
    """A crack is not measured; nothing is said of a corner that was not even measured."""
    seen = replace(NOW, looked_over=frozenset({LF}))
    file = case(BOTH, visits=(seen,), brakes=(AxleBrake.DISC, AxleBrake.DISC))
    page = customer_summary(judge_vehicle(file), None)
    assert "Measured, but not noted as looked over by eye: right front." in page.know

    both = replace(NOW, looked_over=frozenset({LF, RF}))
    page = customer_summary(judge_vehicle(replace(file, visit=both, visits=(both,))), None)
    assert not any("by eye" in sentence for sentence in page.know)


def test_the_page_says_after_our_work_only_where_there_was_any() -> None:
    idle = case(BOTH, stage=Stage.AS_LEFT)
    assert "after our work" not in customer_summary(judge_vehicle(idle), None).when

    left = tuple(replace(each, id=f"{each.id}-left", stage=Stage.AS_LEFT) for each in BOTH)
    worked = case((*BOTH, *left), stage=Stage.AS_LEFT)
    assert "after our work" in customer_summary(judge_vehicle(worked), None).when


@pytest.mark.parametrize(
    ("tips", "opens"), [(Tips.POINTED, False), (Tips.CALLIPER, True), (None, True)]
)
def test_a_lip_is_only_reached_past_with_pointed_tips(tips: Tips | None, opens: bool) -> None:
    rotor = readings("LF", Quantity.ROTOR, EIGHT, tips=tips)
    file = case(instead(BOTH, rotor), findings=(seen(FindingKind.LIP, Part.ROTOR),))

    assert is_open_or_goes(verdict_on(file, LF, Part.ROTOR)) is opens


def test_a_cut_never_ends_below_discard_whatever_machine_to_says() -> None:
    limits = [
        limit(LimitKind.ROTOR_MACHINE_TO, "24.6", out_when=OutWhen.BELOW)
        if each.kind is LimitKind.ROTOR_MACHINE_TO
        else each
        for each in FRONT_DISC
    ]
    wavy = readings("LF", Quantity.ROTOR, circle("26.100", "0.030"))
    rotor = verdict_on(case(instead(BOTH, wavy), limits=limits), LF, Part.ROTOR)

    assert rotor.word is Word.REPLACE


def test_rust_that_must_be_cut_is_required_even_without_a_size() -> None:
    sets = [s for s in BOTH if (s.corner, s.quantity) != (LF, Quantity.ROTOR)]
    file = case(sets, findings=(seen(FindingKind.HEAVY_RUST, Part.ROTOR),))
    rotor = verdict_on(file, LF, Part.ROTOR)

    assert rotor.word is Word.NO_VERDICT
    assert [reason.because for reason in rotor.required] == [Because.MUST_BE_CUT]


def test_point_one_that_does_not_repeat_proves_no_variation() -> None:
    drifting = readings("LF", Quantity.ROTOR, EIGHT, again_nm=27_420_000, again_typed="27.420")
    rotor = verdict_on(case(instead(BOTH, drifting)), LF, Part.ROTOR)

    assert rotor.reasons[0].judgement is not None
    assert Doubt.DID_NOT_REPEAT in rotor.reasons[0].judgement.doubts


def test_what_was_never_inspected_is_not_called_in_limits_by_its_mate() -> None:
    worn = readings("LF", Quantity.ROTOR, "25.0 25.0 25.0 25.0")
    page = customer_summary(judge_vehicle(case([worn])), None)

    assert any(sentence.startswith("We suggest") for sentence in page.know)
    assert not any("In limits today" in sentence for sentence in page.know)


def test_no_cut_is_ordered_by_a_size_that_may_be_a_turn_too_thick() -> None:
    """27.01 mm takes two cuts and stays at machine-to; 26.51 mm, a turn less, does not."""
    visits = (
        visit("a", date(2022, 3, 1), 20_000),
        visit("b", date(2024, 3, 1), 50_000),
        replace(NOW, odometer_mm=80_000 * 1_000_000, odometer_text="80000"),
    )
    steps = (0, 1, 1, 3, 1, 0, 1, 1)
    history = [
        readings(
            corner,
            Quantity.ROTOR,
            " ".join(f"{least + step / 100:.2f}" for step in steps),
            gauge="coarse",
            of=when,
        )
        for when, left, right in zip(
            visits, (27.60, 27.05, 27.01), (27.62, 27.07, 26.53), strict=True
        )
        for corner, least in (("LF", left), ("RF", right))
    ]
    rest = [each for each in BOTH if each.quantity is not Quantity.ROTOR]
    file = case((*rest, *history), visits=visits)
    coarse = replace(MICROMETER, id="coarse", tag="C", resolution_nm=10_000, resolution_text="0.01")
    rotor = verdict_on(replace(file, gauges={**file.gauges, "coarse": coarse}), LF, Part.ROTOR)

    assert rotor.word is Word.MEASURE_AGAIN
