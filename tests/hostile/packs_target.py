"""Packs of local rules: as a file, and as whatever a file may hold."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from brakelog.errors import RulePackError
from brakelog.record.quantity import Part
from brakelog.rules.pack import Pack, applicable, normalised
from brakelog.rules.pack_reading import read_pack
from brakelog.rules.pack_words import condition_words, figure_words, stated_conditions
from brakelog.workshop.packs import pack_of_bytes
from tests.hostile.parts import is_clean, is_said_shortly, split

ROOT = Path(__file__).resolve().parents[2]
PACKS = ROOT / "brakelog" / "rules" / "packs"
WORDS = (
    *("id = ", "title = ", "document = ", "authority = ", "jurisdiction = ", "scope = "),
    *("standing = ", "standing_note = ", "valid_from = ", "valid_from_note = ", "[[clauses]]"),
    *("number = ", "wording = ", "figures = ", "out_when = ", "parts = ", "counted_from = "),
    *("measured_at = ", "only_if = ", "unless = ", "note = ", "when = {", "[clauses.when]"),
    *('"seen"', '"from memory"', '"below"', '"at or below"', '["pads", "shoes"]', '"1.6 mm"'),
    *("[[[[[[[[", "{a={a={a=", "a.a.a.a.a.a", "0x" + "F" * 40, "9" * 40, "inf", "nan"),
    *("../", "\\u0000", "\x00", '"""', "2018-05-20", "2018-05-20T00:00:00Z", "1e400", "null"),
)


def seeds() -> list[bytes]:
    """The packs that come with the program, whole and cut short, and the same as values."""
    import tomllib

    found: list[bytes] = []
    for path in sorted(PACKS.glob("*.toml")):
        text = path.read_text(encoding="utf-8")
        head, *clauses = text.split("[[clauses]]")
        found.append(b"\x00" + text.encode())
        found.extend(b"\x00" + f"{head}[[clauses]]{clause}".encode() for clause in clauses)
        values = tomllib.loads(text)
        for clause in values["clauses"]:
            one = values | {"clauses": [clause]}
            found.append(b"\x01" + json.dumps(one, default=str).encode())
    found_once = (
        *(b'title = "\\u0000"', b"id = " + b"9" * 3_900, b"standing = 0x" + b"F" * 3_900),
        *(b"standing = " + b"9" * 3_900, b"id = " + b"9" * 5_000, b"a" + b".a" * 1_000 + b" = 1"),
        *(b"id = " + b"[" * 3_000, b"standing = {a={a={a={}}}}", b'id = "../x"'),
    )
    return [*found, *(b"\x00" + each for each in found_once)]


def check(data: bytes) -> None:
    """Read the pack; what is accepted is accepted again, and says the same in words."""
    way, rest = split(data)
    try:
        if way & 1:
            values = _values(rest)
            if isinstance(values, dict):
                _is_sound(read_pack(values, "mine.toml"))
        else:
            _is_sound(pack_of_bytes(rest, "mine.toml"))
    except RulePackError as error:
        is_said_shortly(error)


def _values(data: bytes) -> object:
    """Return any values at all; a hundred digits and more where the reader of JSON allows it."""
    try:
        return json.loads(data)
    except (ValueError, RecursionError):
        return None


def _is_sound(pack: Pack) -> None:
    is_clean(pack)
    assert "/" not in pack.id
    assert "." not in pack.id
    assert 0 < len(pack.id) <= 60
    json.dumps(normalised(pack))
    for clause in pack.clauses:
        if clause.figures:
            assert figure_words(clause)
            condition_words(stated_conditions(clause))
            assert clause.strictest.nm > 0
    for part in (Part.PADS, Part.SHOES):
        applicable(pack, {(1, "actuation"): "air"}, 1, part)
    assert normalised(read_pack(as_values(pack), "again.toml")) == normalised(pack)


def as_values(pack: Pack) -> dict[str, Any]:
    """Return the values that a file must hold to say what the pack says."""
    plain = normalised(pack)
    clauses = [_clause_values(each) for each in plain.pop("clauses")]
    plain["valid_from"] = pack.valid_from
    return {**{key: each for key, each in plain.items() if each is not None}, "clauses": clauses}


def _clause_values(clause: Mapping[str, Any]) -> dict[str, Any]:
    stated = clause["comparator_stated"]
    dropped = {"comparator_stated", "conditions"} | (set() if stated else {"out_when"})
    if not clause["figures"]:
        dropped |= {"figures", "parts"}
    kept = {key: each for key, each in clause.items() if key not in dropped and each is not None}
    return kept | ({"when": clause["conditions"]} if clause["conditions"] else {})
