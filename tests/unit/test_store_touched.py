"""A vehicle whose part lives may have changed is named, whatever changed them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import pytest

from brakelog.lengths import DistanceUnit
from brakelog.record.answer import Answer, Said
from brakelog.record.closing import Check, ClosingAnswer, TorqueLeft
from brakelog.record.limit import Confirmation, Torque
from brakelog.record.people import Person
from brakelog.record.reading import Stage
from brakelog.record.trait import Trait
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.store.tables import CORRECTION_KINDS, EVIDENCE
from brakelog.store.touches import CORRECTED, TOUCHES
from tests.places import place
from tests.unit.store_examples import (
    KM,
    RF,
    a_draft,
    a_finding,
    a_fitting,
    a_gauge,
    a_limit,
    a_set,
    a_vehicle,
    a_visit,
    an_agreement,
)


class Clock:
    """Goes on by a second whenever somebody looks; may be set back."""

    def __init__(self) -> None:
        self.now = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture(scope="module")
def clock() -> Clock:
    return Clock()


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory, clock: Clock) -> Iterator[Store]:
    """Cars 1 and 2 on one sheet, 3 on another, 4 on none; a visit of each, read with gauges."""
    path = place(tmp_path_factory.mktemp("touched") / "store.sqlite")
    with open_store(path, clock=clock) as store:
        with store.writing():
            store.add_sheet("Sheet")
            store.add_sheet("Other")
            store.add_limits([a_limit(), a_limit("l2", sheet="Other")])
            for id, sheet in (("v1", "Sheet"), ("v2", "Sheet"), ("v3", "Other"), ("v4", None)):
                store.add_vehicle(a_vehicle(id, sheet=sheet))
            store.add_gauge(a_gauge("g1"))
            store.add_gauge(a_gauge("g2"))
            store.add_limits([a_limit("mark", sheet=None, vehicle_id="v4")])
            for car, gauge in ((1, "g1"), (2, "g1"), (3, "g2"), (4, "g1")):
                visit = f"a{car}"
                store.add_visit(a_visit(visit, f"v{car}"))
                again = 27_400_000 if car == 2 else None
                store.add_reading_sets(
                    [
                        a_set(f"s{car}", visit, gauge_id=gauge, again_nm=again),
                        a_set(f"o{car}", visit),
                    ]
                )
                store.add_findings([a_finding(f"f{car}", visit)])
                store.add_fittings([a_fitting(f"t{car}", visit)])
        yield store


class _TakeBack(Exception):
    """Ends a test's transaction without keeping anything."""


@pytest.fixture
def store(opened: Store) -> Iterator[Store]:
    try:
        with opened.writing():
            yield opened
            raise _TakeBack
    except _TakeBack:
        pass


@dataclass(frozen=True)
class Change:
    """Something that is put on record, and the vehicles that it touches."""

    what: str
    do: Callable[[Store], object]
    touches: tuple[str, ...]
    first: Callable[[Store], object] = lambda store: None
    """What was on record already."""


def confirmation(limit: str) -> Confirmation:
    return Confirmation(id="k", limit_id=limit, figure=0, person_id=None, reason="cast on it")


def answer(visit: str) -> Answer:
    return Answer(id="w", visit_id=visit, question_key="Q201:s1", said=Said.RIGHT, note="")


def moved(to: str) -> Callable[[Store], object]:
    return lambda store: store.move_visit("a1", to, "wrong car")


