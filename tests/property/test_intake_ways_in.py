"""The same readings mean the same, whichever way they come in."""

from __future__ import annotations

import csv
import io
from contextlib import suppress
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.errors import BrakelogError
from brakelog.intake.cell import protect, unprotect
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, ReadingEntry
from brakelog.intake.guided import Guided
from brakelog.intake.line import parse_line, read_lines
from brakelog.intake.outcome import Accepted, Blank, CornerReady, WentBack
from brakelog.intake.reading_row import ReadingRow, row_entries
from brakelog.intake.sheet import SHEET_KINDS, read_sheet, template
from brakelog.lengths import LengthUnit
from brakelog.record.draft import DraftEntry
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import DISC_QUANTITIES, Quantity
from brakelog.record.vehicle import AxleBrake

BRAKES = (AxleBrake.DISC, AxleBrake.DRUM)
M1 = Gauge(
    id="g1",
    tag="M1",
    kind=GaugeKind.MICROMETER,
    unit=LengthUnit.MM,
    resolution_nm=1000,
    resolution_text="0.001",
    used_for=frozenset({Quantity.ROTOR}),
    tips=Tips.POINTED,
)
CONTEXTS = st.builds(
    Context,
    gauges=st.sampled_from([{}, {"m1": M1}]),
    declared=st.sampled_from([LengthUnit.MM, None]),
    brakes=st.just(BRAKES),
)


def numbers(least: int, most: int) -> st.SearchStrategy[str]:
    """Values with a unit, in mm and inches, and points left out."""
    mm = st.integers(least, most).map(lambda um: f"{um // 1000}.{um % 1000:03d} mm")
    inch = st.integers(least, most).map(lambda um: f"{um / 25_400:.4f}in")
    fraction = st.integers(least, most).map(lambda um: f'{um * 64 // 25_400}/64"')
    return st.one_of(mm, inch, fraction, st.just("x"))


ANSWERS = st.fixed_dictionaries(
    {
        Quantity.PAD_INNER: st.lists(numbers(100, 15_000), min_size=2, max_size=2),
        Quantity.PAD_OUTER: st.lists(numbers(100, 15_000), min_size=2, max_size=2),
        Quantity.ROTOR: st.lists(numbers(8_000, 45_000), min_size=9, max_size=9),
        Quantity.RUNOUT: st.lists(numbers(0, 900), min_size=1, max_size=1),
        Quantity.SCORING: st.lists(numbers(0, 900), min_size=1, max_size=1),
    }
)
NUTS = st.sampled_from(["", "5/5", "3 of 4"])
YES_NO = st.sampled_from(["", "y", "n", "ok"])
FINDINGS = st.lists(st.sampled_from(["crack", "stuck-slide lower pin", "leak wet  hose"]))


@settings(max_examples=150, deadline=None)
@given(
    context=CONTEXTS,
    answers=ANSWERS,
    again=numbers(8_000, 45_000),
    nuts=NUTS,
    bearing=YES_NO,
    back=YES_NO,
    lip=YES_NO,
    findings=FINDINGS,
    looked_over=st.booleans(),
    stops=st.sets(st.integers(0, 30), max_size=3),
    slips=st.sets(st.integers(0, 30), max_size=3),
)
def test_answers_file_what_typed_lines_would(
    context: Context,
    answers: dict[Quantity, list[str]],
    again: str,
    nuts: str,
    bearing: str,
    back: str,
    lip: str,
    findings: list[str],
    looked_over: bool,
    stops: set[int],
    slips: set[int],
) -> None:
    typed: list[str] = []
    lines: list[str] = []
    for quantity in DISC_QUANTITIES:
        values = answers[quantity]
        # A line asks back where some of its values carry inches and others no unit at all.
        in_inches = any(text.endswith(("in", '"')) for text in values)
        if context.declared is not None and not in_inches:
            values = [text.removesuffix(" mm") for text in values]
        typed += values
        said = ""
        if quantity is Quantity.ROTOR and values[0] != "x":
            said = f' again="{again}"' if again != "x" else ""
            typed.append(again)
            if not has_pointed_tips(context):
                typed.append(lip)
                said += f" lip={lip}" if lip else ""
        if quantity is Quantity.RUNOUT and values[0] != "x":
            typed += [nuts, bearing, back]
            options = {"nuts": nuts, "bearing": bearing, "back": back}
            said = "".join(f' {name}="{text}"' for name, text in options.items() if text)
        lines.append(f"LF {quantity.value} {' '.join(values)}{said}")
    typed += [*findings, "", "y" if looked_over else ""]
    lines += [f"LF finding {text}" for text in findings]
    lines += ["LF looked-over"] if looked_over else []
    expected = [entry for text in lines if (entry := parse_line(text, 1, context))]

    assert bare(guided_through(context, typed, stops, slips)) == bare(expected)


