"""Two people at one car: neither types over the other, and nothing acknowledged is lost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from brakelog.intake.outcome import Accepted, Changed, CornerReady, Refused
from brakelog.lengths import LengthUnit
from brakelog.record.corner import parse_corner
from brakelog.record.vehicle import parse_brakes
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.workshop.guiding import GuidedVisit
from brakelog.workshop.visiting import VisitTyped
from tests.unit.store_examples import a_vehicle

TYPED = VisitTyped(day=date(2026, 3, 2), odometer="62400 km")
FILLS_A_CORNER = ["3.2", "3.0", "3.5", "3.4", *["skip"] * 3, "", "n"]


@pytest.fixture
def stores(tmp_path: Path) -> Iterator[tuple[Store, Store]]:
    path = tmp_path / "s.sqlite"
    with open_store(path) as one, open_store(path) as other:
        one.add_vehicle(a_vehicle(brakes=parse_brakes("disc/disc"), sheet=None))
        yield one, other


def at_the_car(store: Store) -> GuidedVisit:
    (vehicle,) = store.vehicles()
    return GuidedVisit(store, vehicle.tag, TYPED, unit=LengthUnit.MM)


def test_same_corner_is_refused_to_the_second(stores: tuple[Store, Store]) -> None:
    first, second = at_the_car(stores[0]), at_the_car(stores[1])

    assert isinstance(first.answer("3.2"), Accepted)
    refused = second.answer("8.0")

    assert isinstance(refused, Refused)
    assert refused.message == "somebody else is entering LF"
    assert [e.typed for e in stores[0].draft_entries(first.visit.id)] == ["3.2"]


def test_two_corners_are_entered_at_once(stores: tuple[Store, Store]) -> None:
    first, second = at_the_car(stores[0]), at_the_car(stores[1])
    assert isinstance(second.answer("corner RF"), Changed)

    for number in ("3.2", "3.0"):
        assert isinstance(first.answer(number), Accepted)
        assert isinstance(second.answer(number), Accepted)

    drafted = {(e.corner.code, e.typed) for e in stores[0].draft_entries(first.visit.id)}
    assert drafted == {("LF", "3.2"), ("LF", "3.0"), ("RF", "3.2"), ("RF", "3.0")}


def test_corner_that_the_other_has_filed_is_not_asked_again(stores: tuple[Store, Store]) -> None:
    first, second = at_the_car(stores[0]), at_the_car(stores[1])
    outcome = None
    for text in FILLS_A_CORNER:
        outcome = first.answer(text)
    while not isinstance(outcome, CornerReady):
        outcome = first.answer("")
    passed = second.answer("8.0")

    assert isinstance(passed, Changed)
    assert passed.message == "somebody else has filed LF by now"
    assert second.question is not None
    assert second.question.corner == parse_corner("RF")


def test_half_entered_corner_is_asked_for_although_something_of_it_is_filed(
    stores: tuple[Store, Store],
) -> None:
    from io import StringIO

    from brakelog.workshop.bay import measure_lines

    session = at_the_car(stores[0])
    session.answer("1.5")
    measure_lines(stores[1], session.vehicle.tag, StringIO("LF scoring 0.1 mm\n"), TYPED, unit=None)
    again = at_the_car(stores[0])

    assert again.question is not None
    assert again.question.corner == parse_corner("LF")
    assert isinstance(again.answer("1.4"), Accepted)


def test_who_takes_a_visit_up_again_goes_on_with_the_datum_of_what_is_filed(
    stores: tuple[Store, Store],
) -> None:
    first = at_the_car(stores[0])
    for text in ("datum plate", "9.2", "9.0", "9.5", "9.4", *["skip"] * 3, "", "n", ""):
        first.answer(text)
    again = at_the_car(stores[1])

    assert again.question is not None
    assert "with its plate" in again.question.prompt


def test_a_corner_of_which_only_something_else_is_filed_is_asked_for_its_sizes(
    stores: tuple[Store, Store],
) -> None:
    from io import StringIO

    from brakelog.workshop.bay import measure_lines

    lines = "LF runout 0.03 nuts=5/5 bearing=ok\nLF pad-in 3.2\nRF scoring 0.1\n"
    measure_lines(stores[0], a_vehicle().tag, StringIO(lines), TYPED, unit=LengthUnit.MM)
    asked = at_the_car(stores[0]).question

    assert asked is not None
    assert asked.corner == parse_corner("LF")

    sizes = "LF pad-out 3.2\nLF rotor 27.4 27.4 27.4 27.4\n"
    measure_lines(stores[0], a_vehicle().tag, StringIO(sizes), TYPED, unit=LengthUnit.MM)
    asked = at_the_car(stores[0]).question

    assert asked is not None
    assert asked.corner == parse_corner("RF")


def test_a_corner_that_was_not_asked_for_is_not_said_to_be_filed(
    stores: tuple[Store, Store],
) -> None:
    (vehicle,) = stores[0].vehicles()
    only = (parse_corner("LF"),)
    session = GuidedVisit(stores[0], vehicle.tag, TYPED, unit=LengthUnit.MM, corners=only)
    refused = session.answer("corner RF")

    assert isinstance(refused, Refused)
    assert refused.message == "RF is filed already, or was not asked for"
