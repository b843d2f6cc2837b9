"""Sheets: CSV files of every kind, and those of a gauge study."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from brakelog.errors import InvalidInput, Problem
from brakelog.intake.cell import protect, unprotect
from brakelog.intake.row_key import row_key
from brakelog.intake.rows import FORMS, FORMS_TO_FILE, Row, SheetForm
from brakelog.intake.sheet import SHEET_KINDS, open_rows, read_sheet, template
from brakelog.intake.study_sheet import read_study
from tests.hostile.parts import is_clean, is_said_shortly, split, texts_in

ROOT = Path(__file__).resolve().parents[2]
WORDS = (
    *sorted({column for form in FORMS.values() for column in form.columns}),
    *('"', '""', ",", ";", "\t", "\r\n", "\n", "\ufeff", "\x00", "\x1b]0;", "'=", "=cmd|", "@"),
    *("disc/drum", "km", "mm", "in", "2026-01-10", "LF", "rotor", "27.4", "62400", "yes", "new"),
    *("front", "rotor-discard", "micrometer", "\u00a0", "\u2028", "\x85", "\ufffd", "PK\x03\x04"),
)
_IN_FULL = {kind: replace(form, known=None) for kind, form in FORMS_TO_FILE.items()}
_NUMBER = re.compile(r"\b[0-9]+\.[0-9]+\b", re.ASCII)
_STRAY = re.compile(r"[\s\"']+")
"""What the form of a sheet takes away: blanks, quotes, and apostrophes before formulas."""


def seeds() -> list[bytes]:
    """The sheets of the sample workshop, a few rows of each, in three dialects."""
    found = [bytes([0]) + template(kind).encode() for kind in SHEET_KINDS]
    for path in sorted((ROOT / "fixtures" / "demo").glob("*.csv")):
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        kind = SHEET_KINDS.index(path.stem) + 1
        for start in range(1, len(lines), 40):
            some = lines[0] + "".join(lines[start : start + 3])
            found.append(bytes([0]) + some.encode())
            found.append(bytes([kind]) + b"\xef\xbb\xbf" + some.replace(",", ";").encode())
    study = "part,appraiser,trial,value,unit\n1,A,1,9.98 mm,\n1,A,2,9.99,mm\n"
    return [*found, bytes([7]) + study.encode()]


def check(data: bytes) -> None:
    """Read the sheet; what is accepted is what stands in it, and is the same when read again."""
    way, rest = split(data)
    kind = way % (len(SHEET_KINDS) + 2)
    try:
        if kind > len(SHEET_KINDS):
            is_clean(read_study(io.BytesIO(rest), "study.csv").readings)
            return
        _read(rest, SHEET_KINDS[kind - 1] if kind else None, collects=way & 128 > 0)
    except InvalidInput as error:
        is_said_shortly(error)


def _read(data: bytes, kind: str | None, *, collects: bool) -> None:
    problems: list[Problem] | None = [] if collects else None
    sheet = read_sheet(io.BytesIO(data), "sheet.csv", kind, collect=problems)
    assert kind in (None, sheet.kind)
    assert len(problems or ()) <= 1_100
    closed = _STRAY.sub("", data.decode("utf-8")).casefold()
    for row in sheet.rows:
        is_clean(row)
        for text in texts_in(row):
            assert _STRAY.sub("", text).casefold() in closed, text
            assert unprotect(protect(text)) == text
    again = read_sheet(io.BytesIO(data), "other.csv", sheet.kind, collect=[])
    keys = [row_key(sheet.kind, row) for row in sheet.rows]
    assert [row_key(again.kind, row) for row in again.rows] == keys
    assert len(set(keys)) == len(keys)
    if sheet.kind == "readings":
        _is_the_same_in_full(data)


def _is_the_same_in_full(data: bytes) -> None:
    """Rows that are read by what earlier ones said are those that are read in full."""
    # A second row like each of them, but for its values, is one that can be.
    lines = data.decode("utf-8").splitlines(keepends=True)
    again = "".join([*lines, *(_NUMBER.sub("27.4", line) for line in lines[1:])]).encode()
    for each in (data, again):
        found = [list(map(repr, _rows_of(each, forms))) for forms in (FORMS_TO_FILE, _IN_FULL)]
        assert found[0] == found[1]


def _rows_of(data: bytes, forms: Mapping[str, SheetForm[Row]]) -> list[object]:
    """Return the rows with their keys and problems, and what is wrong with the whole."""
    found: list[object] = []
    try:
        with open_rows(io.BytesIO(data), "sheet.csv", "readings", forms) as (_, rows):
            found.extend(rows)
    except InvalidInput as error:
        found.append(str(error))
    return found
