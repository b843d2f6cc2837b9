"""Typed lines."""

from __future__ import annotations

import io
import tracemalloc

import pytest

from brakelog.errors import BadSheet, InvalidInput
from brakelog.intake.context import Context
from brakelog.intake.entry import Entry, FindingEntry, LookedOver, ReadingEntry
from brakelog.intake.line import LONGEST_LINE, parse_line, read_lines
from brakelog.lengths import NM_PER_MM, LengthUnit
from brakelog.record.corner import parse_corner
from brakelog.record.finding import FindingKind
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.record.vehicle import AxleBrake

M1 = Gauge(
    id="g1",
    tag="M1",
    kind=GaugeKind.MICROMETER,
    unit=LengthUnit.INCH,
    resolution_nm=2540,
    resolution_text="0.0001",
    used_for=frozenset({Quantity.ROTOR}),
    tips=Tips.POINTED,
)
MM = Context(declared=LengthUnit.MM, people={"am": "p1"})
SHOP = Context(gauges={"m1": M1}, declared=LengthUnit.MM, people={"am": "p1"})


def reading(text: str, context: Context = MM) -> ReadingEntry:
    entry = parse_line(text, 1, context)
    assert isinstance(entry, ReadingEntry)
    return entry


def finding(text: str, context: Context = MM) -> FindingEntry:
    entry = parse_line(text, 1, context)
    assert isinstance(entry, FindingEntry)
    return entry


def test_values_in_the_order_taken_with_the_text_as_typed() -> None:
    entry = reading("LF rotor 27.402 27,404 X 27.405 tips=pointed temp=31 again=27.403 by=AM")

    assert entry.values_nm == (27_402_000, 27_404_000, None, 27_405_000)
    assert entry.typed == ("27.402", "27,404", "", "27.405")
    assert entry.tips is Tips.POINTED
    assert entry.temperature_dc == 310
    assert (entry.again_nm, entry.again_typed) == (27_403_000, "27.403")
    assert entry.person == "am"
    assert entry.source == "standard input:1"
    assert entry.stage is Stage.AS_FOUND


def test_runout_with_its_conditions() -> None:
    entry = reading("rf runout 0.031 nuts=5/5 bearing=ok back=yes")

    assert entry.values_nm == (31_000,)
    assert (entry.fasteners_fitted, entry.fasteners_of) == (5, 5)
    assert entry.bearing_checked is True
    assert entry.returned_to_start is True


@pytest.mark.parametrize(
    ("text", "values_nm"),
    [
        ("LF runout 2 thou", (50_800,)),
        ('LF rotor 27.4 mm 1.0791 in 1.0791 "', (27_400_000, 27_409_140, 27_409_140)),
        ('LF rotor 1-1/16"', (26_987_500,)),
        ("LF rotor 1.0791 1.0792 unit=in", (27_409_140, 27_411_680)),
        ("LF runout 31 µm", (31_000,)),
        ('LF pad-in 7/32" 5.5 mm', (5_556_250, 5_500_000)),
        ("LF pad-in 3mm 7/32 in", (3_000_000, 5_556_250)),
    ],
)
def test_a_unit_belongs_to_the_number_before_it(text: str, values_nm: tuple[int, ...]) -> None:
    assert reading(text).values_nm == values_nm


def test_a_unit_behind_an_option_belongs_to_the_option() -> None:
    entry = reading('LF rotor 27.4 radius=13 mm zero=-0.001 in again=1.0787 " temp=88 F 27.5')

    assert entry.radius_nm == 13 * NM_PER_MM
    assert entry.zero_error_nm == -25_400
    assert entry.again_nm == 27_398_980
    assert entry.temperature_dc == 311
    assert entry.values_nm == (27_400_000, 27_500_000)


def test_a_quoted_value_may_hold_blanks_and_inch_marks() -> None:
    assert reading('LF hub-runout 0.02 radius="60 mm"').radius_nm == 60 * NM_PER_MM
    assert reading('LF rotor 27.4 radius="1/2""').radius_nm == 12_700_000


@pytest.mark.parametrize("word", ["as-left", "AS-LEFT", "stage=as-left"])
def test_the_stage_stands_anywhere(word: str) -> None:
    assert reading(f"LF {'rotor'} {word} 27.4").stage is Stage.AS_LEFT


def test_a_declared_unit_that_the_gauge_does_not_give_is_asked_about() -> None:
    """SHOP declares mm, and M1 gives inches: nobody can tell what a bare number means."""
    with pytest.raises(InvalidInput, match="mm is declared, and M1 gives in"):
        reading("LF rotor 1.0791", SHOP)


@pytest.mark.parametrize("line", ["LF rotor 1.0791 gauge=M1", 'LF rotor 1.0791"'])
def test_a_gauge_brings_its_unit_and_tips(line: str) -> None:
    entry = reading(line, SHOP)

    assert entry.gauge is M1
    assert entry.unit is LengthUnit.INCH
    assert entry.tips is Tips.POINTED
    assert entry.values_nm == (27_409_140,)


def test_the_unit_of_the_line_goes_before_that_of_the_gauge() -> None:
    assert reading("LF rotor 27.4 unit=mm", SHOP).values_nm == (27_400_000,)


