"""An export is the whole store, and is taken back only as it was written."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import stat
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO

import pytest

from brakelog.errors import (
    BadSheet,
    BrakelogError,
    Conflict,
    InvalidInput,
    NotFound,
    StoreError,
)
from brakelog.rules.document import verdict_text
from brakelog.store.checking import check_store
from brakelog.store.merge_plan import Settled
from brakelog.store.opening import open_store
from brakelog.store.owners import SCHEMA
from brakelog.store.raw_rows import WHOLE_STORE, RawRows
from brakelog.store.store import Store
from brakelog.store.tables import (
    DERIVED,
    SAME_TABLES_SINCE,
    chain_heads,
    metadata,
    row_tallies,
)
from brakelog.workshop import exporting
from brakelog.workshop.counter import every_verdict
from brakelog.workshop.demo import run_demo
from brakelog.workshop.export_cells import from_cell, to_cell
from brakelog.workshop.exporting import MANIFEST, ONE_FILE, export_store
from brakelog.workshop.fleet import refresh
from brakelog.workshop.moving import move_store, take_in
from tests.unit.store_examples import a_vehicle, a_visit, fill

MADE_OF_OTHERS = {*DERIVED, chain_heads, row_tallies}


def whole(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table but the derived ones, in order."""
    with open_store(path) as store, store.reading():
        return {
            name: sorted(
                tuple(row) for row in store._connection.exec_driver_sql(f"SELECT * FROM {name}")
            )
            for name, table in metadata.tables.items()
            if table not in {*DERIVED, row_tallies}
        } | {"row_tallies": tallies_in(store)}


def tallies_in(store: Store) -> list[tuple[Any, ...]]:
    """The tallies of rows: those of what tables were made by are of every file anew."""
    asked = f"SELECT * FROM row_tallies WHERE kind <> '{SCHEMA}' ORDER BY kind, owner"
    return [tuple(row) for row in store._connection.exec_driver_sql(asked)]


def import_of(folder: Path, path: Path) -> int:
    with open_store(path) as store:
        return take_in(store, folder, is_dry=False, settled=Settled()).rows


@pytest.fixture
def full(tmp_path: Path) -> Path:
    path = tmp_path / "full.sqlite"
    with open_store(path) as store:
        fill(store)
    return path


@pytest.fixture(params=[False, True], ids=["sheets", "one file"])
def as_json(request: pytest.FixtureRequest) -> bool:
    return bool(request.param)


@pytest.fixture
def exported(full: Path, tmp_path: Path, as_json: bool) -> Path:
    with open_store(full) as store:
        return export_store(store, tmp_path / "out", as_json=as_json).folder


def test_every_table_is_exported_but_those_that_are_made_of_others() -> None:
    assert {*WHOLE_STORE} == {*metadata.tables.values()} - MADE_OF_OTHERS


def test_an_empty_store_becomes_the_one_that_was_exported(
    full: Path, exported: Path, tmp_path: Path
) -> None:
    import_of(exported, tmp_path / "back.sqlite")

    assert whole(tmp_path / "back.sqlite") == whole(full)
    assert check_store(tmp_path / "back.sqlite").faults == ()


def test_a_new_row_goes_on_where_the_imported_chain_ends(exported: Path, tmp_path: Path) -> None:
    path = tmp_path / "back.sqlite"
    import_of(exported, path)
    with open_store(path) as store:
        store.add_visit(a_visit("later"))

    assert check_store(path).faults == ()


def test_the_same_export_again_adds_nothing(full: Path, exported: Path) -> None:
    before = whole(full)

    assert import_of(exported, full) == 0
    assert whole(full) == before


def test_an_export_is_for_its_owner_only(full: Path, tmp_path: Path, as_json: bool) -> None:
    before = os.umask(0)
    try:
        with open_store(full) as store:
            folder = export_store(store, tmp_path / "out", as_json=as_json).folder
    finally:
        os.umask(before)
    modes = {stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}

    assert modes == {0o600}
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_nothing_is_written_over(full: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / "letter.txt").write_text("mine")
    (tmp_path / "file").write_text("mine")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    with open_store(full) as store:
        for name in ("taken", "file", "link"):
            with pytest.raises(Conflict):
                export_store(store, tmp_path / name)

    assert (tmp_path / "taken" / "letter.txt").read_text() == "mine"


