"""Examples of the nouns, and a store with a row in every table."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

from brakelog.lengths import DistanceUnit, LengthUnit, parse_length
from brakelog.record.agreement import Agreement, Consent, How, Work, WorkItem
from brakelog.record.answer import Answer, Said
from brakelog.record.closing import Check, ClosingAnswer, TorqueLeft
from brakelog.record.corner import Corner, parse_corner
from brakelog.record.draft import DraftEntry
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.limit import Confirmation, Limit, LimitKind, Torque
from brakelog.record.people import Customer, Person
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.trait import Trait
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.store.derived import ExperienceRow
from brakelog.store.store import Store
from brakelog.wear.experience import Experience, WearKind
from brakelog.wear.experiences import Group

LF: Corner = parse_corner("LF")
RF: Corner = parse_corner("RF")
KM = 1_000_000


def counted_ids() -> Callable[[], str]:
    """Ids that are the same at every run."""
    numbers = itertools.count(1)
    return lambda: f"{next(numbers):032x}"


def ticking_clock() -> Callable[[], datetime]:
    """A clock that goes on by a second whenever somebody looks."""
    seconds = itertools.count()
    return lambda: datetime(2026, 5, 4, 9, 0, tzinfo=UTC) + timedelta(seconds=next(seconds))


def a_vehicle(id: str = "v1", **other: Any) -> Vehicle:
    values: dict[str, Any] = {
        "tag": id,
        "description": "grey estate",
        "brakes": (AxleBrake.DISC, AxleBrake.DRUM),
        "odometer_unit": DistanceUnit.KM,
    }
    return Vehicle(id=id, **(values | other))


def a_visit(id: str = "a", vehicle_id: str = "v1", **other: Any) -> Visit:
    values: dict[str, Any] = {
        "day": date(2026, 5, 4),
        "odometer_mm": 62_400 * KM,
        "odometer_text": "62400",
        "odometer_unit": DistanceUnit.KM,
    }
    return Visit(id=id, vehicle_id=vehicle_id, **(values | other))


def a_set(id: str = "s1", visit_id: str = "a", **other: Any) -> ReadingSet:
    values: dict[str, Any] = {
        "corner": LF,
        "quantity": Quantity.ROTOR,
        "stage": Stage.AS_FOUND,
        "values_nm": (27_410_000, None, 27_400_000),
        "typed": ("27,41", "", "27.40mm"),
        "unit": LengthUnit.MM,
    }
    return ReadingSet(id=id, visit_id=visit_id, **(values | other))


def a_gauge(id: str = "g1", **other: Any) -> Gauge:
    values: dict[str, Any] = {
        "tag": id,
        "kind": GaugeKind.MICROMETER,
        "unit": LengthUnit.MM,
        "resolution_nm": 1000,
        "resolution_text": "0.001",
    }
    return Gauge(id=id, **(values | other))


def a_limit(id: str = "l1", sheet: str | None = "Sheet", **other: Any) -> Limit:
    values: dict[str, Any] = {
        "kind": LimitKind.ROTOR_DISCARD,
        "figures": (parse_length("22.8", declared=LengthUnit.MM),),
        "source": "manual, page 4",
        "axle": 1,
    }
    return Limit(id=id, sheet=sheet, **(values | other))


def a_finding(id: str = "f1", visit_id: str = "a", **other: Any) -> Finding:
    values: dict[str, Any] = {
        "corner": LF,
        "stage": Stage.AS_FOUND,
        "kind": FindingKind.LIP,
        "part": Part.ROTOR,
    }
    return Finding(id=id, visit_id=visit_id, **(values | other))


def a_fitting(id: str = "t1", visit_id: str = "a", **other: Any) -> Fitting:
    values: dict[str, Any] = {
        "day": date(2026, 5, 4),
        "odometer_mm": 62_400 * KM,
        "corner": LF,
        "position": Position.PAD_INNER,
        "event": FittingEvent.NEW,
        "basis": SizeBasis.NOMINAL,
    }
    return Fitting(id=id, visit_id=visit_id, **(values | other))


def a_draft(key: str = "rotor/1", **other: Any) -> DraftEntry:
    values: dict[str, Any] = {
        "typed": "27.41",
        "unit": LengthUnit.MM,
        "corner": LF,
        "stage": Stage.AS_FOUND,
    }
    return DraftEntry(key=key, **(values | other))


def an_agreement(id: str = "e1", visit_id: str = "a", **other: Any) -> Agreement:
    values: dict[str, Any] = {
        "consent": Consent.AGREED,
        "items": (WorkItem(axle=1, work=Work.PADS), WorkItem(axle=1, work=Work.ROTOR, corner=LF)),
        "day": date(2026, 5, 4),
        "how": How.PHONE,
        "time": "10:20",
    }
    return Agreement(id=id, visit_id=visit_id, **(values | other))


def an_experience(**other: Any) -> ExperienceRow:
    group: dict[str, Any] = {"kind": WearKind.FRONT_LINING, "axle": 1}
    learned = Experience(
        log_rate=-1.5, log_sd=0.3, process_c=0.8, lives_behind=7.5, source="24 lives", widened=1.1
    )
    return ExperienceRow(
        group=Group(**(group | other)), experience=learned, lives=24, visits=60, vehicles=11
    )


def fill(store: Store) -> None:
    """Put at least one row into every table."""
    with store.writing():
        store.add_person(Person(id="p1", tag="AB", name="Ada B.", role="tech"))
        store.add_customer(Customer(id="c1", tag="mill", name="The mill", contact="555 0100"))
    with store.writing(by="p1"):
        store.change_shop({"site": "north", "probability": "0.9"})
        store.add_sheet("Sheet", "grey estate, 2.0")
        store.add_vehicle(a_vehicle(sheet="Sheet", plate="B XY 123", vin="VIN 1", customer_id="c1"))
        store.add_vehicle(a_vehicle("v2", plate="B XY 124"))
        store.add_gauge(a_gauge(tips=Tips.POINTED, used_for=frozenset({Quantity.ROTOR})))
        both = (
            parse_length("22.8 mm", declared=None),
            parse_length("0.87 in", declared=None),
        )
        store.add_limits([a_limit(figures=both), a_limit("l2", kind=LimitKind.RUNOUT)])
        store.add_confirmation(
            Confirmation(
                id="k1", limit_id="l1", figure=0, person_id="p1", reason="cast on it", over=("l2",)
            )
        )
        store.add_torques(
            [
                Torque(
                    id="q1", sheet="Sheet", axle=1, fastener="wheel bolt", figure="110 N·m",
                    source="page 9",
                )
            ]
        )  # fmt: skip
        store.add_traits([Trait(id="r1", sheet="Sheet", axle=1, name="caliper", value="fixed")])
        store.add_visit(a_visit(person_id="p1", complaint="squeals", looked_over=frozenset({RF})))
        store.add_reading_sets([a_set(gauge_id="g1", person_id="p1"), a_set("s2")])
        store.amend_set("s2", a_set("s3", values_nm=(1,), typed=("1 nm µ",)), "wrong line")
        store.add_findings([a_finding(note="narrow")])
        store.add_fittings([a_fitting()])
        store.put_draft_entry("a", a_draft(gauge_id="g1"))
        store.issue_verdict(
            "a", Stage.AS_FOUND, "verdict/1", '{"verdict": "reuse"}', "sha", "may stay"
        )
        store.add_answer(
            Answer(id="w1", visit_id="a", question_key="Q201:s1", said=Said.RIGHT, note="looked")
        )
        store.correct_odometer("a", 62_400 * KM, "62400 km", DistanceUnit.KM, "read again")
        store.add_closing_answers(
            [ClosingAnswer(id="b1", visit_id="a", check=Check.PEDAL_FIRM, said="yes")]
        )
        store.add_torques_left(
            [TorqueLeft(id="n1", visit_id="a", axle=1, fastener="wheel", figure="110 N·m")]
        )
        store.add_agreement(an_agreement(who="Pia Quill", number="555 0100"))
        store.remember_imports({"sheet.csv:2": ("reading set", "s1")})
        store.keep_lives({"v1": '{"lives": []}', "v2": "{}"})
        store.keep_due({"v1": '{"due": []}'})
        store.keep_experience([an_experience(), an_experience(vehicle_class="van")])
        store.keep_marks({"visits": "1"})