def test_no_gauge_leaves_the_declared_unit() -> None:
    entry = reading("LF rotor 27.4 gauge=none", SHOP)

    assert entry.gauge is None
    assert entry.unit is LengthUnit.MM
    assert entry.tips is None


def test_two_gauges_for_one_quantity_are_no_default() -> None:
    context = Context(gauges={"m1": M1, "m2": M1})

    assert context.gauge_for(Quantity.ROTOR) is None


def test_linings_are_read_without_the_plate_unless_said() -> None:
    assert reading("LF pad-in 3.2 3.0").datum is Datum.LINING
    assert reading("LF pad-in 9.2 9.0 datum=plate").datum is Datum.WITH_PLATE
    assert reading("LF rotor 27.4").datum is None


def test_nothing_measured_is_kept_as_such() -> None:
    entry = reading("LF rotor x x x", Context())

    assert entry.values_nm == (None, None, None)
    assert entry.typed == ("", "", "")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("LF", "ends behind the corner"),
        ("LX rotor 27.4", "not a corner"),
        ("LF roter 27.4", "not a quantity"),
        ("LF rotor", "no value typed"),
        ("LF rotor mm", "behind no number"),
        ("LF rotor x mm", "behind no number"),
        ("LF rotor 27.4 gague=M1", "'gague' is not known"),
        ("LF rotor 27.4 gauge=M9", "no gauge 'M9'"),
        ("LF rotor 27.4 gauge=", "nothing stands behind gauge="),
        ("LF rotor 27.4 by=ZZ", "nobody called 'ZZ'"),
        ("LF rotor 27.4 tips=flat tips=flat", "tips is said twice"),
        ("LF rotor 27.4 as-left stage=as-found", "stage is said twice"),
        ('LF rotor 27.4 radius="13 mm', "is not closed"),
        ("LF rotor 274", "a rotor thickness is never that"),
        ("LF rotor -27.4", "below zero"),
        ("LF rotor 27.4.1", "two decimal points"),
        ("LF rotor -", "not a number"),
        ("LF rotor 27/32", "fraction without a unit"),
        ("LF drum-open 9 1/16 unit=in", "one value or two"),
        ("LF runout 0.03 0.04", "2 values typed"),
        ("LF runout 0.03 nuts=6/5", "cannot be fitted"),
        ("LF runout 0.03 nuts=five", "does not say the fasteners"),
        ("LF runout 0.03 bearing=maybe", "neither yes nor no"),
        ("LF runout 0.03 tips=flat", "tips does not belong to runout"),
        ("LF rotor 27.4 nuts=5/5", "nuts does not belong to rotor"),
        ("LF rotor 27.4 datum=plate", "datum does not belong"),
        ("LF pad-in 3.2 radius=10", "radius does not belong"),
        ("LF hub-runout 0.02", "needs the radius"),
        ("LF hub-runout 0.02 radius=0", "no radius"),
        ("LF rotor 27.4 zero=3", "more than 0.5 mm"),
        ("LF rotor 27.4 temp=701", "no temperature of a brake"),
        ("LF rotor 27.4 temp=-41", "no temperature of a brake"),
        ("LF rotor x 27.4 again=27.4", "first point was not measured"),
        ("LF rotor 27.4 again=1.7", "again: '1.7' read in mm"),
        ("LF rotor " + "27.4 " * 501, "501 values are too many"),
        ("LF rotor 27.4\x00", "no text"),
        ("LF finding", "no finding typed"),
        ("LF finding stuck slide", "'stuck' is not a finding"),
        ("LF finding crack part=pads", "cannot be found on pads"),
        ("LF finding crack prat=rotor", "'prat' is not known"),
        ("LF finding other", "needs a note"),
        ("LF finding crack " + "x" * 2_001, "more than 2000 characters"),
        ("LF looked-over yes", "behind looked-over"),
    ],
)
def test_refused_with_its_reason(text: str, words: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        parse_line(text, 1, MM)

    assert words in str(caught.value)
    assert caught.value.hint


def test_a_number_without_any_unit_is_asked_back() -> None:
    with pytest.raises(InvalidInput, match=r"unit of '27\.4' cannot be told"):
        parse_line("LF rotor 27.4", 1, Context())


def test_a_slip_of_the_keys_is_named() -> None:
    with pytest.raises(InvalidInput) as caught:
        parse_line("LF rotor 27.4 gague=M1", 1, MM)

    assert caught.value.hint == "did you mean gauge?"


def test_findings_keep_their_note_as_typed() -> None:
    entry = finding("RF finding stuck-slide by=AM as-left lower pin,  inboard = wet")

    assert entry.kind is FindingKind.STUCK_SLIDE
    assert entry.part is Part.PADS
    assert entry.note == "lower pin,  inboard = wet"
    assert entry.person == "am"
    assert entry.stage is Stage.AS_LEFT


def test_the_brake_decides_the_part_of_a_finding() -> None:
    brakes = (AxleBrake.DISC, AxleBrake.DRUM)
    context = Context(declared=LengthUnit.MM, brakes=brakes)

    assert finding("LF finding crack").part is None
    assert finding("LF finding crack", context).part is Part.ROTOR
    assert finding("LR finding crack", context).part is Part.DRUM
    assert finding("LR finding other part=shoes squeals", context).part is Part.SHOES
    with pytest.raises(InvalidInput, match="part of other cannot be told"):
        finding("LF finding other squeals", context)
    with pytest.raises(InvalidInput, match="LR has no pads: it has drum brakes"):
        finding("LR finding stuck-slide", context)
    with pytest.raises(InvalidInput, match="LR has no rotor"):
        finding("LR finding crack part=rotor", context)


def test_a_quantity_that_the_brake_does_not_have_is_refused() -> None:
    context = Context(declared=LengthUnit.MM, brakes=(AxleBrake.DISC, AxleBrake.DRUM))

    with pytest.raises(InvalidInput, match="rear has drum brakes"):
        parse_line("LR pad-in 3.2", 1, context)
    with pytest.raises(InvalidInput, match="no corner L3"):
        parse_line("L3 pad-in 3.2", 1, context)
    with pytest.raises(InvalidInput, match="no corner L3"):
        parse_line("L3 looked-over", 1, context)


@pytest.mark.parametrize("text", ["", "   \r\n", "# LF rotor 27.4", "  # note"])
def test_blank_lines_and_comments_say_nothing(text: str) -> None:
    assert parse_line(text, 1, MM) is None


def all_of(text: str, context: Context = MM) -> list[Entry]:
    return read_lines(io.StringIO(text), context)


def problems_of(text: str, context: Context = MM) -> list[str]:
    with pytest.raises(BadSheet) as caught:
        all_of(text, context)
    return [str(problem) for problem in caught.value.problems]


def test_lines_of_one_visit() -> None:
    entries = all_of("\ufeffLF pad-in 3.2 3.0\r\n\n# rear\nRR looked-over\nRR finding leak wet\n")

    assert [entry.source for entry in entries] == [
        "standard input:1",
        "standard input:4",
        "standard input:5",
    ]
    assert isinstance(entries[1], LookedOver)


def test_every_problem_is_reported_with_its_line() -> None:
    found = problems_of("LF roter 27.4\nLF rotor 27.4\nLF rotor 274\nLF rotor 27.5\n")

    assert [each.split(":")[1] for each in found] == ["1", "3", "4"]
    assert "did you mean rotor?" in found[0]
    assert "typed twice, first on line 2" in found[2]


def test_the_same_quantity_as_left_is_another_set() -> None:
    assert len(all_of("LF rotor 27.4\nLF rotor 27.1 as-left\n")) == 2


@pytest.mark.parametrize("text", ["", "\n \n", "# nothing\n"])
def test_nothing_typed_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match="nothing was typed"):
        all_of(text)


