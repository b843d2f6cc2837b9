"""What holds of every review: silence on healthy cars, slips caught, never an exception."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.corner import Corner, Side
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.gauge import Tips
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.record.visit import Visit
from brakelog.review.evidence import Evidence
from brakelog.review.question import Question, Scope, Suspicion
from brakelog.review.review import review
from tests.property.review_slips import KINDS, Kind, catch
from tests.property.review_worlds import GAUGES, Car, car, looks

MM = 1_000_000
NOT_A_SLIP = {Suspicion.LIP_NOT_JUDGED}
"""Asked because nobody said something, not because a reading looks wrong."""
MOST_FALSE = 0.01
"""Share of healthy visits that may be asked about. Measured with 2,000 cars of each shop: 0.2 to
0.4 %."""
CAUGHT = {
    # at a first visit, with one visit before, with three
    "one point one turn off": (1.0, 1.0, 1.0),
    "one point a sleeve figure off": (1.0, 1.0, 1.0),
    "half-turn line missed on all points": (0.0, 0.9, 0.9),
    "two digits of a rotor point swapped": (0.95, 0.95, 0.95),
    "lip on one point": (1.0, 1.0, 1.0),
    "lip on all points": (0.8, 0.95, 0.95),
    "bottom of grooves, two points": (0.95, 0.95, 0.95),
    "lining in inches typed as mm": (0.7, 0.8, 0.8),
    "backing plate included": (0.75, 0.85, 0.85),
    "wrong notch of the drum gauge": (0.75, 0.9, 0.9),
    "left front and left rear swapped": (0.8, 0.95, 0.95),
    "all points equal, 0.001 mm": (1.0, 1.0, 1.0),
    "indicator base slipped": (1.0, 1.0, 1.0),
    "pads renewed without a record": (0.0, 0.85, 0.85),
    "rotors refinished without a record": (0.0, 0.9, 0.9),
    "odometer with its tenths digit": (0.0, 0.8, 0.9),
    "trip meter typed": (0.0, 1.0, 1.0),
}
"""Least share of 40 slips that is asked about; ``tests/bench/review.py`` prints all of them."""


def slips(questions: tuple[Question, ...]) -> list[Question]:
    return [each for each in questions if each.suspicion not in NOT_A_SLIP]


@pytest.mark.parametrize("shop", ["steady", "fine", "mixed"])
def test_healthy_cars_are_left_in_peace(shop: str) -> None:
    seen = disturbed = 0
    for seed in range(120):
        made = car(seed, visits=5, shop=shop)
        for number in range(len(made.visits)):
            seen += 1
            disturbed += any(slips(review(made.evidence(number, stage))) for stage in Stage)

    assert disturbed <= MOST_FALSE * seen


@pytest.mark.parametrize(
    "kind", [each for each in KINDS if each.name in CAUGHT], ids=lambda k: k.name
)
def test_slips_are_caught(kind: Kind) -> None:
    for visits, least in zip((1, 2, 4), CAUGHT[kind.name], strict=True):
        caught = catch(kind, visits=visits, tries=40)

        assert caught.named >= least * caught.tried, (visits, caught)


def test_a_first_visit_of_a_healthy_car_asks_only_about_its_lips() -> None:
    for seed in range(200):
        asked = review(car(seed, visits=1, shop="mixed").evidence(0, Stage.AS_FOUND))

        assert {each.suspicion for each in asked} <= {Suspicion.LIP_NOT_JUDGED}


def test_the_same_evidence_asks_the_same_under_the_same_keys() -> None:
    for made in a_few_cars():
        for evidence in looks(made):
            first, second = review(evidence), review(replace(evidence, sets=tuple(evidence.sets)))

            assert first == second
            assert len({each.key for each in first}) == len(first)


def a_few_cars() -> list[Car]:
    return [car(seed, visits=4, shop="mixed") for seed in range(25)]


# Arbitrary evidence

CORNERS = [Corner(axle=axle, side=side) for axle in (1, 2, 3) for side in Side]
lengths = st.one_of(
    st.none(),
    st.integers(-5 * MM, 300 * MM),
    st.sampled_from([0, 1, 500_000, 27_400_000, 27_900_000, 5_300_000, 203_200_000]),
)
texts = st.sampled_from(["", "27.4", "5.3mm", '1.08"', "8", "not a number", "1/8", "0.0"])


@st.composite
def reading_sets(draw: st.DrawFn, visit_id: str, number: int) -> ReadingSet:
    quantity = draw(st.sampled_from(list(Quantity)))
    values = tuple(draw(st.lists(lengths, min_size=1, max_size=10)))
    return ReadingSet(
        id=f"s{number}",
        visit_id=visit_id,
        corner=draw(st.sampled_from(CORNERS)),
        quantity=quantity,
        stage=draw(st.sampled_from(list(Stage))),
        values_nm=values,
        typed=tuple(draw(texts) for _ in range(draw(st.integers(0, len(values))))),
        unit=draw(st.sampled_from(list(LengthUnit))),
        datum=draw(st.sampled_from([None, *Datum])),
        again_nm=draw(lengths),
        gauge_id=draw(st.sampled_from([None, "no such gauge", *GAUGES])),
        tips=draw(st.sampled_from([None, *Tips])),
        temperature_dc=draw(st.sampled_from([None, -200, 700])),
        zero_error_nm=draw(st.integers(-50_000, 50_000)),
        radius_nm=draw(st.sampled_from([None, 10 * MM, 25 * MM])),
        lip=draw(st.sampled_from([None, True, False])),
        in_groove=draw(st.sampled_from([None, True, False])),
    )


@st.composite
def fittings(draw: st.DrawFn, visits: tuple[Visit, ...], number: int) -> Fitting:
    visit = draw(st.sampled_from(visits))
    size = draw(st.one_of(st.none(), st.integers(0, 210 * MM)))
    return Fitting(
        id=f"f{number}",
        visit_id=visit.id,
        day=visit.day,
        odometer_mm=visit.odometer_mm,
        corner=draw(st.sampled_from(CORNERS)),
        position=draw(st.sampled_from(list(Position))),
        event=draw(st.sampled_from(list(FittingEvent))),
        basis=draw(st.sampled_from(list(SizeBasis))),
        size_nm=size,
        from_corner=draw(st.sampled_from([None, *CORNERS])),
    )


@st.composite
def evidences(draw: st.DrawFn) -> Evidence:
    visits = []
    day = date(2020, 1, 1)
    for number in range(draw(st.integers(1, 4))):
        day += timedelta(days=draw(st.integers(0, 900)))
        km = draw(st.integers(0, 400_000))
        unit = draw(st.sampled_from(list(DistanceUnit)))
        visits.append(
            Visit(
                id=f"v{number}",
                vehicle_id="car",
                day=day,
                odometer_mm=km * unit.mm,
                odometer_text=draw(st.sampled_from([str(km), f"{km} {unit.value}", "", "?"])),
                odometer_unit=unit,
            )
        )
    all_visits = tuple(visits)
    sets = [
        draw(reading_sets(draw(st.sampled_from(all_visits)).id, number))
        for number in range(draw(st.integers(0, 14)))
    ]
    places = [(axle, position) for axle in (1, 2) for position in Position]
    return Evidence(
        brakes=(AxleBrake.DISC, AxleBrake.DRUM, AxleBrake.DISC)[: draw(st.integers(1, 3))],
        odometer_unit=draw(st.sampled_from(list(DistanceUnit))),
        visit=all_visits[-1],
        stage=draw(st.sampled_from(list(Stage))),
        visits=all_visits,
        sets=tuple(sets),
        fittings=tuple(
            draw(fittings(all_visits, number)) for number in range(draw(st.integers(0, 4)))
        ),
        findings=(
            Finding(
                id="n",
                visit_id=all_visits[-1].id,
                corner=CORNERS[0],
                stage=Stage.AS_FOUND,
                kind=FindingKind.STUCK_SLIDE,
                part=Part.PADS,
            ),
        )[: draw(st.integers(0, 1))],
        gauges=GAUGES,
        new_nm={
            place: draw(st.integers(1, 210 * MM)) for place in places[: draw(st.integers(0, 12))]
        },
        traits={(1, "faster-pad"): "inner"} if draw(st.booleans()) else {},
    )


@given(evidences())
@settings(max_examples=400, deadline=None)
def test_whatever_is_on_file_a_review_comes_to_an_end(evidence: Evidence) -> None:
    on_file = {each.id: each for each in evidence.sets}
    asked = review(evidence)

    assert len({each.key for each in asked}) == len(asked)
    for question in asked:
        assert question.key.split(":")[0] in {each.value for each in Suspicion}
        assert question.evidence.strip()
        assert question.ask.strip()
        assert set(question.instead_nm) <= set(question.set_ids) <= set(on_file)
        for set_id, values in question.instead_nm.items():
            assert len(values) == len(on_file[set_id].values_nm)
        if question.scope in (Scope.ODOMETER, Scope.LIFE):
            assert not question.instead_nm
        else:
            assert question.visit_id == evidence.visit.id
            assert all(on_file[each].visit_id == evidence.visit.id for each in question.set_ids)
            assert all(on_file[each].stage is evidence.stage for each in question.set_ids)


@given(evidences())
@settings(max_examples=150, deadline=None)
def test_questions_do_not_depend_on_how_often_they_are_asked(evidence: Evidence) -> None:
    assert review(evidence) == review(evidence)
