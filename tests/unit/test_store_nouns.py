from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path

import pytest

from brakelog.errors import Conflict, InvalidInput, NotFound
from brakelog.lengths import DistanceUnit, LengthUnit, parse_length
from brakelog.record.corner import Corner, Side
from brakelog.record.limit import Confirmation, LimitKind, Torque
from brakelog.record.people import Customer, Person
from brakelog.record.reading import Stage
from brakelog.record.shop import Shop
from brakelog.store.opening import open_store
from brakelog.store.shops import shop_from_texts, texts_of_shop
from brakelog.store.store import Store
from brakelog.store.tables import EVIDENCE
from tests.places import place
from tests.unit.store_examples import (
    KM,
    LF,
    RF,
    a_draft,
    a_finding,
    a_fitting,
    a_gauge,
    a_limit,
    a_set,
    a_vehicle,
    a_visit,
    ticking_clock,
)


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    path = place(tmp_path_factory.mktemp("nouns") / "store.sqlite")
    with open_store(path, clock=ticking_clock()) as store:
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


@pytest.fixture
def visited(store: Store) -> Store:
    store.add_vehicle(a_vehicle())
    store.add_visit(a_visit())
    return store


def test_shop_begins_with_its_defaults(store: Store) -> None:
    assert store.shop() == Shop()


def test_newest_setting_counts_and_the_others_stay(store: Store) -> None:
    store.change_shop({"name": "Old", "unit": "in"})
    store.change_shop({"name": "New", "probability": "19/20", "next_distance_mm": "7"})

    assert store.shop() == Shop(
        name="New", unit=LengthUnit.INCH, probability=Fraction(19, 20), next_distance_mm=7
    )


def test_shop_as_texts_is_the_same_shop() -> None:
    shop = Shop(name="x", site="y", probability=Fraction(1, 3), distance_unit=DistanceUnit.MILE)

    assert shop_from_texts(texts_of_shop(shop)) == shop


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("colour", "red"),
        ("unit", "cubit"),
        ("site", " "),
        ("probability", "1"),
        ("probability", "1/0"),
        ("clean_up_nm", "-1"),
        ("next_months", "soon"),
    ],
)
def test_setting_that_is_not_allowed_is_refused(store: Store, name: str, text: str) -> None:
    with pytest.raises(InvalidInput):
        store.change_shop({"name": "kept out", name: text})

    assert store.shop().name == ""


def test_rows_carry_site_time_and_person(store: Store) -> None:
    store.add_person(Person(id="p1", tag="AB", name="Ada"))
    store.change_shop({"site": "north"})
    with store.writing(by="p1"):
        store.add_vehicle(a_vehicle())
        store.add_visit(a_visit())
        store.issue_verdict("a", Stage.AS_LEFT, "verdict/1", "{}", "sha")
    store.add_visit(a_visit("b"))

    found = store.verdicts_of_visit("a")
    rows = store._connection.exec_driver_sql("SELECT id, site, recorded_by FROM visits").all()
    assert [tuple(row) for row in rows] == [("a", "north", "p1"), ("b", "north", None)]
    assert found[0].recorded_by == "p1"
    assert found[0].recorded_at.tzinfo is UTC


def test_person_is_found_by_tag_in_any_case(store: Store) -> None:
    store.add_person(Person(id="p1", tag="A  b", name="Ada"))
    store.change_person(Person(id="p1", tag="A b", name="Ada C.", role="tech"))

    assert store.person(" a B ") == store.person_by_id("p1") == store.people()[0]
    assert store.person("a b").name == "Ada C."


def test_tag_of_a_person_is_taken_once(store: Store) -> None:
    store.add_person(Person(id="p1", tag="AB", name="Ada"))
    store.add_person(Person(id="p2", tag="CD", name="Cy"))

    with pytest.raises(Conflict, match="another person has that tag"):
        store.add_person(Person(id="p3", tag="ab", name="Abe"))
    with pytest.raises(Conflict, match="another person has that tag"):
        store.change_person(Person(id="p2", tag="AB", name="Cy"))
    with pytest.raises(InvalidInput):
        store.add_person(Person(id="p3", tag=" ", name="Abe"))
    assert [person.tag for person in store.people()] == ["AB", "CD"]