def test_what_is_stopped_halfway_leaves_nothing(
    full: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(self: RawRows, table: object) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr(RawRows, "sealed_rows", stop)
    with open_store(full) as store, pytest.raises(KeyboardInterrupt):
        export_store(store, tmp_path / "out")

    assert [path.name for path in tmp_path.iterdir() if "out" in path.name] == []


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_a_full_disk_leaves_nothing_and_is_said(
    full: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def on_a_full_disk(path: Path) -> BinaryIO:
        return Path("/dev/full").open("wb")

    monkeypatch.setattr(exporting, "new_file", on_a_full_disk)
    with open_store(full) as store, pytest.raises(StoreError, match="No space left"):
        export_store(store, tmp_path / "out")

    assert [path.name for path in tmp_path.iterdir() if "out" in path.name] == []


# A sheet that somebody has touched


def change_cell(folder: Path, table: str, column: str, value: str) -> None:
    """Change a cell of the first row, and the sum in the manifest with it."""
    sheet = folder / f"{table}.csv"
    with sheet.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    rows[1][rows[0].index(column)] = value
    with sheet.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    renew_sum(folder, table)


def renew_sum(folder: Path, table: str) -> None:
    manifest = json.loads((folder / MANIFEST).read_text("utf-8"))
    for each in manifest["sheets"]:
        if each["table"] == table:
            digest = hashlib.sha256((folder / f"{table}.csv").read_bytes()).hexdigest()
            each["sha256"] = digest
    (folder / MANIFEST).write_text(json.dumps(manifest), "utf-8")


@pytest.fixture
def sheets(full: Path, tmp_path: Path) -> Path:
    with open_store(full) as store:
        return export_store(store, tmp_path / "sheets").folder


@pytest.mark.parametrize(
    ("table", "column", "value", "said"),
    [
        ("reading_sets", "values_nm", "[27500000,null,27400000]", "reading_sets s1 does not match"),
        ("reading_sets", "zero_error_nm", "'0", '"\'0" is not a whole number'),
        ("reading_sets", "zero_error_nm", "00", "is not a whole number"),
        ("people", "name", "Eve B.", "people p1 does not match its seal"),
        ("customers", "contact", "", "customers c1 does not match its seal"),
        ("visits", "chain_prev", "0" * 64, "visits a is not linked as it was written"),
        ("visits", "chain_prev", "nothing", "visits a is not linked as it was written"),
        ("import_keys", "target_id", "s2", "the sheet is not the one that was written"),
    ],
)
def test_a_changed_cell_is_refused_with_its_row_and_nothing_is_written(
    table: str, column: str, value: str, said: str, sheets: Path, tmp_path: Path
) -> None:
    change_cell(sheets, table, column, value)
    if table == "import_keys":
        # No row of this table has a seal: the sum of the sheet stands for them.
        manifest = json.loads((sheets / MANIFEST).read_text("utf-8"))
        next(s for s in manifest["sheets"] if s["table"] == table)["sha256"] = "0" * 64
        (sheets / MANIFEST).write_text(json.dumps(manifest), "utf-8")
    target = tmp_path / "t.sqlite"

    with pytest.raises(BadSheet) as refused:
        import_of(sheets, target)

    assert said in "; ".join(str(problem) for problem in refused.value.problems)
    assert refused.value.exit_code == 3
    assert all(not rows for rows in whole(target).values())


def test_a_row_that_was_taken_out_breaks_the_chain(sheets: Path, tmp_path: Path) -> None:
    sheet = sheets / "findings.csv"
    sheet.write_bytes(sheet.read_bytes().split(b"\r\n")[0] + b"\r\n")
    manifest = json.loads((sheets / MANIFEST).read_text("utf-8"))
    next(each for each in manifest["sheets"] if each["table"] == "findings")["rows"] = 0
    (sheets / MANIFEST).write_text(json.dumps(manifest), "utf-8")
    renew_sum(sheets, "findings")

    with pytest.raises(BadSheet, match="not as it was written") as refused:
        import_of(sheets, tmp_path / "t.sqlite")

    assert "chains do not end" in str(refused.value.problems[0])


def test_an_export_of_an_older_schema_is_taken_in_where_its_tables_are_the_same(
    sheets: Path, tmp_path: Path
) -> None:
    of_head(schema=SAME_TABLES_SINCE)(sheets)
    target = tmp_path / "t.sqlite"

    import_of(sheets, target)

    assert check_store(target).faults == ()


def of_head(**changes: Any) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        manifest = json.loads((folder / MANIFEST).read_text("utf-8"))
        (folder / MANIFEST).write_text(json.dumps(manifest | changes), "utf-8")

    return change


@pytest.mark.parametrize(
    ("spoil", "kind", "said"),
    [
        (of_head(schema=3), InvalidInput, "schema 3"),
        (of_head(format="other/1"), InvalidInput, "no brakelog.export/1"),
        (of_head(sheets=[]), InvalidInput, "tables of a store"),
        (of_head(sheets=3), InvalidInput, "no brakelog.export/1"),
        (of_head(chains=[]), BadSheet, "not as it was written"),
        (lambda f: (f / MANIFEST).write_text("{"), InvalidInput, "no brakelog.export/1"),
        (lambda f: (f / MANIFEST).unlink(), NotFound, "no export lies"),
        (lambda f: (f / "people.csv").unlink(), InvalidInput, "people.csv is missing"),
        (lambda f: (f / "people.csv").write_bytes(b"\xff"), BadSheet, "not as it was written"),
        (lambda f: (f / "people.csv").write_text(""), BadSheet, "not as it was written"),
    ],
    ids=range(10),
)
def test_a_damaged_export_is_refused_in_words(
    spoil: Callable[[Path], Any], kind: type[BrakelogError], said: str, sheets: Path, tmp_path: Path
) -> None:
    spoil(sheets)

    with pytest.raises(kind, match=said):
        import_of(sheets, tmp_path / "t.sqlite")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'"name": "Ada B."', b'"name": "Eve B."'),
        (b'"name": "Ada B."', b'"name": "Ada \\u0000"'),
        (b'"name": "Ada B."', b'"name": "Ada \\ud800"'),
        (b'"name": "Ada B."', b'"name": true'),
        (b'"zero_error_nm": 0', b'"zero_error_nm": 0.0'),
        (b'"zero_error_nm": 0', b'"zero_error_nm": 99999999999999999999'),
        (b'"name": "Ada B.", ', b""),
    ],
)
def test_a_changed_value_in_the_one_file_is_refused(
    old: bytes, new: bytes, full: Path, tmp_path: Path
) -> None:
    with open_store(full) as store:
        folder = export_store(store, tmp_path / "out", as_json=True).folder
    path = folder / ONE_FILE
    assert old in path.read_bytes()
    path.write_bytes(path.read_bytes().replace(old, new, 1))

    with pytest.raises(BadSheet):
        import_of(folder, tmp_path / "t.sqlite")


