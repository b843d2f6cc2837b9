"""Files that are too large, of another kind, or no files at all, given to the commands."""

from __future__ import annotations

import gzip
import io
import os
import sqlite3
import sys
import zipfile
from collections.abc import Callable, Iterable
from contextlib import closing
from pathlib import Path

import pytest

from brakelog.errors import StoreError
from brakelog.intake.sheet import LARGEST, MOST_LINES, MOST_ROWS
from brakelog.store.opening import open_store
from brakelog.workshop.packs import LONGEST_FILE, LONGEST_LINE, MOST_DOTS
from tests.acceptance.workshop import DAY, Workshop
from tests.hostile.bounded import refused

pytestmark = [
    pytest.mark.file,
    pytest.mark.skipif(
        not sys.platform.startswith("linux"), reason="memory is bounded as Linux does it"
    ),
]
HEAD = b"vehicle,date,odometer,corner,quantity,values\n"
ROW = b"FINCH,2025-06-01,62400 km,LF,rotor,27.4 27.5\n"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    shop = Workshop(tmp_path_factory.mktemp("shop") / "shop.sqlite")
    shop.has_vehicle("FINCH", "--brakes", "disc/disc")
    return shop


# Sheets


def many(first: bytes, again: bytes, times: int) -> Callable[[], Iterable[bytes]]:
    """A beginning, and then the same over and over, in pieces."""
    return lambda: (first, *([again] * times))


def zipped() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("bomb.csv", bytes(10_000_000))
    return file.getvalue()


