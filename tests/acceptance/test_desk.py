"""What people do at the desk: fit, correct, look up, change, and judge one visit or another."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import DAY, PartVerdict, Workshop, eight_points, km
from tests.places import read_past

TAG = "FINCH"


@pytest.fixture(scope="module")
def shop_with_finch(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A car with one disc axle; no comparator is stated for its lining."""
    shop = equipped_shop()
    shop.has_limits(
        *("thrush 1.2", "front", "rotor-new: 28.0 mm", "rotor-machine-to: 26.4 mm"),
        *("rotor-discard: 26.0 mm, at or below", "variation: 0.015 mm, above"),
        *("pad-new: 11.0 mm", "pad-minimum: 2.0 mm"),
    )
    shop.has_vehicle(TAG, "--brakes", "disc", "--sheet", "thrush 1.2")
    return shop


@pytest.fixture
def finch(shop_with_finch: Workshop, tmp_path: Path) -> Workshop:
    return shop_with_finch.copy(tmp_path)


def lines(lining: str, *, rotor: str = "27.400") -> str:
    """The same lining at both sides, the right rotor a hair thicker, every corner looked over."""
    thicker = f"{float(rotor) + 0.013:.3f}"
    return "".join(
        f"{side} rotor {eight_points(least, variation)}\n"
        f"{side} pad-in {lining}\n{side} pad-out {lining}\n{side} looked-over\n"
        for side, least, variation in (("LF", rotor, "0.010"), ("RF", thicker, "0.008"))
    )


def pads(shop: Workshop, *options: str, tag: str = TAG) -> PartVerdict:
    return shop.verdict(tag, *options).part("LF", "pads")


# Parts fitted


def test_new_pads_start_a_new_life_and_nothing_is_projected_across_them(finch: Workshop) -> None:
    for day, odometer, lining, rotor in (
        ("2023-01-10", "20000 km", "8.0", "27.700"),
        ("2024-01-10", "40000 km", "5.0", "27.420"),
        ("2025-01-10", "60000 km", "2.6", "27.130"),
    ):
        finch.measures(TAG, odometer, lines(lining, rotor=rotor), day=day)
    old = pads(finch)
    assert old.words == ("replace", "suggested")
    assert old.life("pad-in")["readings"] == 3

    for side in ("LF", "RF"):
        sizes = ("--size", "11.0 mm", "--basis", "nominal")
        said = finch.fits(TAG, side, "pads", *sizes, day="2025-01-10")
        assert f"on file for 2025-01-10: {side} inner pad new, 11 mm (nominal)" in said
    finch.measures(TAG, "70000 km", lines("10.2", rotor="26.990"), day="2025-10-10")
    new = pads(finch)
    life = new.life("pad-in")
    assert new.words == ("reuse", None)
    assert life["readings"] == 1
    assert life["refusal"] is None
    # 0.08 by its own first stretch; the pads before it wore 0.135, which moves what is believed.
    assert 0.08 < float(life["rate_mm_per_1000_km"]) < 0.13
    assert life["after_earlier_part"]
    assert km(life, "at_least_km") > 15_000
    assert "last time 2.6 mm" not in finch.customer_text(TAG)
    # The life of the rotor went on: it was not changed.
    assert finch.verdict(TAG).part("LF", "rotor").life("rotor")["readings"] == 4


def test_as_left_is_judged_after_fitting_and_as_found_stays_what_it_was(finch: Workshop) -> None:
    finch.measures(TAG, "60000 km", lines("1.8"))
    assert pads(finch).words == ("replace", "required")
    for side in ("LF", "RF"):
        finch.fits(TAG, side, "pads", "--size", "11.0 mm")
    fitted = "".join(f"{side} pad-in 11.0\n{side} pad-out 10.9\n" for side in ("LF", "RF"))
    finch.does("measure", TAG, "--date", DAY, "--as-left", typed=fitted)

    left = finch.verdict(TAG)
    assert left.document["visit"]["stage"] == "as left"
    assert left.part("LF", "pads").words == ("reuse", None)
    assert left.part("LF", "pads").read("outer pad lining") == ("in", "10.9", "2.0 mm", "8.9")
    # The rotor was not touched, so that it is still the one measured as found.
    assert left.part("LF", "rotor").words == ("reuse", None)
    found = finch.verdict(TAG, "--stage", "as-found")
    assert found.document["visit"]["stage"] == "as found"
    assert found.part("LF", "pads").words == ("replace", "required")
    letter = finch.customer_text(TAG)
    assert "after our work" in letter
    assert (
        "Left front inner pad: fitted new, 11.0 mm (0.433 in) measured; before 1.8 mm (0.071 in)."
    ) in letter
    assert "Needed now" not in letter


