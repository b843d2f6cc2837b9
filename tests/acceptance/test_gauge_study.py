"""A gauge study through its command: in plain words, for machines, and refused."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from tests.acceptance.workshop import Workshop

ROOT = Path(__file__).resolve().parents[2]
HEAD = "part,appraiser,trial,value,unit\n"


def sheet(folder: Path, rows: Iterable[str], name: str = "study.csv") -> str:
    path = folder / name
    path.write_text(HEAD + "".join(f"{row}\n" for row in rows), encoding="utf-8")
    return str(path)


@pytest.fixture
def manual(tmp_path: Path) -> str:
    """The worked table of the AIAG manual, taken as millimetres."""
    published = ROOT / "fixtures" / "published" / "aiag_msa_grr_10x3x3.csv"
    rows = csv.DictReader(published.read_text(encoding="utf-8").splitlines()[1:])
    return sheet(
        tmp_path,
        (f"{row['part']},{row['appraiser']},{row['trial']},{row['value']},mm" for row in rows),
    )


MICROMETER = (
    *("1,AM,1,24.501,mm", "1,AM,2,24.502,mm", "1,JN,1,24.502,mm", "1,JN,2,24.502,mm"),
    *("2,AM,1,24.523,mm", "2,AM,2,24.524,mm", "2,JN,1,24.524,mm", "2,JN,2,24.523,mm"),
    *("3,AM,1,24.548,mm", "3,AM,2,24.548,mm", "3,JN,1,24.549,mm", "3,JN,2,24.548,mm"),
)
"""Three pieces of a rotor, two people, two trials: invented."""


def said(shop: Workshop, *words: str) -> str:
    """What the study says, as one line without breaks."""
    return " ".join(shop.does("gauge", "study", *words).split())


def test_the_manuals_study_by_both_methods(shop: Workshop, manual: str) -> None:
    text = said(shop, manual)

    assert "10 parts, 3 appraisers, 3 trials: 90 readings" in text
    assert "the gauge as used 0.3058 26.7 % 0.3024 27.9 %" in text
    assert "sizes told apart 5 4" in text
    assert "pooled with the repeats because F 0.434 < 1.255" in text
    assert "Part 4 by B: the readings are 1.0200 mm apart" in text
    assert "The methods differ because" in text


def test_it_says_what_the_gauge_cannot_prove(shop: Workshop, manual: str) -> None:
    text = said(shop, manual, "--tolerance", "3 mm")

    assert "It tells 4 sizes apart among these parts, by the method that finds fewer." in text
    assert "It takes up 61 % of the tolerance of 3 mm" in text
    assert "near a limit, chance decides" in text
    assert "It cannot prove that the gauge is right" in text


def test_a_micrometer_good_for_thickness_is_not_good_for_a_variation(
    shop: Workshop, tmp_path: Path
) -> None:
    study = sheet(tmp_path, MICROMETER)

    assert "Up to 10 % is commonly taken as good" in said(shop, study, "--tolerance", "0.1 mm")
    assert "More than 10 %" in said(shop, study, "--tolerance", "0.015 mm")
    assert "--tolerance" in said(shop, study)


def test_figures_for_machines_are_decimal_strings_in_millimetres(
    shop: Workshop, manual: str
) -> None:
    document = shop.reads("gauge", "study", manual, "--tolerance", "1 in")
    table = {each["source"]: each for each in document["anova"]["table"]}

    assert document["format"] == "brakelog.gauge-study/1"
    assert document["tolerance_mm"] == "25.4"
    assert document["ranges"]["beyond"] == [{"part": "4", "appraiser": "B", "range_mm": "1.02"}]
    assert document["ranges"]["variation"]["gauge_u1_mm"] == "0.305766"
    assert table["parts"]["sum_of_squares_mm2"] == "88.361934444444"
    assert table["error"]["dof"] == 78
    assert document["anova"]["interaction"]["pooled"] is True
    assert document["categories"] == 4


@pytest.mark.parametrize("rows", ["manual", MICROMETER, MICROMETER[:2] + MICROMETER[4:6]])
def test_every_key_is_described(
    shop: Workshop, manual: str, rows: str | tuple[str, ...], tmp_path: Path
) -> None:
    """Of a whole study, of one without anything odd, and of one appraiser."""
    path = manual if isinstance(rows, str) else sheet(tmp_path, rows, "other.csv")
    page = (ROOT / "docs" / "reference" / "json.md").read_text(encoding="utf-8")
    section = page.split("## `brakelog.gauge-study/1`")[1].split("\n## ")[0]
    described = set(re.findall(r"^\| `(\w+)` \|", section, re.MULTILINE))

    assert keys_of(shop.reads("gauge", "study", path)) - described == set()


def keys_of(value: Any) -> set[str]:
    if isinstance(value, dict):
        return set(value).union(*map(keys_of, value.values()))
    if isinstance(value, list):
        return set().union(*map(keys_of, value))
    return set()


@pytest.mark.file
def test_nothing_is_put_on_file(tmp_path: Path) -> None:
    shop = Workshop(tmp_path / "none.sqlite")
    shop.does("gauge", "study", sheet(tmp_path, MICROMETER))

    assert not shop.file.exists()


def test_template_is_the_header_of_a_sheet(shop: Workshop, tmp_path: Path) -> None:
    out = tmp_path / "empty.csv"

    assert shop.does("gauge", "study", "--template") == HEAD
    assert "written to" in shop.does("gauge", "study", "--template", "--out", str(out))
    assert out.read_text(encoding="utf-8") == HEAD
    assert shop.tries("gauge", "study", "--template", "--out", str(out)).exit_code == 5


def test_inches_and_names_in_either_case_are_read(shop: Workshop, tmp_path: Path) -> None:
    inches = ("1,am,1,1.0791,in", '1,AM,2,"1,0792",in', '2,Am,1,1.0801",', "2,AM,2,1.0801 in,")
    document = shop.reads("gauge", "study", sheet(tmp_path, inches))

    assert (document["appraisers"], document["unit"]) == (["am"], "in")
    assert document["ranges"]["mean_range_mm"] == "0.00127"
    assert "One appraiser took part" in said(shop, str(tmp_path / "study.csv"))


def refused(shop: Workshop, *words: str) -> str:
    result = shop.tries("gauge", "study", *words)
    assert result.exit_code == 3, result.output
    assert result.stdout == ""
    return result.stderr


def test_everything_wrong_with_a_sheet_is_named_together(shop: Workshop, tmp_path: Path) -> None:
    rows = (
        *MICROMETER,
        "4,AM,1,24.5,",
        "4,AM,2,24.5,kg",
        ",AM,3,thick,mm",
        "1,am,1,24.999,mm",
    )
    text = refused(shop, sheet(tmp_path, rows))

    assert "5 problems in study.csv, nothing was worked out" in text
    for problem in (
        "study.csv:14: value: the unit of '24.5' cannot be told",
        "study.csv:15: unit: 'kg' is no unit",
        "study.csv:16: part is empty",
        "study.csv:16: value: 'thick'",
        "study.csv:17: part 1, appraiser am, trial 1 is there already, on line 2",
    ):
        assert problem in text


def test_every_gap_is_named(shop: Workshop, tmp_path: Path) -> None:
    text = refused(shop, sheet(tmp_path, (*MICROMETER[:6], *MICROMETER[7:10])))

    assert "3 problems" in text
    assert "part 2, appraiser JN, trial 1 is missing" in text
    assert "part 3, appraiser JN, trial 2 is missing" in text


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (["--tolerance", "0.02"], "tolerance: the unit of '0.02' cannot be told"),
        (["--tolerance", "0 mm"], "has no width"),
        (["--tolerance", "-1 mm"], "is below zero"),
    ],
)
def test_a_tolerance_is_a_width_with_its_unit(
    shop: Workshop, tmp_path: Path, words: list[str], what: str
) -> None:
    assert what in refused(shop, sheet(tmp_path, MICROMETER), *words)


def test_no_sheet_and_no_such_sheet(shop: Workshop, tmp_path: Path) -> None:
    assert "no sheet named" in refused(shop)
    assert shop.tries("gauge", "study", str(tmp_path / "nowhere.csv")).exit_code == 4


def test_a_gauge_too_coarse_to_scatter_proves_nothing_yet(shop: Workshop, tmp_path: Path) -> None:
    rows = [f"{part},AM,{trial},{part}.0,mm" for part in (1, 2, 3) for trial in (1, 2)]
    text = said(shop, sheet(tmp_path, rows))

    assert "Nothing yet: every reading of a part was the same" in text
    assert "sizes told apart - -" in text
