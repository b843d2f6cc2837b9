from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from brakelog.errors import Conflict, NotFound
from brakelog.record.agreement import Agreement, Consent
from brakelog.record.closing import Check, ClosingAnswer, TorqueLeft
from brakelog.record.people import Person
from brakelog.record.quantity import Part
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from tests.places import change_past, place, read_past
from tests.unit.store_examples import LF, RF, a_vehicle, a_visit, an_agreement, ticking_clock


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(place(tmp_path / "store.sqlite"), clock=ticking_clock()) as opened:
        opened.add_person(Person(id="p1", tag="AB", name="Ada B.", role="tech"))
        opened.add_vehicle(a_vehicle())
        opened.add_visit(a_visit())
        yield opened


def undated(each: ClosingAnswer | TorqueLeft | Agreement) -> object:
    assert each.recorded_at is not None
    return replace(each, recorded_at=None)


def test_what_is_said_at_the_end_of_a_job_comes_back_as_it_was_oldest_first(store: Store) -> None:
    answers = [
        ClosingAnswer(id="b1", visit_id="a", check=Check.PEDAL_FIRM, said="no", note="soft"),
        ClosingAnswer(
            id="b2", visit_id="a", check=Check.RIGHT_PART, said="yes", corner=RF,
            part=Part.PADS, note="number compared", person_id="p1",
        ),
        ClosingAnswer(id="b3", visit_id="a", check=Check.WEAR_SENSOR, said="not-fitted", axle=2),
        ClosingAnswer(id="b4", visit_id="a", check=Check.PEDAL_FIRM, said="yes"),
    ]  # fmt: skip
    torques = [
        TorqueLeft(id="n1", visit_id="a", axle=1, fastener="wheel", figure="110 N·m"),
        TorqueLeft(id="n2", visit_id="a", axle=1, fastener="caliper", figure="", corner=LF),
    ]
    said = [
        an_agreement(who="Pia Quill", number="555 0100", cost="420 EUR", person_id="p1"),
        an_agreement("e2", consent=Consent.DECLINED, note="wants to wait", time=""),
    ]
    store.add_closing_answers(answers)
    store.add_torques_left(torques)
    for each in said:
        store.add_agreement(each)

    assert [undated(each) for each in store.closing_answers_of("a")] == answers
    assert [undated(each) for each in store.torques_left_of("a")] == torques
    assert [undated(each) for each in store.agreements_of("a")] == said
    assert store.torques_left_of("a")[1].is_untouched


def test_names_and_numbers_of_customers_stand_apart_from_the_evidence(store: Store) -> None:
    store.add_agreement(an_agreement(who="Pia Quill", number="555 0100"))
    path = store.path
    store.close()

    evidence = read_past(path, "SELECT * FROM agreements")
    names = read_past(path, "SELECT agreement_id, who, number FROM agreement_names")
    with pytest.raises(Exception, match="agreement_names is append-only"):
        change_past(path, "UPDATE agreement_names SET who = 'somebody'")

    assert "Quill" not in str(evidence)
    assert names == [("e1", "Pia Quill", "555 0100")]


def test_nothing_is_recorded_for_a_visit_that_is_void_or_not_there(store: Store) -> None:
    torque = TorqueLeft(id="n1", visit_id="none", axle=1, fastener="wheel", figure="110 N·m")
    with pytest.raises(NotFound):
        store.add_torques_left([torque])
    store.void_visit("a", "practice")
    with pytest.raises(Conflict):
        store.add_torques_left([replace(torque, visit_id="a")])
    with pytest.raises(Conflict):
        store.add_agreement(an_agreement())
    with pytest.raises(Conflict):
        store.add_closing_answers(
            [ClosingAnswer(id="b1", visit_id="a", check=Check.NO_LEAK, said="yes")]
        )
    assert store.torques_left_of("a") == []
