"""What a laptop brings home: all of it, once, and nothing that the two sides do not agree about."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from brakelog.errors import Conflict, StoreError
from brakelog.lengths import DistanceUnit
from brakelog.record.answer import Answer, Said
from brakelog.record.people import Customer, Person
from brakelog.record.reading import Stage
from brakelog.store.both_changed import STANDS_IN
from brakelog.store.checking import check_store
from brakelog.store.merge_plan import Merged, Settled
from brakelog.store.merging import TAKEN_OVER
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.store.tables import (
    EVIDENCE,
    events,
    findings,
    fittings,
    limits,
    reading_sets,
    verdicts,
    visits,
)
from brakelog.workshop.forgetting import forget_customer
from brakelog.workshop.moving import merge_store
from tests.unit.store_examples import (
    a_gauge,
    a_limit,
    a_set,
    a_vehicle,
    a_visit,
    an_agreement,
    fill,
)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path / "shop.sqlite") as store:
        fill(store)
        yield store
    assert check_store(tmp_path / "shop.sqlite").faults == ()


@pytest.fixture
def laptop(shop: Store, tmp_path: Path) -> Iterator[Store]:
    """A copy of the shop's store that has gone its own way since."""
    shutil.copy(tmp_path / "shop.sqlite", tmp_path / "laptop.sqlite")
    with open_store(tmp_path / "laptop.sqlite") as store:
        yield store


@pytest.fixture
def stranger(shop: Store, tmp_path: Path) -> Iterator[Store]:
    """A store that has never had anything to do with the shop's."""
    with open_store(tmp_path / "stranger.sqlite") as store:
        yield store


def merge(here: Store, there: Store, *, is_dry: bool = False, **settled: bool) -> Merged:
    return merge_store(here, there.path, wait_s=1, is_dry=is_dry, settled=Settled(**settled))


def rows_of(store: Store) -> set[tuple[str, str, str]]:
    """Table, id and seal of every row of evidence."""
    with store.reading():
        return {
            (table.name, id, seal)
            for table in EVIDENCE
            for id, seal in store._connection.exec_driver_sql(
                f"SELECT id, checksum FROM {table.name}"
            )
        }


def test_the_visits_of_a_laptop_come_home_with_their_seals(shop: Store, laptop: Store) -> None:
    laptop.add_visit(a_visit("b", complaint="pulls", person_id="p1"))
    laptop.add_reading_sets([a_set("on the road", "b")])
    shop.add_visit(a_visit("c"))
    before = rows_of(shop)

    merged = merge(shop, laptop)

    new = rows_of(shop) - before
    assert merged.added == {"visits": 1, "reading_sets": 1, "complaints": 1}
    assert {row for row in new if row[0] != "events"} == {
        row for row in rows_of(laptop) if row[1] in ("b", "on the road")
    }
    assert shop.visit("b").complaint == "pulls"
    assert {visit.id for visit in shop.visits_of("v1")} == {"a", "b", "c"}


def test_merging_twice_is_merging_once(shop: Store, laptop: Store) -> None:
    laptop.add_visit(a_visit("b"))
    merge(shop, laptop)
    before = rows_of(shop)

    assert merge(shop, laptop).rows == 0
    assert rows_of(shop) == before


def test_one_event_says_how_many_rows_came(shop: Store, laptop: Store) -> None:
    laptop.add_visit(a_visit("b", complaint="pulls"))
    merge(shop, laptop)
    (change,) = shop.changes(most=1)

    assert (change.about, change.why) == (("merged",), "2 rows of another store")


def test_a_dry_run_says_the_same_and_writes_nothing(shop: Store, laptop: Store) -> None:
    laptop.add_visit(a_visit("b"))
    before = rows_of(shop)

    told = merge(shop, laptop, is_dry=True)

    assert rows_of(shop) == before
    assert merge(shop, laptop) == told


def test_settings_and_what_is_not_filed_stay_where_they_are(shop: Store, laptop: Store) -> None:
    laptop.change_shop({"probability": "0.8", "site": "van"})

    merged = merge(shop, laptop)

    assert (merged.rows, merged.settings_left, merged.drafts_left) == (0, 2, 1)
    assert shop.shop().site == "north"


