"""The plain line against certified fits, printed intervals and an independent program.

NIST StRD certifies its fits to 15 digits. Graybill and Iyer (1994), Massart et al. (1997) and
NBS Handbook 91 (Natrella, 1963) are quoted as public test suites print them; ISO/TS 28037:2010
as the documentation of a public program does.
"""

from __future__ import annotations

import csv
import datetime
import math
import random
from pathlib import Path

import pytest
import statsmodels.api as sm

from brakelog.metrology.coverage import coverage_factor
from brakelog.metrology.inverse import Place, place_of
from brakelog.metrology.line import Line, line_from, line_through
from brakelog.wear.experience import WearKind
from brakelog.wear.life import PartLife, Reading, Start
from brakelog.wear.straight import plain_check

PUBLISHED = Path(__file__).parents[2] / "fixtures" / "published"


def columns(name: str) -> tuple[list[float], ...]:
    """The columns of a table, below the line that names its source."""
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as stream:
        assert next(stream).startswith("# Source: ")
        _, *rows = csv.reader(stream)
    return tuple([float(cell) for cell in column] for column in zip(*rows, strict=True))


def certified(name: str) -> tuple[list[float], list[float]]:
    """x and y of a reference dataset; its file puts y first."""
    lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# Source: ")
    head = max(number for number, line in enumerate(lines) if line.startswith("Data:"))
    pairs = [line.split() for line in lines[head + 1 :] if line.strip()]
    return [float(x) for _, x in pairs], [float(y) for y, _ in pairs]


def line_of(name: str) -> Line:
    xs, ys = columns(name)
    return line_through(xs, ys)


# Fits


def test_nist_strd_norris() -> None:
    line = line_through(*certified("nist_strd_norris.dat"))

    assert line.a == pytest.approx(-0.262323073774029, rel=1e-12)
    assert line.u1_a == pytest.approx(0.232818234301152, rel=1e-12)
    assert line.b == pytest.approx(1.00211681802045, rel=1e-13)
    assert line.u1_b == pytest.approx(0.429796848199937e-3, rel=1e-12)
    assert line.s1 == pytest.approx(0.884796396144373, rel=1e-12)
    assert line.r_squared == pytest.approx(0.999993745883712, rel=1e-13)
    assert (line.count, line.dof) == (36, 34)


@pytest.mark.parametrize(
    ("name", "b", "u1_b", "s1", "r_squared", "dof"),
    [
        (
            "nist_strd_noint1.dat",
            2.07438016528926,
            0.165289256198347e-1,
            3.56753034006338,
            0.999365492298663,
            10,
        ),
        (
            "nist_strd_noint2.dat",
            0.727272727272727,
            0.420827318078432e-1,
            0.369274472937998,
            0.993348115299335,
            2,
        ),
    ],
)
def test_nist_strd_lines_without_intercept(
    name: str, b: float, u1_b: float, s1: float, r_squared: float, dof: int
) -> None:
    """The certified R squared is the uncentred one."""
    line = line_from((0.0, 0.0), *certified(name))

    assert line.b == pytest.approx(b, rel=1e-13)
    assert line.u1_b == pytest.approx(u1_b, rel=1e-13)
    assert line.s1 == pytest.approx(s1, rel=1e-13)
    assert line.r_squared == pytest.approx(r_squared, rel=1e-13)
    assert line.dof == dof


def test_iso_28037_unequal_weights() -> None:
    """There the uncertainties of the readings are known, so that s1 is taken out again."""
    xs, ys, u1s = columns("iso_28037_unequal_weights.csv")
    line = line_through(xs, ys, weights=[1 / u1**2 for u1 in u1s])

    assert round(line.a, 3) == 0.885
    assert round(line.b, 3) == 2.057
    assert round(line.u1_a / line.s1, 3) == 0.530
    assert round(line.u1_b / line.s1, 3) == 0.178
    assert round(line.u1_a * line.u1_b * line.correlation / line.s1**2, 3) == -0.082
    assert round(line.s1**2 * line.dof, 3) == 4.131


