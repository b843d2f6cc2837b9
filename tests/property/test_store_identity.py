"""What is read back is what was put in, character for character."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brakelog.lengths import DistanceUnit, LengthUnit, TypedLength
from brakelog.record.corner import Corner, walking_order
from brakelog.record.draft import DraftEntry
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.limit import Limit, LimitKind, OutWhen, WhichPad
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from tests.places import place

quick = settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
text = st.one_of(
    st.sampled_from(["", "'; DROP TABLE visits; --", "27,41\r\n", "″½µ", "\U0001f6de", "%"]),
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30),
)
name = text.filter(lambda typed: bool(typed.strip()))
integers = st.integers(-(2**63), 2**63 - 1)
sizes = st.integers(0, 2**63 - 1)
corners: st.SearchStrategy[Corner] = st.sampled_from(walking_order(9))
days = st.dates(date(1, 1, 1), date(9999, 12, 31))
units = st.sampled_from(LengthUnit)


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


def built(noun: Callable[..., Any], **fields: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.fixed_dictionaries(fields).map(lambda values: noun(id="", **values))


vehicles = built(
    Vehicle,
    tag=name,
    description=text,
    brakes=st.lists(st.sampled_from(AxleBrake), min_size=1, max_size=9).map(tuple),
    odometer_unit=st.sampled_from(DistanceUnit),
    plate=text,
    vin=text,
)
visits = built(
    Visit,
    vehicle_id=st.just("v"),
    day=days,
    odometer_mm=sizes,
    odometer_text=text,
    odometer_unit=st.sampled_from(DistanceUnit),
    odometer_out_mm=maybe(sizes),
    complaint=text,
    looked_over=st.frozensets(corners),
    next_distance_mm=maybe(sizes),
    next_months=maybe(sizes),
)
gauges = built(
    Gauge,
    tag=name,
    kind=st.sampled_from(GaugeKind),
    unit=units,
    resolution_nm=sizes,
    resolution_text=text,
    used_for=st.frozensets(st.sampled_from(Quantity)),
    tips=maybe(st.sampled_from(Tips)),
    error_limit_nm=maybe(sizes),
    checked_on=maybe(days),
    check_every_months=maybe(sizes),
    note=text,
)
points = st.lists(st.tuples(maybe(integers), text), max_size=12)
reading_sets = st.builds(
    lambda one, taken: replace(
        one,
        values_nm=tuple(value for value, _ in taken),
        typed=tuple(typed for _, typed in taken),
    ),
    built(
        ReadingSet,
        visit_id=st.just("a"),
        corner=corners,
        quantity=st.sampled_from(Quantity),
        stage=st.sampled_from(Stage),
        values_nm=st.just(()),
        typed=st.just(()),
        unit=units,
        datum=maybe(st.sampled_from(Datum)),
        again_nm=maybe(integers),
        again_typed=text,
        tips=maybe(st.sampled_from(Tips)),
        temperature_dc=maybe(st.integers(-2732, 2**63 - 1)),
        zero_error_nm=integers,
        radius_nm=maybe(sizes),
        fasteners_fitted=maybe(sizes),
        fasteners_of=maybe(sizes),
        bearing_checked=maybe(st.booleans()),
        returned_to_start=maybe(st.booleans()),
    ),
    points,
)
figures = st.builds(
    TypedLength,
    nm=sizes,
    text=text,
    unit=units,
    last_digit_nm=sizes,
    unit_typed=st.booleans(),
)
limits = built(
    Limit,
    kind=st.sampled_from(LimitKind),
    figures=st.lists(figures, min_size=1, max_size=2).map(tuple),
    source=text,
    axle=st.integers(1, 2**63 - 1),
    sheet=st.just("Sheet"),
    corner=maybe(corners),
    out_when=maybe(st.sampled_from(OutWhen)),
    datum=maybe(st.sampled_from(Datum)),
    which_pad=st.sampled_from(WhichPad),
    points=maybe(st.integers(1, 99)),
    radius_nm=maybe(sizes),
    source_date=maybe(days),
    note=text,
)
findings = built(
    Finding,
    visit_id=st.just("a"),
    corner=corners,
    stage=st.sampled_from(Stage),
    kind=st.sampled_from(FindingKind),
    part=st.sampled_from(Part),
    note=text,
)
fittings = built(
    Fitting,
    visit_id=st.just("a"),
    day=days,
    odometer_mm=sizes,
    corner=corners,
    position=st.sampled_from(Position),
    event=st.sampled_from(FittingEvent),
    basis=st.sampled_from(SizeBasis),
    size_nm=maybe(sizes),
    size_typed=text,
    from_corner=maybe(corners),
    note=text,
)
drafts = st.builds(
    DraftEntry, key=text, typed=text, unit=units, corner=corners, stage=st.sampled_from(Stage)
)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with open_store(place(tmp_path_factory.mktemp("identity") / "store.sqlite")) as store:
        vehicle = Vehicle(
            id="v",
            tag="the vehicle of these tests",
            description="",
            brakes=(AxleBrake.DISC,),
            odometer_unit=DistanceUnit.KM,
        )
        visit = Visit(
            id="a",
            vehicle_id="v",
            day=date(2026, 5, 4),
            odometer_mm=0,
            odometer_text="0",
            odometer_unit=DistanceUnit.KM,
        )
        with store.writing():
            store.add_sheet("Sheet")
            store.add_vehicle(vehicle)
            store.add_visit(visit)
        yield store


@quick
@given(one=vehicles)
def test_vehicle(store: Store, one: Vehicle) -> None:
    id = store.new_id()
    # The number keeps the tags apart, which are unique in any case.
    one = replace(one, id=id, tag=f"{one.tag}{id}")
    store.add_vehicle(one)

    assert store.vehicle_by_id(id) == one
    assert store.vehicle(one.tag) == one


@quick
@given(one=visits, typed=text)
def test_visit(store: Store, one: Visit, typed: str) -> None:
    shown = typed if one.odometer_out_mm is not None else ""
    one = replace(one, id=store.new_id(), odometer_out_text=shown)
    store.add_visit(one)

    assert replace(store.visit(one.id), odometer_out_at=None) == one


@quick
@given(one=gauges)
def test_gauge(store: Store, one: Gauge) -> None:
    id = store.new_id()
    one = replace(one, id=id, tag=f"{one.tag}{id}")
    store.add_gauge(one)

    assert store.gauge_by_id(id) == store.gauge(one.tag) == one
    assert store.gauges_by_ids([id]) == {id: one}


@quick
@given(several=st.lists(reading_sets, max_size=3))
def test_reading_sets(store: Store, several: list[ReadingSet]) -> None:
    several = [replace(one, id=store.new_id()) for one in several]
    before = store.reading_sets_of_visit("a")
    store.add_reading_sets(several)
    found = store.reading_sets_of_visit("a")

    assert found[: len(before)] == before
    assert [replace(one, recorded_at=None) for one in found[len(before) :]] == several
    assert store.reading_sets_of_vehicle("v") == found


@quick
@given(one=limits)
def test_limit(store: Store, one: Limit) -> None:
    one = replace(one, id=store.new_id())
    store.add_limits([one])

    assert store.limit_by_id(one.id) == one
    assert store.limits_of_sheet("Sheet")[-1] == one


@quick
@given(one=findings)
def test_finding(store: Store, one: Finding) -> None:
    one = replace(one, id=store.new_id())
    store.add_findings([one])

    assert replace(store.findings_of_visit("a")[-1], recorded_at=None) == one


@quick
@given(one=fittings)
def test_fitting(store: Store, one: Fitting) -> None:
    one = replace(one, id=store.new_id())
    store.add_fittings([one])

    found = store.fittings_of_vehicle("v")
    assert one in [replace(each, recorded_at=None) for each in found]


@quick
@given(one=drafts)
def test_draft(store: Store, one: DraftEntry) -> None:
    store.put_draft_entry("a", one)

    assert store.draft_entries("a")[-1] == one


@quick
@given(document=text, policy=text)
def test_verdict(store: Store, document: str, policy: str) -> None:
    store.issue_verdict("a", Stage.AS_LEFT, "verdict/1", document, policy)

    assert store.last_verdict("a", Stage.AS_LEFT) == document
    assert store.verdicts_of_visit("a")[-1].policy == policy
