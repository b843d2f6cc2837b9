"""The pages about finishing a job say what the program does."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.intake.closing_line import parse_closing_line
from brakelog.intake.context import Context
from brakelog.record.agreement import Consent, How, Work
from brakelog.record.closing import Check
from brakelog.record.reading import Stage
from brakelog.record.torque import Fastener, TorqueUnit
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.closing import Status
from brakelog.rules.closing_item import Gap
from brakelog.rules.tightening import FEWEST, MOST, printed_order
from tests.unit.test_docs import first_cells, keys_of, read, section_of

PAGE = "reference/finish.md"
CLOSING = """\
torque front wheel 110 N·m
check pedal-firm yes
agreed front pads who="Pia Quill" how=phone
declined front rotor who="Pia Quill" how=phone
"""


def rows(pattern: str) -> list[tuple[str, ...]]:
    return re.findall(pattern, read(PAGE), re.MULTILINE)


def test_every_check_is_listed_in_order_with_its_answers_and_what_it_is_about() -> None:
    listed = rows(r"^\| `([a-z-]+)` \| ([a-z ]+) \| [^|]+ \| ([^|]+) \|$")

    assert [(name, about) for name, about, _ in listed] == [
        (check.value, check.facts.scope.value) for check in Check
    ]
    for name, _, answers in listed:
        words = tuple(re.findall(r"[a-z][a-z-]*", answers.replace(", with a note;", "")))
        assert words == Check(name).facts.answers


def test_every_code_is_listed_with_its_kind() -> None:
    listed = rows(r"^\| (F\d{3}) \| (\w+) \|")

    assert listed == [(gap.value, "blank" if gap.is_blank else "failure") for gap in Gap]


def test_the_tightening_orders_are_those_of_the_program() -> None:
    listed = rows(r"^\| (\d+) \| ([\d-]+) \|$")

    assert listed == [(str(n), printed_order(n)) for n in range(FEWEST, MOST + 1)]


def test_every_word_is_explained() -> None:
    text = read(PAGE)
    words = [each.value for kind in (Status, Fastener, Work, How, Consent) for each in kind]
    units = [each.value for each in TorqueUnit]

    assert [word for word in (*words, *units) if f"`{word}`" not in text] == []


def test_every_line_that_is_shown_can_be_read() -> None:
    context = Context(stage=Stage.AS_LEFT, brakes=(AxleBrake.DISC, AxleBrake.DISC))
    block = re.search(r"^```lines\n(.*?)^```$", read(PAGE), re.MULTILINE | re.DOTALL)
    assert block is not None

    for line in block[1].splitlines():
        assert parse_closing_line(line, 1, context) is not None


@pytest.fixture
def runs(tmp_path: Path) -> Callable[..., str]:
    def run(*words: str, typed: str = "") -> str:
        path = str(tmp_path / "s.sqlite")
        result = CliRunner().invoke(build(), ["--store", path, *words], input=typed)
        assert result.exit_code == 0, result.output
        return result.stdout

    return run


def test_every_key_of_the_document_is_described(runs: Callable[..., str]) -> None:
    import json

    runs("vehicle", "add", "CAR-1", "--brakes", "disc")
    found = "LF pad-in 3.2 3.0\nLF pad-out 9.9 9.8\nLF runout 0.03 nuts=5/5 bearing=ok\n"
    runs("measure", "CAR-1", "--odometer", "62400 km", "--unit", "mm", typed=found)
    runs("fit", "CAR-1", "LF", "pads", "new", "--size", "11 mm")
    document = json.loads(runs("finish", "CAR-1", "--json", typed=CLOSING))

    for name in ("open", "checks", "torques", "orders", "agreements", "rechecks"):
        assert document[name], name
    described = set(first_cells(section_of("brakelog.finish/1")))
    assert keys_of(document) - described == set()
