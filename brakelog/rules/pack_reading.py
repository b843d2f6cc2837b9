"""Reading a pack of local rules: every problem of it is named together."""

from __future__ import annotations

import enum
import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any, TypeVar

from brakelog.errors import InvalidInput, Problem, RulePackError, clip
from brakelog.lengths import TypedLength
from brakelog.record.limit import OutWhen, parse_figures
from brakelog.record.quantity import Part
from brakelog.rules.pack import (
    CONDITIONS,
    LININGS,
    Clause,
    Condition,
    CountedFrom,
    MeasuredAt,
    Pack,
    Standing,
)

_E = TypeVar("_E", bound=enum.Enum)
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*", re.ASCII)
_LONGEST_ID = 60
_LONGEST_TEXT = 1_000
_MOST_CLAUSES = 200
"""Bounds of what a pack may hold; assumption: a lining clause of no law comes near them."""
_LONGEST_NUMBER = 64
"""Bits of a whole number that is repeated in a message."""
_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
"""Control characters: they could steer a terminal, and a zero byte cannot be stored everywhere."""
PACK_TEXTS = ("id", "title", "document", "authority", "jurisdiction", "scope", "standing_note")
"""Texts that every pack must have."""
_PACK_KEYS = {*PACK_TEXTS, "standing", "valid_from", "valid_from_note", "clauses"}
_JUDGED_KEYS = {"figures", "out_when", "parts", "counted_from", "measured_at", "only_if", "unless"}
_CLAUSE_KEYS = {"id", "number", "wording", "standing", "note", "when", *_JUDGED_KEYS}
_THINNER = (OutWhen.BELOW, OutWhen.AT_OR_BELOW)


def read_pack(mapping: Mapping[str, Any], name: str) -> Pack:
    """Return the pack that a file holds.

    Parameters
    ----------
    mapping : mapping
        What the file says, as TOML gives it.
    name : str
        Name of the file, for the problems.

    Raises
    ------
    RulePackError
        With everything that is wrong with it.
    """
    top = _Table(mapping, name, [])
    top.refuse_others(_PACK_KEYS)
    texts = {key: top.text(key) for key in PACK_TEXTS}
    valid_from = top.day("valid_from")
    valid_from_note = top.text("valid_from_note", needed=valid_from is None)
    standing = top.word("standing", Standing)
    clauses = _clauses(top)
    if texts["id"] and not _is_id(texts["id"]):
        top.wrong("id", "is no id; small letters, digits and dashes", texts["id"])
    if top.problems:
        count = len(top.problems)
        raise RulePackError(
            f"{count} problem{'s' if count != 1 else ''} in {name}, the pack is not used",
            tuple(top.problems),
            hint="correct them; brakelog rules check FILE looks again",
        )
    assert standing is not None
    return Pack(
        **texts,
        valid_from=valid_from,
        valid_from_note=valid_from_note,
        standing=standing,
        clauses=tuple(clauses),
    )


def _is_id(text: str) -> bool:
    return len(text) <= _LONGEST_ID and _ID.fullmatch(text) is not None


def _clauses(top: _Table) -> list[Clause]:
    listed = top.mapping.get("clauses")
    if not isinstance(listed, list) or not listed:
        top.wrong("clauses", "is missing: at least one [[clauses]] is needed")
        return []
    if len(listed) > _MOST_CLAUSES:
        top.wrong("clauses", f"are more than {_MOST_CLAUSES}")
        return []
    read: list[Clause] = []
    seen: set[str] = set()
    for number, each in enumerate(listed, start=1):
        if not isinstance(each, Mapping):
            top.wrong("clauses", f"entry {number} is no table")
            continue
        named = each.get("id")
        named = named if isinstance(named, str) else ""
        name = clip(named) or f"number {number}"
        table = _Table(each, f"{top.where}: clause {name}", top.problems)
        clause = _clause(table)
        if named in seen:
            table.wrong("id", "is used twice")
        seen.update([named] if named else [])
        if clause is not None:
            read.append(clause)
    return read


def _clause(table: _Table) -> Clause | None:
    """Return a clause; None where something of it is wrong."""
    before = len(table.problems)
    table.refuse_others(_CLAUSE_KEYS)
    texts: dict[str, Any] = {key: table.text(key) for key in ("id", "number", "wording")}
    if texts["id"] and not _is_id(texts["id"]):
        table.wrong("id", "is no id; small letters, digits and dashes", texts["id"])
    standing = table.word("standing", Standing)
    note = table.text("note", needed=False)
    judged: dict[str, Any] = {}
    if "figures" in table.mapping:
        judged = _judged(table)
    else:
        for key in sorted({*_JUDGED_KEYS, "when"} & set(table.mapping)):
            table.wrong(key, "is for a clause with figures")
    if len(table.problems) > before:
        return None
    assert standing is not None
    return Clause(**texts, standing=standing, note=note, **judged)