def test_bytes_that_are_no_text_are_problems() -> None:
    raw = io.BytesIO(b"LF rotor 27.4\xff\nLF rotor 27.4\x00\nLF pad-in 3.2\x1b[0m\n")
    stream = io.TextIOWrapper(raw, encoding="utf-8", errors="surrogateescape")
    with pytest.raises(BadSheet) as caught:
        read_lines(stream, MM)

    assert [problem.source for problem in caught.value.problems] == [
        f"standard input:{number}" for number in (1, 2, 3)
    ]
    str(caught.value.problems[0]).encode("utf-8")


def test_strict_streams_are_refused_as_no_text() -> None:
    stream = io.TextIOWrapper(io.BytesIO(b"LF rotor \xff\n"), encoding="utf-8")

    with pytest.raises(InvalidInput, match="not UTF-8"):
        read_lines(stream, MM)


def test_a_line_at_the_bound_is_read_and_one_beyond_is_a_problem() -> None:
    line = "LF pad-in 3.2 " + " " * LONGEST_LINE

    assert len(all_of(f"{line[: LONGEST_LINE - 3]}3.0\nRF looked-over\n")) == 2
    assert len(problems_of(f"{line[: LONGEST_LINE - 2]}3.0\nRF looked-over\n")) == 1


def test_a_huge_line_takes_no_memory() -> None:
    raw = io.BytesIO(b"a" * 20_000_000 + b"\nLF pad-in 3.2mm\n")
    stream = io.TextIOWrapper(raw, encoding="utf-8")
    tracemalloc.start()
    with pytest.raises(BadSheet) as caught:
        read_lines(stream, MM)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert len(caught.value.problems) == 1
    assert "10000 characters" in str(caught.value.problems[0])
    assert peak < 3_000_000


def test_no_more_problems_are_listed_than_anybody_reads() -> None:
    with pytest.raises(BadSheet) as caught:
        all_of("junk\n" * 5_000)

    assert len(caught.value.problems) == 1_000
    assert "1000 problems or more" in str(caught.value)


def test_a_stream_without_end_is_refused() -> None:
    with pytest.raises(InvalidInput, match="more than 100000 lines"):
        all_of("\n" * 100_001)


def test_corner_of_a_third_axle() -> None:
    assert reading("L3 drum-open 203.1 203.2").corner == parse_corner("L3")
