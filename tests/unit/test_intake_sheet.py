"""Sheets."""

from __future__ import annotations

import io
import tracemalloc
from dataclasses import replace
from datetime import date

import pytest

from brakelog.errors import BadSheet, InvalidInput
from brakelog.intake.cell import protect, unprotect
from brakelog.intake.context import Context
from brakelog.intake.entry import FindingEntry, LookedOver, ReadingEntry
from brakelog.intake.finding_row import FindingRow, finding_entry
from brakelog.intake.fitting_row import FittingRow, fitted_sizes
from brakelog.intake.gauge_row import GaugeRow
from brakelog.intake.limit_row import LimitRow, TorqueRow
from brakelog.intake.reading_row import ReadingRow, reading_entry, row_entries
from brakelog.intake.row_key import row_key
from brakelog.intake.rows import FORMS, Row
from brakelog.intake.sheet import SHEET_KINDS, Sheet, read_sheet, template
from brakelog.intake.vehicle_row import VehicleRow
from brakelog.intake.visit_cells import odometer
from brakelog.lengths import NM_PER_MM, DistanceUnit, LengthUnit
from brakelog.record.finding import FindingKind
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.gauge import GaugeKind
from brakelog.record.limit import OutWhen, WhichPad
from brakelog.record.quantity import Part, Position, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.record.vehicle import AxleBrake

MM = Context(declared=LengthUnit.MM, people={"am": "p1"})
READING_HEAD = "vehicle,date,odometer,corner,quantity,values"
READING = "WEND,2026-03-02,62400,LF,pad-in,3.2 3.0"
LIMIT_HEAD = "sheet,axle,limit,figure,other_figure,unit,out_when,datum,which_pad,points,radius"
FITTING_HEAD = "vehicle,date,odometer,corner,part,event,size,unit,basis,from_corner"


def sheet(text: str | bytes, kind: str | None = None) -> Sheet:
    raw = text.encode() if isinstance(text, str) else text
    return read_sheet(io.BytesIO(raw), "test.csv", kind)


def one(text: str, kind: str | None = None) -> Row:
    (row,) = sheet(text, kind).rows
    return row


def problems(text: str | bytes, kind: str | None = None) -> list[str]:
    with pytest.raises(BadSheet) as caught:
        sheet(text, kind)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("kind", SHEET_KINDS)
def test_a_template_is_the_header_of_its_kind(kind: str) -> None:
    text = template(kind)

    assert text == ",".join(FORMS[kind].columns) + "\n"
    with pytest.raises(InvalidInput, match="a header and no rows"):
        sheet(text)


def test_no_template_of_an_unknown_kind() -> None:
    with pytest.raises(InvalidInput, match="not a kind of sheet"):
        template("wheels")
    with pytest.raises(InvalidInput, match="not a kind of sheet") as caught:
        sheet(f"{READING_HEAD}\n{READING}\n", "reading")
    assert caught.value.hint == "did you mean readings?"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_delimiter_mark_and_line_end_are_found(delimiter: str, bom: bytes, end: str) -> None:
    text = f"{READING_HEAD}{end}{READING}{end}".replace(",", delimiter)
    found = sheet(bom + text.encode())

    assert found.kind == "readings"
    assert len(found.rows) == 1


def test_a_text_stream_is_read_too() -> None:
    text = f"\ufeff{READING_HEAD}\n{READING}\n"

    assert read_sheet(io.StringIO(text), "test.csv").kind == "readings"


def test_the_stream_stays_open() -> None:
    stream = io.BytesIO(f"{READING_HEAD}\n{READING}\n".encode())
    read_sheet(stream, "test.csv")

    assert not stream.closed


