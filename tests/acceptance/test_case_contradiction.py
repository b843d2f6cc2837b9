"""Worked case with an invented vehicle: the spec page contradicts itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import Workshop

LINES = """\
LF rotor 0.8854 0.8853 0.8852 0.8851 0.8850 0.8851 0.8852 0.8853 gauge=inch-mic
LF looked-over
"""
TAG = "ESTATE"


@pytest.fixture(scope="module")
def typed_estate(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """Case 5: 22.8 mm is 0.898 in, not 0.87; the rotor passes in inches and fails in mm."""
    shop = equipped_shop()
    shop.has_gauge("inch-mic", "micrometer", "in", "0.0001 in", "", "--tips", "pointed")
    shop.has_limits(
        *("estate", "front", "rotor-machine-to: 23.1 mm (0.90 in)"),
        "rotor-discard: 22.8 mm (0.87 in), at or below",
    )
    shop.has_vehicle(TAG, "--description", "Orrin Wend Estate", "--sheet", "estate")
    shop.measures(TAG, "88000 km", LINES)
    return shop


@pytest.fixture
def estate(typed_estate: Workshop, tmp_path: Path) -> Workshop:
    return typed_estate.copy(tmp_path)


def has_cast_mark(shop: Workshop) -> None:
    shop.does(
        *("limits", "cast", TAG, "LF", "rotor-discard", "22.8 mm"),
        *("--source", "cast on the rotor: MIN TH 22.8 MM"),
    )


def confirms(shop: Workshop, kind: str, figure: str) -> None:
    shop.does(
        *("limits", "confirm", shop.limit_id("estate", kind), figure),
        *("--by", "AM", "--why", "asked the maker"),
    )


def test_without_a_cast_mark_there_is_no_verdict_until_somebody_confirms(estate: Workshop) -> None:
    verdict = estate.verdict(TAG)

    rotor = verdict.part("LF", "rotor")
    assert rotor.words == ("no verdict", None)
    assert rotor.codes == ["V105"]
    thickness = rotor.measure("rotor thickness")
    assert (thickness["outcome"], thickness["typed"]) == ("contradicts itself", "0.8850")
    assert thickness["value_mm"] == "22.479"
    assert thickness["limit"] is None
    assert thickness["margin_mm"] is None
    assert rotor.facts["life"][0]["refusal"] == "no limit"
    sheet = estate.counter_sheet(TAG)
    assert "22.8 mm (0.87 in) (service page 4)" in sheet
    assert "until somebody confirms one figure" in sheet
    assert "LF rotor no verdict" in sheet
    assert "Required: nothing." in sheet
    letter = estate.customer_text(TAG)
    assert "We have no dependable limit for this part yet; we will not guess one." in letter


def test_both_contradicting_limits_are_flagged_as_soon_as_they_are_typed(
    estate: Workshop,
) -> None:
    result = estate.tries(
        *("limits", "add", "estate", "rear", "rotor-discard"),
        *("22.8 mm", "0.87 in", "--source", "service page 4"),
    )
    assert result.exit_code == 0
    assert "contradict each other" in result.stderr

    listed = {each["kind"]: each for each in estate.reads("limits", "show", "estate")["limits"]}
    assert listed["rotor-machine-to"]["contradicts"]
    assert listed["rotor-discard"]["contradicts"]
    assert "contradiction: brakelog limits confirm" in estate.does("limits", "show", "estate")


def test_the_cast_mark_supports_the_mm_figure_and_the_rotor_must_go(estate: Workshop) -> None:
    has_cast_mark(estate)
    verdict = estate.verdict(TAG)

    rotor = verdict.part("LF", "rotor")
    assert rotor.words == ("replace", "required")
    assert rotor.codes[0] == "V102"
    assert rotor.read("rotor thickness")[:2] == ("out", "0.8850")
    thickness = rotor.measure("rotor thickness")
    assert thickness["margin_mm"] == "-0.321"
    assert thickness["limit"]["mm"] == "22.8"
    judged = {(each["figure"], each["source"]) for each in thickness["figures_judged"]}
    assert judged == {
        ("22.8 mm", "service page 4"),
        ("22.8 mm", "cast on the rotor: MIN TH 22.8 MM"),
    }
    assert [each["figure"] for each in thickness["figures_set_aside"]] == ["0.87 in"]
    # The mark is on the left rotor only; the other side was not measured at all.
    assert verdict.part("RF", "rotor").words == ("no verdict", None)


def test_the_sheet_says_that_the_mark_supports_the_mm_figure_not_the_one_set_aside(
    estate: Workshop,
) -> None:
    has_cast_mark(estate)
    sheet = estate.counter_sheet(TAG)

    assert "Set aside: 0.87 in" in sheet
    assert "0.87 in, the mark on the part agrees with it" not in sheet
    assert "cast on the rotor: MIN TH 22.8 MM" in sheet
    assert "service page 4" in sheet


def test_a_limit_in_dispute_is_not_called_missing(estate: Workshop) -> None:
    assert "22.479 mm (0.8850 in), limit not on file" not in estate.customer_text(TAG)


@pytest.mark.parametrize(
    ("figure", "words", "margin"),
    [
        ("22.8 mm", ("replace", "required"), "-0.321"),
        ("0.87 in", ("reuse", None), "0.381"),
    ],
)
def test_the_confirmed_figure_decides_and_the_other_is_shown_as_set_aside(
    estate: Workshop, figure: str, words: tuple[str, str | None], margin: str
) -> None:
    confirms(estate, "rotor-discard", figure)
    rotor = estate.verdict(TAG).part("LF", "rotor")

    assert rotor.words == words
    thickness = rotor.measure("rotor thickness")
    assert thickness["margin_mm"] == margin
    assert [each["figure"] for each in thickness["figures_judged"]] == [figure]
    assert len(thickness["figures_set_aside"]) == 1
    assert "confirmed: asked the maker" in rotor.text


def test_a_confirmed_lax_figure_never_beats_the_cast_mark(estate: Workshop) -> None:
    confirms(estate, "rotor-discard", "0.87 in")
    assert estate.verdict(TAG).part("LF", "rotor").words == ("reuse", None)

    has_cast_mark(estate)
    rotor = estate.verdict(TAG).part("LF", "rotor")
    assert rotor.words == ("replace", "required")
    assert rotor.measure("rotor thickness")["limit"]["mm"] == "22.8"


def test_a_confirmation_needs_a_name_a_reason_and_a_printed_figure(estate: Workshop) -> None:
    limit = estate.limit_id("estate", "rotor-discard")
    before = estate.everything_on_file()
    confirm = ("limits", "confirm", limit)

    assert estate.tries(*confirm, "22.8 mm", "--why", "looked").exit_code == 2
    assert estate.tries(*confirm, "22.8 mm", "--by", "AM", "--why", " ").exit_code == 3
    assert estate.tries(*confirm, "22.8 mm", "--by", "XX", "--why", "looked").exit_code == 4
    average = estate.tries(*confirm, "22.45 mm", "--by", "AM", "--why", "in the middle")
    assert average.exit_code == 3
    assert "22.8 mm (0.87 in) has no figure '22.45 mm'" in average.stderr
    assert estate.everything_on_file() == before