def test_unknown_person_comes_with_what_is_close(store: Store) -> None:
    store.add_person(Person(id="p1", tag="mike", name="Mike"))

    with pytest.raises(NotFound) as caught:
        store.person("mkie")
    assert caught.value.hint == "did you mean mike"
    with pytest.raises(NotFound):
        store.person_by_id("nobody")


def test_customers_are_kept_like_people(store: Store) -> None:
    store.add_customer(Customer(id="c1", tag="mill", name="The mill"))
    store.change_customer(Customer(id="c1", tag="mill", name="The mill", contact="555"))

    assert store.customer("MILL") == store.customer_by_id("c1") == store.customers()[0]
    assert store.customer("mill").contact == "555"
    with pytest.raises(Conflict):
        store.add_customer(Customer(id="c2", tag="Mill", name="Another"))


@pytest.mark.parametrize("name", ["van", " VAN ", "b xy 123", "BXY123", "wvwzzz1jz3w386752"])
def test_vehicle_is_found_by_tag_plate_or_vin(store: Store, name: str) -> None:
    store.add_vehicle(a_vehicle(tag="Van", plate="B XY 123", vin="WVWZZZ1JZ3W386752"))
    store.add_vehicle(a_vehicle("v2", tag="bus"))

    assert store.vehicle(name).id == "v1"


@pytest.mark.parametrize("name", ["", " ", "vna", "nothing like it"])
def test_unknown_vehicle_is_not_found(store: Store, name: str) -> None:
    store.add_vehicle(a_vehicle(tag="van", plate=""))

    with pytest.raises(NotFound) as caught:
        store.vehicle(name)

    assert caught.value.hint == ("did you mean van" if name == "vna" else "brakelog vehicle list")


def test_plate_of_two_vehicles_is_a_question(store: Store) -> None:
    store.add_vehicle(a_vehicle(tag="old", plate="B 1"))
    store.add_vehicle(a_vehicle("v2", tag="new", plate="b1"))

    with pytest.raises(Conflict, match="more than one") as caught:
        store.vehicle("B1")
    assert caught.value.hint == "type one of new, old"


def test_tag_names_one_vehicle_only(store: Store) -> None:
    store.add_vehicle(a_vehicle(tag="Van", plate="B 1"))

    with pytest.raises(Conflict, match="on file already"):
        store.add_vehicle(a_vehicle("v2", tag="vAN"))
    with pytest.raises(Conflict, match="on file already"):
        store.add_vehicle(a_vehicle("v2", tag="b 1"))
    with pytest.raises(Conflict, match="tag of another vehicle"):
        store.add_vehicle(a_vehicle("v2", tag="bus", plate="VAN"))
    with pytest.raises(Conflict):
        store.add_vehicle(a_vehicle(tag="bus"))
    assert [vehicle.tag for vehicle in store.vehicles()] == ["Van"]


def test_changed_vehicle_is_a_new_row_under_the_same_id(store: Store) -> None:
    store.add_vehicle(a_vehicle(tag="van"))
    changed = a_vehicle(tag="bus", description="blue")
    store.change_vehicle(changed)
    store.change_vehicle(replace(changed, plate="B 9"))

    assert store.vehicle("bus") == store.vehicle_by_id("v1") == replace(changed, plate="B 9")
    assert store.vehicles() == [replace(changed, plate="B 9")]
    assert store.counts()["vehicles"] == 2
    with pytest.raises(NotFound):
        store.vehicle("van")
    store.add_vehicle(a_vehicle("v2", tag="van"))
    with pytest.raises(NotFound):
        store.change_vehicle(a_vehicle("v3"))


def test_vehicle_needs_a_sheet_that_is_there(store: Store) -> None:
    store.add_sheet("Estate 2.0")
    with pytest.raises(NotFound) as caught:
        store.add_vehicle(a_vehicle(sheet="estate 20"))
    assert caught.value.hint == "did you mean Estate 2.0"

    store.add_vehicle(a_vehicle(sheet="estate 2.0"))

    assert store.vehicle("v1").sheet == "Estate 2.0"
    with pytest.raises(Conflict):
        store.add_sheet("ESTATE  2.0")
    assert store.sheets() == ["Estate 2.0"]