def test_rows_of_another_site_stand_in_the_chain_of_that_site(shop: Store, laptop: Store) -> None:
    laptop.change_shop({"site": "van"})
    laptop.add_visit(a_visit("b"))
    merge(shop, laptop)
    with shop.reading():
        sites = shop._connection.exec_driver_sql(
            "SELECT site, entries FROM chain_heads WHERE site = 'van'"
        ).all()

    assert [tuple(row) for row in sites] == [("van", 1)]


# What is refused


@pytest.mark.parametrize(
    ("there", "said"),
    [
        (lambda s: s.add_vehicle(a_vehicle("v9", tag="V1")), "another vehicle is called 'V1'"),
        (lambda s: s.add_vehicle(a_vehicle("v9", plate="bxy 123")), "'bxy 123' would lead to 2"),
        (lambda s: s.add_vehicle(a_vehicle("v9", vin="vin1")), "'vin1' would lead to 2"),
        (lambda s: s.add_vehicle(a_vehicle("v9", tag="BXY123")), "would lead to 2"),
        (lambda s: s.add_gauge(a_gauge("g9", tag="G1")), "another gauge is called 'G1'"),
        (lambda s: s.add_sheet("SHEET"), "another limit sheet is called 'SHEET'"),
        (lambda s: s.add_person(Person(id="p9", tag="ab", name="B")), "another person has the tag"),
        (
            lambda s: s.add_customer(Customer(id="c9", tag="Mill", name="M")),
            "another customer has the tag 'Mill'",
        ),
    ],
    ids=range(8),
)
def test_a_name_that_would_lead_to_two_things_is_refused(
    there: Callable[[Store], None], said: str, shop: Store, stranger: Store
) -> None:
    there(stranger)
    before = rows_of(shop)

    with pytest.raises(Conflict, match=said) as refused:
        merge(shop, stranger)

    assert "there" in refused.value.hint
    assert rows_of(shop) == before


def test_a_vehicle_on_both_sides_is_settled_by_a_tag_and_a_move(
    shop: Store, stranger: Store
) -> None:
    stranger.add_vehicle(a_vehicle("v9", tag="v1"))
    stranger.add_visit(a_visit("b", "v9"))
    stranger.change_vehicle(replace(stranger.vehicle("v1"), tag="v1 of the van"))

    merge(shop, stranger)
    shop.move_visit("b", "v1", "the same vehicle")

    assert {visit.id for visit in shop.visits_of("v1")} == {"a", "b"}


def test_an_id_with_another_seal_is_refused(shop: Store, laptop: Store, tmp_path: Path) -> None:
    shop.add_visit(a_visit("b", odometer_text="1"))
    laptop.add_visit(a_visit("b", odometer_text="2"))

    with pytest.raises(Conflict, match="visits b is another row here"):
        merge(shop, laptop)


def rename(store: Store, name: str) -> None:
    """Change a name past the program."""
    store._connection.exec_driver_sql("UPDATE people SET name = ?", (name,))
    store._connection.commit()


@pytest.mark.parametrize("damaged", ["shop", "laptop"])
def test_a_damaged_store_is_not_merged(damaged: str, shop: Store, laptop: Store) -> None:
    store = {"shop": shop, "laptop": laptop}[damaged]
    called = {"shop": "this store", "laptop": "the other store"}[damaged]
    rename(store, "Eve")

    with pytest.raises(StoreError, match=f"{called} is damaged: people"):
        merge(shop, laptop)
    rename(store, "Ada B.")


def test_a_sheet_that_was_imported_on_both_sides_is_not_doubled(shop: Store, laptop: Store) -> None:
    for store, id in ((shop, "here"), (laptop, "there")):
        store.add_reading_sets([a_set(id)])
        store.remember_imports({"the same line": ("readings", id)})

    with pytest.raises(Conflict, match="1 rows of a sheet of readings were imported on both"):
        merge(shop, laptop)
    laptop.void_set("there", "is in the shop's store too")
    merged = merge(shop, laptop, takes_doubled=True)

    assert merged.doubled == 1
    assert "there" not in {one.id for one in shop.reading_sets_of_visit("a")}
    assert merge(shop, laptop).rows == 0