CHANGES = [
    Change("a new vehicle", lambda s: s.add_vehicle(a_vehicle("v5")), ("v5",)),
    Change("a changed vehicle", lambda s: s.change_vehicle(a_vehicle("v1", tag="x")), ("v1",)),
    Change("another sheet", lambda s: s.change_vehicle(a_vehicle("v4", sheet="Sheet")), ("v4",)),
    Change("a plate", lambda s: s.change_vehicle(a_vehicle("v4", plate="B XY 1")), ()),
    Change("a new visit", lambda s: s.add_visit(a_visit("b", "v3")), ("v3",)),
    Change("an odometer out", lambda s: s.add_visit_facts("a2", odometer_out=(1, "1")), ("v2",)),
    Change("a corner looked over", lambda s: s.add_visit_facts("a2", looked_over=[RF]), ("v2",)),
    Change(
        "a corrected odometer",
        lambda s: s.correct_odometer("a3", 62_000 * KM, "62000", DistanceUnit.KM, "read again"),
        ("v3",),
    ),
    Change("a void visit", lambda s: s.void_visit("a3", "wrong car"), ("v3",)),
    Change("a moved visit", moved("v3"), ("v1", "v3")),
    Change("a visit moved on", moved("v4"), ("v1", "v3", "v4"), first=moved("v3")),
    Change("a visit moved back", moved("v1"), ("v1", "v3"), first=moved("v3")),
    Change(
        "a reading in a moved visit",
        lambda s: s.add_reading_sets([a_set("new", "a1")]),
        ("v1", "v3"),
        first=moved("v3"),
    ),
    Change("a reading", lambda s: s.add_reading_sets([a_set("new", "a4")]), ("v4",)),
    Change("an amended reading", lambda s: s.amend_set("o3", a_set("n", "a3"), "typo"), ("v3",)),
    Change("a void reading", lambda s: s.void_set("o3", "typo"), ("v3",)),
    Change("a finding", lambda s: s.add_findings([a_finding("new", "a1")]), ("v1",)),
    Change(
        "a corrected finding",
        lambda s: s.add_findings([a_finding("new", "a1", corrects="f1")]),
        ("v1",),
    ),
    Change("a void finding", lambda s: s.void_finding("f2", "other side"), ("v2",)),
    Change("a fitting", lambda s: s.add_fittings([a_fitting("new", "a1")]), ("v1",)),
    Change("a void fitting", lambda s: s.void_fitting("t2", "other side"), ("v2",)),
    Change("an answer", lambda s: s.add_answer(answer("a1")), ("v1",)),
    Change(
        "a check at the end",
        lambda s: s.add_closing_answers(
            [ClosingAnswer(id="c", visit_id="a1", check=Check.RUNOUT_CURE, said="yes", corner=RF)]
        ),
        ("v1",),
    ),
    Change("a sheet that nobody uses", lambda s: s.add_sheet("Third"), ()),
    Change("a limit of a sheet", lambda s: s.add_limits([a_limit("n")]), ("v1", "v2")),
    Change(
        "a limit that follows one of another sheet",
        lambda s: s.add_limits([a_limit("n", sheet="Other")], replaces={"n": "l1"}),
        ("v1", "v2", "v3"),
    ),
    Change("a withdrawn limit", lambda s: s.withdraw_limit("l2", "old page"), ("v3",)),
    Change("a confirmed figure", lambda s: s.add_confirmation(confirmation("l1")), ("v1", "v2")),
    Change(
        "a mark cast on a part",
        lambda s: s.add_limits([a_limit("n", sheet=None, vehicle_id="v3")]),
        ("v3",),
    ),
    Change("a withdrawn mark", lambda s: s.withdraw_limit("mark", "misread"), ("v4",)),
    Change("a confirmed mark", lambda s: s.add_confirmation(confirmation("mark")), ("v4",)),
    Change(
        "a trait",
        lambda s: s.add_traits([Trait(id="r", sheet="Sheet", axle=1, name="caliper", value="x")]),
        ("v1", "v2"),
    ),
    Change(
        "a trait of a sheet that one left before",
        lambda s: s.add_traits([Trait(id="r", sheet="Sheet", axle=1, name="caliper", value="x")]),
        ("v1",),
        first=lambda s: s.change_vehicle(a_vehicle("v2", sheet="Other")),
    ),
    Change(
        "a torque",
        lambda s: s.add_torques(
            [Torque(id="q", sheet="Other", axle=1, fastener="bolt", figure="110 N·m", source="p")]
        ),
        ("v3",),
    ),
    Change(
        "a verdict", lambda s: s.issue_verdict("a1", Stage.AS_FOUND, "verdict/1", "{}", "sha"), ()
    ),
    Change("an agreement", lambda s: s.add_agreement(an_agreement("e", "a1", who="Pia Q.")), ()),
    Change(
        "a torque as left",
        lambda s: s.add_torques_left(
            [TorqueLeft(id="n", visit_id="a1", axle=1, fastener="wheel", figure="110 N·m")]
        ),
        (),
    ),
    Change("a complaint", lambda s: s.add_complaint("a1", "squeals"), ()),
    Change("a draft", lambda s: s.put_draft_entry("a1", a_draft()), ()),
    Change("a person", lambda s: s.add_person(Person(id="p", tag="p", name="P", role="")), ()),
    Change(
        "a gauge that was checked",
        lambda s: s.change_gauge(a_gauge("g1", checked_on=date(2026, 5, 1), note="in house")),
        (),
    ),
]


def test_every_table_of_evidence_says_whom_it_touches() -> None:
    assert list(TOUCHES) == list(EVIDENCE)
    assert sorted(CORRECTED) == sorted(CORRECTION_KINDS)


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.what)
def test_what_a_change_touches(store: Store, change: Change) -> None:
    change.first(store)
    marks = store.evidence_marks()
    change.do(store)

    assert store.vehicles_touched(marks) == set(change.touches)
    assert store.vehicles_touched(store.evidence_marks()) == set()


def test_changes_add_up(store: Store) -> None:
    marks = store.evidence_marks()
    store.void_set("o3", "typo")
    store.add_visit(a_visit("b", "v4"))

    assert store.vehicles_touched(marks) == {"v3", "v4"}