def test_one_more_reading_on_the_line_with_unequal_weights() -> None:
    """A reading of 10.5 with u1 = 1.0, as the same program works it out."""
    xs, ys, u1s = columns("iso_28037_unequal_weights.csv")
    line = line_through(xs, ys, weights=[1 / u1**2 for u1 in u1s])
    place = place_of(line, 10.5, probability=0.95, reading_weight=1.0)

    assert place is not None
    assert place.x == pytest.approx(4.67425641025641, rel=1e-13)
    assert place.u1 / line.s1 == pytest.approx(0.533180902231294, rel=1e-13)


def test_nbs_handbook_91_young_s_modulus() -> None:
    """Worksheet 5-4.1 and page 5-15."""
    line = line_of("natrella_hb91_youngs_modulus.csv")

    assert line.b == pytest.approx(-0.44985482, abs=5e-9)
    assert line.a == pytest.approx(4654.9846, abs=5e-5)
    assert line.s1 == pytest.approx(9.277617, abs=1e-6)
    assert line.u1_b**2 == pytest.approx(0.000025649045, rel=1e-7)
    assert line.u1_a**2 == pytest.approx(19.879452, rel=1e-7)
    assert line.u1_at(1200.0) ** 2 == pytest.approx(10.53, abs=0.005)
    assert line.u1_of_reading_at(750.0) ** 2 == pytest.approx(91.45, abs=0.005)


# Where a height is reached

LINE_ITSELF = None
ONE_READING = 1.0


@pytest.mark.parametrize(
    ("name", "y", "probability", "weight", "printed"),
    [
        ("thermostat", 104, 0.95, ONE_READING, ("103.995", "103.40", "104.59")),
        ("thermostat", 100, 0.90, ONE_READING, ("100.11", "99.63", "100.59")),
        ("chamber", 400, 0.99, LINE_ITSELF, ("66.5", "65.07", "68.03")),
        ("crystal", 5, 0.90, LINE_ITSELF, ("9.93", "8.65", "11.05")),
        # Greenwell and Schubert Kabban, R Journal 6/1 (2014).
        ("arsenic", 3, 0.90, ONE_READING, ("2.9314", "2.6035", "3.2587")),
    ],
)
def test_graybill_and_iyer_intervals_by_fieller(
    name: str, y: float, probability: float, weight: float | None, printed: tuple[str, ...]
) -> None:
    place = place_of(
        line_of(f"graybill_iyer_{name}.csv"), y, probability=probability, reading_weight=weight
    )

    assert place is not None
    for found, text in zip((place.x, place.low, place.high), printed, strict=True):
        assert found is not None
        decimals = len(text.partition(".")[2])
        assert round(found, decimals) == float(text)


@pytest.mark.parametrize(("weight", "u1"), [(ONE_READING, 2.211698), (LINE_ITSELF, 0.6658998)])
def test_graybill_and_iyer_standard_error_of_crystal_age(weight: float | None, u1: float) -> None:
    place = place_of(
        line_of("graybill_iyer_crystal.csv"), 5.0, probability=0.9, reading_weight=weight
    )

    assert place is not None
    assert place.u1 == pytest.approx(u1, rel=5e-7)


@pytest.mark.parametrize(
    ("y", "readings", "x", "reach"),
    [(15, 1, 6.09381, 4.906751), (90, 1, 43.93983, 4.908053), (90, 5, 43.93983, 3.168489)],
)
def test_massart_1997_example_1(y: float, readings: int, x: float, reach: float) -> None:
    """To first order, and with n - 2 degrees of freedom however many readings there are."""
    line = line_of("massart_1997_example_1.csv")
    place = place_of(line, y, probability=0.95, reading_weight=readings)

    assert place is not None
    assert place.x == pytest.approx(x, rel=1e-6)
    assert coverage_factor(0.95, dof=line.dof) * place.u1 == pytest.approx(reach, rel=1e-6)


def ends_of(place: Place | None) -> tuple[float, float]:
    assert place is not None
    assert place.low is not None
    assert place.high is not None
    return place.low, place.high