def test_limits_of_a_vehicle_are_those_of_its_sheet_and_its_cast_marks(store: Store) -> None:
    store.add_sheet("Sheet")
    vehicle = a_vehicle(sheet="Sheet")
    store.add_vehicle(vehicle)
    store.add_vehicle(a_vehicle("v2"))
    cast = a_limit("cast", sheet=None, vehicle_id="v1", corner=LF)
    store.add_limits([cast, a_limit("l1"), a_limit("other", sheet=None, vehicle_id="v2")])

    assert store.limits_of_sheet("sheet") == [a_limit("l1")]
    assert store.limits_for(vehicle) == [a_limit("l1"), cast]
    assert store.limits_for(a_vehicle("v3")) == []
    with pytest.raises(NotFound):
        store.limits_of_sheet("none")


def test_replaced_and_withdrawn_limits_do_not_hold_but_are_kept(store: Store) -> None:
    store.add_sheet("Sheet")
    store.add_limits([a_limit("l1"), a_limit("l2", kind=LimitKind.RUNOUT)])
    store.add_limits([a_limit("l3", note="newer page")], {"l3": "l1"})
    store.withdraw_limit("l2", "not for this engine")

    assert [limit.id for limit in store.limits_of_sheet("Sheet")] == ["l3"]
    assert store.limit_by_id("l1") == a_limit("l1")
    for gone in ("l1", "l2"):
        with pytest.raises(Conflict):
            store.add_limits([a_limit("l4")], {"l4": gone})
        with pytest.raises(Conflict):
            store.withdraw_limit(gone, "again")
    with pytest.raises(NotFound):
        store.add_limits([a_limit("l4")], {"l4": "nothing"})
    with pytest.raises(InvalidInput):
        store.add_limits([a_limit("l4")], {"l5": "l3"})


def test_newest_confirmation_of_a_limit_counts(store: Store) -> None:
    store.add_sheet("Sheet")
    figures = tuple(parse_length(text, declared=None) for text in ("22.8 mm", "0.87 in"))
    store.add_limits([a_limit("l1", figures=figures), a_limit("l2")])
    first = Confirmation(id="k1", limit_id="l1", figure=0, person_id=None, reason="cast")
    second = replace(first, id="k2", figure=1)
    store.add_confirmation(first)
    store.add_confirmation(second)

    assert store.confirmations_of(["l1", "l2", *(str(n) for n in range(3000))]) == [second]
    assert store.confirmations_of([]) == []
    with pytest.raises(InvalidInput):
        store.add_confirmation(replace(first, id="k3", figure=2))
    with pytest.raises(NotFound):
        store.add_confirmation(replace(first, id="k3", limit_id="l9"))


def test_newest_torque_of_a_fastener_counts(store: Store) -> None:
    store.add_sheet("Sheet")
    first = Torque(id="q1", sheet="Sheet", axle=1, fastener="Bolt", figure="90 N·m", source="p")
    rear = replace(first, id="q2", axle=2)
    newer = replace(first, id="q3", fastener="bolt", figure="110 N·m")
    store.add_torques([first, rear])
    store.add_torques([newer])

    assert store.torques_of_sheet("Sheet") == [newer, rear]


def test_changed_gauge_gets_a_new_id_and_the_old_one_stays(store: Store) -> None:
    store.add_gauge(a_gauge(tag="M1"))
    changed = store.change_gauge(a_gauge(tag="M1", checked_on=date(2026, 1, 2)))
    again = store.change_gauge(a_gauge(tag="M2"))

    assert store.gauge("m2") == again
    assert store.gauges() == [again]
    assert store.gauge_by_id("g1") == a_gauge(tag="M1")
    assert store.gauge_by_id(changed.id).checked_on == date(2026, 1, 2)
    assert set(store.gauges_by_ids(["g1", changed.id, "none"])) == {"g1", changed.id}
    with pytest.raises(NotFound):
        store.gauge("M1")
    store.add_gauge(a_gauge("g2", tag="M1"))
    with pytest.raises(Conflict):
        store.change_gauge(a_gauge("g2", tag="m2"))
    with pytest.raises(Conflict):
        store.add_gauge(a_gauge("g3", tag="m1"))


def test_visits_come_by_day_then_odometer_then_entry(store: Store) -> None:
    store.add_vehicle(a_vehicle())
    store.add_visit(a_visit("late", day=date(2026, 6, 1)))
    store.add_visit(a_visit("far", odometer_mm=9 * KM))
    store.add_visit(a_visit("near", odometer_mm=8 * KM))
    store.add_visit(a_visit("same", odometer_mm=9 * KM))

    assert [visit.id for visit in store.visits_of("v1")] == ["near", "far", "same", "late"]