def test_a_clock_that_was_years_ahead_is_not_taken_over_unasked(shop: Store, laptop: Store) -> None:
    ahead = datetime.now(UTC) + timedelta(days=3_000)
    with open_store(laptop.path, clock=lambda: ahead) as store:
        store.add_visit(a_visit("b"))
    with pytest.raises(Conflict, match="which is yet to come: its clock was wrong") as refused:
        merge(shop, laptop)
    assert "--wrong-clock" in refused.value.hint

    merge(shop, laptop, takes_future=True)
    assert shop.visit("b")


# The same thing changed on both sides


def change(store: Store, word: str) -> None:
    vehicle = store.vehicle("v1")
    store.change_vehicle(replace(vehicle, description=word))


def answer(store: Store, word: str) -> None:
    store.add_answer(
        Answer(id=word, visit_id="a", question_key="Q1:s1", said=Said.RIGHT, note=word)
    )


def gauge(store: Store, word: str) -> None:
    store.change_gauge(replace(store.gauge("g1"), note=word))


def odometer(store: Store, word: str) -> None:
    store.correct_odometer("a", 1_000_000 * len(word), word, DistanceUnit.KM, word)


def agree(store: Store, word: str) -> None:
    store.add_agreement(an_agreement(f"agreed {word}", who=word, note=word))


def holding(store: Store, what: Callable[[Store, str], None]) -> str:
    reads: dict[object, Callable[[], str]] = {
        change: lambda: store.vehicle("v1").description,
        answer: lambda: store.answers_of_visits(["a"])[-1].note,
        gauge: lambda: store.gauge("g1").note,
        odometer: lambda: store.visit("a").odometer_text,
        agree: lambda: store.agreements_of("a")[-1].who,
    }
    return reads[what]()


@pytest.mark.parametrize("what", [change, answer, gauge, odometer, agree])
def test_what_only_the_laptop_changed_holds(
    what: Callable[[Store, str], None], shop: Store, laptop: Store
) -> None:
    what(laptop, "laptop")
    merge(shop, laptop)

    assert holding(shop, what) == "laptop"


@pytest.mark.parametrize("what", [change, answer, gauge, odometer, agree])
def test_what_both_changed_is_refused_or_stays_as_it_is_here(
    what: Callable[[Store, str], None], shop: Store, laptop: Store
) -> None:
    what(shop, "shop")
    what(laptop, "the laptop")

    with pytest.raises(Conflict, match="on both sides") as refused:
        merge(shop, laptop)
    assert "--ours" in refused.value.hint

    merged = merge(shop, laptop, keeps_ours=True)
    assert merged.restated == 1
    assert holding(shop, what) == "shop"
    assert merge(shop, laptop).rows == 0


def test_two_amendments_of_one_set_never_both_hold(shop: Store, laptop: Store) -> None:
    shop.amend_set("s1", a_set("s1 shop"), "misread")
    laptop.amend_set("s1", a_set("s1 laptop"), "misread")
    with pytest.raises(Conflict, match="amend of s1 was done on both sides") as refused:
        merge(shop, laptop, keeps_ours=True)
    assert "brakelog amend drop s1 laptop" in refused.value.hint

    laptop.void_set("s1 laptop", "the shop's holds")
    merge(shop, laptop, keeps_ours=True)

    ids = {one.id for one in shop.reading_sets_of_visit("a")}
    assert "s1 shop" in ids
    assert not ids & {"s1", "s1 laptop"}


def test_two_successors_of_one_limit_never_both_hold(shop: Store, laptop: Store) -> None:
    for store, id in ((shop, "here"), (laptop, "there")):
        store.add_limits([a_limit(id)], {id: "l1"})
    with pytest.raises(Conflict, match="limit l1 was followed or withdrawn on both") as refused:
        merge(shop, laptop, keeps_ours=True)
    assert "brakelog limits withdraw there" in refused.value.hint

    laptop.withdraw_limit("there", "the shop's holds")
    merge(shop, laptop, keeps_ours=True)

    assert {limit.id for limit in shop.limits_of_sheet("Sheet")} == {"here", "l2"}


