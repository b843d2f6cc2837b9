"""Figures of inspection texts at their boundaries, through the packs that come with the program.

The sources stand beside each row. What the packs say of their own standing holds here too: most
figures were read in a secondary text, 49 CFR 570.5 and the end of 393.47(d)(2) are from memory.
The conversions are exact: 1/8 in = 3.175 mm, 1/16 in = 1.5875 mm, 1/32 in = 0.79375 mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.pack_judging import judge_pack
from brakelog.rules.pack_verdict import PackOutcome, PackVerdict
from brakelog.workshop.packs import built_in_ids, built_in_pack
from tests.unit.verdict_examples import case, readings

CMV = "us-cmv-393-47"
MODEL = "us-part-570"
GB = "gb-inspection-1-1-13"
QUEBEC = "ca-qc-c24-2-r32"
VIRGINIA = "us-va-30-70-80"
PENNSYLVANIA = "us-pa-175-80"
QUEENSLAND = "au-qld-pads"

HYDRAULIC = {"actuation": "hydraulic"}
AIR = {"actuation": "air"}
STEERS = {"steering": "yes"}
TRAILS = {"steering": "no"}
BONDED = {"lining": "bonded"}
RIVETED = {"lining": "riveted"}
CAR = {"class": "car"}
HEAVY = {"class": "heavy"}


def lining(
    pack: str, clause: str, mm: str, traits: Mapping[str, str], *, shoes: bool = False
) -> PackVerdict:
    """Judge one lining of the front axle by one clause."""
    quantity = Quantity.SHOE_LEADING if shoes else Quantity.PAD_INNER
    brake = AxleBrake.DRUM if shoes else AxleBrake.DISC
    file = case([readings("LF", quantity, mm)], brakes=(brake,))
    known = {(0 if name == "class" else 1, name): value for name, value in traits.items()}
    (found,) = [
        each
        for each in judge_pack(built_in_pack(pack), replace(file, traits=known))
        if each.clause.id == clause and each.value_nm is not None
    ]
    return found


@pytest.mark.parametrize(
    ("clause", "mm", "traits", "fails_mm", "fails_inch"),
    [
        # 49 CFR 393.47(d)(1): air disc, "not less than 3.2 mm (1/8 inch)". Public quotation, 2012.
        ("steering-air-disc", "3.200", {**AIR, **STEERS}, False, False),
        ("steering-air-disc", "3.190", {**AIR, **STEERS}, True, False),
        ("steering-air-disc", "3.175", {**AIR, **STEERS}, True, False),
        ("steering-air-disc", "3.174", {**AIR, **STEERS}, True, True),
        # 49 CFR 393.47(d)(2): "less than 3.2 mm (1/8 inch) for disc brakes". The same.
        ("other-air-disc", "3.200", {**AIR, **TRAILS}, False, False),
        ("other-air-disc", "3.190", {**AIR, **TRAILS}, True, False),
        # 49 CFR 393.47(d)(1): hydraulic, "1.6 mm (1/16 inch) or less". The same.
        ("steering-hydraulic", "1.600", {**HYDRAULIC, **STEERS}, True, False),
        ("steering-hydraulic", "1.601", {**HYDRAULIC, **STEERS}, False, False),
        ("steering-hydraulic", "1.590", {**HYDRAULIC, **STEERS}, True, False),
        ("steering-hydraulic", "1.5875", {**HYDRAULIC, **STEERS}, True, True),
        # 49 CFR 393.47(d)(2): hydraulic, "1.6 mm (1/16 inch) or less". From memory.
        ("other-hydraulic", "1.600", {**HYDRAULIC, **TRAILS}, True, False),
        ("other-hydraulic", "1.601", {**HYDRAULIC, **TRAILS}, False, False),
        ("other-hydraulic", "1.5875", {**HYDRAULIC, **TRAILS}, True, True),
    ],
)
def test_both_printed_figures_are_judged_and_the_stricter_decides(
    clause: str, mm: str, traits: Mapping[str, str], fails_mm: bool, fails_inch: bool
) -> None:
    found = lining(CMV, clause, mm, traits)

    assert found.open == ()
    assert found.beyond == (fails_mm, fails_inch)
    assert (found.outcome is PackOutcome.BEYOND) == (fails_mm or fails_inch)
    assert found.deciding is not None
    assert found.deciding.text.endswith("mm")


@pytest.mark.parametrize(
    ("pack", "clause", "traits", "inside", "beyond", "shoes"),
    [
        # 49 CFR 393.47(d)(1): air drum, "not less than 4.8 mm (3/16 inch) at the shoe center for a
        # shoe with a continuous strip of lining", 6.4 mm (1/4 inch) for one with two pads.
        (CMV, "steering-air-drum-strip", {**AIR, **STEERS}, "4.800", "4.799", True),
        (CMV, "steering-air-drum-pads", {**AIR, **STEERS}, "6.400", "6.399", True),
        # 49 CFR 393.47(d)(2): air, "not less than 6.4 mm (1/4 inch)" at the shoe center.
        (CMV, "other-air-drum", {**AIR, **TRAILS}, "6.400", "6.399", True),
        # Inspection manual of Great Britain, 1.1.13(a)(ii), since 20 May 2018: "worn below 1.5 mm".
        (GB, "worn", {}, "1.500", "1.499", False),
        (GB, "worn", {}, "1.500", "1.499", True),
        # Québec C-24.2, r. 32, s. 31(2): "at least 1.6 mm" hydraulic, "at least 5 mm" pneumatic;
        # riveted 4.8 mm on the steering axle, 8 mm on the others, or 1 mm above the rivets.
        (QUEBEC, "bonded-hydraulic", {**BONDED, **HYDRAULIC}, "1.600", "1.599", False),
        (QUEBEC, "bonded-air", {**BONDED, **AIR}, "5.000", "4.999", False),
        (QUEBEC, "riveted-steering", {**RIVETED, **STEERS}, "4.800", "4.799", False),
        (QUEBEC, "riveted-other", {**RIVETED, **TRAILS}, "8.000", "7.999", True),
        # Virginia 19VAC30-70-80: bonded "less than 2/32 of an inch". Public quotation, 2004.
        (VIRGINIA, "bonded", BONDED, "1.5875", "1.5874", False),
        # Pennsylvania, 67 Pa. Code 175.80: bonded "rejected below 2/32". A garage's explanation.
        (PENNSYLVANIA, "bonded", BONDED, "1.5875", "1.5874", False),
        # 49 CFR 570.59(c), July 1974: bonded "not less than ... one-sixteenth of an inch".
        (MODEL, "heavy-bonded", {**BONDED, **HEAVY}, "1.5875", "1.5874", True),
        # 49 CFR 570.5: bonded, 1/32 inch over the shoe. From memory.
        (MODEL, "light-bonded", {**BONDED, **CAR}, "0.79375", "0.79374", True),
        # Queensland, as quoted by an inspection firm: pads "at least 0.8 mm".
        (QUEENSLAND, "pads", {}, "0.800", "0.799", False),
    ],
)
def test_at_least_a_figure_passes_at_the_figure_and_fails_below(
    pack: str, clause: str, traits: Mapping[str, str], inside: str, beyond: str, shoes: bool
) -> None:
    at = lining(pack, clause, inside, traits, shoes=shoes)
    below = lining(pack, clause, beyond, traits, shoes=shoes)

    # At the figure itself no gauge can prove it, but it is not beyond.
    assert at.outcome is PackOutcome.NOT_PROVEN
    assert below.outcome is PackOutcome.BEYOND


@pytest.mark.parametrize(
    ("pack", "clause", "traits", "beyond"),
    [
        # Virginia: riveted "less than 2/32 of an inch over the rivet head(s)".
        (VIRGINIA, "riveted", RIVETED, "1.5874"),
        # Pennsylvania: riveted "a minimum" of 1/32: the text does not say what becomes of 1/32
        # itself, so that the stricter is taken.
        (PENNSYLVANIA, "riveted", RIVETED, "0.79375"),
        # 49 CFR 570.59(c): "not less than one thirty-second of an inch over the fastener".
        (MODEL, "heavy-riveted", {**RIVETED, **HEAVY}, "0.79374"),
        # 49 CFR 570.5: over the rivet heads. From memory.
        (MODEL, "light-riveted", {**RIVETED, **CAR}, "0.79374"),
    ],
)
def test_a_reading_from_the_shoe_can_fail_a_figure_over_the_rivets_but_never_pass_it(
    pack: str, clause: str, traits: Mapping[str, str], beyond: str
) -> None:
    assert lining(pack, clause, beyond, traits).outcome is PackOutcome.BEYOND
    for mm in ("1.6", "3.0", "9.0"):
        found = lining(pack, clause, mm, traits)
        assert found.outcome is PackOutcome.CANNOT_COMPARE


@pytest.mark.parametrize(
    ("pack", "clause", "traits", "is_beyond"),
    [
        (GB, "worn", {}, False),
        (QUEBEC, "bonded-hydraulic", {**BONDED, **HYDRAULIC}, True),
        (CMV, "steering-hydraulic", {**HYDRAULIC, **STEERS}, True),
        (VIRGINIA, "bonded", BONDED, True),
        (PENNSYLVANIA, "bonded", BONDED, True),
        (MODEL, "heavy-bonded", {**BONDED, **HEAVY}, True),
        (MODEL, "light-bonded", {**BONDED, **CAR}, False),
        (QUEENSLAND, "pads", {}, False),
    ],
)
def test_the_texts_disagree_about_one_pad_of_1_55_mm(
    pack: str, clause: str, traits: Mapping[str, str], is_beyond: bool
) -> None:
    found = lining(pack, clause, "1.55", traits)

    assert (found.outcome is PackOutcome.BEYOND) is is_beyond


def test_every_pack_names_its_source_and_how_it_is_known() -> None:
    for pack_id in built_in_ids():
        pack = built_in_pack(pack_id)
        assert pack.id == pack_id
        assert pack.document
        assert pack.standing_note
        assert pack.valid_from or pack.valid_from_note
