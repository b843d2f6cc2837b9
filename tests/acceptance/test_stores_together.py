"""Two stores through the commands: everything out, everything in, a laptop that comes home."""

from __future__ import annotations

import json
import os
import shutil
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.acceptance.workshop import Workshop
from tests.docs.published_schemas import fault_of

LINES = "LF pad-in 9.5 9.4\nLF pad-out 9.0 8.9\nRF pad-in 9.1 9.0\nRF pad-out 9.2 9.1\n"


@pytest.fixture
def busy(shop: Workshop) -> Workshop:
    shop.does(
        "vehicle", "add", "TEAL-3", "--customer", "Perry Oldacre", "--contact", "555 0142",
        "--plate", "TL 300",
    )  # fmt: skip
    shop.measures("TEAL-3", "62400 km", LINES, "--complaint", "squeals says Oldacre")
    shop.verdict("TEAL-3")
    return shop


@pytest.fixture
def no_mask() -> Iterator[None]:
    """As on a machine where nobody has set anything: new files are open to everybody."""
    before = os.umask(0)
    yield
    os.umask(before)


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_an_export_is_everything_and_comes_back(busy: Workshop, tmp_path: Path) -> None:
    out = tmp_path / "out"
    busy.does("export", str(out))
    other = Workshop(tmp_path / "other.sqlite")
    other.does("import", str(out))

    assert other.reads("verdict", "TEAL-3") == busy.reads("verdict", "TEAL-3")
    assert other.counts() == busy.counts()
    assert fault_of(json.loads((out / "manifest.json").read_text("utf-8"))) == ""
    assert "nothing to add" in other.does("import", str(out))


def test_one_file_of_json_is_everything_too(busy: Workshop, tmp_path: Path) -> None:
    out = tmp_path / "out"
    busy.does("export", str(out), "--json")
    document = json.loads((out / "export.json").read_text("utf-8"))
    other = Workshop(tmp_path / "other.sqlite")
    other.does("import", str(out))

    assert fault_of(document) == ""
    assert document["tables"]["customers"][0]["contact"] == "555 0142"
    assert other.counts() == busy.counts()


