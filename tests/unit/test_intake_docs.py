"""The reference pages say what the program does."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from brakelog.intake.check import OPTIONS
from brakelog.intake.context import Context
from brakelog.intake.finding import OPTIONS as FINDING_OPTIONS
from brakelog.intake.line import read_lines
from brakelog.intake.rows import FORMS
from brakelog.intake.sheet import read_sheet
from brakelog.lengths import LengthUnit
from brakelog.record.finding import Effect, FindingKind
from brakelog.record.gauge import Gauge, GaugeKind
from brakelog.record.limit import LimitKind
from brakelog.record.quantity import Quantity

REFERENCE = Path(__file__).parents[2] / "docs" / "reference"
LINES = (REFERENCE / "typed-lines.md").read_text(encoding="utf-8")
SHEETS = (REFERENCE / "sheets.md").read_text(encoding="utf-8")
M1 = Gauge(
    id="g1",
    tag="M1",
    kind=GaugeKind.MICROMETER,
    unit=LengthUnit.MM,
    resolution_nm=1000,
    resolution_text="0.001",
)
SHOP = Context(gauges={"m1": M1}, people={"am": "p1"}, declared=LengthUnit.MM)


def blocks(text: str, word: str) -> list[str]:
    return re.findall(rf"^```{word}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


@pytest.mark.parametrize("block", blocks(LINES, "lines"))
def test_every_example_line_is_understood(block: str) -> None:
    said = [line for line in block.splitlines() if not line.startswith("#")]

    assert len(read_lines(io.StringIO(block), SHOP)) == len(said)


@pytest.mark.parametrize("block", blocks(SHEETS, "csv"))
def test_every_example_sheet_is_read(block: str) -> None:
    sheet = read_sheet(io.StringIO(block), "example.csv")

    assert len(sheet.rows) == len(block.splitlines()) - 1


def test_there_is_an_example_of_every_kind_of_sheet() -> None:
    kinds = {read_sheet(io.StringIO(each), "x.csv").kind for each in blocks(SHEETS, "csv")}

    assert kinds == set(FORMS)
    assert len(blocks(LINES, "lines")) == 5


def test_every_word_is_listed() -> None:
    words = [*(each.value for each in Quantity), *(each.value for each in FindingKind)]
    prose = re.sub(r"^```.*?^```", "", LINES, flags=re.MULTILINE | re.DOTALL)
    listed = set(re.findall(r"`([^`]+)`", prose))

    assert set(words) - listed == set()
    assert {name for name in (*OPTIONS, *FINDING_OPTIONS) if f"`{name}=" not in LINES} == set()


def test_every_finding_that_can_be_put_right_is_named() -> None:
    """Those and no others: the sentence about ``fixed=yes`` lists them."""
    sentence = next(line for line in LINES.splitlines() if line.startswith("It is for what is put"))
    named = set(re.findall(r"`([^`]+)`", sentence))

    assert named == {each.value for each in FindingKind if each.facts.effect is Effect.CORRECT}


@pytest.mark.parametrize("kind", FORMS)
def test_every_column_is_listed(kind: str) -> None:
    section = SHEETS.split(f"\n## {kind.capitalize()}\n")[1].split("\n## ")[0]
    table = [line for line in section.splitlines() if line.startswith("| `")]
    listed = [name for line in table for name in re.findall(r"`(\w+)`", line.split("|")[1])]
    needed = [
        name
        for line in table
        if line.split("|")[3].strip() == "yes"
        for name in re.findall(r"`(\w+)`", line.split("|")[1])
    ]

    assert listed == list(FORMS[kind].columns)
    assert needed == [name for name in FORMS[kind].columns if name in FORMS[kind].required]
    assert kind != "limits" or all(f"`{each.value}`" in section for each in LimitKind)