NO_TEXT, NO_SHEET, LARGE = "is not UTF-8 text", "is it a sheet?", "is too large for a sheet"
SHEETS: dict[str, tuple[Callable[[], Iterable[bytes]], str]] = {
    "a zip": (lambda: [zipped()], NO_TEXT),
    "a gzip": (lambda: [gzip.compress(HEAD + ROW * 100_000)], NO_TEXT),
    "a zero byte": (lambda: [HEAD, ROW.replace(b"FIN", b"FI\0N")], NO_TEXT),
    "UTF-16": (lambda: [(HEAD + ROW).decode().encode("utf-16")], NO_TEXT),
    "Latin-1": (lambda: [HEAD, ROW.replace(b"FINCH", b"M\xf6we")], NO_TEXT),
    "a million columns": (lambda: [b"," * 1_000_000 + b"\n"], NO_SHEET),
    "thousands of columns": (lambda: [b"tag," * 20_000 + b"\n"], "header does not say"),
    "a quote never closed": (many(HEAD + b'"', b"x" * 99 + b"\n", 900_000), "closing quote"),
    "a cell of 90 MB": (many(HEAD, b"x" * 1_000_000, 90), NO_SHEET),
    "a million rows of garbage": (many(HEAD, b"a,b,c,d,e,f\n", 1_000_000), "1000 problems or more"),
    "a million points in a row": (many(HEAD + ROW[:-1], b"27.4 ", 1_000_000), NO_SHEET),
    "a million points in lines": (
        many(HEAD + ROW[:-10] + b'"', b"27.4\n", 1_000_000),
        "closing quote",
    ),
    "3,900 points": (many(HEAD + ROW[:-1], b" 27.4", 3_900), "at most 500"),
    "line breaks": (many(HEAD, b"\n" * 1_000, MOST_LINES // 1_000 + 1), LARGE),
}


@pytest.mark.parametrize(("content", "said"), SHEETS.values(), ids=list(SHEETS))
def test_a_file_that_is_no_sheet_is_refused_in_little_memory(
    shop: Workshop, tmp_path: Path, content: Callable[[], Iterable[bytes]], said: str
) -> None:
    path = tmp_path / "sheet.csv"
    with path.open("wb") as file:
        file.writelines(content())
    before = shop.everything_on_file()
    refused("--store", shop.file, "import", path, said=said)
    assert shop.everything_on_file() == before


def test_a_file_of_a_gigabyte_is_refused_unread(shop: Workshop, tmp_path: Path) -> None:
    path = tmp_path / "sheet.csv"
    with path.open("wb") as file:
        file.write(HEAD + ROW)
        file.truncate(1 << 30)
    refused("--store", shop.file, "import", path, said=LARGE)
    refused("gauge", "study", path, said=LARGE)


@pytest.mark.parametrize("source", ["/dev/zero", "/dev/urandom"])
def test_a_source_without_end_is_refused(shop: Workshop, source: str) -> None:
    sheet = "the line has more than" if source == "/dev/zero" else NO_TEXT
    refused("--store", shop.file, "import", source, said=sheet)
    measure = ("measure", "FINCH", "--odometer", "70000 km", "--date", DAY, "--lines", source)
    refused("--store", shop.file, *measure, said="nothing was kept")


def test_the_bounds_of_a_sheet_fit_each_other() -> None:
    assert len(ROW) * MOST_ROWS < LARGEST
    assert MOST_ROWS < MOST_LINES


# Typed lines

LARGE_LINES = {
    "a million points in one line": (b"LF rotor " + b"27.4 " * 1_000_000, "more than 10000"),
    "a million points in lines": (b"LF rotor 27.4mm\n" * 1_000_000, "1000 problems or more"),
}
LINES = {
    "501 points": (b"LF rotor " + b"27.4 " * 501, "501 values are too many"),
    "a million digits": (b"LF rotor " + b"9" * 1_000_000, "more than 10000"),
    "a thousand digits": (b"LF rotor " + b"9" * 1_000, "too long for a number"),
    "a huge exponent": (b"LF rotor 1e999999999", "is not a number"),
    "a division by zero": (b"LF rotor 1/0", "is not a fraction"),
    "a fraction of huge parts": (b"LF rotor 1/" + b"9" * 60 + b'"', "finer than a nanometre"),
    "figures of another script": ("LF rotor \u0662\u0667".encode(), "is not a number"),
    "superscripts": ("LF rotor 2\u00b2".encode(), "is not a number"),
    "a zero byte": (b"LF rotor 27.4\0", "no text"),
    "bytes that are no text": (b"LF rotor 27.4\xff", "no text"),
    "a command in a note": (b"LF finding other part=pads \x1b]52;c;x\x07", "no text"),
    "quotes": (b"LF finding other part=pads " + b'"' * 9_000, "more than 2000 characters"),
}


@pytest.mark.parametrize(("typed", "said"), LARGE_LINES.values(), ids=list(LARGE_LINES))
def test_a_million_points_are_refused_in_little_memory(
    shop: Workshop, typed: bytes, said: str
) -> None:
    before = shop.everything_on_file()
    command = ("measure", "FINCH", "--odometer", "70000 km", "--date", DAY, "--unit", "mm")
    refused("--store", shop.file, *command, typed=typed, said=said)
    assert shop.everything_on_file() == before


@pytest.mark.parametrize(("typed", "said"), LINES.values(), ids=list(LINES))
def test_lines_without_measure_are_refused(shop: Workshop, typed: bytes, said: str) -> None:
    before = shop.everything_on_file()
    command = ("measure", "FINCH", "--odometer", "70000 km", "--date", DAY, "--unit", "mm")
    done = shop.tries(*command, typed=typed)
    assert done.exit_code == 3
    assert said in done.stderr
    assert len(done.stderr) < 12_000
    assert shop.everything_on_file() == before


# Packs of local rules

PACKS = {
    "lists in lists": (b"id = " + b"[" * 3_900, "without end"),
    "tables in tables": (b"id = " + b"{a=" * 1_300, "without end"),
    "a key of many parts": (b"a" + b".a" * 90_000 + b" = 1", f"more than {LONGEST_LINE}"),
    "keys of many parts": (b"a" + b".a" * 500 + b" = 1", f"more than {MOST_DOTS} points"),
    "a number of many digits": (b"id = " + b"9" * 3_900, "is no text ('a huge number')"),
    "a number that cannot be read": (b"id = \\\n" * 3, "is no TOML"),
    "a number that cannot be printed": (b"standing = 0x" + b"F" * 3_900, "a huge number"),
    "a path": (b'id = "../../etc/x"', "is no id"),
    "a zero byte": (b'title = "a\\u0000b"', "title: holds control characters"),
    "an escape": (b'title = "a\\u001b]0;b\\u0007"', "title: holds control characters"),
    "many tables": (b"[a]\n[b]\n" * 2, "is no TOML"),
    "100 MB": (b"", f"at most {LONGEST_FILE} bytes"),
}


@pytest.mark.parametrize(("content", "said"), PACKS.values(), ids=list(PACKS))
def test_a_pack_without_measure_is_refused(
    shop: Workshop, tmp_path: Path, content: bytes, said: str
) -> None:
    path = tmp_path / "mine.toml"
    with path.open("wb") as file:
        file.write(content)
        file.truncate(100_000_000 if not content else len(content))
    done = shop.tries("rules", "check", str(path))
    assert done.exit_code == 6
    assert said in done.stderr
    assert len(done.stderr) < 12_000


# Stores


def fifo(path: Path) -> None:
    os.mkfifo(path)


def loop(path: Path) -> None:
    path.symlink_to(path)


def device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def sparse(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(1 << 40)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (Path.mkdir, "is a folder"),
        (fifo, "is no file"),
        (device, "is no file"),
        (loop, "cannot be opened"),
        (sparse, "is not a brakelog store"),
        (lambda path: path.write_bytes(b"PK\x03\x04" * 1_000), "is not a brakelog store"),
    ],
    ids=["a folder", "a pipe", "a device", "a loop of links", "a terabyte of nothing", "a zip"],
)
def test_what_is_no_store_is_refused(
    tmp_path: Path, make: Callable[[Path], object], said: str
) -> None:
    path = tmp_path / "shop.sqlite"
    make(path)
    refused("--store", path, "vehicle", "list", said=said, code=7)


def test_a_path_that_is_too_long_is_refused() -> None:
    for command in (("vehicle", "list"), ("store", "where"), ("store", "check")):
        refused("--store", "x" * 300, *command, said="cannot be opened", code=7)


CHANGES = {
    "another trigger": (
        "CREATE TRIGGER extra AFTER INSERT ON vehicles BEGIN SELECT load_extension('x'); END",
        "changed by another program: trigger extra",
    ),
    "a view": (
        "CREATE VIEW extra AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x FROM n)"
        " SELECT x FROM n",
        "changed by another program: view extra",
    ),
    "a view in place of a table": (
        "PRAGMA legacy_alter_table = ON; ALTER TABLE torques RENAME TO others;"
        " CREATE VIEW torques AS SELECT * FROM others",
        "missing table torques",
    ),
    "a trigger with another body": (
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema"
        " SET sql = replace(sql, 'BEGIN', 'WHEN FALSE BEGIN') WHERE name = 'visits_no_delete'",
        "changed by another program: trigger",
    ),
}


@pytest.mark.parametrize(("statements", "said"), CHANGES.values(), ids=list(CHANGES))
def test_a_store_whose_schema_was_changed_is_not_opened(
    shop: Workshop, tmp_path: Path, statements: str, said: str
) -> None:
    copy = Path(str(shop.copy(tmp_path).store))
    with closing(sqlite3.connect(copy, isolation_level=None)) as raw:
        raw.executescript(statements)
    with pytest.raises(StoreError) as caught:
        open_store(copy)
    assert said in str(caught.value)


def test_a_renamed_column_is_said(shop: Workshop, tmp_path: Path) -> None:
    copy = Path(str(shop.copy(tmp_path).store))
    with closing(sqlite3.connect(copy, isolation_level=None)) as raw:
        raw.execute("ALTER TABLE people RENAME COLUMN name TO called")
    refused("--store", copy, "people", "list", said="store check", code=7)
