"""The page about the projection says what the program does."""

from __future__ import annotations

import datetime
import re

import pytest

from brakelog.metrology.uncertainty import (
    DRUM_PLACEMENT_NM,
    LINING_PLACEMENT_NM,
    ROTOR_PLACEMENT_NM,
)
from brakelog.rules.dating import MOST_DAYS
from brakelog.wear import usage
from brakelog.wear.bulk.learning import ENOUGH_OF_A_KIND, UNLIKE
from brakelog.wear.bulk.population import LIVES_BEFORE, LOG_SD_RANGE, SPREAD_LIVES_BEFORE
from brakelog.wear.experience import (
    ENOUGH_LIVES,
    LOG_SD,
    MEDIAN_LIFE_1000KM,
    PROCESS_C,
    PROCESS_C_RANGE,
    VEHICLE_SHARE,
    WearKind,
    general_experience,
)
from brakelog.wear.life import NOMINAL_U1_NM, PartLife, Reading, Start
from brakelog.wear.projecting import project
from brakelog.wear.projection import Refusal, at_least_rounded_mm, median_rounded_mm
from brakelog.wear.rate import OUTLIER_Z
from brakelog.wear.straight import PlainCheck, plain_check
from tests.unit.test_docs import read

PAGE = "explanation/projection.md"
KM = 1_000_000
DAY = datetime.date(2024, 5, 1)
SIZES = ((12_000, 9.6), (27_000, 7.9), (40_000, 6.1))


def lasting(kind: WearKind) -> str:
    return f"{MEDIAN_LIFE_1000KM[kind] * 1000:,.0f} km"


FIGURES = {
    "half of front linings last": lasting(WearKind.FRONT_LINING),
    "half of rear linings last": lasting(WearKind.REAR_LINING),
    "half of rotors last": lasting(WearKind.ROTOR),
    "half of shoes last": lasting(WearKind.SHOE),
    "half of drums last": lasting(WearKind.DRUM),
    "spread of ln r, drums": f"{LOG_SD[WearKind.DRUM]}",
    "spread of ln r, all others": f"{LOG_SD[WearKind.FRONT_LINING]}",
    "variability c": f"{PROCESS_C} thousand km",
    "range that a learned c is held in": "{:g} to {:g} thousand km".format(*PROCESS_C_RANGE),
    "a reading is pulled in from": f"{OUTLIER_Z:g} standard deviations",
    "a class or model stands by itself from": f"{ENOUGH_OF_A_KIND:g} lives",
    "fewer are believed where they wear faster by": f"{UNLIKE:.4f} standard errors",
    "what was believed before counts, in the rate": f"{LIVES_BEFORE:g} life",
    "what was believed before counts, in the spread": f"{SPREAD_LIVES_BEFORE:g} lives",
    "range that a learned spread is held in": "{:g} to {:g}".format(*LOG_SD_RANGE),
    "share of the variance that is the vehicle": f"{VEHICLE_SHARE}",
    "a part without a rate of its own is projected from": f"{ENOUGH_LIVES:g} lives",
    "usual distance a day": f"{usage.USUAL_KM_PER_DAY:g} km",
    "spread of ln km a day": f"{usage.LOG_SD}",
    "no day beyond": f"{MOST_DAYS / 365:g} years",
}


def rows(title: str) -> list[list[str]]:
    """The cells of every row of a section's tables, heads and rules left out."""
    section = read(PAGE).split(f"\n## {title}\n")[1].split("\n## ")[0]
    lines = [line for line in section.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def test_the_figures_are_those_of_the_program() -> None:
    assert {figure: value for figure, value, _ in rows("The figures")} == FIGURES


def test_only_drums_have_a_spread_of_their_own() -> None:
    assert {spread for kind, spread in LOG_SD.items() if kind is not WearKind.DRUM} == {0.55}


def test_the_uncertainties_of_sizes_are_those_of_the_program() -> None:
    text = read(PAGE)
    placed = [each / 1e6 for each in (LINING_PLACEMENT_NM, DRUM_PLACEMENT_NM, ROTOR_PLACEMENT_NM)]
    nominal = {kind: each / 1e6 for kind, each in NOMINAL_U1_NM.items()}

    assert "{} mm for linings, {} mm for drums, {} mm for rotors".format(*placed) in text
    assert (
        f"{nominal[WearKind.SHOE]} mm for linings and shoes, and to "
        f"{nominal[WearKind.DRUM]} mm for rotors and drums" in text
    )


def test_every_refusal_is_explained() -> None:
    said = {word for row in rows("Why nothing is said") for word in re.findall("`(.+?)`", row[0])}

    assert said == {each.value for each in Refusal}


def lining(visits: int) -> PartLife:
    readings = tuple(
        Reading(odometer_mm=km * KM, value_nm=round(mm * 1e6), sigma1_nm=200_000.0, day=DAY)
        for km, mm in SIZES[:visits]
    )
    return PartLife(
        kind=WearKind.FRONT_LINING,
        grows=False,
        start=Start(odometer_mm=0, size_nm=11_000_000, sigma1_nm=150_000.0, measured=True),
        readings=readings,
        limit_nm=3_000_000,
        new_nm=11_000_000,
        as_of=DAY,
        as_of_odometer_mm=readings[-1].odometer_mm,
        is_out=False,
    )


def plain(visits: int) -> PlainCheck:
    found = plain_check(lining(visits))
    assert found is not None
    return found


def thousands(mm: int | None) -> str:
    assert mm is not None
    return f"{round(mm / KM, -3):,.0f}"


@pytest.mark.parametrize("visits", [1, 2, 3])
def test_the_example_is_worked_out_as_it_stands_there(visits: int) -> None:
    check = plain(visits)
    general = general_experience(WearKind.FRONT_LINING, new_mm=11.0, limit_mm=3.0)
    projection = project(lining(visits), general)
    reach, rate = check.line_reaches, projection.rate_nm_per_1000km
    assert reach is not None
    assert rate is not None
    reaches = thousands(reach.expected_mm)
    if visits > 1:
        reaches += f", from {thousands(reach.earliest_mm)} to {thousands(reach.latest_mm)}"

    (listed,) = [row for row in rows("What the plain line is for") if row[0] == str(visits)]
    assert listed[2:] == [
        f"{check.rate_nm_per_1000km / 1e6:.3f}",
        reaches,
        f"{rate / 1e6:.3f}",
        thousands(median_rounded_mm(projection, KM)),
        f"{at_least_rounded_mm(projection, KM) // KM:,}",
        f"{thousands(projection.d05_mm)} to {thousands(projection.d95_mm)}",
    ]


def test_two_visits_of_the_example_are_straighter_than_their_gauge() -> None:
    check = plain(2)

    assert check.is_too_straight
    assert check.scatter1_nm is not None
    assert check.scatter1_nm < 20_000


def test_own_share_is_as_the_page_says() -> None:
    general = general_experience(WearKind.FRONT_LINING, new_mm=11.0, limit_mm=3.0)
    after_a_while = Reading(
        odometer_mm=2_000 * KM, value_nm=10_700_000, sigma1_nm=200_000.0, day=DAY
    )
    early = PartLife(
        kind=WearKind.FRONT_LINING,
        grows=False,
        start=lining(1).start,
        readings=(after_a_while,),
        limit_nm=3_000_000,
        new_nm=11_000_000,
        as_of=DAY,
        as_of_odometer_mm=2_000 * KM,
        is_out=False,
    )

    assert project(early, general).own_share == pytest.approx(0.2, abs=0.05)
    assert project(lining(3), general).own_share == pytest.approx(0.9, abs=0.05)
