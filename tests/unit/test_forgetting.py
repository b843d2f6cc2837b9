"""A customer who is forgotten leaves no word behind, and every reading stays."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from brakelog.errors import InvalidInput, NotFound
from brakelog.record.people import Customer
from brakelog.record.reading import Stage
from brakelog.rules.document import verdict_text
from brakelog.store.backup import back_up
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.workshop.counter import every_verdict
from brakelog.workshop.forgetting import forget_customer
from tests.unit.store_examples import a_finding, a_vehicle, a_visit, an_agreement, fill

NAME, CONTACT, PLATE, VIN = "Zebedee Quarrington", "zeb@quarrington.example", "ZQ 999", "VINZQ999"
WORDS = "ZEBEDEE-SAYS-IT-GRINDS"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "store.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with open_store(path) as store:
        fill(store)
        store.add_customer(
            Customer(
                id="c7", tag="quarrington", name="An older name", contact="old@contact.example"
            )
        )
        store.change_customer(Customer(id="c7", tag="quarrington", name=NAME, contact=CONTACT))
        store.add_vehicle(a_vehicle("v7", plate=PLATE, vin=VIN, customer_id="c7"))
        store.add_visit(a_visit("z", "v7", complaint=WORDS))
        store.add_agreement(an_agreement("ez", "z", who=NAME, number="555 0777"))
        yield store
    assert check_store(path).faults == ()


def test_every_word_is_gone_from_the_store_and_from_its_file(store: Store, path: Path) -> None:
    done = forget_customer(store, "quarrington", "asked for it")
    found = store.customer(done.tag)
    content = path.read_bytes() + path.with_name(f"{path.name}-journal").read_bytes()

    assert (found.name, found.contact) == (done.tag, "")
    assert (done.vehicles, done.complaints, done.agreements) == (1, 1, 1)
    for text in (NAME, CONTACT, PLATE, VIN, WORDS, "555 0777", "quarrington", "An older name",
                 "old@contact", "zq999"):  # fmt: skip
        assert text.encode() not in content


def test_what_others_said_and_are_called_stays(store: Store) -> None:
    forget_customer(store, "quarrington", "asked for it")

    assert store.visit("a").complaint == "squeals"
    assert store.agreements_of("a")[0].who == "Pia Quill"
    assert store.vehicle("B XY 123").customer_id == "c1"


def test_plates_stay_where_that_is_said(store: Store) -> None:
    forget_customer(store, "quarrington", "asked for it", keeps_plates=True)
    vehicle = store.vehicle_by_id("v7")

    assert (vehicle.plate, vehicle.vin, vehicle.customer_id) == (PLATE, VIN, None)


def test_every_reading_and_every_verdict_stays_the_same(store: Store) -> None:
    counts = store.counts()
    forget_customer(store, "mill", "asked for it")
    # What the example keeps as worked out is no more than an example.
    before = [verdict_text(each) for each in every_verdict(store)]
    forget_customer(store, "quarrington", "asked for it")

    assert [verdict_text(each) for each in every_verdict(store)] == before != []
    after = store.counts()
    assert {table: count for table, count in after.items() if count != counts[table]} == {
        "events": after["events"]
    }


def test_a_void_visit_is_emptied_too(store: Store) -> None:
    store.void_visit("z", "entered by mistake")

    assert forget_customer(store, "quarrington", "asked for it").complaints == 1


def test_a_visit_that_was_for_another_vehicle_keeps_its_words(store: Store) -> None:
    store.move_visit("z", "v1", "wrong vehicle")

    assert forget_customer(store, "quarrington", "asked for it").complaints == 0
    assert store.visit("z").complaint == WORDS


def test_the_event_says_why_and_names_nobody(store: Store) -> None:
    forget_customer(store, "quarrington", "asked for it by letter")
    (change,) = store.changes(most=1)

    assert (change.about, change.why) == (("customer forgotten",), "asked for it by letter")


@pytest.mark.parametrize("why", ["", "  ", "zebedee  quarrington asked", f"mail to {CONTACT}"])
def test_a_reason_is_needed_that_names_nobody(why: str, store: Store) -> None:
    with pytest.raises(InvalidInput):
        forget_customer(store, "quarrington", why)

    assert store.customer("quarrington").name == NAME


def test_evidence_that_writes_the_name_out_is_named(store: Store) -> None:
    store.add_findings([a_finding("fz", "z", note="told zebedee QUARRINGTON on the phone")])
    store.change_vehicle(replace(store.vehicle("v7"), tag=PLATE.replace(" ", "").lower()))
    done = forget_customer(store, "quarrington", "asked for it")

    assert {(each.table, each.columns) for each in done.mentions} == {
        ("findings", ("note",)),
        ("vehicles", ("tag",)),
    }


def test_a_verdict_that_repeats_what_was_said_is_named(store: Store) -> None:
    store.issue_verdict("z", Stage.AS_FOUND, "verdict/1", "{}", "sha", f"Complaint: {WORDS}")
    done = forget_customer(store, "quarrington", "asked for it")

    assert [(each.table, each.columns) for each in done.mentions] == [("verdicts", ("sheet",))]


def test_backups_that_may_still_hold_the_name_are_listed(store: Store, path: Path) -> None:
    made = back_up(path, now=datetime(2026, 11, 28, tzinfo=UTC))

    kept = path.with_name(f"{path.name}.20261127T000000Z.replaced")
    kept.touch()

    assert forget_customer(store, "quarrington", "asked for it").copies == (made.path, kept)


def test_whoever_reads_the_file_meanwhile_only_puts_the_cleaning_off(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The reader comes between the last row and the cleaning, which needs the file alone."""
    with open_store(path, wait_s=0.01) as store, open_store(path, wait_s=0.01) as reader:
        store.add_customer(Customer(id="c7", tag="quarrington", name=NAME, contact=CONTACT))
        real = Store.writing

        @contextmanager
        def writing(self: Store, by: str | None = None) -> Iterator[None]:
            with real(self, by):
                yield
            if self._writes is None:
                reading.enter_context(reader.reading())
                reader.customers()

        with ExitStack() as reading:
            monkeypatch.setattr(Store, "writing", writing)
            done = forget_customer(store, "quarrington", "asked for it")
        monkeypatch.undo()

        assert not done.is_clean
        assert [customer.tag for customer in store.customers()] == [done.tag]


def test_whoever_is_forgotten_cannot_be_found(store: Store) -> None:
    forget_customer(store, "quarrington", "asked for it")

    for tag in ("quarrington", PLATE, VIN):
        with pytest.raises(NotFound):
            store.vehicle(tag)
    with pytest.raises(NotFound):
        forget_customer(store, "quarrington", "asked for it")
