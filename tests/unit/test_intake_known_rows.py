"""Rows that are read by what earlier ones said say exactly what they would say read in full."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.errors import BadSheet, InvalidInput
from brakelog.intake import known_rows
from brakelog.intake.known_rows import KnownRows
from brakelog.intake.reading_row import ReadingRow
from brakelog.intake.rows import FORMS_TO_FILE, Row, SheetForm
from brakelog.intake.sheet import RowRead, open_rows

IN_FULL: Mapping[str, SheetForm[Row]] = {
    kind: replace(form, known=None) for kind, form in FORMS_TO_FILE.items()
}
GOOD = {
    "vehicle": "Reed",
    "date": "2026-03-02",
    "odometer": "62400",
    "corner": "LF",
    "quantity": "rotor",
    "values": "27.4",
    "unit": "mm",
    "stage": "",
    "looked_over": "",
}
ODD = {
    "vehicle": (" reed", "'=Reed", "Heron\u00a0", "", "two\nlines", "bell\x07", "x" * 1_100),
    "date": ("2026-03-02 ", "2026-03-03", "2026-13-02", ""),
    "odometer": ("62400 km", "-3", ""),
    "corner": ("lf", "RF", "XX", ""),
    "quantity": ("pad-in", "runout", "", "rotors"),
    "unit": ("in", "", "MM", "ell"),
    "stage": ("as-left", "never"),
    "looked_over": ("yes", "?"),
}
VALUES = st.one_of(
    st.sampled_from(
        ("27.4", "27.40 27.41", " 27.4", "27,4", "27.4mm", "1/2", "1 1/2", "x", "", ".")
    ),
    st.text("0123456789., /xmi\t\n\x0b'", max_size=12),
)


def read(text: str, forms: Mapping[str, SheetForm[Row]]) -> list[RowRead[Row]] | str:
    """Return the rows that were read, or what is wrong with the whole."""
    try:
        with open_rows(io.BytesIO(text.encode()), "s.csv", "readings", forms) as (_, rows):
            return list(rows)
    except (BadSheet, InvalidInput) as error:
        return str(error)


def said(rows: list[RowRead[Row]] | str) -> object:
    if isinstance(rows, str):
        return rows
    return [(each.row and asdict(each.row), each.key, each.problems) for each in rows]


def quoted(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"'


@st.composite
def sheets(draw: st.DrawFn) -> str:
    """A sheet whose rows are much like each other, as those of shops are."""
    columns = draw(st.permutations(list(GOOD)))
    lines = [",".join(columns), ",".join(GOOD[name] for name in columns)]
    for _ in range(draw(st.integers(2, 12))):
        row = {**GOOD, "values": draw(VALUES)}
        for _ in range(draw(st.sampled_from((0, 0, 0, 1, 2)))):
            name = draw(st.sampled_from(sorted(ODD)))
            row[name] = draw(st.sampled_from(ODD[name]))
        end = draw(st.sampled_from(("", "", "", ",", ",x")))
        lines.append(",".join(quoted(row[name]) for name in columns) + end)
    return "\n".join(lines) + "\n"


@given(sheets())
def test_a_sheet_says_the_same_read_by_what_is_known_and_in_full(text: str) -> None:
    assert said(read(text, FORMS_TO_FILE)) == said(read(text, IN_FULL))


def test_such_sheets_are_read_by_what_is_known() -> None:
    # Or the test above would compare what is read in full with itself.
    hits: list[str] = []
    once = KnownRows.read

    def seen(self: KnownRows, texts: Sequence[str], source: str) -> ReadingRow | None:
        found = once(self, texts, source)
        hits.extend([source] * (found is not None))
        return found

    @settings(max_examples=50, derandomize=True, database=None)
    @given(sheets())
    def look(text: str) -> None:
        read(text, FORMS_TO_FILE)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(KnownRows, "read", seen)
        look()
    assert len(hits) > 20


def test_a_row_is_known_by_every_cell_of_it_but_its_values() -> None:
    columns = ["vehicle", "date", "odometer", "corner", "quantity", "values", "unit"]
    texts = ["Reed", "2026-03-02", "62400", "LF", "rotor", "27.4", "mm"]
    known = KnownRows(columns)
    assert known.read(texts, "s.csv:2") is None

    known.learn(texts, a_row())

    again = known.read([*texts[:5], "27.5 27.6", "mm"], "s.csv:3")
    assert again is not None
    assert (again.tokens, again.source) == (("27.5", "27.6"), "s.csv:3")
    for place in range(len(columns)):
        other = [*texts]
        other[place] += "x"
        assert known.read(other, "s.csv:4") is None
    assert known.read(texts[:-1], "s.csv:5") is None
    assert known.read([*texts, ""], "s.csv:5") is None


def test_a_sheet_with_a_column_without_a_name_is_read_in_full() -> None:
    head = "vehicle,date,odometer,corner,quantity,values,\n"
    row = "Reed,2026-03-02,62400,LF,rotor,27.4{},{}\n"
    rows = read(head + row.format("", "") + row.format("1", "stray"), FORMS_TO_FILE)

    assert [bool(each.row) for each in rows] == [True, False]  # type: ignore[union-attr]


def test_cells_that_are_long_or_many_fill_no_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(known_rows, "VISITS_KNOWN", 4)
    monkeypatch.setattr(known_rows, "WORDS_KNOWN", 3)
    known = KnownRows(["vehicle", "date", "odometer", "corner", "quantity", "values"])
    row = a_row()
    for number in range(20):
        texts = [f"Reed{number}", "2026-03-02", "62400", f"{'LF':{number + 2}}", "rotor", "27.4"]
        known.learn(texts, row)
        assert len(known._visits) <= 4
        assert len(known._besides) <= 3
        assert known.read(texts, "s.csv:2") is not None
        padded = [f"{texts[0]:1000}", *texts[1:]]
        known.learn(padded, row)
        assert known.read(padded, "s.csv:2") is None
        assert known.read([*texts[:5], "27.4 " * 250], "s.csv:2") is None


def test_a_row_without_values_is_not_kept_in_mind() -> None:
    head = "vehicle,date,odometer,corner,quantity,values,looked_over\n"
    rows = read(
        head + "Reed,2026-03-02,62400,LF,,,yes\nReed,2026-03-02,62400,LF,,27.4,yes\n", FORMS_TO_FILE
    )

    assert [bool(each.row) for each in rows] == [True, False]  # type: ignore[union-attr]


def a_row() -> ReadingRow:
    head, cells = zip(*((name, text) for name, text in GOOD.items() if text), strict=True)
    rows = read(",".join(head) + "\n" + ",".join(cells) + "\n", IN_FULL)
    assert isinstance(rows, list)
    assert isinstance(rows[0].row, ReadingRow)
    return rows[0].row