def test_a_damaged_store_is_not_exported(full: Path, tmp_path: Path) -> None:
    with open_store(full) as store:
        store._connection.exec_driver_sql("UPDATE people SET name = 'Eve'")
        store._connection.commit()
        with pytest.raises(BrakelogError, match="people p1 does not match its seal"):
            export_store(store, tmp_path / "out")

    assert not (tmp_path / "out").exists()


# Cells


@pytest.mark.parametrize(
    "text",
    [
        *("=1+1", "+1", "-1", "@a", "\t=1", "\r=1", "\n=1", "＝1", "＋1", "－1", "＠a"),
        *(" =1", "'=1", "", "\u200b=1", "−1", "|x", "%0a"),
    ],
)
def test_what_a_spreadsheet_could_run_stands_behind_an_apostrophe(text: str) -> None:
    cell = to_cell(text)

    assert cell == f"'{text}"
    assert from_cell(cell, is_number=False) == text


@pytest.mark.parametrize(("value", "cell"), [(-5, "-5"), (0, "0"), (2**63 - 1, str(2**63 - 1))])
def test_numbers_stay_numbers(value: int, cell: str) -> None:
    assert to_cell(value) == cell
    assert from_cell(cell, is_number=True) == value


def test_nothing_and_an_empty_text_are_told_apart() -> None:
    assert (to_cell(None), to_cell("")) == ("", "'")


