"""Sheets in: what is done once for many rows changes nothing of what each of them becomes."""

from __future__ import annotations

import gc
import hashlib
import io
import json
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from brakelog.errors import BadSheet, Conflict, InvalidInput
from brakelog.intake import sheet
from brakelog.intake.rows import Row
from brakelog.lengths import LengthUnit
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet
from brakelog.store.address import Address
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from brakelog.store.readings import SetLike
from brakelog.store.store import Store
from brakelog.workshop import alike, clerk, imported_keys, reading_ahead
from brakelog.workshop.alike import Alike
from brakelog.workshop.clerk import Clerk
from brakelog.workshop.collecting import seldom_collected
from brakelog.workshop.importing import Imported, import_sheet
from tests.places import place, rows_of
from tests.unit.store_examples import a_set, a_vehicle, a_visit, counted_ids, ticking_clock

TODAY = date(2026, 11, 20)
HEAD = (
    "vehicle,date,odometer,odometer_out,complaint,corner,quantity,values,again,unit,gauge,stage,"
    "zero_error,looked_over\n"
)
ROWS = (
    "Reed,2026-03-02,62400,,,LF,rotor,27.41 x 27.402,,,M1,,,\n"
    "reed,2026-03-02,62400,,,LF,rotor,27.39 27.401,,,m1,,'-0.01,\n"
    'REED,2026-03-02,62400,62409,"squeals, ""ä""",RF,pad-in,"9,1 8,9",,mm,,as-left,,\n'
    "Reed,2026-03-02,62400,,,RF,rotor,27.44 27.45,27.43,,M1,,,\n"
    'Reed,2026-07-09,70100 km,,,RF,rotor,"1.0791"" 1.0793""",,,none,,,\n'
    "Reed,2026-07-09,70100 km,,,LR,,,,,,,,yes\n"
    "AB 12 C,2026-07-10,1200,,,LF,runout,0.04,,mm,,as found,,\n"
)
LAST_LINK = "6cdd68416dae502c12aca8ccd6386962b837ffed15f8c6bc3e1273ed02776add"
"""The end of the chain that these rows made when every row was still sealed by itself."""

KEYS = "0d1f297e 1b653f9c 5053b428 5940ae0e 5eacd60d ee7b82d9 f1219434"
"""The beginnings of the keys of the rows, as they stand in stores that were filled long ago."""


@pytest.fixture
def path(tmp_path: Path) -> Address:
    return place(tmp_path / "s.sqlite")


@pytest.fixture
def store(path: Address) -> Iterator[Store]:
    with open_store(path, clock=ticking_clock(), new_id=counted_ids()) as store:
        store.add_vehicle(a_vehicle("v1", tag="Reed"))
        store.add_vehicle(a_vehicle("v2", tag="Heron", plate="AB 12 C"))
        gauge = Gauge(
            id="g1",
            tag="M1",
            kind=GaugeKind.MICROMETER,
            unit=LengthUnit.MM,
            resolution_nm=1_000,
            resolution_text="0.001",
            used_for=frozenset({Quantity.ROTOR}),
            tips=Tips.POINTED,
        )
        store.add_gauge(gauge)
        yield store


def put_in(store: Store, text: str) -> Imported:
    return import_sheet(store, io.BytesIO(text.encode()), "sheet.csv", today=TODAY)


def readings_of(store: Store) -> list[ReadingSet]:
    """What is on file, without what each import hands out anew."""
    return [
        replace(one, id="", visit_id="", recorded_at=None)
        for id in ("v1", "v2")
        for one in store.reading_sets_of_vehicle(id)
    ]


def test_an_imported_row_has_the_seal_that_anybody_can_work_out(
    path: Address, store: Store
) -> None:
    assert put_in(store, HEAD + ROWS) == Imported(kind="readings", added=7, already=0)

    rows = rows_of(path, "reading_sets")
    assert [json.loads(row["values_nm"])[0] for row in rows] == [
        27_410_000,
        27_390_000,
        9_100_000,
        27_440_000,
        27_409_140,
        40_000,
    ]
    for row in rows:
        listed = ["reading_sets"]
        for name in sorted(set(row) - {"row", "checksum", "chain_prev", "chain_link"}):
            if row[name] is not None:
                listed += [name, row[name]]
        text = json.dumps(listed, ensure_ascii=False, separators=(",", ":"))
        assert row["checksum"] == hashlib.sha256(text.encode()).hexdigest()
    assert check_store(path).faults == ()


