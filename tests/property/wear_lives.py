"""Part lives for properties of the projection: such as happen, and such as should not."""

from __future__ import annotations

import datetime
import math

from hypothesis import strategies as st

from brakelog.wear.experience import Experience, WearKind
from brakelog.wear.history import History, Visit
from brakelog.wear.life import PartLife, Reading, Start

KM = 1_000_000
DAY = datetime.date(2024, 5, 1)


@st.composite
def worn_lives(draw: st.DrawFn) -> PartLife:
    """Lives of a front lining that could happen, faulty readings included."""
    rate = draw(st.floats(0.02, 0.5))
    km, thickness_mm = 40_000.0, 11.0
    readings = []
    for _ in range(draw(st.integers(1, 5))):
        gap_km = draw(st.floats(0.0, 30_000.0))
        km += gap_km
        thickness_mm -= rate * gap_km / 1000.0 * draw(st.floats(0.1, 2.5))
        u1_mm = draw(st.sampled_from([0.05, 0.2, 0.5]))
        error_mm = draw(st.floats(-2.0, 2.0)) * u1_mm
        readings.append(
            Reading(
                odometer_mm=round(km * KM),
                value_nm=round((thickness_mm + error_mm) * 1e6),
                sigma1_nm=u1_mm * 1e6,
                day=DAY,
            )
        )
    start = Start(
        odometer_mm=40_000 * KM,
        size_nm=11_000_000,
        sigma1_nm=draw(st.sampled_from([150_000.0, 500_000.0])),
        measured=True,
    )
    return PartLife(
        kind=WearKind.FRONT_LINING,
        grows=False,
        start=draw(st.sampled_from([start, None])),
        readings=tuple(readings),
        limit_nm=3_000_000,
        new_nm=11_000_000,
        as_of=DAY,
        as_of_odometer_mm=readings[-1].odometer_mm,
        is_out=False,
    )


SIZES = st.integers(-(10**12), 10**12) | st.integers(-(2**62), 2**62)
U1S = st.floats(0.0, 1e7) | st.sampled_from([0.0, 1e300, math.inf])


@st.composite
def nasty_lives(draw: st.DrawFn) -> PartLife:
    """Anything that the types allow."""
    odometers = st.integers(0, 10**12) | st.sampled_from([0, 5 * 10**10]) | SIZES
    days = st.dates()
    readings = draw(
        st.lists(
            st.builds(Reading, odometer_mm=odometers, value_nm=SIZES, sigma1_nm=U1S, day=days),
            max_size=6,
        )
    )
    if draw(st.booleans()):
        readings.sort(key=lambda reading: reading.odometer_mm)
    starts = st.builds(
        Start, odometer_mm=odometers, size_nm=SIZES, sigma1_nm=U1S, measured=st.booleans()
    )
    return PartLife(
        kind=draw(st.sampled_from(WearKind)),
        grows=draw(st.booleans()),
        start=draw(st.none() | starts),
        readings=tuple(readings),
        limit_nm=draw(st.none() | SIZES),
        new_nm=draw(st.none() | SIZES),
        as_of=draw(days),
        as_of_odometer_mm=draw(odometers),
        is_out=draw(st.booleans()),
    )


EXPERIENCES = st.builds(
    Experience,
    log_rate=st.floats(-15.0, 10.0),
    log_sd=st.floats(0.01, 3.0),
    process_c=st.floats(1e-6, 1e6),
    lives_behind=st.floats(0.0, 1000.0),
    source=st.just("test"),
)

BACK_TESTED = st.builds(
    Experience,
    log_rate=st.floats(-5.0, 0.0),
    log_sd=st.floats(0.05, 1.0),
    process_c=st.floats(0.05, 8.0),
    lives_behind=st.floats(0.0, 1000.0),
    source=st.just("test"),
    widened=st.floats(0.5, 3.0),
)
"""Beliefs that a shop could hold, with the factor of its own back-test."""


@st.composite
def hostile_histories(draw: st.DrawFn) -> History:
    """Histories with slips in them: thicker than new, beyond the limit, twice at one odometer."""
    u1s_mm = st.sampled_from([0.01, 0.05, 0.2, 0.5]) | st.floats(-3.0, 3.0).map(lambda e: 10.0**e)
    gaps = st.just(0.0) | st.floats(0.001, 40.0)
    slips_mm = st.just(0.0) | st.floats(-8.0, 8.0)
    if draw(st.booleans()):
        # Clean readings, so that wear that turns faster is not taken for a slip.
        u1s_mm, gaps, slips_mm = st.just(0.05), st.floats(5.0, 40.0), st.just(0.0)
    x, margin_mm, rate = 0.0, draw(st.floats(-1.0, 12.0)), draw(st.floats(0.0, 0.4))
    start_mm, visits = margin_mm, []
    for _ in range(draw(st.integers(0, 4) | st.integers(0, 12))):
        gap = draw(gaps)
        x += gap
        margin_mm -= rate * gap
        visits.append(
            Visit(x=x, margin_mm=margin_mm + draw(slips_mm), u1_mm=draw(u1s_mm)),
        )
        rate *= draw(st.sampled_from([1.0, 1.0, 3.0]))
    return History(
        margin_mm=start_mm, u1_mm=draw(st.just(0.0) | st.floats(0.0, 1.0)), visits=tuple(visits)
    )
