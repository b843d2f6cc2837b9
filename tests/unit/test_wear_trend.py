"""The line that a projection goes on from."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.wear.experience import WearKind, general_experience
from brakelog.wear.life import PartLife, Reading, nominal_start
from brakelog.wear.projecting import project
from brakelog.wear.trend import estimated_nm, trend_of

KM = 1_000_000
GENERAL = general_experience(WearKind.FRONT_LINING, new_mm=11.0, limit_mm=2.0)


def life(*sizes: tuple[int, float], kind: WearKind = WearKind.FRONT_LINING) -> PartLife:
    return PartLife(
        kind=kind,
        grows=kind is WearKind.DRUM,
        start=None,
        readings=tuple(
            Reading(
                odometer_mm=km * KM,
                value_nm=round(mm * 1e6),
                sigma1_nm=200_000.0,
                day=date(2025, 1, 1),
            )
            for km, mm in sizes
        ),
        limit_nm=2_000_000,
        new_nm=11_000_000,
        as_of=date(2025, 1, 1),
        as_of_odometer_mm=sizes[-1][0] * KM if sizes else 0,
        is_out=False,
    )


def test_the_line_falls_at_the_central_rate_and_meets_the_limit_at_the_median() -> None:
    one = life((20_000, 9.0), (32_000, 7.5), (45_000, 5.9))
    found = project(one, GENERAL)
    trend = trend_of(one, found)

    assert trend is not None
    assert found.rate_nm_per_1000km is not None
    assert found.median_mm is not None
    fall = (trend.from_nm - trend.to_nm) / (trend.to_mm - trend.from_mm)
    assert fall * 1e9 == pytest.approx(found.rate_nm_per_1000km, rel=1e-6)
    assert (trend.to_nm - 2_000_000) / found.median_mm == pytest.approx(fall, rel=1e-6)


def test_a_refused_life_has_no_line() -> None:
    one = life((20_000, 9.0))

    assert trend_of(one, project(one, GENERAL)) is None
    assert estimated_nm(one, project(one, GENERAL)) is None


def test_a_line_begins_at_the_fitting() -> None:
    one = life((32_000, 7.5), (45_000, 5.9))
    start = nominal_start(WearKind.FRONT_LINING, odometer_mm=10_000 * KM, size_nm=11_000_000)
    fitted = PartLife(
        kind=one.kind,
        grows=False,
        start=start,
        readings=one.readings,
        limit_nm=one.limit_nm,
        new_nm=one.new_nm,
        as_of=one.as_of,
        as_of_odometer_mm=one.as_of_odometer_mm,
        is_out=False,
    )

    trend = trend_of(fitted, project(fitted, GENERAL))

    assert trend is not None
    assert trend.from_mm == 10_000 * KM


@given(
    sizes=st.lists(st.floats(0.0, 12.0), min_size=0, max_size=6),
    gaps=st.lists(st.integers(0, 20_000), min_size=6, max_size=6),
)
def test_whatever_was_read_the_line_runs_forward_and_wear_is_never_gain(
    sizes: list[float], gaps: list[int]
) -> None:
    odometers = [10_000 + sum(gaps[: n + 1]) for n in range(len(sizes))]
    one = life(*zip(odometers, sizes, strict=True))

    trend = trend_of(one, project(one, GENERAL))

    if trend is not None:
        assert trend.from_mm < trend.to_mm
        assert trend.from_nm >= trend.to_nm >= 2_000_000