# Moving


def test_a_moved_store_is_the_same_but_for_the_event(full: Path, tmp_path: Path) -> None:
    target = tmp_path / "moved.sqlite"
    before = whole(full)
    with open_store(full) as store:
        move_store(store, target, wait_s=1)
    moved = whole(target)
    (event,) = [row for row in moved["events"] if row not in before["events"]]

    assert "moved" in event
    assert whole(full) == before
    for name in before.keys() - {"events", "chain_heads", "row_tallies"}:
        assert moved[name] == before[name]
    assert check_store(target).faults == ()


def test_a_store_is_moved_to_an_empty_place_only(full: Path, tmp_path: Path) -> None:
    with open_store(tmp_path / "other.sqlite") as other:
        other.add_vehicle(a_vehicle("x"))
    with open_store(full) as store:
        with pytest.raises(Conflict, match="not empty"):
            move_store(store, tmp_path / "other.sqlite", wait_s=1)
        with pytest.raises(Conflict, match="the store itself"):
            move_store(store, full, wait_s=1)


def test_a_store_that_is_not_as_it_was_written_is_not_moved(full: Path, tmp_path: Path) -> None:
    target = tmp_path / "moved.sqlite"
    with open_store(full) as store:
        store._connection.exec_driver_sql("UPDATE customers SET name = 'Eve'")
        store._connection.commit()
        with pytest.raises(BrakelogError, match="customers c1 does not match its seal"):
            move_store(store, target, wait_s=1)

    assert not target.exists()


def test_a_row_that_is_missing_stops_the_move(full: Path, tmp_path: Path) -> None:
    with open_store(full) as store:
        store._connection.exec_driver_sql("DROP TRIGGER findings_no_delete")
        store._connection.exec_driver_sql("DELETE FROM findings")
        store._connection.commit()
        with pytest.raises(BrakelogError, match="chains do not end"):
            move_store(store, tmp_path / "moved.sqlite", wait_s=1)


def test_half_a_million_characters_come_back(tmp_path: Path, as_json: bool) -> None:
    long = "=\r\n\"'," + "x" * 500_000
    with open_store(tmp_path / "a.sqlite") as store:
        store.add_vehicle(a_vehicle())
        store.add_visit(a_visit(complaint=long))
        folder = export_store(store, tmp_path / "out", as_json=as_json).folder
    import_of(folder, tmp_path / "b.sqlite")
    with open_store(tmp_path / "b.sqlite") as store:
        assert store.visit("a").complaint == long


def test_the_verdicts_stay_the_same(tmp_path: Path, as_json: bool) -> None:
    shop = run_demo(tmp_path, date(2026, 11, 28)).store
    with open_store(shop) as store:
        refresh(store, lambda what, done, total: None)
        wanted = [verdict_text(each) for each in every_verdict(store)]
        export_store(store, tmp_path / "out", as_json=as_json)
        move_store(store, tmp_path / "moved.sqlite", wait_s=1)
    import_of(tmp_path / "out", tmp_path / "back.sqlite")

    for path in (tmp_path / "moved.sqlite", tmp_path / "back.sqlite"):
        with open_store(path) as store:
            assert [verdict_text(each) for each in every_verdict(store)] == wanted != []
