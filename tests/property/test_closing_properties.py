"""Whatever is typed at the end of a job is read or refused in one line."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brakelog.errors import InvalidInput
from brakelog.intake.closing_line import TorqueEntry, parse_closing_line
from brakelog.intake.context import Context
from brakelog.lengths import LengthUnit
from brakelog.record.agreement import Work, WorkItem, parse_item
from brakelog.record.corner import Corner, walking_order
from brakelog.record.reading import Stage
from brakelog.record.torque import TorqueUnit, parse_torque, printed_torques
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.tightening import compare_torque

CONTEXT = Context(
    declared=LengthUnit.MM, stage=Stage.AS_LEFT, brakes=(AxleBrake.DISC, AxleBrake.DRUM)
)
words = st.sampled_from(
    ["torque", "check", "agreed", "declined", "odometer-out", "front", "rear", "axle", "LF", "3",
     "wheel", "caliper", "pads", "brakes", "110", "N·m", "lb ft", "untouched", "pedal-firm",
     "right-part", "yes", "no", "who=x", 'note="a b"', "how=phone", 'who="', "=", "runout",
     "0.03", "nuts=5/5", "+ 90°", "\u2028", "١١٠"]
)  # fmt: skip
lines = st.one_of(st.lists(words, max_size=9).map(" ".join), st.text(max_size=60))


@given(lines)
def test_a_line_is_read_or_refused_and_nothing_else(line: str) -> None:
    with suppress(InvalidInput):
        parse_closing_line(line, 1, CONTEXT)


@given(
    st.decimals(min_value=1, max_value=1400, places=1, allow_nan=False),
    st.sampled_from([TorqueUnit.NEWTON_METRE, TorqueUnit.POUND_FOOT]),
)
def test_every_torque_that_is_taken_agrees_with_itself_and_not_with_one_twice_as_large(
    number: Decimal, unit: TorqueUnit
) -> None:
    text = f"{number} {unit.value}"
    entry = parse_closing_line(f"torque front wheel {text}", 1, CONTEXT)

    assert isinstance(entry, TorqueEntry)
    assert entry.figure == parse_torque(text) == text
    (printed,) = printed_torques(text)
    assert printed.least == printed.most
    assert not compare_torque(text, text).is_off
    double = f"{2 * number} {unit.value}"
    assert compare_torque(text, double).is_off


@given(st.sampled_from(walking_order(9)), st.sampled_from(list(Work)), st.booleans())
def test_work_is_kept_in_words_that_mean_the_same_again(
    corner: Corner, work: Work, both_sides: bool
) -> None:
    item = WorkItem(axle=corner.axle, work=work, corner=None if both_sides else corner)

    assert parse_item(str(item)) == item


def test_a_line_without_words_says_nothing() -> None:
    with pytest.raises(InvalidInput):
        parse_closing_line("=", 1, CONTEXT)
    assert parse_closing_line("", 1, CONTEXT) is None
