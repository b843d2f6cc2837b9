"""One bit of a row tells a text from bytes (file format of SQLite, section 2.1): it is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from tests.faults.pages import Pages
from tests.faults.sample import CAR, small_store, with_bit

ENDS = {0, 4, 7}
"""Answered where it does not rest on the row; no visit where its row belongs to no vehicle any
more; refused else."""


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_store(tmp_path_factory.mktemp("small") / "s.sqlite")


@pytest.mark.parametrize(
    ("tree", "words"),
    [
        ("gauges", ("verdict", CAR)),
        ("gauges", ("gauge", "list")),
        ("vehicles", ("vehicle", "list")),
        ("vehicle_identities", ("vehicle", "list")),
        ("visits", ("verdict", CAR)),
        ("reading_sets", ("verdict", CAR)),
        ("fittings", ("verdict", CAR)),
        ("people", ("verdict", CAR)),
    ],
)
def test_row_with_bytes_for_a_text_is_refused_in_one_line(
    small: Path, tmp_path: Path, tree: str, words: tuple[str, ...]
) -> None:
    content = small.read_bytes()
    path = Path(shutil.copy(small, tmp_path / "s.sqlite"))
    codes = []
    for place in Pages(small).kinds[tree]:
        path.write_bytes(with_bit(content, place, 0))
        done = CliRunner().invoke(build(words[0]), ["--store", str(path), *words])
        assert done.exception is None or isinstance(done.exception, SystemExit), (place, done)
        codes.append(done.exit_code)

    assert set(codes) <= ENDS
    assert 7 in codes
