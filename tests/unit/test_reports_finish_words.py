"""What guided finishing asks."""

from __future__ import annotations

import pytest

from brakelog.lengths import LengthUnit
from brakelog.record.torque import TorqueUnit
from brakelog.reports.finish_words import prompt_of
from brakelog.rules.closing_item import Gap, Hand, OpenItem


@pytest.mark.parametrize(
    ("line", "ask"),
    [
        ("LF pad-in ", "2 values [mm], leading end and trailing end"),
        ("LF rotor ", "9 points round the rotor [mm], a blank between them"),
        ("LR drum-open ", "2 values [mm], 0 deg and 90 deg"),
        ("LF runout ", "runout [mm]"),
    ],
)
def test_a_size_is_asked_with_its_points(line: str, ask: str) -> None:
    item = OpenItem(gap=Gap.SIZE_BLANK, hand=Hand.PARTS, text="not measured", do="", line=line)

    assert prompt_of(item, TorqueUnit.NEWTON_METRE, LengthUnit.MM)[1] == ask