def test_decimal_commas_between_semicolons() -> None:
    row = one(f"{READING_HEAD}\n{READING}\n".replace(",", ";").replace("3.2 3.0", "3,2 3,0"))

    assert isinstance(row, ReadingRow)
    assert row.tokens == ("3,2", "3,0")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "is empty"),
        (b"\n\n , ,\n", "is empty"),
        (b"\x00\x01\x02", "not UTF-8 text"),
        ("tag,brakes\n".encode("utf-16"), "not UTF-8 text"),
        ("vehicle,date\nM\xfcller\n".encode("latin-1"), "not UTF-8 text"),
        (b"a,b,c\n1,2,3\n", "what kind of sheet"),
        (b"vehicle,date,odometer,corner\n1,2,3\n", "what kind of sheet"),
        (b"x" * 200_000, "more than 100000 characters"),
        (f'{READING_HEAD}\n"{"x" * 60_000}\n{"y" * 60_000}\n'.encode(), "closing quote"),
    ],
)
def test_what_is_no_sheet_is_refused_in_one_sentence(text: bytes, words: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        sheet(text)

    assert words in f"{caught.value} {caught.value.hint}"
    assert "\n" not in str(caught.value)


def test_a_quote_that_never_closes_takes_no_memory() -> None:
    text = f'{READING_HEAD}\n"'.encode() + b"line\n" * 1_000_000
    stream = io.BytesIO(text)
    tracemalloc.start()
    with pytest.raises(InvalidInput, match="more than 100000 characters"):
        read_sheet(stream, "test.csv")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert peak < 3_000_000


def test_quotes_that_do_not_match_are_refused_with_the_line() -> None:
    (found,) = problems(f'{READING_HEAD}\n{READING}\n"WEND"x,2026-03-02,1,LF,pad-in,3.2\n')

    assert found.startswith("test.csv:3: quotes do not match")


def test_an_over_long_cell_is_a_problem() -> None:
    (found,) = problems(f"{READING_HEAD},complaint\n{READING},{'x' * 30_000}\n")

    assert found == "test.csv:2: a cell has more than 20000 characters"


def test_header_problems_are_reported_together() -> None:
    found = problems("vehicle,date,odomter,corner,quantity,corner\n")

    assert found == [
        "test.csv:1: there is no column 'odomter' in readings; did you mean odometer?",
        "test.csv:1: the column corner is there twice",
        "test.csv:1: the column odometer is missing",
        "test.csv:1: the column values is missing",
    ]


def test_column_names_are_read_in_either_case_with_blanks_or_dashes() -> None:
    text = f"{READING_HEAD},Zero Error,LOOKED-OVER\n{READING},'-0.01,yes\n"
    row = one(text)

    assert isinstance(row, ReadingRow)
    assert row.beside.options == {"zero": "-0.01"}
    assert row.beside.looked_over


def test_all_problems_of_all_rows_with_their_lines() -> None:
    found = problems(
        f"{READING_HEAD},complaint\n"
        "WEND,2.3.2026,62.400,LX,pad-in,3.2,\n"
        'WEND,2026-03-02,62400,LF,pad-in,3.2 3.0,"two\nlines"\n'
        ",2026-02-30,62400,LF,pads,3.2 3.0,\n"
        "WEND,2026-03-02,62400,LF,rotor,27.4.1 2,\n"
    )

    assert [each.split(": ")[0] for each in found] == [
        "test.csv:2",
        "test.csv:2",
        "test.csv:2",
        "test.csv:5",
        "test.csv:5",
        "test.csv:5",
        "test.csv:6",
    ]
    assert "year-month-day, such as 2026-03-02" in found[0]
    assert "62400? An odometer is a whole number" in found[1]
    assert "vehicle is empty" in found[3]
    assert "there is no day" in found[4]


def test_blank_rows_and_trailing_delimiters_are_passed_over() -> None:
    text = f"\n{READING_HEAD},,\n\n,,,,,,,\n{READING},,\n"

    row = one(text)

    assert row.source == "test.csv:5"


def test_a_filled_cell_without_a_column_is_a_problem() -> None:
    assert "column without a name" in problems(f"{READING_HEAD},\n{READING},x\n")[0]
    assert "7 cells in a row" in problems(f"{READING_HEAD}\n{READING},x\n")[0]


def test_control_characters_are_a_problem() -> None:
    (found,) = problems(f"{READING_HEAD},complaint\n{READING},\x1b[31mred\n")

    assert "complaint holds control characters" in found


def test_the_same_row_twice_is_a_problem_whatever_it_looks_like() -> None:
    again = "wend, 2026-03-02 ,62400,lf,pad-in,3.2  3.0"
    (found,) = problems(f"{READING_HEAD}\n{READING}\n{again}\n")

    assert found == "test.csv:3: listed twice, first on line 2"


def test_no_more_problems_are_listed_than_anybody_reads() -> None:
    assert len(problems(f"{READING_HEAD}\n" + "junk\n" * 3_000)) == 1_000


@pytest.mark.parametrize("text", ["=1", "'=1", "+1", "-1", "@a", "''@a", "1", "'tis", "", "'"])
def test_protection_is_undone_exactly(text: str) -> None:
    assert unprotect(protect(text)) == text


def test_vehicle() -> None:
    row = one(
        "tag,description,brakes,odometer_unit,sheet,plate,vin,customer,customer_contact\n"
        "WEND,Orrin Wend 1.4,disc/drum,km,wend-14,BK 12,,A. Hale,555-0101\n"
    )

    assert row == VehicleRow(
        source="test.csv:2",
        tag="WEND",
        description="Orrin Wend 1.4",
        brakes=(AxleBrake.DISC, AxleBrake.DRUM),
        odometer_unit=DistanceUnit.KM,
        sheet="wend-14",
        plate="BK 12",
        customer="A. Hale",
        customer_contact="555-0101",
    )


def test_vehicle_problems() -> None:
    found = problems(
        "tag,brakes,odometer_unit,vin,customer_contact\n"
        "WEND,disk/drum,kms,12345,555\n"
        f"{'x' * 65},disc,km,,\n"
    )

    assert ["brakes:" in found[0], "odometer_unit:" in found[1], "vin:" in found[2]] == [True] * 3
    assert "customer is empty" in found[3]
    assert "more than 64 characters" in found[4]


def test_limit_with_two_figures() -> None:
    row = one(
        f"{LIMIT_HEAD},source,source_date\n"
        "wend,front,pad-minimum,2.0 mm,0.080 in,,below,plate,inner,,,manual p. 4,2020-01-31\n"
    )

    assert isinstance(row, LimitRow)
    assert [figure.nm for figure in row.figures] == [2_000_000, 2_032_000]
    assert row.out_when is OutWhen.BELOW
    assert row.datum is Datum.WITH_PLATE
    assert row.which_pad is WhichPad.INNER
    assert row.limit_source == "manual p. 4"
    assert row.source_date == date(2020, 1, 31)


def test_limit_of_a_hub_with_its_radius() -> None:
    row = one(f"{LIMIT_HEAD},source\nwend,2,hub-runout,0.05,,mm,,,,,60,p. 9\n")

    assert isinstance(row, LimitRow)
    assert (row.axle, row.radius_nm) == (2, 60 * NM_PER_MM)
    assert row.out_when is None


def test_a_misprint_beside_a_possible_figure_is_kept_as_printed() -> None:
    row = one(f"{LIMIT_HEAD},source\nwend,front,rotor-discard,22.8 mm,0.087 in,,,,,,,p. 9\n")

    assert isinstance(row, LimitRow)
    assert row.figures[1].nm == 2_209_800


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ("front,rotor-discard,22.8,,mm,,,,,,", "source is empty"),
        ("front,rotor-discard,22.8,,mm,,,,,,-", "names no source"),
        ("front,rotor-discard,,,mm,,,,,,p. 9", "figure is empty"),
        ("front,rotor-discard,22.8,,,,,,,,p. 9", "unit of '22.8' cannot be told"),
        ("front,rotor-discard,0,,mm,,,,,,p. 9", "is no limit"),
        ("front,rotor-discard,0.87,,mm,,,,,,p. 9", "a rotor thickness is never that"),
        ("front,rotor-discard,22.8,22.9,mm,,,,,,p. 9", "same unit system"),
        ("front,rotor-discard,22.8,,mm,above,,,,,p. 9", "out below its discard"),
        ("front,rotor-new,24,,mm,below,,,,,p. 9", "bounds nothing"),
        ("front,rotor-discard,22.8,,mm,less,,,,,p. 9", "when the part is out"),
        ("front,rotor-discard,22.8,,mm,,plate,,,,p. 9", "datum is for pads and shoes"),
        ("front,pad-minimum,2,,mm,,,leading,,,p. 9", "leading does not fit pads"),
        ("front,rotor-discard,22.8,,mm,,,,0,,p. 9", "not a number of points"),
        ("front,rotor-discard,22.8,,mm,,,,,13,p. 9", "radius is for hub-runout"),
        ("middle,rotor-discard,22.8,,mm,,,,,,p. 9", "not an axle"),
        ("front,rotor-discrad,22.8,,mm,,,,,,p. 9", "did you mean rotor-discard?"),
    ],
)
def test_limit_problems(cells: str, words: str) -> None:
    found = problems(f"{LIMIT_HEAD},source\nwend,{cells}\n")

    assert words in " ".join(found)


