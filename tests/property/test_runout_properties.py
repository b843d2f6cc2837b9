"""What must hold for every hub, rotor, number of studs and number of points."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.errors import InvalidInput
from brakelog.metrology.indexing import best_turn, predict
from brakelog.metrology.judder import parse_tyre
from brakelog.metrology.plates import Face, plate_choices
from brakelog.metrology.profile import (
    best_share,
    component_sd1_nm,
    highest_order,
    mean_share,
    order_vector,
    worst_share,
)
from brakelog.metrology.runout import harmonic, indicator_reading_nm
from brakelog.metrology.shares import Mark, Mounting, NoAdvice, Split, mounting, rotation, split
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.reports.plain import as_text
from brakelog.reports.runout import runout_sheet
from brakelog.reports.runout_document import runout_document
from brakelog.rules.runout import study_runout
from brakelog.rules.runout_study import Ask
from tests.unit.verdict_examples import LF, case, runout

ANGLES = st.floats(0.0, 360.0)
SIZES_NM = st.floats(1_000.0, 300_000.0)
STUDS = st.integers(3, 12)
POINTS = st.integers(3, 40)


@st.composite
def vectors(draw: st.DrawFn) -> complex:
    return draw(SIZES_NM) * cmath.exp(1j * math.radians(draw(ANGLES)))


def readings(vector_nm: complex, points: int, mean_nm: float = 0.0) -> list[int]:
    """Return what an indicator without noise shows, rounded to the nanometre."""
    return [
        round(mean_nm + (vector_nm * cmath.exp(-2j * math.pi * j / points)).real)
        for j in range(points)
    ]


@st.composite
def wheels(draw: st.DrawFn) -> tuple[complex, complex, int, tuple[int, int]]:
    """A hub, a rotor, the number of studs, and two positions at which the rotor is read."""
    studs = draw(STUDS)
    first = draw(st.integers(0, studs - 1))
    turned = draw(st.integers(1, studs - 1))
    return draw(vectors()), draw(vectors()), studs, (first, first + turned)


@given(wheel=wheels(), points=POINTS, mean_nm=st.floats(-1e6, 1e6))
def test_read_split_and_predict_gives_the_truth_back(
    wheel: tuple[complex, complex, int, tuple[int, int]], points: int, mean_nm: float
) -> None:
    hub, rotor, studs, indices = wheel

    found = split(
        [
            mounting(k, readings(hub + rotor * rotation(k, studs), points, mean_nm), 1_000.0)
            for k in indices
        ],
        studs,
    )

    # Readings are rounded to the nanometre; positions close together enlarge that.
    off_nm = 4.0 / abs(math.sin(math.pi * (indices[1] - indices[0]) / studs))
    assert found.hub_nm == pytest.approx(hub, abs=off_nm)
    assert found.rotor_nm == pytest.approx(rotor, abs=off_nm)
    for position in predict(found).positions:
        true = hub + rotor * rotation(position.index, studs)
        assert position.vector_nm == pytest.approx(true, abs=2 * off_nm)


@given(wheel=wheels())
def test_no_position_is_predicted_better_than_the_best(
    wheel: tuple[complex, complex, int, tuple[int, int]],
) -> None:
    hub, rotor, studs, _ = wheel

    prediction = predict(exact(hub, rotor, studs))

    assert prediction.best.tir_nm == min(each.tir_nm for each in prediction.positions)
    assert prediction.best.tir_nm >= 2 * abs(abs(hub) - abs(rotor)) - 1e-3
    assert 0 <= prediction.left_over_deg <= 180 / studs + 1e-6


@given(wheel=wheels(), by=st.integers(0, 11))
def test_nothing_but_the_angles_depends_on_which_stud_is_called_1(
    wheel: tuple[complex, complex, int, tuple[int, int]], by: int
) -> None:
    hub, rotor, studs, _ = wheel
    turned = rotation(by, studs)

    one = predict(exact(hub, rotor, studs))
    other = predict(exact(hub * turned, rotor * turned, studs))

    assert [each.tir_nm for each in other.positions] == pytest.approx(
        [each.tir_nm for each in one.positions], abs=1e-3
    )


@given(wheel=wheels(), plates=st.lists(st.integers(10_000, 400_000), max_size=3))
def test_plates_are_sorted_and_never_worse_than_none(
    wheel: tuple[complex, complex, int, tuple[int, int]], plates: list[int]
) -> None:
    hub, rotor, studs, _ = wheel
    found = exact(hub, rotor, studs)

    choices = plate_choices(found, plates)

    assert [round(c.tir_nm, 3) for c in choices] == sorted(round(c.tir_nm, 3) for c in choices)
    assert choices[0].tir_nm <= predict(found).best.tir_nm + 1e-3
    assert len(choices) == studs * (1 + studs * len(set(plates)))


@given(vector=vectors(), points=POINTS)
def test_highest_minus_lowest_lies_between_its_worst_and_best_share(
    vector: complex, points: int
) -> None:
    profile = readings(vector, points)
    true = 2 * abs(vector)

    assert harmonic(profile).peak_to_peak_nm == pytest.approx(true, abs=3)
    assert indicator_reading_nm(profile) >= worst_share(points, 1) * true - 2
    assert indicator_reading_nm(profile) <= best_share(points, 1) * true + 2


@given(points=st.integers(1, 60), order=st.integers(1, 30))
def test_worst_mean_and_best_share_stand_in_that_order(points: int, order: int) -> None:
    worst, mean, best = (f(points, order) for f in (worst_share, mean_share, best_share))

    assert 0 <= worst <= mean + 1e-12
    assert mean <= best + 1e-12 <= 1 + 1e-9


@given(data=st.data(), points=st.integers(3, 30))
def test_waves_that_the_points_determine_do_not_disturb_each_other(
    data: st.DataObject, points: int
) -> None:
    waves = [data.draw(vectors()) for _ in range(highest_order(points))]
    profile = [
        round(
            22e6
            + sum(
                (wave * cmath.exp(-2j * math.pi * (n + 1) * j / points)).real
                for n, wave in enumerate(waves)
            )
        )
        for j in range(points)
    ]

    for n, wave in enumerate(waves):
        assert order_vector(profile, n + 1).vector_nm == pytest.approx(wave, abs=2)


def exact(hub: complex, rotor: complex, studs: int) -> Split:
    return split(
        [
            Mounting(index=k, vector_nm=hub + rotor * rotation(k, studs), sd1_nm=1e-3, points=8)
            for k in (0, best_turn(studs))
        ],
        studs,
    )


@given(studs=STUDS, index=st.integers(0, 50), count=st.integers(1, 4))
def test_one_position_alone_is_never_split(studs: int, index: int, count: int) -> None:
    same = [
        Mounting(index=index + studs * n, vector_nm=40_000j, sd1_nm=2_000.0, points=8)
        for n in range(count)
    ]

    with pytest.raises(InvalidInput, match="one position"):
        split(same, studs)


@pytest.mark.parametrize(
    ("studs", "indices", "points"),
    [(5, (0, 2), 8), (4, (0, 2), 9), (6, (0, 1), 12), (5, (0, 1, 2, 3, 4), 8), (5, (0, 2, 2), 7)],
)
def test_stated_uncertainty_is_the_scatter_of_repeated_readings(
    studs: int, indices: tuple[int, ...], points: int
) -> None:
    """2,000 wheels with noise of 4.2 um, seeded; within 5 per cent."""
    rng = np.random.default_rng(studs * 100 + points)
    hub, rotor = 40_000 * cmath.exp(0.5j), 60_000 * cmath.exp(1.2j)
    sigma1_nm = 4_200.0
    runs = []
    for _ in range(2_000):
        read = [
            mounting(
                k,
                [
                    v + round(rng.normal(0, sigma1_nm))
                    for v in readings(hub + rotor * rotation(k, studs), points)
                ],
                sigma1_nm,
            )
            for k in indices
        ]
        runs.append(split(read, studs))
    hubs, rotors = (
        np.array([getattr(run, name) for run in runs]) for name in ("hub_nm", "rotor_nm")
    )

    assert hubs.real.std() == pytest.approx(runs[0].hub_sd1_nm, rel=0.05)
    assert hubs.imag.std() == pytest.approx(runs[0].hub_sd1_nm, rel=0.05)
    assert rotors.real.std() == pytest.approx(runs[0].rotor_sd1_nm, rel=0.05)
    for k in range(studs):
        predicted = np.array([predict(run).positions[k].tir_nm for run in runs])
        stated = predict(runs[0]).positions[k].u1_nm
        assert predicted.std() == pytest.approx(stated, rel=0.05)
        gains = np.array([run.gain_nm(0, k)[0] for run in runs])
        assert gains.std() == pytest.approx(runs[0].gain_nm(0, k)[1], rel=0.05, abs=1e-6)
    assert component_sd1_nm(sigma1_nm, points) == runs[0].mountings[0].sd1_nm


def test_mountings_that_agree_within_their_noise_raise_a_false_alarm_in_one_of_ninety() -> None:
    """exp(-4.5) = 1.1 %, seeded, 3,000 wheels read at three positions; within 0.6 %."""
    rng = np.random.default_rng(11)
    alarms = 0
    for _ in range(3_000):
        read = [
            Mounting(
                index=k,
                vector_nm=40_000 + 50_000j * rotation(k, 5) + complex(*rng.normal(0, 2_100, 2)),
                sd1_nm=2_100.0,
                points=8,
            )
            for k in (0, 2, 3)
        ]
        alarms += NoAdvice.DISAGREE in split(read, 5).doubts

    assert alarms / 3_000 == pytest.approx(math.exp(-4.5), abs=0.006)


def test_a_mounting_that_sat_on_dirt_does_not_agree_with_two_others() -> None:
    clean = [
        Mounting(index=k, vector_nm=40_000 + 50_000j * rotation(k, 5), sd1_nm=2_100.0, points=8)
        for k in (0, 2)
    ]
    on_dirt = Mounting(
        index=3, vector_nm=60_000 + 50_000j * rotation(3, 5), sd1_nm=2_100.0, points=8
    )

    assert split(clean, 5).doubts == ()
    assert split([*clean, on_dirt], 5).doubts == (NoAdvice.DISAGREE,)


@st.composite
def anything_read(draw: st.DrawFn) -> ReadingSet:
    """Any runout or thickness that can be on file."""
    count = draw(st.sampled_from([1, 2, 5, 6, 8, 9, 12]))
    sizes = draw(st.lists(st.integers(-400_000, 400_000), min_size=count, max_size=count))
    hole = draw(st.sampled_from([None, None, None, 0, count - 1]))
    values = tuple(None if place == hole else size for place, size in enumerate(sizes))
    studs = draw(st.sampled_from([5, 5, 5, 4, 10, 2, 1, None]))
    quantity = draw(st.sampled_from([Quantity.RUNOUT, Quantity.HUB_RUNOUT, Quantity.ROTOR]))
    return replace(
        runout("LF", "0"),
        quantity=quantity,
        values_nm=values,
        typed=tuple("" if v is None else str(v) for v in values),
        fasteners_of=studs,
        fasteners_fitted=studs,
        rotor_index=draw(st.none() | st.integers(0, (studs or 3) - 1)),
        bearing_checked=draw(st.sampled_from([True, True, True, None, False])),
        returned_to_start=draw(st.sampled_from([True, True, None, False])),
        radius_nm=draw(st.none() | st.just(60_000_000)),
        gauge_id=draw(st.sampled_from(["d", "m", None])),
        stage=draw(st.sampled_from(Stage)),
    )


@st.composite
def good_profiles(draw: st.DrawFn) -> ReadingSet:
    """A profile of eight angles that may be used."""
    vector = draw(vectors())
    values = tuple(v + draw(st.integers(-5_000, 5_000)) for v in readings(vector, 8))
    return replace(
        runout("LF", "0", rotor_index=draw(st.integers(0, 4))),
        values_nm=values,
        typed=tuple(str(v) for v in values),
    )


@given(
    sets=st.lists(good_profiles() | anything_read(), max_size=8),
    stage=st.sampled_from(Stage),
    mark=st.sampled_from(Mark),
    face=st.sampled_from(Face),
)
@settings(deadline=None)
def test_whatever_was_read_the_sheet_is_narrow_and_advice_rests_on_good_readings_only(
    sets: list[ReadingSet], stage: Stage, mark: Mark, face: Face
) -> None:
    ask = Ask(mark=mark, face=face, plates_nm=(76_200,), tyre=parse_tyre("205/55R16"))
    found = study_runout(case(sets, stage=stage), LF, ask)

    lines = as_text(runout_sheet(found)).splitlines()
    document = runout_document(found)

    assert max(len(line) for line in lines) <= 80
    assert all(not each.gates for each in found.used)
    if document["positions"]:
        assert len({each.index for each in found.used}) > 1
        assert all(each.reading.fasteners_of == found.studs for each in found.used)
    if not document["positions"]:
        assert "Best:" not in "\n".join(lines)
