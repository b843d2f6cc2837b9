"""What a verdict advises beside its word: what settles it, and what outlasts what."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from brakelog.lengths import LengthUnit
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.gauge import Gauge, GaugeKind
from brakelog.record.limit import Limit, LimitKind, OutWhen
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Doubt
from brakelog.rules.matching import LifeMatch
from brakelog.rules.settling import Settling
from brakelog.rules.verdict import Because, Grounds, PartVerdict, Word
from tests.unit.verdict_examples import (
    DEPTH,
    DRUM_GAUGE,
    EIGHT,
    FRONT_DISC,
    LF,
    MICROMETER,
    NOW,
    RF,
    case,
    circle,
    healthy,
    instead,
    limit,
    readings,
    verdict_on,
)

BOTH = (*healthy("LF"), *healthy("RF"))
NEAR_BY = Shop(next_distance_mm=100 * 1_000_000)
"""A shop that sees its cars every 100 km, so that nearly everything lasts until the next visit."""


def gauge(tag: str, kind: GaugeKind, step: str) -> Gauge:
    return Gauge(
        id=tag, tag=tag, kind=kind, unit=LengthUnit.MM,
        resolution_nm=round(float(step) * 1_000_000), resolution_text=step,
    )  # fmt: skip


CALLIPER = gauge("bench", GaugeKind.CALLIPER, "0.01")


def inner(text: str, corner: str = "LF") -> ReadingSet:
    return readings(corner, Quantity.PAD_INNER, text)


def settling(part: PartVerdict) -> Settling:
    found = part.reasons[0].settling
    assert found is not None
    return found


def at_the_limit(*shop_gauges: Gauge, shop: Shop = NEAR_BY) -> PartVerdict:
    """2.1 mm of lining against 2.0, read with a depth gauge on the car."""
    file = case(instead(BOTH, inner("2.3 2.1")), shop=shop)
    return verdict_on(replace(file, shop_gauges=shop_gauges), LF, Part.PADS)


# What would settle it


def test_a_gauge_of_the_shop_that_would_prove_it_is_named() -> None:
    pads = at_the_limit(DEPTH, CALLIPER)

    assert (pads.word, pads.reasons[0].because) == (Word.MEASURE_AGAIN, Because.NOT_PROVEN)
    assert settling(pads).gauges == (CALLIPER,)


def test_where_no_gauge_of_the_shop_could_prove_it_the_part_is_suggested() -> None:
    pads = at_the_limit(DEPTH)

    assert (pads.word, pads.grounds) == (Word.REPLACE, Grounds.SUGGESTED)
    assert pads.reasons[0].because is Because.NOT_PROVEN_GOES
    assert not settling(pads).is_possible


def test_where_nobody_knows_what_gauges_there_are_it_is_measured_again() -> None:
    assert at_the_limit().word is Word.MEASURE_AGAIN
    assert at_the_limit(MICROMETER).word is Word.MEASURE_AGAIN


def test_what_could_not_reach_the_next_visit_anyway_is_not_measured_again() -> None:
    pads = at_the_limit(DEPTH, CALLIPER, shop=Shop())

    assert pads.reasons[0].because is Because.NOT_PROVEN_GOES
    assert settling(pads).gauges == (CALLIPER,)


def test_points_that_were_left_out_are_counted() -> None:
    few = readings("LF", Quantity.ROTOR, " ".join(EIGHT.split()[:5]))
    rotor = verdict_on(case(instead(BOTH, few)), LF, Part.ROTOR)

    assert rotor.word is Word.MEASURE_AGAIN
    assert settling(rotor).more_points == 3


def test_a_warm_drum_is_measured_cold_and_not_replaced_because_it_might_not_last() -> None:
    sets = [
        readings(corner, quantity, text, temperature_dc=600)
        for corner in ("LF", "RF")
        for quantity, text in (
            (Quantity.DRUM_OPEN, "205.25 205.26"),
            (Quantity.DRUM_CLOSED, "205.24 205.25"),
        )
    ]
    limits = (limit(LimitKind.DRUM_NEW, "203.2"), limit(LimitKind.DRUM_DISCARD, "205.2"))
    file = case(sets, limits=limits, brakes=(AxleBrake.DRUM,))
    drum = verdict_on(replace(file, shop_gauges=(DRUM_GAUGE,)), LF, Part.DRUM)

    assert (drum.word, drum.reasons[0].because) == (Word.MEASURE_AGAIN, Because.NOT_PROVEN)
    assert settling(drum).again == (Doubt.MEASURE_COLD,)


# Whether the rotor outlasts the pads that go on now


def match_of(file: CaseFile) -> LifeMatch:
    found = verdict_on(file, LF, Part.ROTOR).match
    assert found is not None
    return found


def worn_out(rotor: str, *, limits: tuple[Limit, ...] = FRONT_DISC) -> CaseFile:
    """Pads that must go, on a left rotor of that size."""
    worn = instead(BOTH, readings("LF", Quantity.ROTOR, circle(rotor)))
    return case(instead(worn, inner("1.0 1.0")), limits=limits)


def test_no_life_match_where_the_pads_stay() -> None:
    assert verdict_on(case(BOTH), LF, Part.ROTOR).match is None


@pytest.mark.parametrize(
    ("rotor", "outlasts"),
    [
        # (28.0 - r) of rotor for 10.0 of lining, and the next pads have 9.0:
        # 1.9 r - 25.2 = 26.0 has the rotor end exactly at its discard.
        ("26.948", True),
        ("26.947", False),
    ],
)
def test_the_rotor_must_end_above_discard_when_the_next_pads_are_worn_out(
    rotor: str, outlasts: bool
) -> None:
    file = worn_out(rotor)
    verdict = verdict_on(file, LF, Part.ROTOR)

    assert match_of(file).per_lining == (28 - Fraction(rotor)) / 10
    assert match_of(file).is_out is not outlasts
    assert (Because.WILL_NOT_OUTLAST_PADS in {r.because for r in verdict.reasons}) is not outlasts
    if not outlasts:
        assert verdict.grounds is Grounds.SUGGESTED


def test_a_rotor_that_ends_a_hair_above_discard_is_called_marginal() -> None:
    assert match_of(worn_out("26.950")).is_marginal
    assert not match_of(worn_out("27.400")).is_marginal


@pytest.mark.parametrize(("rotor", "outlasts"), [("26.382", True), ("26.381", False)])
def test_without_this_cars_own_wear_the_trades_rule_of_thumb_stands_in(
    rotor: str, outlasts: bool
) -> None:
    """0.381 mm over discard; where no new size of the pads is on file, no wear is known."""
    limits = tuple(each for each in FRONT_DISC if each.kind is not LimitKind.PAD_NEW)
    match = match_of(worn_out(rotor, limits=limits))

    assert match.by_thumb
    assert match.is_out is not outlasts


def test_a_rotor_that_is_cut_first_begins_at_its_size_after_the_cut() -> None:
    wavy = instead(BOTH, readings("LF", Quantity.ROTOR, circle("27.400", "0.030")))
    file = case(instead(wavy, inner("1.0 1.0")))
    match = match_of(file)

    assert verdict_on(file, LF, Part.ROTOR).word is Word.REFINISH
    assert match.now_nm == 27_200_000
    assert match.per_lining == Fraction(6, 100)


def test_rotor_and_pads_are_set_against_each_other_as_found_where_new_pads_went_on() -> None:
    left = [
        readings(corner, quantity, "10.9 11.0", stage=Stage.AS_LEFT)
        for corner in ("LF", "RF")
        for quantity in (Quantity.PAD_INNER, Quantity.PAD_OUTER)
    ]
    fittings = tuple(
        Fitting(
            id=f"{corner}-{position.value}", visit_id="visit", day=NOW.day,
            odometer_mm=NOW.odometer_mm, corner=corner, position=position,
            event=FittingEvent.NEW, basis=SizeBasis.NOMINAL,
        )
        for corner in (LF, RF)
        for position in (Position.PAD_INNER, Position.PAD_OUTER)
    )  # fmt: skip
    sets = (*instead(BOTH, inner("1.0 1.0")), *left)
    file = case(sets, stage=Stage.AS_LEFT, fittings=fittings)

    assert match_of(file).per_lining == (28 - Fraction("27.399")) / 10


# Grooved drums


def drum_axle(*, shoes: str, groove: str) -> PartVerdict:
    sets = [
        readings(corner, quantity, text)
        for corner in ("LF", "RF")
        for quantity, text in (
            (Quantity.DRUM_OPEN, "204.02 204.03"),
            (Quantity.DRUM_CLOSED, "204.00 204.01"),
            (Quantity.SCORING, groove),
            (Quantity.SHOE_LEADING, shoes),
            (Quantity.SHOE_TRAILING, "3.8 3.7"),
        )
    ]
    limits = (
        limit(LimitKind.DRUM_NEW, "203.2"),
        limit(LimitKind.DRUM_MACHINE_TO, "204.7", out_when=OutWhen.ABOVE),
        limit(LimitKind.DRUM_DISCARD, "205.2"),
        limit(LimitKind.SHOE_MINIMUM, "1.0", out_when=OutWhen.BELOW),
    )
    file = case(sets, limits=limits, brakes=(AxleBrake.DRUM,), shop=NEAR_BY)
    return verdict_on(file, LF, Part.DRUM)


def test_a_grooved_drum_is_left_alone_with_the_shoes_that_wore_into_it() -> None:
    assert drum_axle(shoes="3.5 3.4", groove="0.15").word is Word.REUSE


def test_the_same_drum_is_cut_for_new_shoes() -> None:
    drum = drum_axle(shoes="0.9 0.8", groove="0.15")

    assert (drum.word, drum.grounds) == (Word.REFINISH, Grounds.SUGGESTED)
    assert drum.reasons[0].because is Because.CUT_FOR_NEW_SHOES
    assert drum.reasons[0].cut is not None
    # 204.03 and two cuts of groove and clean-up.
    assert drum.reasons[0].cut.after_nm == 204_530_000


def test_a_drum_that_the_cut_would_take_beyond_machine_to_goes_with_the_shoes() -> None:
    drum = drum_axle(shoes="0.9 0.8", groove="0.24")

    assert (drum.word, drum.grounds) == (Word.REPLACE, Grounds.SUGGESTED)


def test_a_drum_that_is_hardly_marked_takes_new_shoes_as_it_is() -> None:
    assert drum_axle(shoes="0.9 0.8", groove="0.09").word is Word.REUSE