def test_torque() -> None:
    head = "sheet,axle,limit,fastener,figure,other_figure,unit,source"
    row = one(f"{head}\nwend,front,torque,wheel nut,110,81 lb ft,N·m,p. 2\n")

    assert row == TorqueRow(
        source="test.csv:2",
        sheet="wend",
        axle=1,
        fastener="wheel nut",
        figure="110 N·m (81 lb ft)",
        limit_source="p. 2",
    )
    found = problems(f"{head},out_when\nwend,front,torque,,110,,,,below\n")
    assert len(found) == 4


def test_gauge() -> None:
    row = one(
        "tag,kind,unit,resolution,used_for,tips,error_limit,checked_on,check_every_months\n"
        "M1,micrometer,mm,0.001,rotor pads,pointed,0.004,2026-01-05,12\n"
    )

    assert isinstance(row, GaugeRow)
    assert row.kind is GaugeKind.MICROMETER
    assert (row.resolution.nm, row.resolution.text) == (1_000, "0.001")
    assert row.used_for == {Quantity.ROTOR, Quantity.PAD_INNER, Quantity.PAD_OUTER}
    assert row.error_limit_nm == 4_000


def test_gauge_problems() -> None:
    found = problems(
        "tag,kind,unit,resolution,used_for,tips,checked_on,check_every_months\n"
        "none,ruler,cm,9,everything,sharp,05/01/2026,0\n"
    )

    assert len(found) == 8


