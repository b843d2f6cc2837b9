"""What the page about the store says of its columns and seals is so."""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from brakelog.store.opening import open_store
from brakelog.store.tables import EVIDENCE, metadata
from tests.unit.store_examples import fill

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "store.md").read_text("utf-8")
COLUMNS = dict(
    re.findall(r"^\| `(\w+)` \| (.+?) \| .+ \|$", PAGE.split("\n## Columns\n")[1], re.MULTILINE)
)


def tables_in(words: str) -> set[str]:
    """The tables that a row names; the word evidence stands for all of evidence."""
    named = set(re.findall("`([^`]+)`", words))
    if words.startswith("all but"):
        return set(metadata.tables) - named
    return named | ({table.name for table in EVIDENCE} if words.startswith("evidence") else set())


def test_every_column_is_explained_and_nothing_else() -> None:
    assert COLUMNS.keys() == {
        column.name for table in metadata.tables.values() for column in table.columns
    }


@pytest.mark.parametrize("name", sorted(COLUMNS))
def test_a_column_is_where_the_page_says(name: str) -> None:
    where = {table.name for table in metadata.tables.values() if name in table.c}
    count = re.fullmatch(r"(\d+) tables", COLUMNS[name])

    if count:
        assert int(count[1]) == len(where)
    else:
        assert tables_in(COLUMNS[name]) == where


@pytest.fixture
def program(tmp_path: Path) -> Path:
    (body,) = re.findall(r"^```python check_seals.py\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    (tmp_path / "check_seals.py").write_text(body, "utf-8")
    return tmp_path / "check_seals.py"


def faults(program: Path, path: Path) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-I", str(program), str(path)], capture_output=True, text=True, check=True
    )
    return done.stdout.splitlines()


def test_anyone_can_check_the_seals_with_the_lines_of_the_page(
    program: Path, tmp_path: Path
) -> None:
    path = tmp_path / "store.sqlite"
    with open_store(path) as store:
        fill(store)
    assert faults(program, path) == []

    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE people SET name = 'Eve'")
    assert len(faults(program, path)) == 1

    with sqlite3.connect(path) as connection:
        connection.execute("DROP TRIGGER findings_no_delete")
        connection.execute("DELETE FROM findings")
    connection.close()
    assert any("breaks after" in fault for fault in faults(program, path))