def test_visit_needs_its_vehicle(store: Store) -> None:
    with pytest.raises(NotFound):
        store.add_visit(a_visit())
    with pytest.raises(NotFound):
        store.visit("a")
    assert store.visits_of("v1") == []


def test_facts_learnt_later_are_part_of_the_visit(visited: Store) -> None:
    visited.add_visit_facts("a", odometer_out=(5, "5"), looked_over=[RF])
    visited.add_visit_facts(
        "a", odometer_out=(6, "6 km"), looked_over=[LF, RF], next_distance_mm=7, next_months=3
    )
    visited.add_complaint("a", "squeals")
    visited.add_complaint("a", "squeals when cold")

    found = visited.visit("a")
    assert found.odometer_out_at is not None
    assert replace(found, odometer_out_at=None) == a_visit(
        odometer_out_mm=6,
        odometer_out_text="6 km",
        looked_over=frozenset({LF, RF}),
        next_distance_mm=7,
        next_months=3,
        complaint="squeals when cold",
    )
    with pytest.raises(NotFound):
        visited.add_visit_facts("b", next_months=1)
    with pytest.raises(NotFound):
        visited.add_complaint("b", "squeals")


def test_void_visit_takes_everything_out_of_the_history(visited: Store) -> None:
    visited.add_reading_sets([a_set()])
    visited.add_findings([a_finding()])
    visited.add_fittings([a_fitting()])
    visited.void_visit("a", "wrong day")

    assert visited.visits_of("v1") == []
    assert [v.void_reason for v in visited.visits_of("v1", include_void=True)] == ["wrong day"]
    assert visited.reading_sets_of_vehicle("v1") == visited.reading_sets_of_visit("a") == []
    assert visited.findings_of_vehicle("v1") == visited.findings_of_visit("a") == []
    assert visited.fittings_of_vehicle("v1") == []
    assert visited.reading_set("s1").id == "s1"
    with pytest.raises(Conflict, match="void"):
        visited.void_visit("a", "again")
    with pytest.raises(Conflict, match="void"):
        visited.add_reading_sets([a_set("s2")])
    with pytest.raises(Conflict, match="void"):
        visited.put_draft_entry("a", a_draft())


def test_moved_visit_belongs_to_the_other_vehicle(visited: Store) -> None:
    visited.add_vehicle(a_vehicle("v2"))
    visited.add_vehicle(a_vehicle("v3"))
    visited.add_reading_sets([a_set()])
    visited.add_findings([a_finding()])
    visited.add_fittings([a_fitting()])
    visited.move_visit("a", "v2", "wrong car")
    visited.move_visit("a", "v3", "still wrong")

    for vehicle_id, there in (("v1", []), ("v2", []), ("v3", ["a"])):
        assert [visit.id for visit in visited.visits_of(vehicle_id)] == there
        for found in (
            visited.reading_sets_of_vehicle(vehicle_id),
            visited.findings_of_vehicle(vehicle_id),
            visited.fittings_of_vehicle(vehicle_id),
        ):
            assert [one.visit_id for one in found] == there
    assert visited.visit("a").moved_from == "v1"
    assert [one.id for one in visited.reading_sets_of_visit("a")] == ["s1"]
    with pytest.raises(Conflict):
        visited.move_visit("a", "v3", "again")
    with pytest.raises(NotFound):
        visited.move_visit("a", "v9", "nowhere")
    visited.move_visit("a", "v1", "right after all")
    assert visited.visit("a").moved_from is None


def test_new_visit_is_neither_void_nor_moved(store: Store) -> None:
    store.add_vehicle(a_vehicle())
    for odd in (a_visit(void_reason="x"), a_visit(moved_from="v2")):
        with pytest.raises(Conflict):
            store.add_visit(odd)


def test_amended_set_stands_in_the_place_of_the_old_one(visited: Store) -> None:
    visited.add_reading_sets([a_set("s1"), a_set("s2")])
    visited.amend_set("s1", a_set("s3", corner=RF), "wrong corner")
    visited.amend_set("s3", a_set("s4", corner=LF), "it was right")

    current = visited.reading_sets_of_vehicle("v1")
    assert [(one.id, one.corrects) for one in current] == [("s4", "s3"), ("s2", None)]
    assert current == visited.reading_sets_of_visit("a")
    for id in ("s1", "s3", "s4"):
        assert [(one.id, why) for one, why in visited.set_history(id)] == [
            ("s1", "wrong corner"),
            ("s3", "it was right"),
            ("s4", None),
        ]
    visited.void_set("s4", "all wrong")
    assert visited.set_history("s1")[-1][1] == "all wrong"
    assert [one.id for one in visited.reading_sets_of_vehicle("v1")] == ["s2"]


