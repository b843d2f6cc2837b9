"""Finishing at the car, step by step: what is taken back is open again, on file too."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.record.closing import Check
from brakelog.record.quantity import Quantity
from brakelog.rules.closing_item import Hand, OpenItem
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.workshop.finish_session import (
    Asks,
    FinishSession,
    LeftOpen,
    NotTaken,
    TakenBack,
    Took,
)
from brakelog.workshop.finishing import job_of

TODAY = date(2026, 1, 10)
_FOUND = "".join(
    f"{corner} rotor 27.40 27.41 27.40 27.41 lip=no\n{corner} pad-in 3.2 3.0\n"
    f"{corner} pad-out 3.5 3.4\n"
    for corner in ("LF", "RF")
)
_STUCK = "RF finding stuck-slide lower pin\nRF finding stuck-slide upper pin\n"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """New front pads on a car with a stuck slide; nothing closed."""
    path = tmp_path / "s.sqlite"
    day = ("--date", TODAY.isoformat())
    for words, typed in (
        (["vehicle", "add", "CAR-1", "--brakes", "disc"], ""),
        (["measure", "CAR-1", "--odometer", "62400 km", "--unit", "mm", *day], _FOUND + _STUCK),
        (["fit", "CAR-1", "LF", "pads", "new", "--size", "11 mm", *day], ""),
        (["fit", "CAR-1", "RF", "pads", "new", "--size", "11 mm", *day], ""),
    ):
        result = CliRunner().invoke(build(), ["--store", str(path), *words], input=typed)
        assert result.exit_code == 0, result.output
    with open_store(path) as opened:
        yield opened


def at_the_car(store: Store) -> FinishSession:
    return FinishSession(store, "CAR-1", today=TODAY)


def asked(session: FinishSession) -> OpenItem:
    assert session.item is not None
    return session.item


def leaves_open_until(session: FinishSession, begins: str) -> None:
    """Press Enter until the step whose line begins so is asked."""
    while not asked(session).line.startswith(begins):
        session.answer("")


def open_checks(store: Store) -> list[Check | None]:
    return [item.check for item in job_of(store, "CAR-1").closing.open]


def said(store: Store) -> list[tuple[str, str]]:
    (visit,) = store.visits_of(store.vehicle("CAR-1").id)
    return [(each.check.value, each.said) for each in store.closing_answers_of(visit.id)]


def test_a_pedal_that_was_taken_back_releases_no_drive(store: Store) -> None:
    session = at_the_car(store)
    leaves_open_until(session, "check pedal-firm")
    session.answer("y")
    assert asked(session).hand is Hand.DRIVE

    assert isinstance(session.answer("-"), TakenBack)
    assert asked(session).check is Check.PEDAL_FIRM
    assert isinstance(session.answer(""), LeftOpen)
    assert asked(session).hand > Hand.AFTER_DRIVE
    assert session.waits_for_the_pedal
    assert Check.PEDAL_FIRM in open_checks(store)
    assert said(store) == [("pedal-firm", "yes"), ("pedal-firm", "not said")]


def test_an_earlier_answer_is_not_believed_after_a_later_one_was_taken_back(store: Store) -> None:
    def answers_the_pedal(word: str) -> FinishSession:
        session = at_the_car(store)
        leaves_open_until(session, "check pedal-firm")
        session.answer(word)
        return session

    answers_the_pedal("no")
    answers_the_pedal("yes").answer("-")
    assert Check.PEDAL_FIRM in open_checks(store)
    answers_the_pedal("yes")
    assert Check.PEDAL_FIRM not in open_checks(store)


def test_torque_odometer_and_reading_are_open_again_when_taken_back(store: Store) -> None:
    session = at_the_car(store)
    for begins, typed in (
        ("LF runout", "0.03 nuts=5/5 bearing=ok back=yes"),
        ("torque front wheel", "110 N·m"),
        ("check pedal-firm", "y"),
        ("odometer-out", "62404 km"),
    ):
        leaves_open_until(session, begins)
        assert session.answer(typed) == Took(closed=True)
        if begins != "check pedal-firm":
            assert isinstance(session.answer("-"), TakenBack)
            assert session.item in session.closing.open
            assert asked(session).line.startswith(begins)
            session.answer("")

    job = job_of(store, "CAR-1")
    assert {"LF runout ", "torque front wheel ", "odometer-out "} <= {
        item.line for item in job.closing.open
    }
    assert job.visit.odometer_out_mm is None


def test_put_right_by_mistake_is_taken_back_and_can_be_said_again(store: Store) -> None:
    session = at_the_car(store)
    leaves_open_until(session, "RF finding stuck-slide")
    session.answer("yes both pins")
    session.answer("-")
    assert "stuck-slide" in asked(session).line

    assert isinstance(session.answer("yes lower pin cleaned"), Took)
    (visit,) = store.visits_of(store.vehicle("CAR-1").id)
    fixed = [each.note for each in store.findings_of_visit(visit.id) if each.put_right]
    assert fixed == ["lower pin cleaned"]


def test_nobody_found_and_already_put_right_are_two_things(tmp_path: Path, store: Store) -> None:
    path = str(tmp_path / "s.sqlite")

    def refused(line: str) -> str:
        result = CliRunner().invoke(
            build(), ["--store", path, "finish", "CAR-1"], input=f"{line}\n"
        )
        return result.stderr

    fixed = "RF finding stuck-slide fixed=yes"
    assert "nobody found stuck-slide at LF" in refused("LF finding stuck-slide fixed=yes")
    assert refused(f"{fixed} lower pin") == ""
    assert refused(f"{fixed} upper pin") == ""
    assert "stuck-slide at RF is already put right" in refused(f"{fixed} again")


def test_nothing_to_take_back_is_said(store: Store) -> None:
    assert isinstance(at_the_car(store).answer("-"), NotTaken)


def test_a_bare_runout_is_asked_its_conditions_before_anything_is_kept(store: Store) -> None:
    def as_left() -> int:
        (visit,) = store.visits_of(store.vehicle("CAR-1").id)
        sets = store.reading_sets_of_visit(visit.id)
        return sum(each.quantity is Quantity.RUNOUT for each in sets)

    session = at_the_car(store)
    leaves_open_until(session, "LF runout")
    assert session.answer("0.02") == Asks()
    assert session.follow_up == "fasteners fitted (such as 5/5)"
    assert isinstance(session.answer("five"), NotTaken)
    assert session.answer("5 of 5") == Asks()
    assert session.follow_up == "bearing free of play (y/n)"
    assert session.answer("y") == Asks()
    assert as_left() == 0

    assert session.answer("y") == Took(closed=True)
    assert (as_left(), session.follow_up) == (1, "")
    leaves_open_until(session, "RF runout")
    assert session.answer("0.02 nuts=5/5 bearing=ok back=yes") == Took(closed=True)


def test_yes_alone_is_asked_once_what_was_done(store: Store) -> None:
    session = at_the_car(store)
    leaves_open_until(session, "RF finding stuck-slide")
    assert session.answer("yes") == Asks()
    assert session.follow_up == "what was done"
    assert isinstance(session.answer("both pins cleaned"), Took)
    (visit,) = store.visits_of(store.vehicle("CAR-1").id)
    assert [f.note for f in store.findings_of_visit(visit.id) if f.put_right] == [
        "both pins cleaned"
    ]


@pytest.mark.parametrize("typed", ["110", '"110 N·m"', "torque front wheel 110 N·m"])
def test_a_torque_may_be_typed_as_it_is_elsewhere(store: Store, typed: str) -> None:
    session = at_the_car(store)
    leaves_open_until(session, "torque front wheel")

    assert session.answer(typed) == Took(closed=True)
    (visit,) = store.visits_of(store.vehicle("CAR-1").id)
    assert [each.figure for each in store.torques_left_of(visit.id)] == ["110 N·m"]


def test_nothing_is_asked_that_is_driven_for_while_wheels_are_said_to_be_loose(
    store: Store,
) -> None:
    session = at_the_car(store)
    leaves_open_until(session, "check tightened")
    session.answer("n")
    leaves_open_until(session, "check pedal-firm")
    session.answer("y")

    assert session.waits_for_the_wheels
    assert not session.waits_for_the_pedal
    assert session.item is None or session.item.hand > Hand.AFTER_DRIVE
    assert Check.ROAD_TEST in open_checks(store)

    again = at_the_car(store)
    leaves_open_until(again, "check tightened")
    again.answer("y")
    leaves_open_until(again, "check road-test")
    assert not again.waits_for_the_wheels
