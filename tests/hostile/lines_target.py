"""Typed lines: of a measurement, of the end of a job, and the answers of guided entry."""

from __future__ import annotations

import io
import re
from pathlib import Path

from brakelog.errors import InvalidInput
from brakelog.intake.check import OPTIONS
from brakelog.intake.closing_line import parse_closing_line
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, FindingEntry, ReadingEntry
from brakelog.intake.finding import parse_kind
from brakelog.intake.guided import Guided
from brakelog.intake.line import read_lines
from brakelog.lengths import LengthUnit, parse_length
from brakelog.record.closing import Check
from brakelog.record.finding import FindingKind
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import AxleBrake
from tests.hostile.parts import as_text, is_clean, is_said_shortly, split

ROOT = Path(__file__).resolve().parents[2]
WORDS = (
    *(each.value for each in Quantity),
    *(each.value for each in FindingKind),
    *(each.value for each in Check),
    *(f"{option}=" for option in OPTIONS),
    *("LF", "RF", "LR", "RR", "L3", "R9", "finding", "looked-over", "torque", "check"),
    *("odometer-out", "untouched", "agreed", "declined", "caliper", "bracket", "wheel", "part="),
    *('"', "x", "mm", "in", "#", "\t", "\x00", "\x1b[31m", "\u202e", "\ufeff", "5/5", "as-left"),
    *("who=", "how=", "gauge=mic", "by=AM", "60 mm", "undo", "back", "gauge mic", "unit in"),
)
MOST_ANSWERS = 40
"""Answers of guided entry in one case; a corner has some twenty."""
_BRAKES = (AxleBrake.DISC, AxleBrake.DRUM)
_MICROMETER = Gauge(
    id="g1",
    tag="mic",
    kind=GaugeKind.MICROMETER,
    unit=LengthUnit.MM,
    resolution_nm=1_000,
    resolution_text="0.001",
    used_for=frozenset({Quantity.ROTOR}),
    tips=Tips.POINTED,
)
_SHOP = Context(
    gauges={"mic": _MICROMETER}, people={"am": "p1"}, declared=LengthUnit.MM, brakes=_BRAKES
)
CONTEXTS = (
    Context(),
    Context(declared=LengthUnit.MM),
    Context(declared=LengthUnit.INCH),
    _SHOP,
)


def seeds() -> list[bytes]:
    """The lines of the documents, and answers of guided entry."""
    pages = ("how-to/type-readings-as-lines", "reference/typed-lines", "how-to/finish-a-job")
    blocks = [
        block
        for page in pages
        for block in re.findall(
            r"```\w*\n(.*?)```", (ROOT / f"docs/{page}.md").read_text(encoding="utf-8"), re.DOTALL
        )
    ]
    points = "\n".join(["27.402"] * 9)
    answers = f"3.2\n3.0\ndatum plate\n3.5\n3.4\n{points}\n27.403\n0.026\n5/5\ny\ny\n0.1\n\ny\n"
    many = "LF rotor " + "27.4 " * 501
    found = [bytes([way]) + block.encode() for way in range(0, 16, 3) for block in blocks]
    return [*found, b"\x0c" + answers.encode(), b"\x03" + many.encode()]


def check(data: bytes) -> None:
    """Read the lines in one of the ways; what is accepted is what was typed."""
    way, rest = split(data)
    context = CONTEXTS[way & 3]
    try:
        if way & 8:
            _answer(as_text(rest), context)
        elif way & 4:
            _finish(as_text(rest), context)
        else:
            _measure(rest, context)
    except InvalidInput as error:
        is_said_shortly(error)


def _measure(data: bytes, context: Context) -> None:
    stream = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8", errors="surrogateescape")
    text = as_text(data)
    for entry in read_lines(stream, context):
        _is_what_was_typed(entry, text)


def _finish(text: str, context: Context) -> None:
    for number, line in enumerate(text.splitlines(), start=1):
        found = parse_closing_line(line, number, context)
        is_clean(found)
        if isinstance(found, ReadingEntry):
            _is_what_was_typed(found, line)


def _answer(text: str, context: Context) -> None:
    guided = Guided(brakes=_BRAKES, context=context, person="AM" if context.people else None)
    for line in text.splitlines()[:MOST_ANSWERS]:
        is_clean(guided.answer(line))
        question = guided.question
        if question is None:
            return
        assert question.prompt
        is_clean(question.summary)
    question = guided.question
    if question is not None:
        is_clean(guided.entries_so_far(question.corner))


def _is_what_was_typed(entry: Entry, text: str) -> None:
    is_clean(entry)
    if isinstance(entry, FindingEntry):
        assert parse_kind(entry.kind.value) is entry.kind
    if not isinstance(entry, ReadingEntry):
        return
    assert len(entry.values_nm) == len(entry.typed) > 0
    closed = "".join(text.split())
    for nm, typed in zip(entry.values_nm, entry.typed, strict=True):
        assert (nm is None) == (typed == "")
        if nm is not None:
            assert "".join(typed.split()) in closed
            assert parse_length(typed, declared=entry.unit, signed=True).nm == nm
