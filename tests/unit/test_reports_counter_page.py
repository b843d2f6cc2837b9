"""The counter sheet for paper: its rows say what the sentences say, and never more."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.lengths import LengthUnit
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.reports.bay_card_words import NOT_STATED
from brakelog.reports.counter_page import counter_page
from brakelog.reports.counter_page_html import css_text, rendered
from brakelog.reports.counter_page_model import CounterPage, Row
from brakelog.reports.counter_page_rows import NO_GAUGE, NOT_MEASURED, rows_of
from brakelog.reports.counter_page_told import UNWRAPPED, told
from brakelog.reports.counter_part import Sources
from brakelog.reports.plain import Line, wrapped
from brakelog.rules.casefile import CaseFile
from brakelog.rules.judgement import Judgement, Outcome
from brakelog.rules.judgement_words import judgement_sentence
from brakelog.rules.vehicle import judge_vehicle
from tests.unit.verdict_examples import (
    FRONT_DISC,
    case,
    circle,
    healthy,
    instead,
    limit,
    readings,
    runout,
)

BOTH = (*healthy("LF"), *healthy("RF"))
TWO_UNITS = limit(LimitKind.PAD_MINIMUM, "2.0 mm", "0.079 in")
WITHOUT_PADS = tuple(each for each in FRONT_DISC if each.kind is not LimitKind.PAD_MINIMUM)
CASES = {
    "healthy": case(BOTH),
    "out": case(instead(BOTH, readings("LF", Quantity.PAD_INNER, "2.4 1.9"))),
    "at the limit": case(instead(BOTH, readings("LF", Quantity.PAD_INNER, "2.4 2.1"))),
    "exactly at it": case(instead(BOTH, readings("LF", Quantity.PAD_INNER, "2.4 2.0"))),
    "few points": case(instead(BOTH, readings("LF", Quantity.ROTOR, "27.41 27.40"))),
    "no gauge": case(instead(BOTH, readings("LF", Quantity.PAD_INNER, "8.2 8.0", gauge=None))),
    "a slip": case(instead(BOTH, readings("LF", Quantity.ROTOR, circle("27.399") + " 27.901"))),
    "no limit": case(BOTH, limits=WITHOUT_PADS),
    "two figures": case(BOTH, limits=(*WITHOUT_PADS, TWO_UNITS)),
    "no limit for scoring": case(
        (*BOTH, readings("LF", Quantity.SCORING, "0.3")),
        limits=[each for each in FRONT_DISC if each.kind is not LimitKind.SCORING],
    ),
    "warm": case(
        instead(BOTH, readings("LF", Quantity.ROTOR, circle("27.399"), temperature_dc=600))
    ),
    "in inches": case(BOTH, shop=Shop(unit=LengthUnit.INCH)),
    "loose": case(instead(BOTH, runout("LF", "0.026", fasteners_fitted=2))),
}


def judged(file: CaseFile) -> list[tuple[Judgement, Row]]:
    """Every judgement with a reading, and its row."""
    verdict = judge_vehicle(file)
    found = []
    for part in verdict.parts:
        rows = {row.what: row for row in rows_of(verdict, part, Sources(), told=())}
        found += [(j, rows[j.measure.value]) for j in part.judgements if j.value_nm is not None]
    return found


def row(name: str, corner: str, what: str) -> Row:
    (found,) = [
        each for _, each in judged(CASES[name]) if (each.corner, each.what) == (corner, what)
    ]
    return found


@pytest.mark.parametrize("name", CASES)
def test_every_figure_of_a_row_stands_in_the_sentence_of_the_terminal(name: str) -> None:
    shop = CASES[name].shop
    rows = judged(CASES[name])
    for judgement, row in rows:
        sentence = judgement_sentence(judgement, shop, Sources().cite)
        value, _, place = row.reading.partition(", ")
        margin = row.margin.removesuffix(", not proven").removesuffix(" it")
        if judgement.outcome is Outcome.IN_QUESTION:
            assert (margin, "in question" in sentence) == ("in question", True)
            margin = ""
        elif judgement.deciding is None:
            assert margin == "not judged"
            margin = ""
        cells = [value, place, margin, row.out_when.removesuffix(NOT_STATED)]
        if judgement.deciding is not None:
            cells += [row.limit, f"source {row.source}"]
        if row.p:
            cells += [f"U2 {row.u2}", f"p {row.p}"]
            cells += [row.read_with] if row.read_with != NO_GAUGE else []
        for cell in cells:
            assert cell in sentence
    assert rows


@pytest.mark.parametrize("name", CASES)
def test_a_row_tells_every_doubt_that_the_sentence_tells(name: str) -> None:
    shop = CASES[name].shop
    for judgement, row in judged(CASES[name]):
        sentence = judgement_sentence(judgement, shop, Sources().cite)
        if judgement.deciding is None or judgement.outcome is Outcome.IN_QUESTION:
            continue
        _, _, behind = sentence.partition(f"; source {row.source}).")
        notes = " ".join(row.notes)
        for each in filter(None, (part.strip() for part in re.split(r"\. ", behind))):
            assert each.rstrip(".") in notes or "U2" in each, (notes, each)


@pytest.mark.parametrize("name", CASES)
def test_only_what_is_in_limits_looks_as_if_it_were(name: str) -> None:
    for judgement, row in judged(CASES[name]):
        looks_well = row.is_plain and row.margin.endswith("inside")
        assert looks_well == (judgement.outcome is Outcome.IN)


def test_a_lining_too_close_to_its_limit_is_never_only_inside() -> None:
    close, at = (row(name, "LF", "inner pad lining") for name in ("at the limit", "exactly at it"))

    assert close.margin == "0.1 mm inside, not proven"
    assert close.notes[0].startswith("At the limit, not proven")
    assert at.margin == "exactly at it, not proven"
    assert [close.is_plain, at.is_plain] == [False, False]


def test_beyond_a_limit_no_probability_excuses_anything() -> None:
    out = row("out", "LF", "inner pad lining")
    assert (out.margin, out.u2, out.p) == ("0.1 mm beyond", "", "")
    assert out.notes == ("Uncertainty excuses nothing.",)


def test_a_safety_limit_that_is_missing_is_asked_for_and_one_for_service_only_named() -> None:
    pads, scoring = (
        row("no limit", "LF", "inner pad lining"),
        row("no limit for scoring", "LF", "scoring depth"),
    )
    assert (pads.limit, pads.margin) == ("no limit on file", "not judged")
    assert "obtain it from service information" in pads.notes[0]
    assert (scoring.limit, scoring.notes) == ("no limit on file", ())


def test_a_limit_in_two_units_shows_both_and_names_the_figure_that_decided() -> None:
    found = row("two figures", "LF", "inner pad lining")
    assert found.limit == "2.0 mm (0.079 in)"
    assert found.out_when == f"at or below{NOT_STATED}"
    assert found.notes == ("Judged by its stricter figure 0.079 in.",)


def test_an_unknown_gauge_is_said_and_the_worst_is_taken() -> None:
    found = row("no gauge", "LF", "inner pad lining")
    assert found.read_with == NO_GAUGE
    assert any("the worst for this reading is taken" in each for each in found.notes)


def test_a_size_that_nobody_read_has_a_row_that_says_so() -> None:
    rest = [each for each in BOTH if each.quantity is not Quantity.PAD_OUTER]
    verdict = judge_vehicle(case(rest))
    pads = verdict.parts[0]
    rows = list(rows_of(verdict, pads, Sources(), told=()))

    assert [(each.what, each.reading == NOT_MEASURED) for each in rows] == [
        ("inner pad lining", False),
        ("outer pad lining", True),
    ]
    assert rows[1].limit == "2.0 mm"
    assert not rows[1].margin


def page(sets: tuple[ReadingSet, ...], **more: object) -> CounterPage:
    return counter_page(judge_vehicle(case(sets, **more)))  # type: ignore[arg-type]


def test_what_a_note_says_of_both_sides_is_said_once() -> None:
    rotors = page(BOTH).axles[0].parts[1]
    assert [(each.where, each.text) for each in rotors.notes] == [
        ("LF, RF thickness variation", "8 points cannot see 4 waves a turn.")
    ]


def test_a_doubt_that_a_reason_tells_is_not_told_again_below_the_rows() -> None:
    axle = page(instead(BOTH, readings("LF", Quantity.PAD_INNER, "2.4 2.1"))).axles[0]
    assert any("At the limit, not proven" in each.text for each in axle.reasons)
    assert axle.parts[0].notes == ()


def test_sources_have_the_numbers_that_they_have_in_the_terminal() -> None:
    """There only safety limits are cited, so that the first row on paper is not the first there."""
    own = limit(LimitKind.ROTOR_DISCARD, "26.0", out_when=OutWhen.AT_OR_BELOW)
    found = counter_page(judge_vehicle(case(BOTH, limits=(*FRONT_DISC, own))))
    assert found.sources == ("Source 1: Sheet, page 1",)


def test_as_left_shows_what_was_read_last_of_each_place() -> None:
    left = readings("LF", Quantity.PAD_INNER, "11.0 10.9", stage=Stage.AS_LEFT)
    found = counter_page(judge_vehicle(case((*BOTH, left), stage=Stage.AS_LEFT))).left
    of_lf = {each.what: (each.typed, each.beside) for each in found.readings}

    assert of_lf["LF inner pad lining"] == ("11.0 10.9 mm", "")
    assert of_lf["RF inner pad lining"] == ("8.2 8.0 mm", "as found")


def test_nobody_and_no_gauge_are_blanks_of_the_baseline() -> None:
    found = page(instead(BOTH, readings("LF", Quantity.PAD_INNER, "8.2 8.0", gauge=None))).left
    assert "gauge not on record: LF inner pad lining" in found.blanks
    assert any(each.startswith("not on record who read it: ") for each in found.blanks)


def test_paragraphs_are_taken_over_whole() -> None:
    text = "word " * 500
    (found,) = told([Line(), *wrapped(text, first="    - ", role="open", width=UNWRAPPED)])
    assert (found.text, found.level, found.is_item, found.role) == (text.strip(), 4, True, "open")


@given(st.text())
def test_no_sign_of_a_name_leaves_its_quotes_in_the_style_sheet(name: str) -> None:
    assert re.fullmatch(r"(?:\\[0-9a-f]{6})*", css_text(name))


def test_a_day_and_a_figure_with_its_unit_stay_on_one_line() -> None:
    html = rendered(page(BOTH))
    assert '<span class="figure">2026-03-02</span>' in html
    assert '<span class="figure">60,000 km</span>' in html
