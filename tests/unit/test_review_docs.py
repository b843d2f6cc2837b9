"""The page of questions says what the program asks."""

from __future__ import annotations

import re
from pathlib import Path

from brakelog.review.question import Confidence, Scope, Suspicion

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "questions.md").read_text("utf-8")
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in PAGE.splitlines()
    if re.match(r"\| Q\d{3} \|", line)
]


def test_every_code_has_one_row_that_says_everything() -> None:
    assert sorted(row[0] for row in ROWS) == sorted(each.value for each in Suspicion)
    assert all(len(row) == 4 and all(row) for row in ROWS)


def test_every_scope_and_confidence_is_explained() -> None:
    first_cells = set(re.findall(r"^\| `([^`]+)` \|", PAGE, re.MULTILINE))

    assert {each.value for each in (*Scope, *Confidence)} <= first_cells


def test_every_suspicion_has_a_label_of_its_own() -> None:
    labels = [each.facts.label for each in Suspicion]

    assert len(set(labels)) == len(labels)
