"""The picture of a history: a file that opens, says in words what it shows, and is no surprise."""

from __future__ import annotations

import re
import struct
import subprocess
import sys
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.image import imread

from brakelog.record.shop import Shop
from brakelog.reports.wear_axes import draw_life
from brakelog.reports.wear_picture import Kind, alt_text, wear_picture
from brakelog.rules.part_history import VehicleHistory
from tests.unit.history_examples import (
    FIRST,
    FITS_BADLY,
    SECOND,
    STEADY,
    THIRD,
    history,
    pad,
    place,
    stuck_slide,
)
from tests.unit.verdict_examples import LF, RF

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '<script>alert(1)</script>[/red]$x^2$ & "]]>\x1b[31m\u202eTAC'
ASKED = history(STEADY, findings=[stuck_slide(THIRD)])


def svg(found: VehicleHistory) -> ElementTree.Element:
    return ElementTree.fromstring(wear_picture(found, Kind.SVG).decode("utf-8"))


def texts(root: ElementTree.Element) -> list[str]:
    return ["".join(each.itertext()) for each in root.iter(f"{SVG}text")]


def drawn(found: VehicleHistory) -> Axes:
    axes: Axes = Figure().subplots()
    draw_life(axes, place(found), Shop())
    return axes


@pytest.fixture(scope="module")
def steady() -> ElementTree.Element:
    return svg(history(STEADY))


def odometers_in(axes: Axes) -> list[float]:
    """Where lines and marks stand; lines from edge to edge run from 0 to 1."""
    return [float(x) for line in axes.lines for x in np.asarray(line.get_xdata()).ravel()]


def test_an_svg_is_xml_whose_text_is_text(steady: ElementTree.Element) -> None:
    said = texts(steady)

    assert "LF inner pad" in said
    assert any(text.startswith("9 of 10: at least") for text in said)
    assert "2026-03" in said


def test_an_svg_says_in_words_what_it_shows(steady: ElementTree.Element) -> None:
    title, description = steady.find(f"{SVG}title"), steady.find(f"{SVG}desc")
    assert steady.get("role") == "img"
    assert title is not None
    assert title.text == "Wear of CAR-1, Invented 1.0"
    assert description is not None
    assert "LF inner pad, 5.9 mm on 2026-03-02: 9 of 10 such parts" in (description.text or "")


def test_a_png_opens_and_is_as_large_as_it_says(tmp_path_factory: pytest.TempPathFactory) -> None:
    data = wear_picture(history(STEADY), Kind.PNG)
    path = tmp_path_factory.mktemp("png") / "wear.png"
    path.write_bytes(data)

    width, height = struct.unpack(">II", data[16:24])
    assert imread(path).shape[:2] == (height, width)
    assert (width, height) == (1200, 885)


@pytest.mark.parametrize("kind", list(Kind))
def test_the_same_history_gives_the_same_file(kind: Kind) -> None:
    found = history(STEADY)

    assert wear_picture(found, kind) == wear_picture(found, kind)


def test_a_picture_holds_neither_the_day_nor_the_program_that_made_it() -> None:
    assert b"dc:date" not in wear_picture(history(STEADY), Kind.SVG)
    assert b"Software" not in wear_picture(history(STEADY), Kind.PNG)


def test_a_name_is_shown_and_never_obeyed() -> None:
    data = wear_picture(history(STEADY, tag=HOSTILE), Kind.SVG)

    assert b"<script" not in data
    assert b"\x1b" not in data
    assert "\u202e".encode() not in data
    root = ElementTree.fromstring(data.decode("utf-8"))
    assert '<script>alert(1)</script>[/red]$x^2$ & "]]>' in "".join(texts(root))


def test_a_name_in_signs_that_the_font_lacks_is_no_error() -> None:
    found = history(STEADY, tag=f"{HOSTILE} 車-1 \U0001f697 \u05e2\u05d2\u05dc\u05d4")

    assert wear_picture(found, Kind.PNG).startswith(b"\x89PNG")


def test_a_very_long_name_is_broken_into_lines() -> None:
    said = texts(svg(history(STEADY, tag="CAR " * 60)))

    assert max(len(text) for text in said) <= 100


def test_where_no_distance_is_told_the_reason_stands_and_no_line_leads_to_the_limit() -> None:
    axes = drawn(ASKED)

    said = " ".join(text.get_text().replace("\n", " ") for text in axes.texts)
    assert "No projection until this is cleared up: a slide or piston was stuck" in said
    odometers = odometers_in(axes)
    assert max(odometers) <= THIRD.odometer_mm / 1_000_000
    assert "9 of 10" not in "".join(texts(svg(ASKED)))


def test_the_fan_ends_on_the_limit_and_nothing_is_drawn_past_it() -> None:
    found = history(STEADY)
    fan = place(found).running.fan  # type: ignore[union-attr]
    assert fan is not None

    odometers = odometers_in(drawn(found))
    assert max(odometers) == fan.ends[-1].odometer_mm / 1_000_000


def test_lines_of_the_fan_differ_without_colour(steady: ElementTree.Element) -> None:
    strokes = [each.get("style", "") for each in steady.iter(f"{SVG}path")]
    dashes = [
        re.findall(r"stroke-dasharray: ([\d., ]+)", style)
        for style in strokes
        if "#0072b2" in style
    ]
    assert len({str(each) for each in dashes if each}) == 3


def test_each_reading_shows_twice_its_uncertainty() -> None:
    found = history(STEADY)
    u2 = [2 * each.u1_nm / 1e6 for each in place(found).running.readings]  # type: ignore[union-attr]

    bars = [bar for bar in drawn(found).containers if bar.get_label() != "_nolegend_"]
    spans = [
        float(upper[1] - lower[1]) for bar in bars for lower, upper in bar[2][0].get_segments()
    ]

    assert spans == pytest.approx([2 * each for each in u2])


def test_left_and_right_stand_beside_each_other_and_an_empty_place_is_said() -> None:
    right = [pad("8.8", FIRST, "RF"), pad("6.6", SECOND, "RF")]

    both, one = (svg(history([*STEADY, *sets], corners=(LF, RF))) for sets in (right, []))

    def left_edge(root: ElementTree.Element, text: str) -> float:
        (found,) = [e for e in root.iter(f"{SVG}text") if "".join(e.itertext()) == text]
        return float(found.get("x") or found.get("transform", "").split("(")[1].split()[0])

    assert left_edge(both, "LF inner pad") < left_edge(both, "RF inner pad")
    assert "nothing on record" in texts(one)


def test_the_key_names_what_stands_in_the_picture_and_nothing_else(
    steady: ElementTree.Element,
) -> None:
    assert "fits badly, counts less" in texts(svg(FITS_BADLY))
    assert "fits badly, counts less" not in texts(steady)
    assert "an earlier part" not in texts(steady)


def test_the_description_leaves_out_what_was_never_read() -> None:
    assert "RF" not in alt_text(history(STEADY, corners=(LF, RF)))


def test_drawing_keeps_no_state_between_pictures() -> None:
    """Neither the figure manager of pyplot nor the settings of the process are touched."""
    program = (
        "import sys, matplotlib\n"
        "from brakelog.reports.wear_picture import Kind, wear_picture\n"
        "from tests.unit.history_examples import STEADY, history\n"
        "before = matplotlib.rcParams.copy()\n"
        "wear_picture(history(STEADY), Kind.SVG)\n"
        "assert 'matplotlib.pyplot' not in sys.modules\n"
        "assert matplotlib.rcParams.copy() == before\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False
    )

    assert done.returncode == 0, done.stderr
