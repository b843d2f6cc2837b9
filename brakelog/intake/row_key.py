"""The key of a row: the same content has the same key, wherever and whenever it is read."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache, lru_cache
from json.encoder import encode_basestring_ascii as _quoted
from operator import attrgetter, itemgetter
from typing import Any, NamedTuple, cast

from brakelog.lengths import TypedLength
from brakelog.record.corner import Corner
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Stage

_NAMES = frozenset({"vehicle", "tag", "sheet", "by", "gauge", "customer"})
"""Written in either case they name the same thing."""


_EMPTY = frozenset({type(None), bool, str, tuple, dict})
"""The kinds of cells that say nothing where they are false; a number says that it is 0."""
_PLAIN = re.compile(r"[0-9A-Za-z.,/+-]*", re.ASCII)
"""Signs that stand for themselves in JSON, and no blanks."""
_text = json.JSONEncoder(sort_keys=True, ensure_ascii=True, separators=(",", ":")).encode


def row_key(kind: str, row: Any) -> str:
    """Return the SHA-256 of what the row says, in hexadecimal.

    The file's name and the line's number do not enter it, nor do empty cells, so that a column
    added later changes no key. What a row shares with others (``SHARED`` of its class) enters it
    as if each row said it by itself.
    """
    plan = _plan(row.__class__)
    pieces = _pieces(plan.names, plan.values_of(row))
    for part in plan.parts_of(row):
        pieces += _shared_pieces(part)
    content = ",".join(filter(None, plan.in_order(pieces)))
    return hashlib.sha256(f"[{_quoted(kind)},{{{content}}}]".encode("ascii")).hexdigest()


class _Plan(NamedTuple):
    """How the rows of one class are read."""

    names: tuple[str, ...]
    """The fields of the row's own that enter the key, sorted."""
    values_of: Callable[[object], tuple[object, ...]]
    parts_of: Callable[[object], tuple[object, ...]]
    """Gives what a row shares with others."""
    in_order: Callable[[Sequence[str]], tuple[str, ...]]
    """Sorts by name what the fields say: those of its own first and those of each part behind."""


@cache
def _plan(kind: type) -> _Plan:
    shared = getattr(kind, "SHARED", {})
    names = tuple(sorted(name for name in _names(kind) if name not in ("source", *shared)))
    every = (*names, *(name for part in shared.values() for name in _sorted_names(part)))
    return _Plan(
        names=names,
        values_of=_values_getter(names),
        parts_of=_values_getter(tuple(shared)),
        in_order=_getter(itemgetter, sorted(range(len(every)), key=every.__getitem__)),
    )


def _values_getter(names: tuple[str, ...]) -> Callable[[object], tuple[object, ...]]:
    """Return what gets the values of some fields."""
    return _getter(attrgetter, names)


def _getter(kind: Callable[..., Any], wanted: Sequence[Any]) -> Callable[[Any], tuple[Any, ...]]:
    """Return what gets several things in one step, also where they are one or none."""
    if not wanted:
        return lambda row: ()
    get: Callable[[Any], Any] = kind(*wanted)
    return get if len(wanted) > 1 else lambda row: (get(row),)


@lru_cache(maxsize=1_024)
def _shared_pieces(part: object) -> list[str]:
    """Return the pieces of what rows share, by name; each such thing equals only itself."""
    names = _sorted_names(part.__class__)
    return _pieces(names, _values_getter(names)(part))


def _pieces(names: tuple[str, ...], values: tuple[object, ...]) -> list[str]:
    """Return what the fields say as it stands in the text; nothing of those that are empty."""
    return [
        _MAKERS.get(value.__class__, _piece)(name, value)
        if value or type(value) not in _EMPTY
        else ""
        for name, value in zip(names, values, strict=True)
    ]


def _piece(name: str, value: object) -> str:
    """Return a field that is not empty as it stands in the text, with its name."""
    kind = type(value)
    if isinstance(value, (Enum, Corner, date)):
        return _known_piece(name, value)
    if kind is dict and _are_texts((said := cast(dict[str, str], value)).values()):
        return _known_mapping(name, tuple(said.items()))
    return _any_piece(name, value)


def _tuple_piece(name: str, value: tuple[Any, ...]) -> str:
    try:
        is_plain = _PLAIN.fullmatch("".join(value))
    except TypeError:
        return _any_piece(name, value)
    # Most values are numbers, which need no look at each of them.
    said = value if is_plain else [_quoted(" ".join(each.split()))[1:-1] for each in value]
    listed = '","'.join(said)
    return f'"{name}":["{listed}"]'


@lru_cache(maxsize=1_024)
def _text_piece(name: str, value: str) -> str:
    text = " ".join(value.split())
    if name in _NAMES:
        text = text.lower()
    return f'"{name}":{_quoted(text)}' if text else ""


def _are_texts(values: Collection[object]) -> bool:
    return set(map(type, values)) == {str}


@lru_cache(maxsize=4_096)
def _known_piece(name: str, value: Enum | Corner | date) -> str:
    """Return the same of a value that comes again and again."""
    return _any_piece(name, value)


@lru_cache(maxsize=4_096)
def _known_mapping(name: str, items: tuple[tuple[str, str], ...]) -> str:
    """Return the same of texts by name."""
    return _any_piece(name, dict(items))


_MAKERS: Mapping[type, Callable[[str, Any], str]] = {
    str: _text_piece,
    tuple: _tuple_piece,
    Corner: _known_piece,
    date: _known_piece,
    Quantity: _known_piece,
    Stage: _known_piece,
}
"""What makes the pieces of kinds that most cells of a sheet are of."""


def _any_piece(name: str, value: object) -> str:
    return _text(_filled({name: value}))[1:-1]


def _sorted_names(kind: type) -> tuple[str, ...]:
    return tuple(sorted(_names(kind)))


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(each.name for each in fields(kind))


def _few(value: Enum | Corner | date) -> object:
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