# Corrections


def test_amending_keeps_the_old_value_and_changes_the_verdict(finch: Workshop) -> None:
    slip, good = eight_points("25.900", "0.010"), eight_points("27.400", "0.010")
    finch.measures(TAG, "60000 km", lines("8.0").replace(good, slip))
    assert finch.verdict(TAG).part("LF", "rotor").words == ("replace", "required")
    sets = finch.reads("amend", "list", TAG)["entries"]
    (old,) = [s for s in sets if (s["corner"], s["quantity"]) == ("LF", "rotor")]

    said = finch.does(
        *("amend", "set", old["id"][:12], *good.split()),
        *("--why", "typed from the sheet of another car", "--by", "AM"),
    )
    assert f"LF rotor: {slip} is kept, {good} stands in for it" in said
    rotor = finch.verdict(TAG).part("LF", "rotor")
    assert rotor.words != ("replace", "required")
    assert rotor.read("rotor thickness") == ("in", "27.400", "26.0 mm", "1.4")
    rows = finch.reads("amend", "list", TAG)["entries"]
    (new,) = [s for s in rows if (s["corner"], s["quantity"]) == ("LF", "rotor")]
    assert (new["corrects"], new["typed"]) == (old["id"], good.split())
    on_file = "\n".join(finch.everything_on_file())
    assert "25.900" in on_file
    assert "typed from the sheet of another car" in on_file


def test_a_visit_entered_for_the_wrong_car_is_moved_and_both_are_marked(finch: Workshop) -> None:
    finch.has_vehicle("WREN", "--brakes", "disc", "--sheet", "thrush 1.2")
    finch.has_vehicle("VAN", "--brakes", "drum")
    finch.measures(TAG, "50000 km", lines("7.0", rotor="27.600"), day="2025-01-10")
    finch.measures(TAG, "61000 km", lines("1.9"))
    wrong = finch.tries("amend", "move", TAG, DAY, "--to", "VAN", "--why", "wrong car")
    assert wrong.exit_code == 5
    assert "VAN has no " in wrong.stderr

    finch.does("amend", "move", TAG, DAY, "--to", "WREN", "--why", "wrong car", "--by", "AM")
    assert finch.verdict(TAG).document["visit"]["date"] == "2025-01-10"
    assert pads(finch).words != ("replace", "required")
    assert pads(finch, tag="WREN").words == ("replace", "required")
    assert "This visit was first entered for another vehicle." in finch.counter_sheet("WREN")
    (visit,) = finch.reads("vehicle", "show", "WREN")["vehicle"]["visits"]
    assert visit["moved"]
    assert "wrong car" in "\n".join(finch.everything_on_file())


def test_a_void_visit_is_kept_and_never_judged_again(finch: Workshop) -> None:
    finch.measures(TAG, "50000 km", lines("7.0", rotor="27.600"), day="2025-01-10")
    finch.measures(TAG, "61000 km", lines("1.9"))
    rows = finch.counts()

    said = finch.does("amend", "void", TAG, DAY, "--why", "practice entry")
    assert "is void; it is kept with the reason" in said
    assert finch.verdict(TAG).document["visit"]["date"] == "2025-01-10"
    assert pads(finch).life("pad-in")["readings"] == 1
    assert finch.tries("verdict", TAG, "--visit", DAY).exit_code == 4
    assert "void: practice entry" in finch.does("vehicle", "show", TAG)
    assert finch.counts()["reading_sets"] == rows["reading_sets"]
    # The true odometer of that day may now be lower than the void one.
    finch.measures(TAG, "60100 km", lines("6.0"))


# Which limit decides


@pytest.mark.parametrize(
    ("cast", "words", "margin"),
    [
        ("26.04 mm", ("replace", "required"), "-0.01"),
        ("25.96 mm", ("reuse", None), "0.03"),
    ],
)
def test_of_a_cast_mark_and_a_sheet_that_agree_the_stricter_decides_and_both_are_shown(
    finch: Workshop, cast: str, words: tuple[str, str | None], margin: str
) -> None:
    finch.measures(TAG, "60000 km", lines("8.0", rotor="26.030"))
    assert finch.verdict(TAG).part("LF", "rotor").measure("rotor thickness")["margin_mm"] == "0.03"
    finch.does("limits", "cast", TAG, "LF", "rotor-discard", cast)
    rotor = finch.verdict(TAG).part("LF", "rotor")

    thickness = rotor.measure("rotor thickness")
    assert thickness["outcome"] == ("out" if words[1] else "in")
    assert rotor.words[1] == words[1] or rotor.codes[0] == "V112"
    assert thickness["margin_mm"] == margin
    assert {each["figure"] for each in thickness["figures_judged"]} == {"26.0 mm", cast}
    if words[1]:
        assert rotor.words == words
        assert "cast on the part" in rotor.text
    sheet = finch.counter_sheet(TAG)
    assert cast in sheet
    assert "26.0 mm" in sheet


