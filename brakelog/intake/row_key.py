"""The key of a row: the same content has the same key, wherever and whenever it is read."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache, lru_cache

from brakelog.lengths import TypedLength
from brakelog.record.corner import Corner

_NAMES = frozenset({"vehicle", "tag", "sheet", "by", "gauge", "customer"})
"""Written in either case they name the same thing."""


_text = json.JSONEncoder(sort_keys=True, ensure_ascii=True, separators=(",", ":")).encode


def row_key(kind: str, row: object) -> str:
    """Return the SHA-256 of what the row says, in hexadecimal.

    The file's name and the line's number do not enter it, nor do empty cells, so that a column
    added later changes no key.
    """
    content = _plain(row)
    return hashlib.sha256(_text([kind, content]).encode("ascii")).hexdigest()


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(each.name for each in fields(kind))


@lru_cache(maxsize=4_096)
def _few(value: Enum | Corner | date) -> object:
    """Return the same of a value that comes again and again."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    return _filled({name: getattr(value, name) for name in _names(Corner)})


def _plain(value: object) -> object:
    """Return the value made of texts, numbers, lists and mappings only."""
    if value is None:
        return None
    if type(value) is tuple:
        return [" ".join(each.split()) if type(each) is str else _plain(each) for each in value]
    if isinstance(value, TypedLength):
        return [" ".join(value.text.split()), value.unit.value]
    if isinstance(value, (Enum, Corner, date)):
        return _few(value)
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(value, Mapping):
        return _filled({str(name): each for name, each in value.items()})
    if isinstance(value, frozenset):
        return sorted(str(_plain(each)) for each in value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if is_dataclass(value) and not isinstance(value, type):
        return _filled({name: getattr(value, name) for name in _names(type(value))})
    return value


def _filled(content: Mapping[str, object]) -> dict[str, object]:
    filled = {}
    for name, each in content.items():
        plain = " ".join(each.split()) if type(each) is str else _plain(each)
        is_empty = plain is None or plain is False or plain in ("", [], {})
        if name == "source" or is_empty:
            continue
        filled[name] = plain.lower() if name in _NAMES and isinstance(plain, str) else plain
    return filled