def test_reading_with_every_column() -> None:
    text = (
        template("readings")
        + "WEND,2026-03-02,62400,62405,grinds,RF,runout,0.031,,mm,M1,AM,as-left,,,31,-0.01,13,"
        + "5 of 5,ok,yes,2,,,yes\n"
    )
    row = one(text.replace(",M1,", ",none,").replace(",-0.01,", ",'-0.01,"))

    assert isinstance(row, ReadingRow)
    assert (row.visit.odometer, row.visit.odometer_out, row.visit.complaint) == (
        "62400",
        "62405",
        "grinds",
    )
    entry, looked_over = row_entries(row, MM)
    assert isinstance(entry, ReadingEntry)
    assert entry.values_nm == (31_000,)
    assert entry.stage is Stage.AS_LEFT
    assert entry.zero_error_nm == -10_000
    assert entry.radius_nm == 13 * NM_PER_MM
    assert entry.fasteners_of == 5
    assert entry.rotor_index == 2
    assert entry.person == "am"
    assert entry.source == "test.csv:2"
    assert isinstance(looked_over, LookedOver)


def test_a_row_says_the_stage_and_not_the_context() -> None:
    row = one(f"{READING_HEAD}\n{READING}\n")
    assert isinstance(row, ReadingRow)
    entry = reading_entry(row, Context(declared=LengthUnit.MM, stage=Stage.AS_LEFT))

    assert entry is not None
    assert entry.stage is Stage.AS_FOUND


def test_what_is_wrong_in_every_unit_is_found_without_knowing_the_unit() -> None:
    (found,) = problems(f"{READING_HEAD}\nWEND,2026-03-02,62400,LF,rotor,90000\n")
    row = one(f"{READING_HEAD}\nWEND,2026-03-02,62400,LF,scoring,250\n")

    assert "longer than any brake part" in found
    assert isinstance(row, ReadingRow)


def test_a_row_that_only_says_looked_over() -> None:
    row = one(f"{READING_HEAD},looked_over\nWEND,2026-03-02,62400,LF,,,yes\n")

    assert isinstance(row, ReadingRow)
    assert row_entries(row, MM) == (LookedOver(source="test.csv:2", corner=row.beside.corner),)
    assert reading_entry(row, MM) is None


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ("LF,,,no", "neither a quantity nor looked_over"),
        ("LF,rotor,,", "belong together"),
        ("LF,,27.4,", "belong together"),
        ("LF,runout,0.03 0.04,", "2 values typed"),
        ("LF,rotor,27.4,perhaps", "looked_over:"),
    ],
)
def test_reading_problems(cells: str, words: str) -> None:
    (found,) = problems(f"{READING_HEAD},looked_over\nWEND,2026-03-02,62400,{cells}\n")

    assert words in found


def test_odometer_in_the_unit_of_the_vehicle_or_its_own() -> None:
    assert odometer("62400", DistanceUnit.KM) == (62_400_000_000, DistanceUnit.KM)
    assert odometer("100 mi", DistanceUnit.KM) == (160_934_400, DistanceUnit.MILE)