def test_a_sheet_makes_the_chain_that_it_has_always_made(path: Address, store: Store) -> None:
    put_in(store, HEAD + ROWS)

    (head,) = rows_of(path, "chain_heads")
    assert head["link"] == LAST_LINK


def test_the_keys_of_rows_are_those_that_stores_remember(path: Address, store: Store) -> None:
    put_in(store, HEAD + ROWS)

    kept = sorted(row["key"][:8] for row in rows_of(path, "import_keys"))
    assert kept == KEYS.split()


def test_rows_become_the_same_one_by_one_and_together(
    store: Store, tmp_path_factory: pytest.TempPathFactory
) -> None:
    rows = ROWS.splitlines(keepends=True)
    together = [*rows, *(row.replace("27.4", "27.3") for row in rows if "27.4" in row)]
    put_in(store, HEAD + "".join(together))

    other = place(tmp_path_factory.mktemp("other") / "s.sqlite")
    with open_store(other, clock=ticking_clock(), new_id=counted_ids()) as by_itself:
        for id in ("v1", "v2"):
            by_itself.add_vehicle(store.vehicle_by_id(id))
        for gauge in store.gauges():
            by_itself.add_gauge(gauge)
        for row in together:
            put_in(by_itself, HEAD + row)
        assert readings_of(by_itself) == readings_of(store)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ("27.41 err", "an error of the gauge"),
        ("274.1", "rotor thickness is never that"),
        ("27.41 1.08in", "some values carry a unit and others none"),
        ("27.41 27 1/2", "could be one value or two"),
        ("27.41 -27.4", "below zero"),
        ("mm", "stands behind no number"),
    ],
)
def test_a_row_like_one_that_was_good_is_refused_for_its_values(
    store: Store, values: str, words: str
) -> None:
    good = "Reed,2026-03-02,62400,,,LF,rotor,27.4,,,M1,,,\n"
    with pytest.raises(BadSheet) as refused:
        put_in(store, HEAD + good + good.replace("27.4", values))

    (problem,) = refused.value.problems
    assert problem.source == "sheet.csv:3"
    assert words in problem.message
    assert readings_of(store) == []


def test_a_row_like_one_that_was_good_is_refused_on_a_brake_that_has_no_such_part(
    store: Store,
) -> None:
    good = "Reed,2026-03-02,62400,,,LF,rotor,27.4,,,M1,,,\n"
    with pytest.raises(BadSheet) as refused:
        put_in(store, HEAD + good + good.replace("LF", "LR"))

    (problem,) = refused.value.problems
    assert problem.message.startswith("LR has no rotor thickness")


def test_one_reading_set_like_another_has_all_of_it_but_visit_and_values(store: Store) -> None:
    one = a_set("s1", tips=Tips.FLAT, temperature_dc=310, zero_error_nm=-10_000, lip=True)
    like = SetLike(one, "s2", "b", (None, 27_400_000), ("", "27.4"))
    store.add_visit(a_visit())
    store.add_visit(a_visit("b"))
    store.add_reading_sets([one, like])

    first, second = store.reading_sets_of_vehicle("v1")
    assert second == replace(
        first, id="s2", visit_id="b", values_nm=(None, 27_400_000), typed=("", "27.4")
    )


def test_a_row_like_one_before_still_says_its_own_complaint_and_odometer_out(store: Store) -> None:
    row = "Reed,{},{},{},{},LF,rotor,27.4,,mm,,,,\n"
    put_in(
        store,
        HEAD
        + row.format("2026-03-02", "62400", "", "")
        + row.format("2026-07-02", "70400", "70412", "squeals"),
    )

    _, second = store.visits_of("v1")
    assert second.complaint == "squeals"
    assert second.odometer_out_text == "70412"


