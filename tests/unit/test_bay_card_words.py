"""The small print of a card never says more than is on file, nor leaves out a doubt."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from brakelog.lengths import LengthUnit, parse_length
from brakelog.record.corner import parse_corner
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.limit import Confirmation, Limit, LimitKind, OutWhen, WhichPad
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.record.shop import Shop
from brakelog.record.vehicle import parse_brakes
from brakelog.reports.bay_card_words import Sources, bound_words, last_words
from brakelog.rules.card_file import CardFile
from tests.unit.store_examples import LF, RF, a_fitting, a_limit, a_set, a_vehicle, a_visit

MM, INCH = LengthUnit.MM, LengthUnit.INCH
FIRST = a_visit("a", day=date(2025, 5, 4))
SECOND = a_visit("b", day=date(2026, 5, 4))
LR = parse_corner("LR")


def limit(id: str, kind: LimitKind, *figures: str, **other: Any) -> Limit:
    typed = tuple(parse_length(each, declared=None) for each in figures)
    return a_limit(id, kind=kind, figures=typed, **other)


def card_file(**other: Any) -> CardFile:
    values: dict[str, Any] = {
        "vehicle": a_vehicle(brakes=parse_brakes("disc/drum")),
        "shop": Shop(),
        "visits": (FIRST, SECOND),
    }
    return CardFile(**(values | other))


def bounds(file: CardFile, quantity: Quantity, at: str = "LF") -> list[str]:
    sources = Sources()
    found = file.bounds_at(parse_corner(at), quantity)
    return [bound_words(bound, sources) for _, bound in found]


def last(file: CardFile, quantity: Quantity = Quantity.PAD_INNER, unit: LengthUnit = MM) -> str:
    return last_words(file.last_at(LF, quantity), LF, unit=unit, shop=file.shop)


def lining(id: str, *typed: str, **other: Any) -> Any:
    unit = other.pop("unit", MM)
    values = tuple(parse_length(each, declared=unit).nm for each in typed)
    made = {"quantity": Quantity.PAD_INNER, "datum": Datum.LINING} | other
    return a_set(id, values_nm=values, typed=typed, unit=unit, **made)


# Limits


def test_a_limit_is_told_with_its_failing_condition_and_its_source() -> None:
    discard = limit("l1", LimitKind.ROTOR_DISCARD, "22.8 mm", out_when=OutWhen.AT_OR_BELOW)

    assert bounds(card_file(limits=(discard,)), Quantity.ROTOR) == [
        "discard: out when at or below 22.8 mm [1]",
        "thickness variation: no limit on file",
    ]


def test_a_condition_that_the_source_does_not_state_is_marked() -> None:
    runout = limit("l1", LimitKind.RUNOUT, "0.05 mm")

    assert bounds(card_file(limits=(runout,)), Quantity.RUNOUT) == [
        "runout: out when at or above* 0.05 mm [1]"
    ]


def test_the_stricter_of_two_figures_is_named_where_it_is_not_the_first() -> None:
    kind = LimitKind.DRUM_DISCARD
    drum = limit("l1", kind, "201.0 mm", "7.913 in", axle=2, out_when=OutWhen.ABOVE)

    assert bounds(card_file(limits=(drum,)), Quantity.DRUM_OPEN, "LR")[0] == (
        "discard: out when above 201.0 mm (7.913 in) [1]; the stricter decides: 7.913 in"
    )


def test_a_limit_that_contradicts_itself_decides_nothing_until_it_is_confirmed() -> None:
    # 0.87 in is 22.1 mm: as printed on a page of service information, 0.7 mm apart.
    torn = limit("l1", LimitKind.ROTOR_DISCARD, "22.8 mm", "0.87 in", out_when=OutWhen.BELOW)
    chosen = Confirmation(id="c", limit_id="l1", figure=0, person_id=None, reason="asked")

    assert bounds(card_file(limits=(torn,)), Quantity.ROTOR)[0] == (
        "discard: 22.8 mm (0.87 in) [1] contradicts itself, decides nothing until somebody "
        "confirms one figure"
    )
    assert bounds(card_file(limits=(torn,), confirmations={"l1": chosen}), Quantity.ROTOR)[0] == (
        "discard: out when below 22.8 mm [1]; 0.87 in was set aside"
    )


def test_a_mark_on_the_part_stands_beside_the_sheet_and_the_stricter_decides() -> None:
    printed = limit("l1", LimitKind.ROTOR_DISCARD, "22.8 mm", out_when=OutWhen.BELOW)
    cast = limit(
        "l2",
        LimitKind.ROTOR_DISCARD,
        "22.85 mm",
        sheet=None,
        vehicle_id="v1",
        corner=LF,
        source="cast on the hat",
    )
    file = card_file(limits=(printed, cast))

    assert bounds(file, Quantity.ROTOR)[0] == (
        "discard: out when below 22.8 mm [1]; out when at or below* 22.85 mm cast on it [2]; "
        "the stricter decides: 22.85 mm"
    )
    assert bounds(file, Quantity.ROTOR, "RF")[0] == "discard: out when below 22.8 mm [1]"
    assert file.is_marked(LF, LimitKind.ROTOR_DISCARD)
    assert not file.is_marked(RF, LimitKind.ROTOR_DISCARD)


def test_a_limit_with_plate_is_never_told_as_one_of_the_lining() -> None:
    total = limit("l1", LimitKind.PAD_MINIMUM, "7.5 mm", datum=Datum.WITH_PLATE)
    bare = limit("l2", LimitKind.PAD_MINIMUM, "2.0 mm", which_pad=WhichPad.OUTER)

    assert bounds(card_file(limits=(total, bare)), Quantity.PAD_INNER) == [
        "minimum lining: out when at or below* 7.5 mm with plate [1]"
    ]
    assert bounds(card_file(limits=(total, bare)), Quantity.PAD_OUTER) == [
        "minimum lining: out when at or below* 2.0 mm [1]",
        "minimum lining: out when at or below* 7.5 mm with plate [1]",
    ]
    assert bounds(card_file(), Quantity.PAD_INNER) == ["minimum lining: no limit on file"]


def test_machine_to_is_no_limit_of_what_is_read_as_found() -> None:
    size = limit("l1", LimitKind.ROTOR_MACHINE_TO, "24.2 mm", out_when=OutWhen.BELOW)
    file = card_file(limits=(size,))
    told = file.machine_to_at(LF, Quantity.ROTOR)

    assert bounds(file, Quantity.ROTOR)[0] == "discard: no limit on file"
    assert told is not None
    assert bound_words(told, Sources()) == (
        "machine-to, only after refinishing: out when below 24.2 mm [1]"
    )
    assert file.machine_to_at(LR, Quantity.DRUM_OPEN) is None
    assert file.machine_to_at(LF, Quantity.RUNOUT) is None


def test_one_source_has_one_number() -> None:
    sources = Sources()
    cited = [sources.cite(a_limit(id, source=text)) for id, text in (("1", "A"), ("2", "B"))]

    assert [*cited, sources.cite(a_limit("3", source="A"))] == ["[1]", "[2]", "[1]"]
    assert sources.all == ("[1] A", "[2] B")


# What was read last


def test_what_was_read_is_told_as_typed_with_its_date() -> None:
    assert last(card_file(sets=(lining("s1", "3,2", "3.0", visit_id="b"),))) == (
        "last 3,2 / 3.0 mm, 2026-05-04"
    )
    assert last(card_file()) == "not read before"


def test_of_many_points_the_one_that_decides_is_told() -> None:
    many = lining(
        *("s1", "24.105", "24.101", "24.103"), quantity=Quantity.ROTOR, datum=None, visit_id="a"
    )

    assert last(card_file(sets=(many,)), Quantity.ROTOR) == (
        "last lowest of 3 points 24.101 mm, 2025-05-04"
    )


def test_a_point_that_was_not_measured_stays_one() -> None:
    half = a_set(
        "s1", quantity=Quantity.PAD_INNER, values_nm=(3_000_000, None), typed=("3.0", ""), unit=MM
    )

    assert last(card_file(sets=(half,))) == "last 3.0 / x mm, 2025-05-04"


def test_a_set_in_which_nothing_was_measured_hides_no_earlier_one() -> None:
    blank = a_set("s2", "b", quantity=Quantity.PAD_INNER, values_nm=(None,), typed=("",))

    assert last(card_file(sets=(lining("s1", "3.0"), blank))) == "last 3.0 mm, 2025-05-04"


def test_as_left_comes_after_as_found_whichever_was_typed_first() -> None:
    left = lining("s1", "11.0", "11.0", stage=Stage.AS_LEFT)
    found = lining("s2", "2.0", "2.0")

    assert last(card_file(sets=(left, found))) == "last 11.0 / 11.0 mm, 2025-05-04, as left"


def test_a_reading_of_the_other_unit_is_told_in_both() -> None:
    inches = lining("s1", '7/32"', "0.25", unit=INCH)

    assert last(card_file(sets=(inches,))) == 'last 7/32" / 0.25 in (5.56 mm), 2025-05-04'
    assert last(card_file(sets=(lining("s1", "3.0"),)), unit=INCH) == (
        "last 3.0 mm (0.118 in), 2025-05-04"
    )


def test_a_reading_with_plate_says_so() -> None:
    total = lining("s1", "9.0", datum=Datum.WITH_PLATE)

    assert last(card_file(sets=(total,))) == "last 9.0 mm, 2025-05-04, with plate"


def test_a_reading_that_was_asked_about_is_in_question() -> None:
    file = card_file(sets=(lining("s1", "9.0"),), in_question=frozenset({"s1"}))

    assert last(file) == "last 9.0 mm, 2025-05-04, in question"


def test_a_profile_of_a_runout_is_told_by_its_height() -> None:
    typed = ("0.01", "-0.02", "0.00", "0.01", "0.03")
    nm = (10_000, -20_000, 0, 10_000, 30_000)
    profile = a_set("s1", quantity=Quantity.RUNOUT, values_nm=nm, typed=typed)

    assert last(card_file(sets=(profile,)), Quantity.RUNOUT) == (
        "last 0.050 mm over 5 angles, 2025-05-04"
    )


# What was done to the part since


@pytest.mark.parametrize(
    ("event", "more", "told"),
    [
        (FittingEvent.NEW, {"size_nm": 11_000_000}, "new 2026-05-04, 11.0 mm nominal"),
        (FittingEvent.USED, {"basis": SizeBasis.UNKNOWN}, "used part fitted 2026-05-04"),
        (FittingEvent.REMOVED, {}, "removed 2026-05-04"),
        (FittingEvent.MOVED, {"from_corner": RF}, "moved here from RF 2026-05-04"),
        (FittingEvent.MOVED, {"corner": RF, "from_corner": LF}, "moved to RF 2026-05-04"),
    ],
)
def test_a_reading_of_a_part_that_is_gone_is_said_to_be_one(
    event: FittingEvent, more: dict[str, Any], told: str
) -> None:
    fitted = a_fitting("t1", "b", day=SECOND.day, event=event, **more)
    read = lining("s1", "2.0", "2.1")

    assert last(card_file(sets=(read,), fittings=(fitted,))) == (
        f"last 2.0 / 2.1 mm, 2025-05-04; since then {told}"
    )
    assert last(card_file(fittings=(fitted,))) == f"{told}; not read since"


def test_a_part_fitted_before_it_was_read_as_left_is_the_part() -> None:
    at = [datetime(2026, 5, 4, hour, tzinfo=UTC) for hour in (9, 10, 11)]
    fitted = a_fitting("t1", "a", event=FittingEvent.NEW, recorded_at=at[1])
    found = lining("s1", "2.0", recorded_at=at[2])
    left = lining("s2", "11.0", stage=Stage.AS_LEFT, recorded_at=at[2])
    early = lining("s2", "11.0", stage=Stage.AS_LEFT, recorded_at=at[0])

    assert "since then new" in last(card_file(sets=(found,), fittings=(fitted,)))
    assert "since then" not in last(card_file(sets=(found, left), fittings=(fitted,)))
    assert "since then new" in last(card_file(sets=(found, early), fittings=(fitted,)))


def test_runout_and_scoring_go_with_the_rotor_that_they_were_read_on() -> None:
    fitted = a_fitting("t1", "b", position=Position.ROTOR, event=FittingEvent.REFINISHED)
    read = lining("s1", "0.04", quantity=Quantity.RUNOUT, datum=None)
    pads = a_fitting("t2", "b", position=Position.PAD_INNER)

    assert "since then refinished" in last(
        card_file(sets=(read,), fittings=(fitted,)), Quantity.RUNOUT
    )
    assert "since then" not in last(card_file(sets=(read,), fittings=(pads,)), Quantity.RUNOUT)


def test_what_belongs_to_a_visit_that_is_void_is_not_told() -> None:
    read = lining("s1", "2.0", visit_id="void")
    fitted = a_fitting("t1", "void")

    assert last(card_file(sets=(read,), fittings=(fitted,))) == "not read before"
