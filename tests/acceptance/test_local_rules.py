"""Local rules as the shop meets them: off at first, turned on, shown beside every verdict."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.acceptance.workshop import Facts, Workshop

GB = "gb-inspection-1-1-13"
QUEBEC = "ca-qc-c24-2-r32"
ADVICE = "check the current text with your authority"
OWN = """\
id = "tidewater-house"
title = "House rules"
document = "House rules, edition 3"
authority = "the shop"
jurisdiction = "this shop"
scope = "every vehicle that is left here"
valid_from = 2025-01-01
standing = "seen"
standing_note = "written by the shop"

[[clauses]]
id = "pads"
number = "4"
wording = "no pad leaves with less than the figure"
parts = ["pads"]
figures = ["3.0 mm"]
out_when = "below"
counted_from = "above shoe"
measured_at = "thinnest point"
standing = "seen"
"""


@pytest.fixture
def worn(shop: Workshop) -> Workshop:
    """A shop with a car whose left inner pad has 1.55 mm left, in limits by its maker."""
    shop.has_limits("S", "front", "pad-minimum: 1.0 mm, below")
    shop.has_vehicle("CAR-1", "--brakes", "disc/disc", "--sheet", "S")
    shop.measures("CAR-1", "62400 km", "LF pad-in 1.55\nLF pad-out 6.0\n", "--unit", "mm")
    return shop


def linings(shop: Workshop, pack: str) -> list[dict[str, Any]]:
    (found,) = [
        each for each in shop.verdict("CAR-1").document["local_rules"] if each["pack"] == pack
    ]
    entries: list[dict[str, Any]] = found["linings"]
    return entries


def left_inner(shop: Workshop, pack: str) -> list[tuple[str, str]]:
    """Clause and outcome of the left inner pad."""
    return [
        (each["clause"], each["outcome"])
        for each in linings(shop, pack)
        if (each["corner"], each["position"]) == ("LF", "pad-in")
    ]


def facts(shop: Workshop, pack: str) -> Facts:
    (found,) = [each for each in shop.reads("rules", "list")["packs"] if each["pack"] == pack]
    return dict(found)


def test_every_pack_is_off_until_the_shop_turns_it_on(worn: Workshop) -> None:
    assert not any(each["on"] for each in worn.reads("rules", "list")["packs"])
    assert worn.verdict("CAR-1").document["local_rules"] == []
    assert "Local rules" not in worn.counter_sheet("CAR-1")

    worn.does("rules", "on", GB)

    assert facts(worn, GB)["on"]
    assert "Local rules" in worn.counter_sheet("CAR-1")
    worn.does("rules", "off", GB)
    assert "Local rules" not in worn.counter_sheet("CAR-1")


def test_a_pack_is_shown_beside_the_verdict_and_changes_nothing_of_it(worn: Workshop) -> None:
    before = worn.verdict("CAR-1").document
    worn.does("rules", "on", QUEBEC)
    after = worn.verdict("CAR-1").document

    assert (after["parts"], after["axles"]) == (before["parts"], before["axles"])
    assert after["policy"]["digest"] != before["policy"]["digest"]
    assert ("bonded-hydraulic", "beyond") in left_inner(worn, QUEBEC)
    sheet = worn.counter_sheet("CAR-1")
    assert "Local rules: beyond a figure: LF inner pad" in sheet
    assert (
        "Front pads, clause 31(2): out when below 1.6 mm, if the lining is bonded and the brake is "
        "hydraulic or electric. - Beyond: LF inner pad 1.55 mm (0.061 in)."
    ) in sheet
    assert "unless at least 1 mm is left above the rivets" in sheet
    assert "Rear pads, not read: LR inner pad, LR outer pad, RR inner pad, RR outer pad." in sheet
    assert ADVICE in sheet


def test_what_is_on_file_about_the_brake_settles_the_conditions(worn: Workshop) -> None:
    worn.does("rules", "on", QUEBEC)
    worn.does("limits", "trait", "S", "front", "lining", "bonded")
    worn.does("limits", "trait", "S", "front", "actuation", "hydraulic")

    assert left_inner(worn, QUEBEC) == [("bonded-hydraulic", "beyond")]
    (entry,) = [each for each in linings(worn, QUEBEC) if each["typed"] == "1.55"]
    assert entry["if"] == []


def test_a_pass_is_not_proven_where_the_gauge_cannot_tell(worn: Workshop) -> None:
    worn.does("rules", "on", GB)

    assert left_inner(worn, GB) == [("worn", "not proven")]


def test_a_pack_of_ones_own_is_kept_in_the_store(worn: Workshop, tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_text(OWN, encoding="utf-8")

    assert "nothing is wrong with it" in worn.does("rules", "check", str(file))
    assert "tidewater-house is on" in worn.does("rules", "on", str(file))
    file.unlink()

    assert left_inner(worn, "tidewater-house") == [("pads", "beyond")]
    assert facts(worn, "tidewater-house")["own"]
    worn.does("rules", "off", "tidewater-house")
    worn.does("rules", "on", "tidewater-house")
    assert left_inner(worn, "tidewater-house") == [("pads", "beyond")]


def test_a_changed_file_is_taken_when_it_is_turned_on_again(worn: Workshop, tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_text(OWN, encoding="utf-8")
    worn.does("rules", "on", str(file))
    file.write_text(OWN.replace("3.0 mm", "1.0 mm"), encoding="utf-8")

    assert left_inner(worn, "tidewater-house") == [("pads", "beyond")]
    worn.does("rules", "on", str(file))
    assert left_inner(worn, "tidewater-house") == [("pads", "inside")]


def test_a_wrong_file_names_every_problem_and_keeps_nothing(worn: Workshop, tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    wrong = OWN.replace("3.0 mm", "3.0").replace('"below"', '"under"')
    file.write_text(wrong, encoding="utf-8")
    before = worn.everything_on_file()

    for word in ("check", "on"):
        result = worn.tries("rules", word, str(file))

        assert result.exit_code == 6
        assert "2 problems in house.toml" in result.stderr
        assert "clause pads: out_when: one of: below" in result.stderr
        assert "clause pads: figures: the unit of '3.0' cannot be told" in result.stderr
    assert worn.everything_on_file() == before


def test_a_file_may_not_take_the_name_of_a_pack_that_comes_with_the_program(
    worn: Workshop, tmp_path: Path
) -> None:
    file = tmp_path / "house.toml"
    file.write_text(OWN.replace("tidewater-house", GB), encoding="utf-8")

    assert worn.tries("rules", "on", str(file)).exit_code == 5


@pytest.mark.parametrize(
    ("words", "exit_code"),
    [
        (("on", "gb-inspection"), 4),
        (("on", "./missing.toml"), 4),
        (("check", "missing.toml"), 4),
        (("check", "."), 7),
        (("show", "nothing"), 4),
        (("off", GB), 4),
    ],
)
def test_what_is_not_there_is_told(shop: Workshop, words: tuple[str, str], exit_code: int) -> None:
    result = shop.tries("rules", *words)

    assert result.exit_code == exit_code
    assert result.stderr.startswith("error: ")


def test_a_pack_that_cannot_be_used_stops_the_verdict_and_says_how_to_go_on(
    worn: Workshop,
) -> None:
    worn.does("rules", "on", GB)
    from brakelog.store.opening import open_store

    with open_store(worn.store) as store:
        store.change_shop({"packs": f"{GB} gone-with-an-older-program"})
    result = worn.tries("verdict", "CAR-1")

    assert result.exit_code == 6
    assert "hint: brakelog rules off gone-with-an-older-program" in result.stderr
    worn.does("rules", "off", "gone-with-an-older-program")
    assert left_inner(worn, GB)


def test_show_prints_every_clause_with_its_standing(shop: Workshop) -> None:
    text = " ".join(shop.does("rules", "show", "us-cmv-393-47").split())
    document = shop.reads("rules", "show", "us-cmv-393-47")

    assert ADVICE in text
    assert "out when at or below 1.6 mm (1/16 in)" in text
    for clause in document["clauses"]:
        assert clause["wording"] in text
        assert clause["standing"] in text