def has_pointed_tips(context: Context) -> bool:
    """Whether a lip is not asked about, because the tips reach past it."""
    gauge = context.gauge_for(Quantity.ROTOR)
    return gauge is not None and gauge.tips is Tips.POINTED


def guided_through(
    context: Context, typed: list[str], stops: set[int], slips: set[int]
) -> list[Entry]:
    """Answer everything, starting again from the draft and taking answers back here and there."""
    draft: dict[str, DraftEntry] = {}
    guided = Guided(brakes=BRAKES, context=context)
    for at, text in enumerate(typed):
        give(guided, text, draft)
        if at in slips:
            outcome = guided.answer("-")
            assert isinstance(outcome, WentBack)
            del draft[outcome.key]
            give(guided, text, draft)
        if at in stops:
            guided = Guided(brakes=BRAKES, context=context, draft=draft.values())
    outcome = guided.answer("")
    assert isinstance(outcome, CornerReady)
    return list(outcome.entries)


def give(guided: Guided, text: str, draft: dict[str, DraftEntry]) -> None:
    outcome = guided.answer(text)
    if not isinstance(outcome, Accepted | Blank):
        outcome = guided.answer(text)
    assert isinstance(outcome, Accepted | Blank)
    kept = (outcome.entry,) if isinstance(outcome, Accepted) else outcome.entries
    draft.update({entry.key: entry for entry in kept})


def bare(entries: list[Entry]) -> list[Entry]:
    """The entries without where they were typed."""
    return [replace(entry, source="") for entry in entries]


@settings(max_examples=100, deadline=None)
@given(
    answers=ANSWERS,
    delimiter=st.sampled_from([",", ";", "\t"]),
    context=CONTEXTS,
)
def test_a_sheet_says_what_typed_lines_would(
    answers: dict[Quantity, list[str]], delimiter: str, context: Context
) -> None:
    text = io.StringIO()
    writer = csv.writer(text, delimiter=delimiter)
    writer.writerow(["vehicle", "date", "odometer", "corner", "quantity", "values"])
    for quantity, values in answers.items():
        writer.writerow(["WEND", "2026-03-02", "62400", "LF", quantity.value, " ".join(values)])
    sheet = read_sheet(io.BytesIO(text.getvalue().encode()), "sheet.csv")
    lines = "".join(f"LF {each.value} {' '.join(values)}\n" for each, values in answers.items())
    found: list[Entry] = []
    for row in sheet.rows:
        assert isinstance(row, ReadingRow)
        found += row_entries(row, context)

    assert bare(found) == bare(read_lines(io.StringIO(lines), context))


@settings(max_examples=300, deadline=None)
@given(text=st.text(alphabet=st.sampled_from("LFRx 0123456789.,/-=\"'#\tmpad-inrotfge\x00é")))
def test_a_line_is_understood_or_refused_and_never_breaks(text: str) -> None:
    with suppress(BrakelogError):
        entry = parse_line(text, 1, Context(declared=LengthUnit.MM))
        if isinstance(entry, ReadingEntry):
            assert len(entry.values_nm) == len(entry.typed) > 0


@settings(max_examples=300, deadline=None)
@given(
    body=st.binary(max_size=200)
    | st.text(alphabet=st.sampled_from("a1,;\"\n\r\t'=-.é")).map(str.encode),
    kind=st.sampled_from([*SHEET_KINDS, None]),
    has_header=st.booleans(),
)
def test_a_sheet_is_read_or_refused_and_never_breaks(
    body: bytes, kind: str | None, has_header: bool
) -> None:
    head = template(kind).encode() if kind and has_header else b""
    with suppress(BrakelogError):
        read_sheet(io.BytesIO(head + body), "sheet.csv", kind)


@settings(max_examples=300, deadline=None)
@given(answers=st.lists(st.text(max_size=20) | st.sampled_from(["", "-", "3.2", "27.4", "skip"])))
def test_guided_entry_takes_anything_and_never_breaks(answers: list[str]) -> None:
    guided = Guided(brakes=BRAKES, context=Context(declared=LengthUnit.MM))
    for text in answers:
        question = guided.question
        assert question is not None
        assert len(question.prompt) <= 80
        guided.answer(text)


@settings(max_examples=300)
@given(st.text(alphabet=st.sampled_from("'=+-@a1 ")))
def test_protection_is_undone_exactly(text: str) -> None:
    assert unprotect(protect(text)) == text
