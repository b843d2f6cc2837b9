"""What the sheet of a runout says, and what it keeps to itself because nobody can know."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from brakelog.lengths import LengthUnit, parse_length
from brakelog.metrology.judder import parse_tyre
from brakelog.metrology.plates import COMMON_PLATES_NM, Face
from brakelog.metrology.runout import Gate
from brakelog.metrology.shares import Mark
from brakelog.record.fitting import Fitting, FittingEvent, SizeBasis
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.shop import Shop
from brakelog.reports.plain import as_text
from brakelog.reports.runout import runout_sheet
from brakelog.reports.runout_document import runout_document
from brakelog.reports.wheel import WIDTH, wheel
from brakelog.rules.runout import study_runout, telling_stage
from brakelog.rules.runout_study import Ask, Expected, NoSplit, RunoutStudy
from tests.unit.verdict_examples import FRONT_DISC, LF, NOW, case, limit, readings, runout

FIRST = "0.074 0.093 0.085 0.054 0.019 0.000 0.008 0.039"
TWO_ON = "0.003 0.000 0.003 0.011 0.018 0.020 0.017 0.010"
"""Hub 0.040 mm at 30 degrees, rotor 0.060 mm at 70 degrees, five studs."""
ASKED = Ask(plates_nm=COMMON_PLATES_NM)


def profile(text: str, index: int | None = None, **circumstances: Any) -> ReadingSet:
    """Return a signed profile; ``readings`` refuses what is below zero."""
    typed = tuple(text.split())
    values = tuple(parse_length(t, declared=LengthUnit.MM, signed=True).nm for t in typed)
    return replace(
        runout("LF", "0", rotor_index=index, **circumstances), values_nm=values, typed=typed
    )


def mounted(
    hub_um: float, hub_deg: float, rotor_um: float, rotor_deg: float, index: int
) -> ReadingSet:
    """Return what eight marks read of a hub and a rotor on five studs, to the micrometre."""
    texts = []
    for mark_deg in range(0, 360, 45):
        hub = hub_um * math.cos(math.radians(mark_deg - hub_deg))
        rotor = rotor_um * math.cos(math.radians(mark_deg - rotor_deg - 72 * index))
        texts.append(f"{(hub + rotor) / 1000:.3f}")
    return profile(" ".join(texts), index)


def study(sets: Iterable[ReadingSet], ask: Ask = ASKED, **on_file: Any) -> RunoutStudy:
    stage = on_file.pop("stage", Stage.AS_FOUND)
    traits = on_file.pop("traits", {})
    changed_since = on_file.pop("changed_since", False)
    file = replace(case(sets, stage=stage, **on_file), traits=traits)
    return study_runout(file, LF, ask, changed_since=changed_since)


def sheet(found: RunoutStudy) -> str:
    """Return the sheet as one line without breaks."""
    return " ".join(as_text(runout_sheet(found)).split())


BOTH = (profile(FIRST, 0), profile(TWO_ON, 2))
TURNED_BACK = (profile(TWO_ON, 2), profile(FIRST, 0))


# Shares and positions


def test_two_mountings_tell_hub_from_rotor_and_rank_every_stud() -> None:
    text = sheet(study(TURNED_BACK))

    assert "Hub: 0.040 mm, U2 0.006 mm, high at 30 deg, nearest stud 1." in text
    assert "Rotor, as mounted at index 0: 0.060 mm, U2 0.006 mm, high at 70 deg" in text
    assert "Now: mark at stud 1 (index 0), predicted 0.094 mm" in text
    assert "Best: mark at stud 3 (index 2), predicted 0.020 mm" in text
    assert "inside the limit" in text
    assert "Turn the rotor 2 studs on: 0.074 mm less." in text
    assert "measure again after every change" in text.lower()


def test_the_wheel_shows_present_and_best_stud_with_what_each_gives() -> None:
    lines = as_text(runout_sheet(study(TURNED_BACK))).splitlines()

    assert max(len(line) for line in lines) <= 80
    drawn = "\n".join(lines)
    assert "(1)" in drawn
    assert "[3] 0.020 mm" in drawn
    assert "0.097 mm  5" in drawn
    assert "2  0.058 mm" in drawn


@pytest.mark.parametrize("studs", range(3, 13))
def test_every_stud_of_a_wheel_is_drawn_with_its_label(studs: int) -> None:
    labels = [f"0.{n:03d} mm" for n in range(100, 100 + studs)]

    lines = wheel(labels, now=0, best=studs - 1, marks={"H": 40.0, "R": 40.0})

    text = "\n".join(lines)
    assert all(label in text for label in labels)
    assert all(len(line) <= WIDTH for line in lines)
    assert {"H", "R"} <= set(text)


def test_readings_in_thousandths_of_an_inch_give_a_sheet_in_inches() -> None:
    text = sheet(study(BOTH, shop=Shop(unit=LengthUnit.INCH)))

    assert "predicted 0.0008 in" in text
    assert "predicted 0.020 mm" not in text


def test_a_mark_that_travels_with_the_rotor_must_be_said() -> None:
    """Rotated by two studs of five, the travelling profile is another one."""
    said = study(BOTH, replace(ASKED, mark=Mark.ROTOR))

    assert said.split is not None
    assert abs(said.split.hub_nm) != pytest.approx(abs(study(BOTH).split.hub_nm), rel=0.1)  # type: ignore[union-attr]
    assert "mark that travels with the rotor" in sheet(said)


def test_of_two_profiles_at_one_position_the_newer_counts() -> None:
    dirty = profile("0.2 0.3 0.2 0.1 0.0 0.0 0.0 0.1", 0)

    found = study([dirty, *BOTH])

    assert [each.reading for each in found.used] == list(BOTH)
    assert "Not used: read again later at the same position." in sheet(found)


def test_one_profile_without_index_is_the_first_mounting_and_the_sheet_says_so() -> None:
    found = study([profile(FIRST), profile(TWO_ON, 2)])

    assert found.split is not None
    assert "Index 0 (not typed; taken as the first mounting)" in sheet(found)


@pytest.mark.parametrize(
    "sets",
    [
        (profile(FIRST), profile(TWO_ON)),
        (profile(FIRST, 0), profile(TWO_ON)),
        (profile(FIRST), profile(TWO_ON), profile(TWO_ON, 2)),
    ],
)
def test_where_nobody_can_tell_which_position_was_read_nothing_is_guessed(
    sets: tuple[ReadingSet, ...],
) -> None:
    found = study(sets)

    assert found.split is None
    assert any(Gate.INDEX_NOT_SAID in each.gates for each in found.read)


# What is missing


def test_one_mounting_says_how_far_to_turn_for_the_second() -> None:
    found = study([profile(FIRST, 0)])
    text = sheet(found)

    assert found.no_split is NoSplit.ONE_MOUNTING
    assert "turn it by 2 studs of 5 in the direction in which the points were read" in text
    assert "(index=2)" in text
    assert "Hub: " not in text
    assert "Correction plates" not in text


def test_a_total_reading_has_no_angles_and_so_no_shares() -> None:
    found = study([runout("LF", "0.074")])

    assert found.no_split is NoSplit.NO_PROFILE
    assert "Total reading 0.074 mm (0.0029 in), without angles." in sheet(found)


def test_no_runout_at_all_is_said() -> None:
    found = study([])

    assert found.no_split is NoSplit.NO_READING
    assert "What to do" not in sheet(found)


def test_studs_that_differ_are_not_split() -> None:
    found = study([profile(FIRST, 0), profile(TWO_ON, 2, fasteners_fitted=4, fasteners_of=4)])

    assert found.no_split is NoSplit.STUDS_DIFFER


def test_a_number_of_studs_that_is_not_the_sheets_is_not_split() -> None:
    assert study(BOTH, traits={(1, "fasteners"): "4"}).no_split is NoSplit.OTHER_STUDS
    assert study(BOTH, traits={(1, "fasteners"): "5"}).split is not None


@pytest.mark.parametrize(
    ("circumstances", "gate"),
    [
        ({"fasteners_fitted": 3}, Gate.FASTENERS_MISSING),
        ({"fasteners_fitted": None, "fasteners_of": None}, Gate.FASTENERS_NOT_SAID),
        ({"bearing_checked": None}, Gate.BEARING_NOT_SAID),
        ({"bearing_checked": False}, Gate.BEARING_PLAY),
        ({"returned_to_start": False}, Gate.DID_NOT_RETURN),
        ({"again_nm": 30_000, "again_typed": "0.03"}, Gate.DID_NOT_RETURN),
    ],
)
def test_a_doubtful_mounting_is_named_and_not_used(
    circumstances: dict[str, Any], gate: Gate
) -> None:
    found = study([profile(FIRST, 0), profile(TWO_ON, 2, **circumstances)])

    assert found.split is None
    assert found.read[1].gates == (gate,)
    assert f"Not used: {gate.value}" in sheet(found)


def test_back_within_a_hundredth_of_its_start_is_good_enough() -> None:
    found = study([profile(FIRST, 0, again_nm=84_000, again_typed="0.084"), BOTH[1]])

    assert found.split is not None


def test_a_profile_with_a_hole_has_no_vector() -> None:
    holed = readings("LF", Quantity.RUNOUT, "0.07 x 0.08 0.05 0.01 0.0 0.0 0.03")

    found = study([holed])

    assert Gate.POINT_MISSING in found.read[0].gates
    assert found.read[0].wave is None


# No advice from noise


def test_a_small_runout_is_not_split() -> None:
    small = "0.010 0.012 0.011 0.007 0.002 0.000 0.001 0.005"
    text = sheet(study([profile(small, 0), profile(small, 2)]))

    assert "All mountings run out less than 0.02 mm: a split of that is noise." in text
    assert "So nothing is advised from this split." in text
    assert "Best:" not in text


def test_without_a_known_gauge_the_worst_is_taken_and_nothing_advised() -> None:
    unknown = [replace(each, gauge_id=None) for each in BOTH]
    found = study(unknown)

    assert not found.advises
    assert "so that the worst is taken" in sheet(found)


def test_a_rotor_that_adds_nothing_cannot_be_helped_by_turning_it() -> None:
    found = study([profile(FIRST, 0), profile(FIRST, 2)])
    text = sheet(found)

    assert not found.advises
    assert "The rotor's share does not stand out of the noise" in text


def test_three_mountings_that_do_not_agree_give_no_advice() -> None:
    on_dirt = profile("0.10 0.14 0.15 0.12 0.07 0.02 0.00 0.04", 4)

    text = sheet(study([*BOTH, on_dirt]))

    assert "The mountings do not agree with each other" in text
    assert "So nothing is advised from this split." in text


def test_turning_that_gains_no_more_than_the_readings_know_is_not_advised() -> None:
    """The ideal angle is 38 degrees: the present stud is 38 off it, the next one 34."""
    found = study([mounted(20, 0, 30, 142, index) for index in (2, 0)])
    text = sheet(found)

    assert "Now: mark at stud 1" in text
    assert "Best: mark at stud 2" in text
    assert "no more than these readings are sure of" in text


def test_a_prediction_that_is_mostly_noise_says_how_much_noise_adds() -> None:
    """Hub and rotor alike and opposite at index 0: nothing is left but noise."""
    found = study([mounted(30, 0, 30, 180, index) for index in (2, 0)])

    assert "Now, and best: mark at stud 1 (index 0), predicted 0.000 mm" in sheet(found)
    assert "Noise alone adds about 0.004 mm to it." in sheet(found)


def test_waves_that_turning_cannot_cure_are_named_and_added_to_the_prediction() -> None:
    """0.030 mm twice per turn on top of the first example."""
    bent = [
        profile(
            " ".join(
                f"{float(v) + 0.015 * (-1) ** (n // 2):.3f}" for n, v in enumerate(text.split())
            ),
            index,
        )
        for text, index in ((FIRST, 0), (TWO_ON, 2))
    ]
    found = study(bent)
    best = found.prediction.best  # type: ignore[union-attr]

    assert "Besides once per turn: 2 per turn" in sheet(found)
    assert found.expected(best.tir_nm, best.u1_nm) is Expected.UNSURE


def test_five_studs_read_at_six_points_are_warned_of() -> None:
    found = study([profile("0.01 0.05 0.06 0.04 0.01 0.0", 0)])

    assert "a rotor bent by 5 uneven nuts passes for 1 per turn" in sheet(found)


def test_a_short_turn_between_mountings_is_said_to_be_less_sure() -> None:
    found = study([profile(FIRST, 0), profile(TWO_ON, 1)])

    assert "Turned by 1 stud; by 2 the shares would be surer." in sheet(found)


# The limit and the cures


def test_out_gives_the_cures_in_order() -> None:
    text = sheet(study(TURNED_BACK))

    order = ["1. Clean", "2. Turn the rotor", "3. Fit a tapered", "4. Cut the rotor", "5. Replace"]
    places = [text.index(each) for each in order]
    assert places == sorted(places)
    assert "Over the limit by 0.044 mm" in text
    assert "mark to stud 3, predicted 0.020 mm, inside the limit" in text


def test_few_points_do_not_hide_a_runout_beyond_its_limit() -> None:
    """Highest minus lowest reads 0.048 mm, the wave through the eight points 0.052 mm."""
    under = "0.024 0.024 0.010 -0.010 -0.024 -0.024 -0.010 0.010"
    found = study([profile(under, 0)])
    (read,) = found.read

    assert read.tir_nm == 48_000 < 50_000 < read.runout_nm
    assert found.is_out


@pytest.mark.parametrize(
    ("out_when", "is_out"), [(OutWhen.ABOVE, False), (OutWhen.AT_OR_ABOVE, True)]
)
def test_a_runout_exactly_at_its_limit(out_when: OutWhen, is_out: bool) -> None:
    limits = (limit(LimitKind.RUNOUT, "0.05", out_when=out_when),)

    found = study([runout("LF", "0.05")], limits=limits)

    assert found.is_out is is_out
    assert ("At its limit. In this order" in sheet(found)) is is_out


def test_without_a_limit_nothing_is_called_in_or_out() -> None:
    limits = tuple(each for each in FRONT_DISC if each.kind is not LimitKind.RUNOUT)
    text = sheet(study(TURNED_BACK, limits=limits))

    assert "No runout limit on file" in text
    assert "the limit" not in text.replace("the limit on file", "")


def test_a_runout_that_may_not_be_used_is_never_called_inside_its_limit() -> None:
    text = sheet(study([runout("LF", "0.03", bearing_checked=None)]))

    assert "What was read may not be used: measure it again" in text
    assert "nothing has to be done" not in text


def test_a_runout_that_may_not_be_used_is_measured_again_before_any_cure() -> None:
    found = study([runout("LF", "0.09", fasteners_fitted=2)])

    assert found.is_out
    assert found.steps == ()
    assert "Beyond the limit, but read so that it may not be used: measure it" in sheet(found)


def test_a_prediction_is_inside_only_with_twice_its_uncertainty_to_spare() -> None:
    found = study(BOTH)

    assert found.expected(40_000, 4_900) is Expected.INSIDE
    assert found.expected(40_000, 5_100) is Expected.UNSURE
    assert found.expected(49_999.9, 0.0) is Expected.INSIDE
    assert found.expected(50_001.0, 4_000) is Expected.BEYOND


def test_matched_rotor_and_hub_are_not_turned_unmeasured() -> None:
    matched = study(BOTH, traits={(1, "rotor-matched"): "yes"})
    free = study(BOTH, traits={(1, "rotor-matched"): "no"})

    assert "are a matched pair on this vehicle" in sheet(matched)
    assert "matched pair" not in sheet(free)
    assert "Where the maker mounts" in sheet(study(BOTH))


def test_readings_of_a_rotor_that_was_changed_since_are_said_to_be_old() -> None:
    fitted = Fitting(
        id="f",
        visit_id=NOW.id,
        day=NOW.day,
        odometer_mm=NOW.odometer_mm,
        corner=LF,
        position=Position.ROTOR,
        event=FittingEvent.NEW,
        size_nm=28_000_000,
        size_typed="28.0",
        basis=SizeBasis.MEASURED,
    )
    warning = "The rotor was changed after these readings"

    assert warning in sheet(study(BOTH, fittings=(fitted,)))
    assert warning in sheet(study(BOTH, changed_since=True))
    assert warning not in sheet(study(BOTH))


# Plates, hub face, stages


def test_plates_are_tried_on_the_face_that_was_read() -> None:
    outer, inner = study(BOTH), study(BOTH, replace(ASKED, face=Face.INNER))

    assert "plate 0.076 mm, thick side at stud 3" in sheet(outer)
    assert "here on the inner face" in sheet(inner)
    assert outer.choices[0] != inner.choices[0]


def test_the_hub_face_grows_by_the_lever() -> None:
    face = readings(
        "LF",
        Quantity.HUB_RUNOUT,
        "0.01",
        gauge="d",
        radius_nm=60_000_000,
        bearing_checked=True,
    )
    text = sheet(study([*BOTH, face]))
    exact = sheet(study([*BOTH, face], replace(ASKED, indicator_radius_nm=132_000_000)))

    assert "by the lever 0.021 mm to 0.026 mm where the rotor is read" in text
    assert "The hub's share is more than that: look for rust or dirt" in text
    assert "by the lever 0.022 mm where the rotor is read" in exact


def test_what_was_read_as_left_stands_beside_its_prediction() -> None:
    left = replace(runout("LF", "0.024", rotor_index=2), stage=Stage.AS_LEFT)

    text = sheet(study([*TURNED_BACK, left]))

    assert (
        "As left: Total reading 0.024 mm (0.0009 in), without angles. Predicted: 0.020 mm." in text
    )


def test_the_stage_that_was_read_at_two_positions_tells_most() -> None:
    left = [replace(each, stage=Stage.AS_LEFT) for each in BOTH]

    assert telling_stage([*BOTH, left[0]], LF) is Stage.AS_FOUND
    assert telling_stage([*BOTH, *left], LF) is Stage.AS_LEFT
    assert telling_stage([BOTH[0], left[1]], LF) is Stage.AS_LEFT
    assert telling_stage([], LF) is Stage.AS_FOUND


# Thickness


def test_thickness_of_the_same_corner_is_shown_by_its_waves() -> None:
    wavy = " ".join(
        f"{v:.3f}" for v in (22.007, 22.010, 22.007, 22.001, 21.997, 21.997, 21.998, 21.998, 21.996)
    )
    found = study([*BOTH, readings("LF", Quantity.ROTOR, wavy)])
    text = sheet(found)

    assert "1 per turn: 0.012 mm peak to peak" in text
    assert "worn by runout (common practice)" in text
    assert "9 points can miss at worst 3 % of 1 per turn, 3 % of 2 per turn, 25 % of 3" in text
    assert "altogether" not in text


def test_eight_points_cannot_see_four_waves() -> None:
    flat = "22.001 22.000 22.001 22.000 22.001 22.000 22.001 22.000"
    text = sheet(study([readings("LF", Quantity.ROTOR, flat)]))

    assert "No wave stands out of the noise of the readings" in text
    assert "They can miss 4 per turn altogether" in text


def test_a_thickness_with_a_point_missing_has_no_waves() -> None:
    holed = "22.001 x 22.009 22.000 22.001 22.000 22.001 22.000"
    text = sheet(study([readings("LF", Quantity.ROTOR, holed)]))

    assert "A point was not measured, so that its waves cannot be told." in text


def test_a_calliper_is_no_gauge_for_waves() -> None:
    thick = "22.00 22.05 22.00 22.00 22.00 22.00 22.00 22.00 22.00"
    text = sheet(study([readings("LF", Quantity.ROTOR, thick, gauge=None)]))

    assert "This gauge must not be used for a variation" in text


def test_a_tyre_gives_the_pulsation_by_speed() -> None:
    found = study(BOTH, replace(ASKED, tyre=parse_tyre("205/55R16")))

    lines = as_text(runout_sheet(found)).splitlines()

    assert "  per turn     50     80    100    120  km/h" in lines
    assert "         1    7.2   11.5   14.4   17.3  Hz" in lines
    assert "         2   14.4   23.1   28.9   34.6  Hz" in lines


# For machines


def test_the_document_holds_the_same_figures_and_every_key_is_described() -> None:
    face = readings("LF", Quantity.HUB_RUNOUT, "0.01", gauge="d", radius_nm=60_000_000)
    thick = readings("LF", Quantity.ROTOR, "22.0 22.02 22.0 21.98 22.0 22.02 22.0 21.98 22.0")
    left = replace(profile(TWO_ON, 2), stage=Stage.AS_LEFT)
    ask = replace(ASKED, tyre=parse_tyre("205/55R16"))

    document = runout_document(study([*TURNED_BACK, face, thick, left], ask))

    assert document["format"] == "brakelog.runout/1"
    assert [each["tir_mm"] for each in document["positions"]][2] == "0.020271"
    assert document["best"]["index"] == 2
    assert document["is_out"] is True
    assert len(document["plates"]) == 20
    assert keys_of(document) - described("brakelog.runout/1") == set()


def test_nothing_that_is_not_advised_stands_in_the_document() -> None:
    document = runout_document(study([profile(FIRST, 0), profile(FIRST, 2)]))

    assert document["split"]["no_advice"] == ["the rotor's share does not stand out of the noise"]
    assert (document["positions"], document["plates"], document["best"]) == ([], [], None)


def described(form: str) -> set[str]:
    page = Path(__file__).parents[2] / "docs" / "reference" / "json.md"
    parts = re.split(r"^## ", page.read_text(encoding="utf-8"), flags=re.MULTILINE)
    (section,) = [part for part in parts if f"`{form}`" in part.splitlines()[0]]
    return set(re.findall(r"^\| `?([^|`]+?)`? \|", section, re.MULTILINE))


def keys_of(value: object) -> set[str]:
    if isinstance(value, dict):
        return set(value).union(*(keys_of(each) for each in value.values()))
    if isinstance(value, list):
        return set().union(*(keys_of(each) for each in value))
    return set()