def test_an_export_never_takes_the_place_of_anything(busy: Workshop, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    refused = busy.tries("export", str(tmp_path))

    assert refused.exit_code == 5
    assert "not empty" in refused.stderr


def test_a_changed_cell_is_refused_with_3_and_named(busy: Workshop, tmp_path: Path) -> None:
    out = tmp_path / "out"
    busy.does("export", str(out))
    sheet = out / "reading_sets.csv"
    sheet.write_bytes(sheet.read_bytes().replace(b"9400000", b"9900000", 1))
    other = Workshop(tmp_path / "other.sqlite")
    refused = other.tries("import", str(out))

    assert refused.exit_code == 3
    assert "reading_sets.csv:2: reading_sets" in refused.stderr
    assert "does not match its seal" in refused.stderr
    assert sum(other.counts().values()) == 0


def test_a_laptop_comes_home_twice(busy: Workshop, tmp_path: Path) -> None:
    laptop = busy.copy(tmp_path)
    laptop.measures("TEAL-3", "65000 km", LINES, day="2026-02-10")
    before = busy.counts()

    said = busy.does("store", "merge", str(laptop.store), "--dry-run")
    assert "would be added" in said
    assert busy.counts() == before

    busy.does("store", "merge", str(laptop.store))
    once = busy.counts()
    assert once["visits"] == before["visits"] + 1
    assert "nothing to add" in busy.does("store", "merge", str(laptop.store))
    assert busy.counts() == once
    assert "nothing is wrong with it" in busy.does("store", "check")
    assert busy.verdict("TEAL-3").document["visit"]["odometer"] == "65000 km"


def test_a_vehicle_that_two_stores_call_the_same_is_asked_about(
    busy: Workshop, tmp_path: Path
) -> None:
    van = Workshop(tmp_path / "van.sqlite")
    van.does("vehicle", "add", "teal-3")
    van.measures("TEAL-3", "65000 km", LINES, "--unit", "mm", day="2026-02-10")
    refused = busy.tries("store", "merge", str(van.store))

    assert refused.exit_code == 5
    assert "brakelog vehicle change TAG --tag NEW" in refused.stderr

    van.does("vehicle", "change", "TEAL-3", "--tag", "TEAL-3 van")
    busy.does("store", "merge", str(van.store))
    busy.does(
        "amend", "move", "TEAL-3 van", "2026-02-10", "--to", "TEAL-3", "--why", "same vehicle"
    )
    assert busy.verdict("TEAL-3").document["visit"]["date"] == "2026-02-10"


def test_what_stands_in_the_way_of_merging_can_be_renamed(busy: Workshop, tmp_path: Path) -> None:
    van = Workshop(tmp_path / "van.sqlite")
    van.has_people()
    van.has_its_usual_gauges()
    van.does("limits", "sheet", "Teal")
    busy.does("limits", "sheet", "teal")
    for each in van.reads("people", "list")["people"]:
        van.does("people", "change", each["tag"], "--tag", f"{each['tag']} van")
    for each in van.reads("gauge", "list")["gauges"]:
        van.does("gauge", "change", each["tag"], "--tag", f"{each['tag']} van")
    refused = busy.tries("store", "merge", str(van.store))
    assert "brakelog limits rename SHEET NEW" in refused.stderr

    van.does("limits", "rename", "Teal", "Teal van")
    busy.does("store", "merge", str(van.store))

    assert busy.reads("limits", "list")["sheets"] == ["teal", "Teal van"]


def test_a_store_moves_and_the_old_one_stays(busy: Workshop, tmp_path: Path) -> None:
    target = Workshop(tmp_path / "new" / "store.sqlite")
    before = busy.everything_on_file()
    said = busy.does("store", "move", str(target.store))

    assert "read again and found the same" in said
    assert busy.everything_on_file() == before
    assert target.reads("verdict", "TEAL-3") == busy.reads("verdict", "TEAL-3")
    assert "moved" in target.does("store", "journal")
    assert busy.tries("store", "move", str(target.store)).exit_code == 5


# A customer's own data


def test_a_customer_is_handed_everything(busy: Workshop, tmp_path: Path) -> None:
    document = busy.reads("customer", "export", "Perry Oldacre")
    (vehicle,) = document["vehicles"]
    (visit,) = vehicle["visits"]
    busy.does("customer", "export", "Perry Oldacre", str(tmp_path / "data"))

    assert (document["customer"]["contact"], vehicle["plate"]) == ("555 0142", "TL 300")
    assert visit["complaints"] == ["squeals says Oldacre"]
    assert visit["readings"][0]["typed"] == ["9.5", "9.4"]
    assert len(visit["verdicts"]) == len(list((tmp_path / "data").glob("verdict-*.txt"))) == 1
    assert json.loads((tmp_path / "data" / "customer.json").read_text("utf-8")) == document


def test_a_customer_is_forgotten_only_where_that_is_meant(busy: Workshop) -> None:
    refused = busy.tries("customer", "forget", "Perry Oldacre", "--why", "asked for it")

    assert refused.exit_code == 3
    assert busy.reads("people", "show", "Perry Oldacre", "--customer")["contact"] == "555 0142"


@pytest.mark.file
def test_a_customer_is_forgotten_and_the_verdict_stays(busy: Workshop) -> None:
    before = busy.reads("verdict", "TEAL-3")
    busy.does("store", "backup")
    said = busy.does("customer", "forget", "Perry Oldacre", "--why", "asked for it", "--yes")

    assert "1 vehicle without an owner, 1 complaint" in said
    assert ".backup" in said
    assert busy.reads("verdict", "TEAL-3") == before
    assert busy.tries("customer", "export", "Perry Oldacre", "--json").exit_code == 4
    assert "nothing is wrong with it" in busy.does("store", "check")
    assert "still written out in evidence" in said
    left = {line.split()[2] for line in busy.everything_on_file() if "Oldacre" in line}
    # The verdict as it was issued repeats what the customer complained of.
    assert left == {'"verdicts"'}


# Who may read what the program writes


@pytest.mark.file
@pytest.mark.usefixtures("no_mask")
@pytest.mark.skipif(os.name != "posix", reason="other systems have other rights")
def test_only_the_owner_reads_what_is_written(
    busy: Workshop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.rmtree(tmp_path / "pages", ignore_errors=True)
    for words in (
        ("summary", "TEAL-3", "--out", "page.html"),
        ("summary", "--all", "pages"),
        ("verdict", "TEAL-3", "--html", "--out", "counter.html"),
        ("history", "TEAL-3", "--plot", "wear.svg"),
        ("measure", "TEAL-3", "--sheet", "--out", "card.html"),
        ("import", "--template", "readings", "--out", "empty.csv"),
        ("export", "out"),
        ("customer", "export", "Perry Oldacre", "data"),
        ("store", "backup", "--to", "kept"),
        ("demo", "--folder", "demo"),
    ):
        busy.does(*words)
    files = [path for path in tmp_path.rglob("*") if path.is_file()]

    assert len(files) > 30
    assert {path.name for path in files if mode(path) != 0o600} == set()
    assert {mode(tmp_path / name) for name in ("out", "data", "kept")} == {0o700}


@pytest.mark.usefixtures("no_mask")
@pytest.mark.skipif(os.name != "posix", reason="other systems have other rights")
def test_a_page_that_is_written_over_is_closed_to_others(busy: Workshop, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_text("old")
    assert mode(page) == 0o666
    busy.does("summary", "TEAL-3", "--out", str(page), "--replace")

    assert mode(page) == 0o600