def test_corrected_set_cannot_be_corrected_again(visited: Store) -> None:
    visited.add_reading_sets([a_set("s1"), a_set("v")])
    visited.amend_set("s1", a_set("s2"), "slip")
    visited.void_set("v", "slip")

    with pytest.raises(Conflict, match="amended already") as caught:
        visited.amend_set("s1", a_set("s3"), "slip")
    assert "s2" in caught.value.hint
    with pytest.raises(Conflict, match="amended already"):
        visited.void_set("s1", "slip")
    with pytest.raises(Conflict, match="void"):
        visited.amend_set("v", a_set("s3"), "slip")
    with pytest.raises(NotFound):
        visited.amend_set("none", a_set("s3"), "slip")
    with pytest.raises(NotFound):
        visited.set_history("none")


def test_amendment_needs_a_reason_and_stays_in_its_visit(visited: Store) -> None:
    visited.add_reading_sets([a_set("s1")])
    visited.add_visit(a_visit("b"))

    with pytest.raises(InvalidInput, match="reason"):
        visited.amend_set("s1", a_set("s2"), "  ")
    with pytest.raises(Conflict):
        visited.amend_set("s1", a_set("s2", visit_id="b"), "slip")
    with pytest.raises(Conflict):
        visited.amend_set("s1", a_set("s2", corrects="s9"), "slip")
    with pytest.raises(Conflict):
        visited.add_reading_sets([a_set("s2", corrects="s1")])
    assert [one.id for one in visited.reading_sets_of_visit("a")] == ["s1"]
    assert visited.counts()["reading_sets"] == 1


def test_reading_sets_are_added_all_or_none(visited: Store) -> None:
    with pytest.raises(Conflict, match="already"):
        visited.add_reading_sets([a_set("s1"), a_set("s2"), a_set("s1")])
    with pytest.raises(Conflict, match="not on file"):
        visited.add_reading_sets([a_set("s3"), a_set("s4", gauge_id="none")])
    with pytest.raises(NotFound):
        visited.add_reading_sets([a_set("s3"), a_set("s4", visit_id="none")])
    with pytest.raises(InvalidInput, match="each value has its text"):
        visited.add_reading_sets([a_set("s3"), a_set("s4", typed=("1",))])
    assert visited.reading_sets_of_visit("a") == []


def test_set_carries_the_time_that_it_was_recorded(visited: Store) -> None:
    visited.add_reading_sets([a_set()])

    found = visited.reading_set("s1")
    assert isinstance(found.recorded_at, datetime)
    assert replace(found, recorded_at=None) == a_set()


@pytest.mark.parametrize(
    "odd",
    [
        a_set(values_nm=(27.4,), typed=("27.4",)),
        a_set(zero_error_nm=1.5),
        a_set(zero_error_nm=2**63),
        a_set(zero_error_nm=True),
        a_set(again_typed="\udcff"),
        a_set(typed=("\udcff", "", "")),
        a_set(bearing_checked=1),
    ],
)
def test_value_that_cannot_be_kept_exactly_is_refused(visited: Store, odd: object) -> None:
    with pytest.raises(InvalidInput):
        visited.add_reading_sets([odd])  # type: ignore[list-item]


def test_value_outside_its_range_is_a_broken_rule(visited: Store) -> None:
    with pytest.raises(Conflict, match="ck_reading_sets_radius_nm_from_0"):
        visited.add_reading_sets([a_set(radius_nm=-1)])
    with pytest.raises(Conflict, match="ck_reading_sets_corner_one_of_18"):
        visited.add_reading_sets([a_set(corner=Corner(axle=10, side=Side.LEFT))])


def test_naive_time_is_refused(tmp_path: Path) -> None:
    with open_store(place(tmp_path / "store.sqlite"), clock=lambda: datetime(2026, 1, 1)) as store:
        with pytest.raises(InvalidInput, match="zone"):
            store.add_sheet("Sheet")
        assert store.sheets() == []