def test_a_cast_mark_far_from_the_sheet_decides_nothing_until_confirmed(finch: Workshop) -> None:
    finch.measures(TAG, "60000 km", lines("8.0"))
    finch.does("limits", "cast", TAG, "LF", "rotor-discard", "24.0 mm")
    rotor = finch.verdict(TAG).part("LF", "rotor")
    assert rotor.words == ("no verdict", None)
    assert rotor.codes[0] == "V105"
    finch.does(
        *("limits", "confirm", finch.limit_id(TAG, "rotor-discard", cast=True), "24.0 mm"),
        *("--by", "AM", "--why", "other rotor fitted, sheet is for the smaller brake"),
    )
    rotor = finch.verdict(TAG).part("LF", "rotor")
    assert rotor.read("rotor thickness")[0] == "in"
    assert "other rotor fitted" in finch.counter_sheet(TAG)


def test_a_comparator_that_is_not_stated_is_taken_strictly_and_that_is_said(
    finch: Workshop,
) -> None:
    finch.measures(TAG, "60000 km", lines("2.0", rotor="26.000"))
    verdict = finch.verdict(TAG)

    lining = verdict.part("LF", "pads")
    assert lining.words == ("replace", "required")
    assert lining.read("inner pad lining") == ("out", "2.0", "2.0 mm", "0")
    assert lining.measure("inner pad lining")["limit"]["comparator_stated"] is False
    assert "comparator not stated; taken as out when at or below" in lining.text
    assert "exactly at the minimum lining" in lining.text
    rotor = verdict.part("LF", "rotor")
    assert rotor.words == ("replace", "required")
    assert "(out when at or below; service page 4)" in rotor.text
    assert "not stated" not in rotor.text


def test_a_limit_with_another_datum_gives_no_verdict_and_names_the_plate(shop: Workshop) -> None:
    shop.does("limits", "sheet", "plated")
    shop.does(
        *("limits", "add", "plated", "front", "pad-minimum", "7.0 mm"),
        *("--source", "service page 4", "--datum", "with plate"),
    )
    shop.has_vehicle(TAG, "--brakes", "disc", "--sheet", "plated")
    shop.measures(TAG, "60000 km", lines("8.0"))
    found = pads(shop)
    assert found.words == ("no verdict", None)
    assert found.read("inner pad lining") == ("no limit", "8.0", None, None)
    assert "the backing plate's thickness" in found.text
    assert "7.0 mm" in found.text

    plated = "".join(
        f"{side} {pad} 12.0 datum=plate\n" for side in ("LF", "RF") for pad in ("pad-in", "pad-out")
    )
    shop.measures(TAG, "60500 km", plated, day="2026-01-11")
    assert pads(shop).read("inner pad lining") == ("in", "12.0", "7.0 mm", "5")


# Which visit


def test_a_visit_entered_late_takes_its_place_by_its_own_date(finch: Workshop) -> None:
    finch.measures(TAG, "60000 km", lines("4.0"))
    finch.measures(TAG, "40000 km", lines("7.0", rotor="27.600"), day="2025-01-10")

    newest = finch.verdict(TAG)
    assert newest.document["visit"]["date"] == DAY
    assert newest.part("LF", "pads").life("pad-in")["readings"] == 2
    assert "last time 7.0 mm" in finch.customer_text(TAG)
    late = finch.verdict(TAG, "--visit", "2025-01-10")
    assert late.document["visit"]["odometer"] == "40000 km"
    assert late.part("LF", "pads").life("pad-in")["readings"] == 1
    by_id = finch.verdict(TAG, "--visit", late.document["visit"]["id"][:10])
    assert by_id.document == late.document


def test_readings_of_an_earlier_visit_never_fill_a_gap(finch: Workshop) -> None:
    finch.measures(TAG, "40000 km", lines("7.0", rotor="27.600"), day="2025-01-10")
    finch.measures(TAG, "60000 km", "LF pad-in 6.0\n")
    verdict = finch.verdict(TAG)

    assert verdict.part("LF", "pads").words == ("no verdict", None)
    assert verdict.part("LF", "pads").reason("V106")["measure"] == "outer pad lining"
    assert verdict.part("LF", "rotor").codes == ["V106"]
    assert not verdict.part("LF", "pads").facts["condition_recorded"]
    assert "condition not recorded" in finch.counter_sheet(TAG).lower()


