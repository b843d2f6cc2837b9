"""What a command imports: a set of modules is exact where a time would flicker."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = {
    "psycopg",
    "numpy",
    "matplotlib",
    "alembic",
    "jinja2",
    "rich",
    "scipy",
    "pydantic",
    "plotext",
    "babel",
}
_SPY = """
import json, sys
from brakelog.cli.main import main
try:
    main()
except SystemExit as done:
    code = done.code
loaded = sorted({name.partition(".")[0] for name in sys.modules})
sys.stderr.write("\\nLOADED " + json.dumps([code, loaded]))
"""


def loaded_by(*words: str, store: Path) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", _SPY, "--store", str(store), *words],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
        input="",
    )
    code, names = json.loads(done.stderr.rpartition("LOADED ")[2])
    assert code in (0, None), done.stderr
    return set(names)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("startup") / "s.sqlite"
    loaded_by("vehicle", "add", "CAR-1", store=path)
    return path


def test_making_a_store_needs_alembic(tmp_path: Path) -> None:
    assert "alembic" in loaded_by("limits", "sheet", "lark", store=tmp_path / "new.sqlite")


def test_help_needs_no_database(store: Path) -> None:
    assert not loaded_by("--help", store=store) & (HEAVY | {"sqlalchemy"})


@pytest.mark.parametrize("words", [("vehicle", "list"), ("gauge", "list"), ("shop", "show")])
def test_reading_commands_load_nothing_heavy(words: tuple[str, ...], store: Path) -> None:
    assert not loaded_by(*words, store=store) & HEAVY


def test_verdict_loads_nothing_heavy_and_a_text_summary_only_what_writes_to_customers(
    store: Path,
) -> None:
    line = "LF pad-in 3.2 3.0\n"
    subprocess.run(
        [
            sys.executable, "-c", "from brakelog.cli.main import main; main()",
            "--store", str(store), "measure", "CAR-1", "--odometer", "62400 km", "--unit", "mm",
        ],
        input=line, text=True, check=True, capture_output=True,
    )  # fmt: skip

    assert not loaded_by("verdict", "CAR-1", store=store) & HEAVY
    assert loaded_by("verdict", "CAR-1", "--html", "--out", "-", store=store) & HEAVY == {"jinja2"}
    assert loaded_by("summary", "CAR-1", "--text", store=store) & HEAVY == {"babel"}
    assert not loaded_by("runout", "CAR-1", "LF", store=store) & HEAVY


def test_history_loads_what_draws_only_where_it_is_asked_to_draw(
    store: Path, tmp_path: Path
) -> None:
    readings = "LF pad-in 9.0\n"
    loaded_by("vehicle", "add", "CAR-2", store=store)
    subprocess.run(
        [
            sys.executable, "-c", "from brakelog.cli.main import main; main()",
            "--store", str(store), "measure", "CAR-2", "--odometer", "20000 km", "--unit", "mm",
        ],
        input=readings, text=True, check=True, capture_output=True,
    )  # fmt: skip
    picture = str(tmp_path / "wear.svg")

    assert not loaded_by("history", "CAR-2", store=store) & HEAVY
    assert loaded_by("history", "CAR-2", "--draw", store=store) & HEAVY == {"plotext"}
    drawing = loaded_by("history", "CAR-2", "--plot", picture, store=store)
    assert "matplotlib" in drawing
    assert "plotext" not in drawing
