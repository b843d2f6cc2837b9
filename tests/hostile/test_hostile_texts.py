"""Texts that would like to be more: commands to a terminal, markup, SQL, formulas, paths."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from brakelog.cli import main as command_line
from brakelog.intake import words
from tests.acceptance.workshop import DAY, Workshop

ESCAPES = (
    "\x1b]8;;http://x\x07click\x1b]8;;\x07 \x1b]52;c;x\x07 \x1b[2J \x9b31m \x9d0;x\x9c \x07 \x7f "
    "\u202eabc\u2066 \u2028"
)
MARKUP = "<script>alert(1)</script> [red]x[/red] {{7*7}} '); DROP TABLE visits;--"
TEXT = f"E {ESCAPES} {MARKUP}"
NAME = f"E\x1b]8;;\x07\x9b31m\u202e{MARKUP[:16]}"
TAG = "../T\x1b]0;x\x07\x9b\u202e<b>[red]"
_STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")


@contextmanager
def nothing_is_refused() -> Iterator[None]:
    """Let control characters in, as another program or an older one could have."""
    never = re.compile("(?!)")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(words, "_CONTROL", never)
        patch.setattr(words, "_CONTROL_IN_CELL", never)
        patch.setattr(command_line, "_NO_TEXT", never)
        yield


@pytest.fixture(scope="module")
def poisoned(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """A shop in which every text is hostile."""
    shop = Workshop(tmp_path_factory.mktemp("poisoned") / "shop.sqlite")
    shop.has_people()
    shop.has_its_usual_gauges()
    with nothing_is_refused():
        shop.does("gauge", "change", "mic", "--note", TEXT)
        shop.does("people", "change", "AM", "--name", NAME)
        shop.does("limits", "sheet", NAME)
        for kind, figure in (("rotor-discard", "26.0 mm"), ("pad-minimum", "2.0 mm")):
            shop.does("limits", "add", NAME, "front", kind, figure, "--source", TEXT)
        described = ("--description", TEXT, "--plate", NAME, "--customer", NAME)
        shop.has_vehicle(TAG, "--brakes", "disc/disc", "--sheet", NAME, *described)
        shop.does("shop", "change", "--name", TEXT, "--phone", NAME)
        for day, odometer, rotor in (("2025-06-01", 62_400, 27.4), (DAY, 72_400, 25.4)):
            lines = (
                f"LF pad-in 5.2 5.0\nRF pad-in 2.4 2.4\nLF pad-out 5.4\nLF rotor {rotor} 27.4\n"
                f"LF finding other part=pads {TEXT}\nLF finding crack part=rotor {TEXT}\n"
            )
            shop.measures(TAG, f"{odometer} km", lines, "--complaint", TEXT, day=day)
        shop.fits(TAG, "LF", "pads", "--note", TEXT)
        agreed = ("--who", NAME, "--number", NAME, "--cost", NAME, "--note", TEXT)
        shop.does("agree", TAG, "front pads", "--how", "phone", *agreed)
        corrected = (TAG, "2025-06-01", "62401 km", "--why", TEXT)
        shop.does("amend", "odometer", *corrected)
    return shop


SCREENS = (
    *("verdict TAG", "verdict TAG --json", "verdict TAG --preview", "verdict TAG --html"),
    *("summary TAG --text", "summary TAG --out -", "summary TAG --json"),
    *("due", "due --json", "due --csv", "due --experience", "history TAG", "history TAG --draw"),
    *("history TAG --json", "finish TAG --status", "finish TAG --json", "answer TAG"),
    *("answer TAG --json", "amend list TAG", "measure TAG --sheet", "vehicle list"),
    *("vehicle show TAG", "limits list", "limits show NAME", "gauge list", "gauge show mic"),
    *("people list", "shop show", "store where", "store check", "rules list"),
)


@pytest.mark.parametrize("screen", SCREENS)
def test_what_is_on_file_cannot_steer_the_terminal(
    poisoned: Workshop, screen: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    typed = [{"TAG": TAG, "NAME": NAME}.get(word, word) for word in screen.split()]
    with nothing_is_refused():
        shown = poisoned.does(*typed)
    assert not _STEERS.search(shown)
    assert "<script>" not in shown or not shown.lstrip().startswith("<!")
    for page in tmp_path.iterdir():
        content = page.read_text(encoding="utf-8")
        assert not _STEERS.search(content)
        assert "<script>alert" not in content


ERRORS = (
    *("verdict TEXT", "vehicle show TEXT", "measure TEXT --odometer 1", "limits show TEXT"),
    *("finish TEXT", "history TEXT", "answer TEXT", "rules show TEXT", "rules check TEXT"),
    *("import TEXT", "import --template TEXT", "gauge show TEXT", "due --class TEXT"),
    *("summary TAG --visit TEXT", "summary TAG --due-in TEXT", "fit TAG TEXT pads new"),
    *("TEXT", "verdict TAG --TEXT"),
)


@pytest.mark.parametrize("command", ERRORS)
@pytest.mark.parametrize("is_checked", [True, False])
def test_what_was_typed_wrongly_cannot_steer_the_terminal(
    poisoned: Workshop, command: str, is_checked: bool
) -> None:
    typed = [word.replace("TEXT", TEXT).replace("TAG", TAG) for word in command.split()]
    if is_checked:
        result = poisoned.tries(*typed)
    else:
        with nothing_is_refused():
            result = poisoned.tries(*typed)
    assert result.exit_code in (2, 3, 4)
    assert not _STEERS.search(result.output)
    assert len(result.output) < 2_000


# What comes in


REFUSED_SIGNS = ("\x00", "\x1b", "\x07", "\x7f", "\x85", "\x9b", "\x1c", "\uffff", "\U0010ffff")
ENTRIES = (
    ("vehicle", "add", "SIGN"),
    ("vehicle", "change", "WREN", "--description", "SIGN"),
    ("vehicle", "change", "WREN", "--plate", "SIGN"),
    ("shop", "change", "--phone", "SIGN"),
    ("people", "add", "XY", "SIGN"),
    ("limits", "sheet", "SIGN"),
    ("gauge", "change", "mic", "--note", "SIGN"),
    ("measure", "WREN", "--odometer", "1 km", "--complaint", "SIGN"),
    ("agree", "WREN", "front pads", "--how", "phone", "--who", "SIGN"),
    ("amend", "drop", "aaaaaaSIGN", "--why", "x"),
    ("amend", "drop", "aaaaaa", "--why", "SIGN"),
    ("summary", "WREN", "--out", "SIGN"),
    ("import", "SIGN"),
    ("demo", "--folder", "SIGN"),
)


@pytest.mark.parametrize("sign", REFUSED_SIGNS, ids=repr)
def test_control_characters_are_refused_at_every_entry(
    shop_with_a_car: Workshop, sign: str
) -> None:
    before = shop_with_a_car.everything_on_file()
    for entry in ENTRIES:
        typed = [word.replace("SIGN", f"a{sign}b") for word in entry]
        result = shop_with_a_car.tries(*typed, typed="LF pad-in 4.2mm")
        assert result.exit_code == 3, entry
        assert "characters that are no text" in result.stderr
    assert shop_with_a_car.everything_on_file() == before


@pytest.fixture
def shop_with_a_car(tmp_path: Path) -> Workshop:
    shop = Workshop(tmp_path / "shop.sqlite")
    shop.has_its_usual_gauges()
    shop.has_vehicle("WREN", "--brakes", "disc/disc")
    shop.measures("WREN", "62400 km", "LF pad-in 5.2 5.0\n")
    return shop


# What goes out as a file

TAGS = ("../../etc/x", "con", "NUL", "a/b", "..", "-rf", "~", "C:\\x", "%2e%2e%2f", ".", "x" * 64)


def test_pages_stay_inside_their_folder_whatever_a_vehicle_is_called(tmp_path: Path) -> None:
    shop = Workshop(tmp_path / "shop.sqlite")
    for tag in TAGS:
        shop.has_vehicle("--brakes", "disc/disc", "--", tag)
        shop.does("measure", "--odometer", "1 km", "--date", DAY, "--", tag, typed="LF pad-in 4mm")
    folder = tmp_path / "inside" / "pages"
    before = {path for path in tmp_path.rglob("*") if folder not in path.parents}

    shop.does("summary", "--all", str(folder), "--text")

    pages = list(folder.iterdir())
    assert len(pages) == len(TAGS)
    assert all(re.fullmatch(r"brakes-[A-Za-z0-9-]+\.txt", page.name) for page in pages)
    assert all(len(page.name) < 120 for page in pages)
    after = {path for path in tmp_path.rglob("*") if folder not in path.parents}
    assert after - before <= {folder, folder.parent}


FORMULAS = ("=1+1", "+1", "-1", "@SUM(A1)", "=HYPERLINK('x')", "'=1")


def test_a_name_is_no_formula_in_a_sheet(tmp_path: Path) -> None:
    shop = Workshop(tmp_path / "shop.sqlite")
    for tag in FORMULAS:
        shop.has_vehicle("--brakes", "disc/disc", "--", tag)
        shop.does("measure", "--odometer", "1 km", "--date", DAY, "--", tag, typed="LF pad-in 4mm")
    rows = list(csv.reader(io.StringIO(shop.does("due", "--csv"))))
    assert len(rows) > len(FORMULAS)
    assert not any(cell[:1] in ("=", "+", "@", "\t") for row in rows for cell in row)


@pytest.mark.parametrize("text", ["'; DROP TABLE visits;--", '" OR 1=1 --', "%", "_", "\\"])
def test_sql_is_text(shop_with_a_car: Workshop, text: str) -> None:
    shop_with_a_car.has_vehicle(text, "--brakes", "disc/disc", "--description", text)
    assert shop_with_a_car.reads("vehicle", "show", text)["vehicle"]["tag"] == text
    assert shop_with_a_car.tries("vehicle", "show", text[:-1] or "W").exit_code == 4
    assert shop_with_a_car.counts()["visits"] == 1