def issued(shop: Workshop) -> list[str]:
    """What is on record as given out, oldest first."""
    query = 'SELECT document FROM verdicts ORDER BY "row"'
    return [document for (document,) in read_past(shop.store, query)]


def test_a_verdict_is_on_record_once_for_each_thing_that_was_said(finch: Workshop) -> None:
    finch.measures(TAG, "60000 km", lines("4.0"))
    finch.does("verdict", TAG, "--preview")
    assert finch.counts()["verdicts"] == 0
    first = finch.verdict(TAG)
    finch.does("verdict", TAG)
    finch.does("summary", TAG, "--text")
    assert finch.counts()["verdicts"] == 1
    assert json.loads(issued(finch)[0]) == first.document

    finch.does(
        "limits", "change", finch.limit_id("thrush 1.2", "pad-minimum"), "4.5 mm", "--why", "new"
    )
    assert pads(finch).words == ("replace", "required")
    finch.does("verdict", TAG)
    assert finch.counts()["verdicts"] == 2
    assert json.loads(issued(finch)[0]) == first.document


# Settings that change what is suggested


def test_the_next_planned_visit_of_the_visit_decides_what_is_suggested(finch: Workshop) -> None:
    for day, odometer, lining, rotor in (
        ("2023-01-10", "20000 km", "10.0", "27.850"),
        ("2024-01-10", "40000 km", "7.8", "27.620"),
    ):
        finch.measures(TAG, odometer, lines(lining, rotor=rotor), day=day)
    finch.measures(TAG, "60000 km", lines("5.6"))
    bound = km(pads(finch).life("pad-in"), "at_least_km")
    assert bound > 15_000
    assert pads(finch).words == ("reuse", None)

    finch.does("measure", TAG, "--date", DAY, "--next-visit", "50000 km", typed="LF looked-over")
    verdict = finch.verdict(TAG)
    assert verdict.part("LF", "pads").words == ("replace", "suggested")
    assert verdict.document["policy"]["next_planned_km"] == "50000.0"
    assert "Next planned visit after 50,000 km" in finch.counter_sheet(TAG)
    finch.does("measure", TAG, "--date", DAY, "--next-visit", "5000 km", typed="LF looked-over")
    assert pads(finch).words == ("reuse", None)
    finch.does("shop", "change", "--next-visit", "60000 km")
    assert pads(finch).words == ("reuse", None)


def test_the_shops_probability_decides_how_close_a_reading_may_come(finch: Workshop) -> None:
    finch.measures(TAG, "60000 km", lines("2.2"))
    assert pads(finch).read("inner pad lining")[0] == "not proven"
    finch.does("shop", "change", "--probability", "0.90")
    assert pads(finch).read("inner pad lining")[0] == "in"
    assert finch.verdict(TAG).document["policy"]["conformance_probability"] == "0.9"


# Add, list, show, change


def test_vehicles_are_added_listed_shown_and_changed(finch: Workshop) -> None:
    finch.has_vehicle(
        *("WREN", "--description", "Halden Brisk 1.6", "--brakes", "disc/drum"),
        *("--plate", "AB 12", "--vin", "1M8GDM9AXKP042788", "--odometer-unit", "mi"),
        *("--customer", "Marsh", "--contact", "555 0100"),
    )
    finch.measures("ab 12", "30000", "LF pad-in 8.0")
    for name in ("WREN", "wren", "AB 12", "1M8GDM9AXKP042788"):
        shown = finch.reads("vehicle", "show", name)["vehicle"]
        assert (shown["tag"], shown["brakes"]) == ("WREN", ["disc", "drum"])
        assert (shown["customer"], shown["odometer_unit"]) == ("Marsh", "mi")
    assert "30000 mi" in finch.does("vehicle", "show", "WREN")

    finch.does("vehicle", "change", "WREN", "--tag", "ROOK", "--sheet", "thrush 1.2")
    listed = {each["tag"]: each for each in finch.reads("vehicle", "list")["vehicles"]}
    assert set(listed) == {TAG, "ROOK"}
    assert listed["ROOK"]["description"] == "Halden Brisk 1.6"
    assert listed["ROOK"]["limit_sheet"] == "thrush 1.2"
    assert finch.tries("vehicle", "show", "WREN").exit_code == 4
    assert len(finch.reads("vehicle", "show", "ROOK")["vehicle"]["visits"]) == 1
    assert "ROOK  Halden Brisk 1.6  AB 12  disc/drum  thrush 1.2" in finch.does("vehicle", "list")


