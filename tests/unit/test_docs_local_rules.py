"""The page on local rules says what the packs hold."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from brakelog.record.quantity import Quantity
from brakelog.rules.document import verdict_document
from brakelog.rules.pack import CONDITIONS, Clause, CountedFrom, MeasuredAt, Standing
from brakelog.rules.pack_reading import PACK_TEXTS
from brakelog.rules.pack_verdict import PackOutcome, Why
from brakelog.rules.pack_words import stated_conditions
from brakelog.rules.vehicle import judge_vehicle
from brakelog.workshop.packs import built_in_ids, built_in_pack
from tests.unit.verdict_examples import case, readings

REFERENCE = Path(__file__).parents[2] / "docs" / "reference"
PAGE = (REFERENCE / "local-rules.md").read_text(encoding="utf-8")
JSON_PAGE = (REFERENCE / "json.md").read_text(encoding="utf-8")


def section(pack_id: str) -> str:
    parts = re.split(r"^## ", PAGE, flags=re.MULTILINE)
    return next(part for part in parts if part.startswith(f"{pack_id}\n"))


def row_of(clause: Clause) -> str:
    """The row of the page that a clause must have."""
    if not clause.figures:
        return f"| {clause.number} | {clause.wording} | {clause.standing.value} |"
    silent = "" if clause.out_when else ", not stated"
    unless = f", unless {clause.unless}" if clause.unless else ""
    cells = (
        f"`{clause.id}`",
        clause.number,
        ", ".join(part.value for part in clause.parts),
        clause.as_printed,
        f"{clause.comparator.value}{silent}",
        clause.counted_from.value,
        clause.measured_at.value,
        " and ".join(stated_conditions(clause)) + unless,
        clause.standing.value,
    )
    return f"| {' | '.join(cells)} |"


@pytest.mark.parametrize("pack_id", built_in_ids())
def test_the_page_holds_every_clause_of_a_pack_and_no_other(pack_id: str) -> None:
    pack = built_in_pack(pack_id)
    text = section(pack_id)
    day = f"{pack.valid_from} ({pack.valid_from_note})" if pack.valid_from else ""
    facts = {
        "what": pack.title,
        "document": pack.document,
        "authority": pack.authority,
        "where": pack.jurisdiction,
        "for": pack.scope,
        "valid from": day or pack.valid_from_note,
        "standing": f"{pack.standing.value}: {pack.standing_note}",
    }
    wanted = [f"| {name} | {said} |" for name, said in facts.items()]
    wanted += [row_of(clause) for clause in pack.clauses]
    heads = ("|---", "| clause |", "| number |")
    rows = [line for line in text.splitlines() if line.startswith("|")]

    assert sorted(wanted) == sorted(line for line in rows if not line.startswith(heads))


def test_the_page_lists_every_pack() -> None:
    for pack_id in built_in_ids():
        pack = built_in_pack(pack_id)
        row = f"| {pack.document} | {pack.jurisdiction} | {pack.standing.value} |"
        assert f"| [`{pack_id}`](#{pack_id}) {row}" in PAGE


@pytest.mark.parametrize("words", [PackOutcome, Why, Standing], ids=lambda words: words.__name__)
def test_every_word_has_a_row(words: Any) -> None:
    for each in words:
        assert f"\n| `{each.value}` |" in PAGE


def test_every_key_and_word_of_a_file_is_explained() -> None:
    for key in (*PACK_TEXTS, "standing", "valid_from", "valid_from_note", "clauses", "figures"):
        assert f"\n| `{key}` |" in PAGE
    for each in (*CountedFrom, *MeasuredAt):
        assert f"`{each.value}`" in PAGE
    for trait, values in CONDITIONS.items():
        listed = ", ".join(f"`{value}`" for value in values)
        assert f"\n| `{trait}` | {listed} |" in PAGE


def test_every_key_of_local_rules_in_a_verdict_is_described() -> None:
    pad = readings("LF", Quantity.PAD_INNER, "1.5")
    packs = tuple(built_in_pack(each) for each in built_in_ids())
    (entry, *_) = verdict_document(judge_vehicle(replace(case([pad]), packs=packs)))["local_rules"]
    tables = re.split(r"^In an entry of ", JSON_PAGE, flags=re.MULTILINE)

    for name, keys in (("local_rules", set(entry)), ("linings", set(entry["linings"][0]))):
        table = next(each for each in tables if each.startswith(f"`{name}`:"))
        assert keys <= set(re.findall(r"^\| `([^`]+)` \|", table, re.MULTILINE))
