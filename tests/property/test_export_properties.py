"""Whatever somebody typed, an export gives it back character for character."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brakelog.errors import BrakelogError, InvalidInput
from brakelog.store.merge_plan import Settled
from brakelog.store.opening import open_store
from brakelog.store.raw_rows import WHOLE_STORE, RawRows
from brakelog.workshop.export_cells import from_cell, to_cell
from brakelog.workshop.exporting import ONE_FILE, export_store
from brakelog.workshop.moving import take_in
from tests.unit.store_examples import a_set, a_vehicle, a_visit

hostile = st.one_of(
    st.sampled_from(
        [
            *("", "'", "''", "=1+1", "=cmd|' /C calc'!A0", "+1", "-5", "@SUM(A1)", "\t=1", "\r=1"),
            *("＝1", "－1", "a\r\nb", "\r", "\n", '"', '""', '","', ",", ";=1", " ", "\ufeff"),
            *("שלום עולם", "\u202e1.5 mm", "\U0001f697\u200d\U0001f6e0\ufe0f", "e\u0301", "\x7f"),
            *("\x1b[31m", "NULL", "0", "00", "-0", "1e5", "TRUE", "\u2028", "\ud7ff", "\uffff"),
        ]
    ),
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=40),
)
integers = st.integers(-(2**63), 2**63 - 1)
quick = settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@given(text=hostile | st.none())
def test_a_text_comes_back_through_its_cell(text: str | None) -> None:
    assert from_cell(to_cell(text), is_number=False) == text


@given(texts=st.lists(hostile | st.none(), min_size=2, max_size=5))
def test_a_row_comes_back_through_a_sheet(texts: list[str | None]) -> None:
    stream = io.StringIO(newline="")
    csv.writer(stream, lineterminator="\r\n").writerow([to_cell(text) for text in texts])
    (cells,) = csv.reader(io.StringIO(stream.getvalue(), newline=""), strict=True)

    assert [from_cell(cell, is_number=False) for cell in cells] == texts


@given(number=integers | st.none())
def test_a_number_comes_back_through_its_cell(number: int | None) -> None:
    assert from_cell(to_cell(number), is_number=True) == number


@given(text=hostile)
def test_no_cell_begins_like_a_formula(text: str) -> None:
    assert to_cell(text)[0].isalnum() or to_cell(text)[0] in "'[{(\"_/.#"


@quick
@given(
    words=st.lists(hostile, min_size=1, max_size=4),
    typed=st.lists(hostile, max_size=4),
    value=integers,
    as_json=st.booleans(),
)
def test_a_store_comes_back_through_an_export(
    words: list[str], typed: list[str], value: int, as_json: bool
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with open_store(folder / "a.sqlite") as one, open_store(folder / "b.sqlite") as other:
            with one.writing():
                one.add_vehicle(a_vehicle("v", description=words[0], plate=words[-1]))
                one.add_visit(a_visit("a", "v", odometer_text=words[0]))
                for word in words:
                    one.add_complaint("a", word)
                values = tuple(value for _ in typed)
                taken = a_set("s", values_nm=values, typed=tuple(typed), zero_error_nm=value)
                one.add_reading_sets([taken])
            export_store(one, folder / "out", as_json=as_json)
            take_in(other, folder / "out", is_dry=False, settled=Settled())
            here, there = RawRows(one), RawRows(other)
            with one.reading(), other.reading():
                for table in WHOLE_STORE:
                    assert list(here.raw_rows(table)) == list(there.raw_rows(table))
                assert here.chain_ends() == there.chain_ends()
            assert list(other.reading_sets_of_visit("a")) == list(one.reading_sets_of_visit("a"))


@pytest.mark.parametrize("bad", ["a\0b", "\ud800", "x\udfffy"])
def test_what_is_no_text_is_refused_on_the_way_in(bad: str, tmp_path: Path) -> None:
    with open_store(tmp_path / "a.sqlite") as store:
        store.add_vehicle(a_vehicle("v"))
        with pytest.raises(InvalidInput):
            store.add_visit(a_visit("a", "v", complaint=bad))
        store.add_visit(a_visit("a", "v", complaint="good"))
        export_store(store, tmp_path / "out", as_json=True)
    file = tmp_path / "out" / ONE_FILE
    file.write_text(file.read_text("utf-8").replace('"good"', json.dumps(bad)), "utf-8")

    with open_store(tmp_path / "b.sqlite") as other:
        with pytest.raises(BrakelogError):
            take_in(other, tmp_path / "out", is_dry=False, settled=Settled())
        assert RawRows(other).is_blank()