def test_findings() -> None:
    head = "vehicle,date,odometer,corner,finding,part,stage,note,by\n"
    rows = sheet(
        head
        + "WEND,2026-03-02,62400,RF,stuck-slide,,,lower pin,AM\n"
        + "WEND,2026-03-02,62400,RF,looked-over,,,,\n"
    ).rows
    first, second = rows
    assert isinstance(first, FindingRow)
    assert isinstance(second, FindingRow)
    entry = finding_entry(first, MM)

    assert isinstance(entry, FindingEntry)
    assert (entry.kind, entry.part) == (FindingKind.STUCK_SLIDE, Part.PADS)
    assert (entry.note, entry.person) == ("lower pin", "am")
    assert isinstance(finding_entry(second, MM), LookedOver)


def test_finding_problems() -> None:
    head = "vehicle,date,odometer,corner,finding,part,note\n"
    found = problems(
        head
        + "WEND,2026-03-02,62400,RF,crack,pads,\n"
        + "WEND,2026-03-02,62400,RF,other,,\n"
        + "WEND,2026-03-02,62400,RF,looked-over,rotor,x\n"
    )

    assert "cannot be found on pads" in found[0]
    assert "needs a note" in found[1]
    assert len(found) == 4


def test_fitting_expands_pads_to_both() -> None:
    row = one(f"{FITTING_HEAD}\nWEND,2026-03-02,62400,LF,pads,new,11.0 10.5,mm,,\n")

    assert isinstance(row, FittingRow)
    assert row.basis is SizeBasis.MEASURED
    assert [(size.position, size.size_nm, size.typed) for size in fitted_sizes(row, None)] == [
        (Position.PAD_INNER, 11_000_000, "11.0"),
        (Position.PAD_OUTER, 10_500_000, "10.5"),
    ]


def test_one_size_holds_for_both() -> None:
    row = one(f"{FITTING_HEAD}\nWEND,2026-03-02,62400,LR,shoes,new,4.5 mm,,nominal,\n")

    assert isinstance(row, FittingRow)
    assert [size.size_nm for size in fitted_sizes(row, None)] == [4_500_000, 4_500_000]


def test_fitting_without_a_size() -> None:
    row = one(f"{FITTING_HEAD}\nWEND,2026-03-02,62400,LF,rotor,removed,,,,\n")

    assert isinstance(row, FittingRow)
    assert (row.event, row.basis) == (FittingEvent.REMOVED, SizeBasis.UNKNOWN)
    assert [size.size_nm for size in fitted_sizes(row, None)] == [None]


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ("rotor,moved,27.4,mm,,", "a moved part needs from_corner"),
        ("rotor,moved,27.4,mm,,LF", "the corner itself"),
        ("rotor,new,27.4,mm,,RF", "parts that were moved"),
        ("pads,refinished,9,mm,,", "only rotors and drums"),
        ("rotor,removed,27.4,mm,,", "does not belong to a removed part"),
        ("rotor,new,27.4,mm,unknown,", "there is a size"),
        ("rotor,new,,,measured,", "size is empty"),
        ("rotor,new,27.4 27.5,mm,,", "2 sizes typed for 1 part"),
        ("rotor,new,274,mm,,", "a rotor thickness is never that"),
        ("rotor,new,90000,,,", "longer than any brake part"),
        ("rotor,newish,27.4,mm,,", "did you mean new?"),
        ("disc,new,27.4,mm,,", "is not a part"),
    ],
)
def test_fitting_problems(cells: str, words: str) -> None:
    found = problems(f"{FITTING_HEAD}\nWEND,2026-03-02,62400,LF,{cells}\n")

    assert words in " ".join(found)


def test_the_key_of_a_row_is_its_content() -> None:
    text = f"{READING_HEAD}\n{READING}\n"
    same = f"complaint,{READING_HEAD}\n\n,{READING.lower().replace('lf', 'LF')}\n"
    other = text.replace("3.0", "3.1")
    keys = {row_key("readings", one(each)) for each in (text, same)}

    assert len(keys) == 1
    assert keys != {row_key("readings", one(other))}
    assert all(len(key) == 64 for key in keys)


def test_the_key_of_values_tells_what_stands_in_each_of_them() -> None:
    row = one(f"{READING_HEAD}\n{READING}\n")
    assert isinstance(row, ReadingRow)

    def key(*tokens: str) -> str:
        return row_key("readings", replace(row, tokens=tokens))

    assert key("2  thou") == key("2 thou") != key("2", "thou")
    assert len({key("1", "2"), key('1","2'), key("1,2"), key("12"), key("1", ""), key("1")}) == 6
