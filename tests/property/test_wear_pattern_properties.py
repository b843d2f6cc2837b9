"""What must hold for every flag and every hint, whatever was read."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from unittest.mock import patch

from hypothesis import given, settings
from hypothesis import strategies as st

from brakelog.record.corner import Corner
from brakelog.record.finding import Finding, FindingKind
from brakelog.record.fitting import Fitting
from brakelog.record.quantity import Part, Quantity
from brakelog.record.reading import ReadingSet
from brakelog.rules.casefile import CaseFile
from brakelog.rules.flag import Flag, FlagKind
from brakelog.rules.flag_words import flag_sentence
from brakelog.rules.hint import Hint
from brakelog.rules.vehicle import judge_vehicle
from tests.unit.test_rules_patterns import (
    DISC_DISC,
    DISC_DRUM,
    NEW_FRONT,
    NEW_REAR,
    NEW_SHOES,
    REAR_DISC,
    REAR_DRUM,
    found,
    four_wheels,
)
from tests.unit.verdict_examples import readings, runout

TENTHS = st.integers(min_value=0, max_value=110)
ENDS = st.lists(TENTHS, min_size=1, max_size=3)
FRONT = (Quantity.PAD_INNER, Quantity.PAD_OUTER)
REAR = {DISC_DISC: FRONT, DISC_DRUM: (Quantity.SHOE_LEADING, Quantity.SHOE_TRAILING)}
FINDINGS = st.lists(
    st.tuples(
        st.sampled_from(["LF", "RF"]),
        st.sampled_from([FindingKind.STUCK_SLIDE, FindingKind.STUCK_PISTON]),
    ),
    max_size=2,
    unique=True,
)
TRAITS = st.lists(
    st.sampled_from(
        [
            ((1, "caliper"), "fixed"),
            ((1, "faster-pad"), "inner"),
            ((2, "faster-pad"), "outer"),
            ((0, "faster-axle"), "rear"),
            ((0, "faster-axle"), "front"),
            ((2, "shoes"), "duo-servo"),
        ]
    ),
    unique=True,
)


@st.composite
def cars(draw: st.DrawFn) -> CaseFile:
    """A car of which every lining and both front rotors were read, with or without fittings."""
    brakes = draw(st.sampled_from([DISC_DISC, DISC_DRUM]))
    sets: list[ReadingSet] = []
    for corner in ("LF", "RF", "LR", "RR"):
        for quantity in FRONT if corner.endswith("F") else REAR[brakes]:
            most = 45 if quantity not in FRONT else 110
            ends = [min(each, most) for each in draw(ENDS)]
            sets.append(readings(corner, quantity, " ".join(f"{each / 10:.1f}" for each in ends)))
    for corner in ("LF", "RF"):
        um = draw(st.lists(st.integers(27_350, 27_450), min_size=8, max_size=9))
        text = " ".join(f"{each / 1000:.3f}" for each in um)
        sets.append(readings(corner, Quantity.ROTOR, text, lip=False))
        sets.append(runout(corner, f"{draw(st.integers(0, 12)) / 100:.2f}"))
    shoes = brakes == DISC_DRUM
    fittings = draw(st.sampled_from([(), (*NEW_FRONT, *(NEW_SHOES if shoes else NEW_REAR))]))
    file = four_wheels(
        brakes,
        REAR_DRUM if shoes else REAR_DISC,
        fittings=fittings,
        findings=tuple(found(*each, Part.PADS) for each in draw(FINDINGS)),
    )
    return replace(file, sets=tuple(sets))


@given(file=cars(), traits=TRAITS)
@settings(deadline=None, max_examples=60)
def test_flags_and_hints_never_change_a_verdict(
    file: CaseFile, traits: list[tuple[tuple[int, str], str]]
) -> None:
    """Known-normal wear silences flags and hints, and nothing else."""
    plain = judge_vehicle(file)
    silenced = judge_vehicle(replace(file, traits=dict(traits)))

    assert plain.parts == silenced.parts
    assert plain.axles == silenced.axles


@given(file=cars())
@settings(deadline=None, max_examples=40)
def test_a_verdict_is_the_same_where_nobody_looks_at_the_wear(file: CaseFile) -> None:
    looked = judge_vehicle(file)
    with (
        patch("brakelog.rules.vehicle.flags_of", lambda *_: ()),
        patch("brakelog.rules.vehicle.hints_of", lambda *_: ()),
    ):
        blind = judge_vehicle(file)

    assert looked == replace(blind, flags=looked.flags, hints=looked.hints)


@given(file=cars())
@settings(deadline=None, max_examples=60)
def test_a_mirrored_car_has_mirrored_flags_and_hints(file: CaseFile) -> None:
    one, other = judge_vehicle(file), judge_vehicle(mirrored(file))

    assert sorted(map(said, one.hints)) == sorted(map(said_mirrored, other.hints))
    assert sorted(map(flagged, one.flags)) == sorted(map(flagged_mirrored, other.flags))


@given(file=cars())
@settings(deadline=None, max_examples=60)
def test_a_flag_says_its_figures_and_reaches_its_threshold(file: CaseFile) -> None:
    for flag in judge_vehicle(file).flags:
        assert flag.difference_nm >= flag.threshold_nm
        assert (flag.worn.nm < flag.other.nm) is (flag.kind is not FlagKind.DRUMS)
        assert f"{flag.worn.nm / 1e6:.1f}" in flag_sentence(flag, file.shop)


def mirrored(file: CaseFile) -> CaseFile:
    """The same car seen in a mirror."""

    def turned(each: ReadingSet | Finding | Fitting) -> Any:
        return replace(each, corner=each.corner.mate)

    return replace(
        file,
        sets=tuple(turned(each) for each in file.sets),
        findings=tuple(turned(each) for each in file.findings),
        fittings=tuple(turned(each) for each in file.fittings),
    )


def other_side(text: str) -> str:
    """``RF inner pad`` to ``LF inner pad``; words keep their letters."""
    for axle in ("F", "R"):
        text = text.replace(f"L{axle}", f"@{axle}").replace(f"R{axle} ", f"L{axle} ")
        text = text.replace(f"R{axle}:", f"L{axle}:").replace(f"@{axle}", f"R{axle}")
    return text


def codes(corners: tuple[Corner, ...]) -> str:
    return " ".join(sorted(corner.code for corner in corners))


def said(hint: Hint) -> str:
    """A hint in a line, its evidence in any order."""
    rest = (sorted(hint.evidence), hint.probable_causes, hint.next_checks)
    return f"{hint.pattern.value} {codes(hint.corners)} {rest} {hint.cause_open}"


def said_mirrored(hint: Hint) -> str:
    return said(
        replace(
            hint,
            corners=tuple(corner.mate for corner in hint.corners),
            evidence=tuple(other_side(each) for each in hint.evidence),
        )
    )


def flagged(flag: Flag) -> str:
    return f"{flag.kind.value} {[c.code for c in flag.corners]} {flag.worn} {flag.other}"


def flagged_mirrored(flag: Flag) -> str:
    worn, other = (replace(each, corner=each.corner.mate) for each in (flag.worn, flag.other))
    return flagged(
        replace(flag, corners=tuple(c.mate for c in flag.corners), worn=worn, other=other)
    )