def test_limits_are_changed_and_withdrawn_with_a_reason_and_never_lost(finch: Workshop) -> None:
    old = finch.limit_id("thrush 1.2", "rotor-discard")
    assert "rotor-discard 26.0 mm, out when at or below; service page 4" in finch.does(
        "limits", "show", "thrush 1.2"
    )
    finch.does("limits", "change", old, "26.2 mm", "--why", "new edition")
    shown = finch.does("limits", "show", "thrush 1.2")
    assert "26.2 mm" in shown
    assert "26.0 mm" not in shown
    new = finch.limit_id("thrush 1.2", "rotor-discard")
    assert new != old
    finch.does("limits", "withdraw", new, "--why", "wrong model")
    assert "rotor-discard" not in finch.does("limits", "show", "thrush 1.2")
    finch.measures(TAG, "60000 km", lines("8.0"))
    assert finch.verdict(TAG).part("LF", "rotor").codes == ["V104"]
    finch.does(
        *("limits", "torque", "thrush 1.2", "front", "caliper bracket", "110 N\u00b7m"),
        *("--source", "service page 5"),
    )
    (torque,) = finch.reads("limits", "show", "thrush 1.2")["torques"]
    assert torque["figure"] == "110 N\u00b7m"
    assert finch.counts()["limits"] == 7


def test_a_gauge_changed_later_leaves_earlier_readings_as_they_were(finch: Workshop) -> None:
    finch.measures(TAG, "60000 km", lines("2.4"))
    assert pads(finch).measure("inner pad lining")["gauge"] == "depth gauge on the car"
    finch.does("gauge", "change", "depth", "--for", "shoes", "--note", "lent out")
    finch.has_gauge("steps", "stepped", "mm", "1 mm", "pads")

    assert finch.reads("gauge", "show", "depth")["gauge"]["note"] == "lent out"
    assert finch.reads("gauge", "show", "STEPS")["gauge"]["used_for"] == ["pad-in", "pad-out"]
    tags = {each["tag"] for each in finch.reads("gauge", "list")["gauges"]}
    assert tags == {"mic", "dial", "depth", "drums", "steps"}
    assert pads(finch).measure("inner pad lining")["gauge"] == "depth gauge on the car"
    finch.measures(TAG, "60500 km", lines("2.4", rotor="27.397"), day="2026-01-11")
    later = pads(finch).measure("inner pad lining")
    assert later["gauge"] == "stepped gauge"
    assert later["outcome"] == "not proven"


def test_people_and_the_shop_are_shown_and_changed(finch: Workshop) -> None:
    finch.does("people", "add", "JR", "J. Roe")
    finch.does("people", "change", "JR", "--role", "service writer")
    finch.does("people", "add", "marsh", "Ada Marsh", "--customer", "--contact", "555 0100")
    people = finch.reads("people", "list")
    assert {each["tag"]: each["role"] for each in people["people"]} == {
        "AM": "tech",
        "JR": "service writer",
    }
    assert [each["name"] for each in people["customers"]] == ["Ada Marsh"]
    assert finch.reads("people", "show", "jr")["name"] == "J. Roe"

    finch.does("vehicle", "change", TAG, "--customer", "marsh")
    finch.does("shop", "change", "--name", "Northgate Garage", "--unit", "in")
    assert finch.reads("shop", "show")["name"] == "Northgate Garage"
    finch.measures(TAG, "60000 km", lines("8.0"), "--by", "JR")
    letter = finch.customer_text(TAG)
    assert "For Ada Marsh" in letter
    assert letter.endswith("Northgate Garage")
    assert "0.315 in (8.0 mm)" in letter
    page = finch.customer_page(TAG)
    assert "Ada Marsh" in page
    assert "<svg" in page
    assert "http" not in page


def test_a_page_on_disk_is_not_written_over_unless_asked(finch: Workshop, tmp_path: Path) -> None:
    finch.measures(TAG, "60000 km", lines("8.0"))
    page = tmp_path / "page.html"
    finch.does("summary", TAG, "--out", str(page))
    first = page.read_text(encoding="utf-8")
    page.write_text("mine", encoding="utf-8")
    assert finch.tries("summary", TAG, "--out", str(page)).exit_code == 5
    assert page.read_text(encoding="utf-8") == "mine"
    finch.does("summary", TAG, "--out", str(page), "--replace")
    assert page.read_text(encoding="utf-8") == first