def test_void_and_replaced_findings_are_out(visited: Store) -> None:
    visited.add_findings([a_finding("f1"), a_finding("f2"), a_finding("f3")])
    visited.void_finding("f1", "dirt")
    visited.add_findings([a_finding("f4", note="wide", corrects="f2")])

    assert [one.id for one in visited.findings_of_visit("a")] == ["f3", "f4"]
    assert visited.findings_of_vehicle("v1") == visited.findings_of_visit("a")
    for gone in ("f1", "f2"):
        with pytest.raises(Conflict):
            visited.void_finding(gone, "again")
    with pytest.raises(NotFound):
        visited.void_finding("none", "slip")


def test_finding_is_corrected_in_its_own_visit_only(visited: Store) -> None:
    visited.add_visit(a_visit("b"))
    visited.add_findings([a_finding("f1")])
    with pytest.raises(Conflict, match="stays in its visit"):
        visited.add_findings([a_finding("f2", "b", corrects="f1")])

    assert [one.id for one in visited.findings_of_vehicle("v1")] == ["f1"]


def test_fittings_come_by_day_odometer_and_entry(visited: Store) -> None:
    visited.add_fittings(
        [
            a_fitting("t1"),
            a_fitting("t2", day=date(2024, 1, 1)),
            a_fitting("t3", odometer_mm=1),
            a_fitting("t4"),
        ]
    )
    visited.void_fitting("t4", "not fitted")

    assert [one.id for one in visited.fittings_of_vehicle("v1")] == ["t2", "t3", "t1"]
    with pytest.raises(Conflict):
        visited.void_fitting("t4", "again")
    with pytest.raises(NotFound):
        visited.void_fitting("none", "slip")


def test_draft_is_typed_over_taken_back_and_cleared(visited: Store) -> None:
    first, second = a_draft("rotor/1"), a_draft("rotor/2")
    other = a_draft("rotor/1", corner=RF)
    for entry in (first, second, other, replace(first, typed="27.42")):
        visited.put_draft_entry("a", entry)

    assert visited.draft_entries("a") == [second, other, replace(first, typed="27.42")]
    visited.drop_draft_entry("a", LF, first.stage, first.key)
    assert visited.draft_entries("a") == [second, other]
    visited.drop_draft_entry("a", LF, first.stage, first.key)
    visited.drop_draft_entry("a", LF, second.stage, second.key)
    assert visited.draft_entries("a") == [other]
    visited.clear_draft("a", RF, Stage.AS_LEFT)
    assert visited.draft_entries("a") == [other]
    visited.clear_draft("a", RF, Stage.AS_FOUND)
    assert visited.draft_entries("a") == []
    with pytest.raises(NotFound):
        visited.put_draft_entry("none", first)


def test_last_verdict_is_that_of_the_stage(visited: Store) -> None:
    visited.issue_verdict("a", Stage.AS_FOUND, "verdict/1", "first", "sha")
    visited.issue_verdict("a", Stage.AS_FOUND, "verdict/1", "second", "sha")
    visited.issue_verdict("a", Stage.AS_LEFT, "verdict/1", "third", "sha")

    assert visited.last_verdict("a", Stage.AS_FOUND) == "second"
    assert visited.last_verdict("a", Stage.AS_LEFT) == "third"
    assert visited.last_verdict("b", Stage.AS_LEFT) is None
    documents = [one.document for one in visited.verdicts_of_visit("a")]
    assert documents == ["first", "second", "third"]
    with pytest.raises(NotFound):
        visited.issue_verdict("b", Stage.AS_LEFT, "verdict/1", "x", "sha")


def test_imports_are_remembered_once(store: Store) -> None:
    keys = {f"sheet:{n}": ("reading set", f"s{n}") for n in range(2500)}
    store.remember_imports(keys)

    assert store.known_import_keys([*keys, "other", "sheet:1"]) == set(keys)
    assert store.known_import_keys([]) == set()
    with pytest.raises(Conflict, match="1 of the rows"):
        store.remember_imports({"new": ("x", "y"), "sheet:7": ("x", "y")})
    assert store.known_import_keys(["new"]) == set()


def test_counts_name_every_table_of_evidence(visited: Store) -> None:
    counts = visited.counts()

    assert set(counts) == {table.name for table in EVIDENCE}
    assert (counts["vehicles"], counts["visits"], counts["reading_sets"]) == (1, 1, 0)