def test_values_without_texts_are_refused_in_one_set_like_another_too(store: Store) -> None:
    store.add_visit(a_visit())
    like = SetLike(a_set("s1"), "s2", "a", (27_400_000, 27_300_000), ("27.4",))
    with pytest.raises(InvalidInput, match="2 values with 1 texts"):
        store.add_reading_sets([like])
    with pytest.raises(Conflict, match="amendment"):
        store.add_reading_sets([like._replace(like=a_set("s1", corrects="s0"), typed=("a", "b"))])

    assert readings_of(store) == []


def test_a_row_that_says_another_unit_is_not_taken_for_one_like_those_before(store: Store) -> None:
    row = 'Reed,2026-03-02,62400,,,LF,rotor,"{}",,,none,,,\n'
    put_in(store, HEAD + "".join(map(row.format, ("27.4mm", "1.0791 in", "27.3 mm", "27.2mm"))))

    found = [(each.unit, each.typed) for each in readings_of(store)]
    assert found == [
        (LengthUnit.MM, ("27.4mm",)),
        (LengthUnit.INCH, ("1.0791 in",)),
        (LengthUnit.MM, ("27.3 mm",)),
        (LengthUnit.MM, ("27.2mm",)),
    ]


def test_the_interpreter_collects_as_before_once_an_import_has_failed() -> None:
    before = gc.get_threshold()
    with suppress(ZeroDivisionError), seldom_collected():
        assert gc.get_threshold()[0] > before[0]
        raise ZeroDivisionError

    assert gc.get_threshold() == before


def test_rows_of_one_visit_far_from_each_other_meet_in_it_and_fill_no_memory(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading_ahead, "ROWS_AT_ONCE", 10)
    monkeypatch.setattr(clerk, "VISITS_MEANT", 12)
    kept: list[int] = []
    look_up = Clerk.look_up

    def looked_up(self: Clerk, rows: Sequence[Row]) -> None:
        look_up(self, rows)
        kept.append(len(self._meant))

    monkeypatch.setattr(Clerk, "look_up", looked_up)
    # More visits than the reader of the sheet keeps in mind, in the same order for each corner.
    days = [date(2024, 1, 1) + timedelta(days=number) for number in range(300)]
    rows = [
        f"Reed,{day},{62_400 + number},,,{corner},rotor,27.4,,mm,,,,\n"
        for corner in ("LF", "RF", "LF")
        for number, day in enumerate(days)
    ]
    rows[600:] = [row.replace("27.4", "27.39") for row in rows[600:]]
    put_in(store, HEAD + "".join(rows))

    visits = store.visits_of("v1")
    assert [visit.day for visit in visits] == days
    assert all(len(store.reading_sets_of_visit(visit.id)) == 3 for visit in visits[::50])
    assert len(readings_of(store)) == 900
    assert max(kept) <= 12


@pytest.mark.parametrize("waiting", [1, 7, 20, 1_000])
@pytest.mark.parametrize("at_once", [1, 3, 1_000])
@pytest.mark.parametrize("before", [0, 5])
def test_a_row_listed_twice_is_filed_once_wherever_its_key_is(
    store: Store, monkeypatch: pytest.MonkeyPatch, waiting: int, at_once: int, before: int
) -> None:
    # The reader compares rows itself as long as it can; here it cannot.
    monkeypatch.setattr(sheet, "ROWS_COMPARED", 0)
    monkeypatch.setattr(reading_ahead, "ROWS_AT_ONCE", 10)
    monkeypatch.setattr(imported_keys, "KEYS_WAITING", waiting)
    monkeypatch.setattr(imported_keys, "KEYS_AT_ONCE", at_once)
    rows = [f"Reed,2026-03-02,62400,,,LF,rotor,27.{number:03d},,mm,,,,\n" for number in range(60)]
    if before:
        put_in(store, HEAD + "".join(rows[:before]))
    again = [*rows[:20], rows[25], rows[25]]
    found = put_in(store, HEAD + "".join([*rows[:30], *again, *rows[30:], rows[58], rows[3]]))

    assert (found.added, found.already) == (60 - before, before + 24)
    assert len(readings_of(store)) == 60
    assert put_in(store, HEAD + "".join(rows)).added == 0


def test_keys_are_written_faster_than_rows_bring_them() -> None:
    assert imported_keys.KEYS_AT_ONCE >= reading_ahead.ROWS_AT_ONCE