def _judged(table: _Table) -> dict[str, Any]:
    """Return what a clause with figures has beside its words."""
    out_when = table.word("out_when", OutWhen, needed=False)
    if out_when is not None and out_when not in _THINNER:
        table.wrong("out_when", "a lining is out below a figure", out_when.value)
    return {
        "figures": _figures(table),
        "out_when": out_when,
        "parts": _parts(table),
        "counted_from": table.word("counted_from", CountedFrom),
        "measured_at": table.word("measured_at", MeasuredAt),
        "conditions": _conditions(table),
        "only_if": table.text("only_if", needed=False),
        "unless": table.text("unless", needed=False),
    }


def _figures(table: _Table) -> tuple[TypedLength, ...]:
    texts = table.texts("figures")
    if not 1 <= len(texts) <= 2:
        table.wrong("figures", "one figure, or the mm and the inch figure of the same bound")
        return ()
    try:
        figures = parse_figures(texts[0], texts[1] if len(texts) > 1 else "", declared=None)
    except InvalidInput as error:
        table.wrong("figures", f"{error}; {error.hint}" if error.hint else str(error))
        return ()
    if len(figures) == 2:
        one, other = figures
        if abs(one.nm - other.nm) > one.half_digit_nm + other.half_digit_nm:
            table.wrong("figures", f"{texts[0]} and {texts[1]} cannot both be right")
    return figures


def _parts(table: _Table) -> tuple[Part, ...]:
    words = table.texts("parts")
    allowed = {part.value: part for part in LININGS}
    for word in words:
        if word not in allowed:
            table.wrong("parts", f"one of: {' '.join(allowed)}", word)
    if not words:
        table.wrong("parts", f"is missing; some of: {' '.join(allowed)}")
    return tuple(part for word, part in allowed.items() if word in words)


def _conditions(table: _Table) -> tuple[Condition, ...]:
    when = table.mapping.get("when", {})
    if not isinstance(when, Mapping):
        table.wrong("when", "is no table of conditions")
        return ()
    inner = _Table(when, f"{table.where}: when", table.problems)
    inner.refuse_others(CONDITIONS)
    found = []
    for trait in CONDITIONS:
        if trait not in when:
            continue
        values = inner.texts(trait)
        for value in values:
            if value not in CONDITIONS[trait]:
                inner.wrong(trait, f"one of: {' '.join(CONDITIONS[trait])}", value)
        if not values:
            inner.wrong(trait, f"a list of: {' '.join(CONDITIONS[trait])}")
        found.append(Condition(trait=trait, values=tuple(dict.fromkeys(values))))
    return tuple(found)


class _Table:
    """One table of the file, with a common list of what is wrong."""

    def __init__(self, mapping: Mapping[str, Any], where: str, problems: list[Problem]) -> None:
        self.mapping = mapping
        self.where = where
        self.problems = problems

    def wrong(self, key: str, message: str, value: str = "") -> None:
        """Note a problem."""
        self.problems.append(Problem(source=self.where, message=f"{key}: {message}", value=value))

    def refuse_others(self, known: Iterable[str]) -> None:
        """Note every key that is not known: a slip must not pass for a condition left out."""
        for key in self.mapping:
            if key not in known:
                self.wrong(clip(str(key)), "is no key here")

    def text(self, key: str, *, needed: bool = True) -> str:
        """Return a text; empty where it is missing or wrong."""
        value = self.mapping.get(key, "")
        if not isinstance(value, str):
            self.wrong(key, "is no text", _said(value))
            return ""
        if _NO_TEXT.search(value):
            self.wrong(key, "holds control characters")
            return ""
        text = " ".join(value.split())
        if not text and needed:
            self.wrong(key, "is missing")
        if len(text) > _LONGEST_TEXT:
            self.wrong(key, f"is longer than {_LONGEST_TEXT} characters", text)
        return text

    def texts(self, key: str) -> list[str]:
        """Return a list of texts; empty where it is missing or wrong."""
        value = self.mapping.get(key, [])
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            self.wrong(key, "is no list of texts", _said(value))
            return []
        return value

    def word(self, key: str, kind: type[_E], *, needed: bool = True) -> _E | None:
        """Return one of the words of an enum; None where it is missing or wrong."""
        value = self.mapping.get(key)
        allowed = ", ".join(str(each.value) for each in kind)
        if value is None:
            if needed:
                self.wrong(key, f"is missing; one of: {allowed}")
            return None
        found = next((each for each in kind if each.value == value), None)
        if found is None:
            self.wrong(key, f"one of: {allowed}", _said(value))
        return found

    def day(self, key: str) -> date | None:
        """Return a date; None where it is missing or wrong."""
        value = self.mapping.get(key)
        if value is not None and (not isinstance(value, date) or isinstance(value, datetime)):
            self.wrong(key, "is no date such as 2018-05-20", _said(value))
            return None
        return value


def _said(value: object) -> str:
    """Return a value in short, whatever the file holds in its place.

    Tables within tables have no bound, and whole numbers have more digits than can be printed.
    """
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and value.bit_length() > _LONGEST_NUMBER:
        return "a huge number"
    return str(value)
