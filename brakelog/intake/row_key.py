"""The key of a row: the same content has the same key, wherever and whenever it is read."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum

from brakelog.lengths import TypedLength

_NAMES = frozenset({"vehicle", "tag", "sheet", "by", "gauge", "customer"})
"""Written in either case they name the same thing."""


def row_key(kind: str, row: object) -> str:
    """Return the SHA-256 of what the row says, in hexadecimal.

    The file's name and the line's number do not enter it, nor do empty cells, so that a column
    added later changes no key.
    """
    content = _plain(row)
    text = json.dumps([kind, content], sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def _plain(value: object) -> object:
    """Return the value made of texts, numbers, lists and mappings only."""
    if isinstance(value, TypedLength):
        return [" ".join(value.text.split()), value.unit.value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(value, Mapping):
        return _filled({str(name): each for name, each in value.items()})
    if isinstance(value, frozenset):
        return sorted(str(_plain(each)) for each in value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if is_dataclass(value) and not isinstance(value, type):
        return _filled({each.name: getattr(value, each.name) for each in fields(value)})
    return value


def _filled(content: Mapping[str, object]) -> dict[str, object]:
    filled = {}
    for name, each in content.items():
        plain = _plain(each)
        is_empty = plain is None or plain is False or plain in ("", [], {})
        if name == "source" or is_empty:
            continue
        filled[name] = plain.lower() if name in _NAMES and isinstance(plain, str) else plain
    return filled