@pytest.mark.parametrize("name", ["thermostat", "chamber", "crystal", "arsenic"])
def test_fieller_is_the_prediction_interval_turned_round(name: str) -> None:
    """At either end of the interval for x, the height is an end of the interval for y."""
    line = line_of(f"graybill_iyer_{name}.csv")
    y = line.at((line.lowest_x + line.highest_x) / 3)
    low, high = ends_of(place_of(line, y, probability=0.9, reading_weight=1.0))
    under, over = (
        line.interval_of_reading_at(low, probability=0.9),
        line.interval_of_reading_at(high, probability=0.9),
    )

    assert max(under) == pytest.approx(y, rel=1e-9)
    assert min(over) == pytest.approx(y, rel=1e-9)


def test_prediction_interval_agrees_with_an_independent_program() -> None:
    xs, ys = columns("natrella_hb91_youngs_modulus.csv")
    line = line_through(xs, ys)
    frame = sm.OLS(ys, sm.add_constant(xs)).fit().get_prediction().summary_frame(alpha=0.05)

    for x, low, high in zip(xs, frame["obs_ci_lower"], frame["obs_ci_upper"], strict=True):
        assert line.interval_of_reading_at(x, probability=0.95) == pytest.approx(
            (low, high), rel=1e-10
        )


# What it is worth on wear

LIVES = 1_500
DAY = datetime.date(2024, 5, 1)
RATE, LOG_SD, C = 0.13, math.sqrt(math.log1p(0.4**2)), 0.94
NEW_MM, NEW_U1_MM, LIMIT_MM, READING_U1_MM = 11.0, 0.15, 3.0, 0.2


def worn_life(rng: random.Random, visits: int) -> tuple[PartLife, float]:
    """A lining that wears by a gamma process, and what was really left. [1000 km]"""
    while True:
        rate, size, x = math.exp(rng.gauss(math.log(RATE), LOG_SD)), NEW_MM, 0.0
        size += rng.gauss(0.0, NEW_U1_MM)
        readings: list[Reading] = []
        for _ in range(visits):
            gap = max(rng.gauss(12.0, 5.0), 1.0)
            x += gap
            size -= rng.gammavariate(gap / C, rate * C)
            read_mm = size + rng.gauss(0.0, READING_U1_MM)
            if read_mm <= LIMIT_MM:
                break
            readings.append(
                Reading(
                    odometer_mm=round(x * 1e9),
                    value_nm=round(read_mm * 1e6),
                    sigma1_nm=READING_U1_MM * 1e6,
                    day=DAY,
                )
            )
        if len(readings) == visits:
            break
    left = 0.0
    while size > LIMIT_MM:
        size -= rng.gammavariate(0.5 / C, rate * C)
        left += 0.5
    life = PartLife(
        kind=WearKind.FRONT_LINING,
        grows=False,
        start=Start(odometer_mm=0, size_nm=11_000_000, sigma1_nm=150_000.0, measured=True),
        readings=tuple(readings),
        limit_nm=3_000_000,
        new_nm=11_000_000,
        as_of=DAY,
        as_of_odometer_mm=readings[-1].odometer_mm,
        is_out=False,
    )
    return life, left


def held(visits: int) -> tuple[float, float]:
    """Share of lives without a finite interval, and of the others in which it held."""
    rng = random.Random(20_260_000 + visits)
    silent = inside = 0
    for _ in range(LIVES):
        life, left = worn_life(rng, visits)
        check = plain_check(life)
        reach = None if check is None else check.line_reaches
        if reach is None or reach.earliest_mm is None or reach.latest_mm is None:
            silent += 1
        else:
            inside += max(reach.earliest_mm, 0) <= left * 1e9 <= max(reach.latest_mm, 0)
    return silent / LIVES, inside / (LIVES - silent)


def test_with_two_visits_there_is_mostly_no_interval() -> None:
    silent, _ = held(2)

    assert 0.55 < silent < 0.70


@pytest.mark.parametrize(("visits", "low", "high"), [(3, 0.84, 0.92), (5, 0.80, 0.88)])
def test_interval_holds_less_often_than_it_says(visits: int, low: float, high: float) -> None:
    """It says 95 %; wear adds up from visit to visit, which the line does not know."""
    silent, inside = held(visits)

    assert silent < 0.06
    assert low < inside < high