# Where it cannot be told, it is every vehicle


def test_setting_of_the_shop_touches_every_vehicle(store: Store) -> None:
    marks = store.evidence_marks()
    store.change_shop({"probability": "0.9"})

    assert store.vehicles_touched(marks) is None


@pytest.mark.parametrize(
    "change",
    [
        lambda s: s.add_gauge(a_gauge("g3")),
        lambda s: s.change_gauge(a_gauge("g1", resolution_nm=10_000)),
        lambda s: (
            s.change_gauge(a_gauge("g1", note="x")),
            s.change_gauge(a_gauge("g1", resolution_nm=2)),
        ),
    ],
    ids=["new", "coarser", "changed after a note"],
)
def test_gauge_that_could_settle_other_readings_touches_every_vehicle(
    store: Store, change: Callable[[Store], object]
) -> None:
    marks = store.evidence_marks()
    change(store)

    assert store.vehicles_touched(marks) is None


def test_no_marks_mean_every_vehicle(store: Store) -> None:
    assert store.vehicles_touched({}) is None


def test_marks_beyond_the_evidence_are_not_of_this_store(store: Store) -> None:
    marks = store.evidence_marks()

    assert store.vehicles_touched(marks | {"visits": marks["visits"] + 1}) is None
    assert store.vehicles_touched(marks | {"tyres": 1}) is None


def test_table_that_was_not_there_when_the_marks_were_taken_is_new(store: Store) -> None:
    marks = store.evidence_marks()
    del marks["fittings"]

    assert store.vehicles_touched(marks) == {"v1", "v2", "v3", "v4"}


# What a gauge repeats is counted up to the last reading of a visit


def test_repeat_that_holds_no_more_touches_who_was_read_later_with_that_gauge(
    store: Store,
) -> None:
    marks = store.evidence_marks()
    store.void_set("s2", "not the same point")

    assert store.vehicles_touched(marks) == {"v2", "v4"}


def test_repeat_of_a_void_visit_counts_no_more_either(store: Store) -> None:
    marks = store.evidence_marks()
    store.void_visit("a2", "wrong car")

    assert store.vehicles_touched(marks) == {"v2", "v4"}


def test_repeat_counts_for_every_revision_of_the_gauge(store: Store) -> None:
    newer = store.change_gauge(a_gauge("g1", note="new battery"))
    store.add_visit(a_visit("b", "v3"))
    store.add_reading_sets([a_set("new", "b", gauge_id=newer.id)])
    marks = store.evidence_marks()
    store.amend_set("s2", a_set("again", "a2", gauge_id="g1"), "typo")

    assert store.vehicles_touched(marks) == {"v2", "v3", "v4"}


def test_repeat_that_comes_touches_nobody_who_was_read_before(store: Store) -> None:
    marks = store.evidence_marks()
    store.add_reading_sets([a_set("new", "a3", gauge_id="g1", again_nm=1)])

    assert store.vehicles_touched(marks) == {"v3"}


def test_repeat_that_comes_touches_nobody_who_was_read_while_the_clock_was_ahead(
    store: Store, clock: Clock
) -> None:
    """It is recorded after them all the same: times on record never go back."""
    clock.now += timedelta(days=365)
    store.add_visit(a_visit("b", "v1"))
    store.add_reading_sets([a_set("ahead", "b", gauge_id="g1")])
    clock.now -= timedelta(days=365)
    marks = store.evidence_marks()
    store.add_reading_sets([a_set("new", "a3", gauge_id="g1", again_nm=1)])

    assert store.vehicles_touched(marks) == {"v3"}


# It has to be quick where little has changed


@pytest.mark.file
def test_new_rows_are_found_without_going_through_a_table(store: Store) -> None:
    marks = store.evidence_marks()
    store.void_set("s2", "not the same point")
    store.move_visit("a1", "v3", "wrong car")
    store.add_reading_sets([a_set("new", "a4", gauge_id="g1", again_nm=1)])
    store.add_findings([a_finding("new", "a4")])
    store.add_limits([a_limit("n", sheet=None, vehicle_id="v3")])
    said: list[str] = []
    driver = store._connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    driver.set_trace_callback(said.append)
    touched = store.vehicles_touched(marks)
    driver.set_trace_callback(None)
    plans = [
        row[3]
        for text in said
        if text.startswith(("SELECT", "WITH"))
        for row in driver.execute(f"EXPLAIN QUERY PLAN {text}")
    ]

    assert touched == {"v1", "v2", "v3", "v4"}
    assert any("ix_reading_sets_recorded_at" in plan for plan in plans)
    tables = {table.name for table in EVIDENCE}
    # Vehicles are gone through for the users of a sheet, which is rare.
    scanned = {plan.split()[1] for plan in plans if plan.startswith("SCAN")}
    assert scanned & tables <= {"vehicles", "gauges"}