@pytest.mark.parametrize(
    ("rows", "refused"),
    [
        (("rotor 27.4 mm", "rotor 27.41 mm", "rotor 1.08 in", "rotor 27.41 in"), "never that"),
        (
            ("rotor 27.4 mm", "rotor 1.1in mm", "pad-in 9 mm", "pad-in 1.1 mm", "rotor 1.1 mm"),
            "never that",
        ),
        (
            ("runout TURN mm", "runout TURN mm", "runout 0.04 mm RF", "runout -0.02 mm RF"),
            "below zero",
        ),
        (("runout TURN mm", "runout TURN mm", "runout -0.02 mm"), "below zero"),
        (
            (
                *("rotor 27.4mm_27.41 mm", "rotor 1.08in_1.079in mm", "rotor 27.42_27.43 mm"),
                "rotor 27.42_1.08in mm",
            ),
            "some values carry a unit and others none",
        ),
    ],
)
def test_a_number_that_was_good_is_refused_where_it_is_another_thing(
    store: Store, rows: tuple[str, ...], refused: str
) -> None:
    turn = "0.01_0_-0.02_-0.01_0_0.01_0.02_0.01"
    lines = []
    for row in rows:
        quantity, values, unit, *corner = row.replace("TURN", turn).split()
        where = corner[0] if corner else "LF"
        lines.append(f"Reed,2026-03-02,62400,,,{where},{quantity},{values},,{unit},,,,\n")
        turn += "5"
    with pytest.raises(BadSheet) as found:
        put_in(store, HEAD + "".join(lines).replace("_", " "))

    (problem,) = found.value.problems
    assert problem.source == f"sheet.csv:{len(rows) + 1}"
    assert refused in problem.message


def test_vehicles_that_are_forgotten_meet_their_visits_again(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading_ahead, "ROWS_AT_ONCE", 2)
    monkeypatch.setattr(clerk, "VEHICLES_KNOWN", 1)
    most: list[int] = []
    look_up = Clerk.look_up

    def looked_up(self: Clerk, rows: Sequence[Row]) -> None:
        look_up(self, rows)
        most.append(len(self._vehicles))

    monkeypatch.setattr(Clerk, "look_up", looked_up)
    store.add_vehicle(a_vehicle("v3", tag="Wren"))
    names = ["Reed", "Heron", "Wren", "Heron"] * 6
    rows = [
        f"{name},2026-03-02,62400,,,LF,rotor,27.{number:02d},,mm,,,,\n"
        for number, name in enumerate(names)
    ]
    put_in(store, HEAD + "".join(rows))

    assert [len(store.visits_of(id)) for id in ("v1", "v2", "v3")] == [1, 1, 1]
    assert len(store.reading_sets_of_vehicle("v2")) == 12
    assert max(most) <= 3


def test_a_page_of_a_sheet_has_no_more_rows_than_fit_into_memory(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reading_ahead, "ROWS_AT_ONCE", 4)
    monkeypatch.setattr(reading_ahead, "VALUES_AT_ONCE", 10)
    rows = [f"Reed,2026-03-02,62400,,,LF,rotor,{'27.4 ' * many},,mm,,,,\n" for many in _MANY]
    text = io.BytesIO((HEAD + "".join(rows)).encode())
    with reading_ahead.pages_of(text, "s.csv", None) as (_, pages):
        assert [len(page) for page in pages] == [4, 2, 1, 2]


_MANY = (1, 2, 3, 4, 5, 6, 12, 8, 1)
"""Values of the rows of a sheet."""


def test_numbers_that_are_kept_in_mind_are_not_more_than_so_many(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(alike, "NUMBERS_KNOWN", 5)
    like = Alike(
        one=a_set("s1", typed=("27.4",), values_nm=(27_400_000,)), unit=LengthUnit.MM, bare={}
    )
    for number in range(40):
        assert like.values([f"27.{number:02d}"]) == (
            (27_000_000 + number * 10_000,),
            (f"27.{number:02d}",),
        )
        assert len(like.bare) <= 6
    assert like.values(["27.39"]) == ((27_390_000,), ("27.39",))
