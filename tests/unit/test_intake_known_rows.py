"""Rows that are read by what earlier ones said say exactly what they would say read in full."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import asdict, replace

from hypothesis import given
from hypothesis import strategies as st

from brakelog.errors import BadSheet, InvalidInput
from brakelog.intake.known_rows import KnownRows
from brakelog.intake.rows import FORMS_TO_FILE, Row, SheetForm
from brakelog.intake.sheet import RowRead, open_rows

IN_FULL: Mapping[str, SheetForm[Row]] = {
    kind: replace(form, known=None) for kind, form in FORMS_TO_FILE.items()
}
COLUMNS = ("vehicle", "date", "odometer", "corner", "quantity", "values", "unit", "note", "stage")
CELLS = {
    "vehicle": ("Reed", " reed", "'=Reed", "Heron\u00a0", "", "two\nlines", "bell\x07"),
    "date": ("2026-03-02", "2026-03-02 ", "2026-13-02", ""),
    "odometer": ("62400", "62400 km", "-3", ""),
    "corner": ("LF", "lf", "XX", ""),
    "quantity": ("rotor", "pad-in", "runout", "", "rotors"),
    "unit": ("mm", "in", "", "MM", "ell"),
    "note": ("",),
    "stage": ("", "as-left", "never"),
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


@given(st.data())
def test_a_sheet_says_the_same_read_by_what_is_known_and_in_full(data: st.DataObject) -> None:
    columns = data.draw(st.permutations([name for name in COLUMNS if name != "note"]))
    lines = [",".join(columns)]
    for _ in range(data.draw(st.integers(1, 12))):
        row = {name: data.draw(st.sampled_from(CELLS[name])) for name in columns if name in CELLS}
        row["values"] = data.draw(VALUES)
        lines.append(
            ",".join(quoted(row[name]) for name in columns)
            + data.draw(st.sampled_from(("", ",", ",x")))
        )
    text = "\n".join(lines) + "\n"

    assert said(read(text, FORMS_TO_FILE)) == said(read(text, IN_FULL))


def test_a_row_is_known_by_every_cell_of_it_but_its_values() -> None:
    columns = ["vehicle", "date", "odometer", "corner", "quantity", "values", "unit"]
    texts = ["Reed", "2026-03-02", "62400", "LF", "rotor", "27.4", "mm"]
    known = KnownRows(columns)
    assert known.read(texts, "s.csv:2") is None

    rows = read(",".join(columns) + "\n" + ",".join(texts) + "\n", IN_FULL)
    known.learn(texts, rows[0].row)  # type: ignore[union-attr,arg-type]

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
