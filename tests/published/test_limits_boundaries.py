"""Lining limits printed in two units with different comparators, at their boundaries.

Values of 49 CFR 393.47(d): air disc "less than 3.2 mm (1/8 inch)", hydraulic "1.6 mm (1/16 inch)
or less"; wording from a public quotation of the rule, the tail of (d)(2) from memory. The
conversions are exact arithmetic. Both printed figures are judged and the stricter decides.
"""

from __future__ import annotations

import pytest

from brakelog.lengths import parse_length
from brakelog.record.limit import LimitKind, OutWhen
from brakelog.rules.bound import BoundState, bound_for
from brakelog.rules.compare import is_out
from tests.unit.verdict_examples import LF, limit

AIR_DISC = limit(LimitKind.PAD_MINIMUM, "3.2 mm", "1/8 in", out_when=OutWhen.BELOW)
HYDRAULIC = limit(LimitKind.PAD_MINIMUM, "1.6 mm", "1/16 in", out_when=OutWhen.AT_OR_BELOW)


@pytest.mark.parametrize(
    ("bound", "reading", "fails_mm", "fails_inch"),
    [
        (AIR_DISC, "3.200", False, False),
        (AIR_DISC, "3.190", True, False),
        (AIR_DISC, "3.175", True, False),
        (HYDRAULIC, "1.600", True, False),
        (HYDRAULIC, "1.601", False, False),
        (HYDRAULIC, "1.590", True, False),
        (HYDRAULIC, "1.5875", True, True),
    ],
)
def test_each_printed_figure_is_judged_exactly(
    bound: object, reading: str, fails_mm: bool, fails_inch: bool
) -> None:
    assert bound in (AIR_DISC, HYDRAULIC)
    printed = AIR_DISC if bound is AIR_DISC else HYDRAULIC
    value = parse_length(f"{reading} mm", declared=None).nm
    mm, inch = printed.figures

    assert is_out(value, printed.comparator, mm.nm) is fails_mm
    assert is_out(value, printed.comparator, inch.nm) is fails_inch


def test_both_figures_agree_so_the_stricter_decides() -> None:
    for printed in (AIR_DISC, HYDRAULIC):
        found = bound_for(LimitKind.PAD_MINIMUM, LF, [printed], {})

        assert found.state is BoundState.USABLE
        assert found.strictest is not None
        assert found.strictest.figure.text.endswith("mm")


@pytest.mark.parametrize("out_when", OutWhen)
@pytest.mark.parametrize("offset_nm", [-1, 0, 1])
def test_every_comparator_turns_within_one_nanometre(out_when: OutWhen, offset_nm: int) -> None:
    expected = {
        OutWhen.BELOW: offset_nm < 0,
        OutWhen.AT_OR_BELOW: offset_nm <= 0,
        OutWhen.ABOVE: offset_nm > 0,
        OutWhen.AT_OR_ABOVE: offset_nm >= 0,
    }[out_when]

    assert is_out(22_000_000 + offset_nm, out_when, 22_000_000) is expected


@pytest.mark.parametrize(
    ("mm", "inch", "state"),
    [
        # Printed in service manuals: 22.8 mm beside 0.87 in, 8.0 mm beside 0.31 in,
        # 2.0 mm beside 0.008 in, 0.015 mm beside 0.006 in, 1.52 mm beside 0.60 in.
        ("22.8 mm", "0.87 in", BoundState.CONTRADICTS),
        ("23.1 mm", "0.90 in", BoundState.CONTRADICTS),
        ("8.0 mm", "0.31 in", BoundState.USABLE),
        ("2.0 mm", "0.008 in", BoundState.CONTRADICTS),
        ("0.015 mm", "0.006 in", BoundState.CONTRADICTS),
        ("1.52 mm", "0.60 in", BoundState.CONTRADICTS),
        ("0.025 mm", "0.0009 in", BoundState.CONTRADICTS),
        ("28.4 mm", "1.118 in", BoundState.USABLE),
    ],
)
def test_figures_whose_rounding_cannot_meet_contradict_each_other(
    mm: str, inch: str, state: BoundState
) -> None:
    printed = limit(LimitKind.ROTOR_DISCARD, mm, inch)

    assert bound_for(LimitKind.ROTOR_DISCARD, LF, [printed], {}).state is state