def test_a_limit_that_the_shop_has_withdrawn_does_not_come_back(shop: Store, laptop: Store) -> None:
    shop.withdraw_limit("l1", "wrong page")
    laptop.add_limits([a_limit("there")], {"there": "l1"})

    with pytest.raises(Conflict, match="limit l1 was followed or withdrawn on both"):
        merge(shop, laptop)


def test_a_limit_that_both_have_withdrawn_is_no_conflict(shop: Store, laptop: Store) -> None:
    for store in (shop, laptop):
        store.withdraw_limit("l1", "wrong page")
    merge(shop, laptop)

    assert {limit.id for limit in shop.limits_of_sheet("Sheet")} == {"l2"}


def test_a_limit_that_only_the_laptop_followed_is_followed(shop: Store, laptop: Store) -> None:
    laptop.add_limits([a_limit("there")], {"there": "l1"})
    merge(shop, laptop)

    assert {limit.id for limit in shop.limits_of_sheet("Sheet")} == {"there", "l2"}


def test_every_table_says_whether_a_later_row_stands_in_for_an_earlier_one() -> None:
    """A new table needs a thought: do two of its rows that came from two sides add up?"""
    adds_up = {visits, reading_sets, findings, fittings, verdicts, events}
    settled_by_themselves = {limits}

    assert {*STANDS_IN} | adds_up | settled_by_themselves == {*TAKEN_OVER}


def test_the_same_void_on_both_sides_is_no_conflict(shop: Store, laptop: Store) -> None:
    for store in (shop, laptop):
        store.void_visit("a", "entered by mistake")
    merge(shop, laptop)

    assert shop.visit("a").void_reason


# Names


def test_a_name_that_only_the_laptop_changed_is_taken_over(shop: Store, laptop: Store) -> None:
    laptop.change_customer(replace(laptop.customer("mill"), contact="555 0200"))
    merged = merge(shop, laptop)

    assert merged.names_taken == 1
    assert shop.customer("mill").contact == "555 0200"


def test_a_name_that_the_shop_changed_stays(shop: Store, laptop: Store) -> None:
    shop.change_customer(replace(shop.customer("mill"), contact="555 0200"))
    assert merge(shop, laptop).names_kept == 1
    laptop.change_customer(replace(laptop.customer("mill"), contact="555 0300"))
    merge(shop, laptop)

    assert shop.customer("mill").contact == "555 0200"


def test_whom_the_shop_has_forgotten_no_laptop_brings_back(shop: Store, laptop: Store) -> None:
    done = forget_customer(shop, "mill", "asked for it")
    laptop.add_visit(a_visit("b"))
    vehicle = laptop.vehicle("v1")
    laptop.change_vehicle(replace(vehicle, plate="N EW 1"))
    merge(shop, laptop)

    assert [customer.tag for customer in shop.customers()] == [done.tag]
    assert shop.vehicle("v1").plate == ""
    assert shop.visit("a").complaint == ""
    assert shop.agreements_of("a")[0].who == ""


def test_whom_the_laptop_has_forgotten_is_said_and_stays(shop: Store, laptop: Store) -> None:
    forget_customer(laptop, "mill", "asked for it")

    for _ in range(2):
        assert merge(shop, laptop).forgotten_there == ("mill",)
        assert shop.customer("mill").name == "The mill"
        assert shop.vehicle("v1").plate == "B XY 123"
    forget_customer(shop, "mill", "asked for it")
    assert merge(shop, laptop).forgotten_there == ()


def test_a_store_is_not_merged_with_itself(shop: Store) -> None:
    with pytest.raises(Conflict, match="the store itself"):
        merge(shop, shop)


def test_what_was_worked_out_knows_of_the_new_visits(shop: Store, laptop: Store) -> None:
    marks = shop.evidence_marks()
    laptop.add_visit(a_visit("b", "v2", day=date(2026, 6, 1)))
    laptop.issue_verdict("b", Stage.AS_FOUND, "verdict/1", "{}", "sha")
    merge(shop, laptop)

    assert shop.vehicles_touched(marks) == {"v2"}
