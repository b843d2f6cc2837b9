"""What must hold for the worlds of every axle, whatever was read."""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.rules.casefile import CaseFile
from brakelog.rules.document import verdict_document
from brakelog.rules.lives import PositionLife
from brakelog.rules.vehicle import judge_vehicle
from brakelog.rules.verdict import VehicleVerdict
from brakelog.rules.world import Plan, World
from brakelog.rules.world_words import world_sentence
from brakelog.wear.history import NM_PER_MM
from brakelog.wear.projection import Projection
from tests.unit.test_rules_worlds import CORNERS, FIRST, SECOND, car
from tests.unit.verdict_examples import NOW, circle, readings

PAD_WORN = st.integers(0, 60)
"""Lining worn between two visits. [0.1 mm]"""
ROTOR_WORN = st.integers(0, 1_200)
"""Rotor worn between two visits. [0.001 mm]"""


@st.composite
def cars(draw: st.DrawFn) -> CaseFile:
    """A car at three visits: each side wears by itself, some things unread, with or without
    fittings on record."""
    sets: list[ReadingSet] = []
    for corner in CORNERS:
        rotor, pads = 28_000 - draw(st.integers(0, 300)), [110, 110 - draw(st.integers(0, 10))]
        for of in (FIRST, SECOND, NOW):
            is_read = draw(st.sampled_from([True, True, True, False]))
            if is_read:
                sets.append(readings(corner, Quantity.ROTOR, circle(f"{rotor / 1000:.3f}"), of=of))
            for quantity, tenths in zip(
                (Quantity.PAD_INNER, Quantity.PAD_OUTER), pads, strict=True
            ):
                sets.append(readings(corner, quantity, f"{max(tenths, 0) / 10:.1f}", of=of))
            rotor -= draw(ROTOR_WORN)
            pads = [tenths - draw(PAD_WORN) for tenths in pads]
    fittings = () if draw(st.booleans()) else car().fittings
    return car(tuple(sets), fittings=fittings)


@st.composite
def steady_cars(draw: st.DrawFn) -> CaseFile:
    """A car whose parts wear evenly, all in limits, with their fittings on record."""
    sets: list[ReadingSet] = []
    pad, rotor = draw(st.integers(4, 40)), draw(st.integers(20, 600))
    for n, of in enumerate((FIRST, SECOND, NOW)):
        for side, corner in enumerate(CORNERS):
            size = f"{(28_000 - rotor * n + side) / 1000:.3f}"
            sets.append(readings(corner, Quantity.ROTOR, circle(size), of=of))
            for quantity in (Quantity.PAD_INNER, Quantity.PAD_OUTER):
                lining = f"{(110 - pad * n) / 10:.1f}"
                sets.append(readings(corner, quantity, lining, of=of))
    return car(tuple(sets))


def irons(world: World) -> dict[str, PositionLife]:
    return {each.corner.code: each for each in world.lives if each.position.part is Part.ROTOR}


def plan(verdict: VehicleVerdict, of: Plan) -> World:
    return next(each for each in verdict.worlds if each.plan is of)


@given(file=cars())
@settings(deadline=None)
def test_no_world_goes_further_than_any_part_in_it(file: CaseFile) -> None:
    for world in judge_vehicle(file).worlds:
        bounds = [each.projection.at_least_mm for each in world.stated]
        assert world.at_least_mm == (min(bounds) if bounds else None)  # type: ignore[type-var]
        assert not (world.obstacles and world.lives)


@given(file=cars())
@settings(deadline=None)
def test_an_axle_is_never_left_with_required_work_and_no_rotor_kept_that_must_go(
    file: CaseFile,
) -> None:
    verdict = judge_vehicle(file)

    assert plan(verdict, Plan.LEFT).is_told is not bool(verdict.required)
    rotors_required = [each for each in verdict.required if each.part is Part.ROTOR]
    if rotors_required:
        assert not plan(verdict, Plan.KEPT).is_told


@given(file=cars())
@settings(deadline=None)
def test_new_pads_do_not_move_the_end_of_a_rotor_that_is_kept(file: CaseFile) -> None:
    verdict = judge_vehicle(file)
    left, kept = plan(verdict, Plan.LEFT), plan(verdict, Plan.KEPT)

    if left.is_told and kept.is_told:
        assert irons(kept) == irons(left)


@given(file=cars())
@settings(deadline=None)
def test_a_rotor_that_is_cut_goes_no_further_than_the_same_one_uncut_or_a_new_one(
    file: CaseFile,
) -> None:
    verdict = judge_vehicle(file)
    kept, cut, new = (irons(plan(verdict, each)) for each in (Plan.KEPT, Plan.REFINISHED, Plan.NEW))

    for corner, life in cut.items():
        for other in (kept.get(corner), new.get(corner)):
            if other is not None:
                assert_no_further(life.projection, other.projection)


def assert_no_further(one: Projection, other: Projection) -> None:
    """Where both have a distance, the one's bound and middle are no further than the other's."""
    if one.centre_mm is not None and other.centre_mm is not None:
        assert one.centre_mm <= other.centre_mm
        assert (one.at_least_mm or 0) <= (other.at_least_mm or 0)


@given(file=steady_cars())
@settings(deadline=None)
def test_a_new_rotor_has_its_middle_no_sooner_than_the_worn_one_unless_this_car_wears_them_slowly(
    file: CaseFile,
) -> None:
    """What is known of a slow car is believed of its next rotor in part only."""
    verdict = judge_vehicle(file)
    kept, new = irons(plan(verdict, Plan.KEPT)), irons(plan(verdict, Plan.NEW))

    for corner, life in kept.items():
        worn, next_one = life.projection, new[corner].projection
        usual_nm = math.exp(worn.experience.log_rate) * NM_PER_MM
        if worn.centre_mm is None or (worn.rate_nm_per_1000km or 0.0) < usual_nm:
            continue
        assert next_one.centre_mm is not None
        assert next_one.centre_mm >= worn.centre_mm


@given(file=cars(), stage=st.sampled_from(Stage))
@settings(deadline=None)
def test_every_world_has_words_and_a_document(file: CaseFile, stage: Stage) -> None:
    verdict = judge_vehicle(replace(file, stage=stage))

    documents = verdict_document(verdict)["worlds"]
    assert [each["text"] for each in documents] == [
        world_sentence(each, file.shop) for each in verdict.worlds
    ]
    for text in (each["text"] for each in documents):
        assert text.endswith(".")
        assert "None" not in text
        assert ". ." not in text
