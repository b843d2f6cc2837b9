"""Column types over plain TEXT and INTEGER.

Reading them is most of what it costs to go through a whole store, and making them much of what it
costs to fill one. Texts and whole numbers come from the driver, and go there, as they are, so each
type hands out the one function that reads them and the one that makes them, with no step of the
library between; and what has few values is read or made once and looked up from then on.
"""

from __future__ import annotations

import enum
import json
from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import lru_cache
from json.encoder import encode_basestring
from typing import Any, Generic, TypeVar

from sqlalchemy import BigInteger, Dialect, Integer, Text, TypeDecorator
from sqlalchemy.types import TypeEngine

from brakelog.errors import InvalidInput, StoreError, clip
from brakelog.record.corner import Corner, parse_corner
from brakelog.record.quantity import Quantity
from brakelog.record.vehicle import AxleBrake, parse_brakes

_T = TypeVar("_T")
Reader = Callable[[Any], _T | None]
"""Makes a value of what the driver hands out; None stays None."""
_UNREADABLE = (ValueError, LookupError, TypeError, AttributeError, RecursionError)
"""What reading raises where another program has written into the store, or a disk has."""


def _damaged(stored: object) -> StoreError:
    return StoreError(
        f"the store is damaged: {clip(str(stored))!r} stands in it where something else belongs",
        hint="run brakelog store check; restore a backup",
    )


class _Known(dict[Any, _T | None], Generic[_T]):
    """Values by what is stored for them; one that is met for the first time is read."""

    def __init__(self, read: Callable[[Any], _T]) -> None:
        super().__init__({None: None})
        self._read = read

    def __missing__(self, stored: Any) -> _T:
        try:
            value = self._read(stored)
        except _UNREADABLE as error:
            raise _damaged(stored) from error
        self[stored] = value
        return value


class _Made(TypeDecorator[_T]):
    """A type with one function of its own that makes what is stored."""

    def put(self, value: Any) -> Any:
        """Return what is stored."""
        raise NotImplementedError

    def process_bind_param(self, value: Any, dialect: Dialect) -> Any:
        """Return what is stored."""
        return self.put(value)

    def bind_processor(self, dialect: Dialect) -> Callable[[Any], Any]:
        """Return the function that makes what is stored."""
        return self.put


class StoredText(_Made[str]):
    """Free text, as it was typed; what no database can hold is refused in the same words."""

    impl = Text
    cache_ok = True

    def put(self, value: str | None) -> str | None:
        """Return what is stored."""
        if value is not None and "\0" in value:
            raise InvalidInput(
                "the text holds a NUL, which is no character", hint="type it again without"
            )
        return value


class EnumText(_Made[enum.Enum]):
    """A member of an enumeration, by its value."""

    impl = Text
    cache_ok = True

    def __init__(self, kind: type[enum.Enum]) -> None:
        super().__init__()
        self.kind = kind
        self._known = _Known(kind)
        self._texts: dict[enum.Enum | None, str | None] = {
            None: None,
            **{member: str(member.value) for member in kind},
        }

    def put(self, value: enum.Enum | None) -> str | None:
        """Return what is stored."""
        try:
            return self._texts[value]
        except (LookupError, TypeError):
            return str(_need(value, self.kind).value)

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[enum.Enum]:
        """Return the function that reads what is stored."""
        return self._known.__getitem__


class ExactInteger(_Made[int]):
    """A whole number of 64 bits; a float or a bool is refused, never rounded."""

    impl = BigInteger
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Return the type that the database knows."""
        return dialect.type_descriptor(Integer() if dialect.name == "sqlite" else BigInteger())

    def put(self, value: int | None) -> int | None:
        """Return what is stored."""
        if value is not None and type(value) is not int:
            raise InvalidInput(f"{value!r} is not a whole number")
        return value


class Flag(_Made[bool]):
    """Yes or no, as 1 or 0."""

    impl = Integer
    cache_ok = True

    def put(self, value: bool | None) -> int | None:
        """Return what is stored."""
        return None if value is None else int(_need(value, bool))

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[bool]:
        """Return the function that reads what is stored."""
        return _FLAGS.__getitem__


class IsoDate(_Made[date]):
    """A calendar day as ``2026-05-04``."""

    impl = Text
    cache_ok = True

    def put(self, value: date | None) -> str | None:
        """Return what is stored."""
        if isinstance(value, datetime):
            raise InvalidInput("a day is wanted, not a time")
        return None if value is None else _need(value, date).isoformat()

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[date]:
        """Return the function that reads what is stored."""
        return _DAYS.__getitem__


class UtcTime(_Made[datetime]):
    """A moment as ``2026-05-04T09:30:00.000000Z``; always UTC, always the same width."""

    impl = Text
    cache_ok = True

    def put(self, value: datetime | None) -> str | None:
        """Return what is stored."""
        return None if value is None else _utc_text(_need(value, datetime))

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[datetime]:
        """Return the function that reads what is stored."""
        return _moment


class CornerText(_Made[Corner]):
    """A corner by its code."""

    impl = Text
    cache_ok = True

    def put(self, value: Corner | None) -> str | None:
        """Return what is stored."""
        return None if value is None else _corner_text(_need(value, Corner))

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[Corner]:
        """Return the function that reads what is stored."""
        return _CORNERS.__getitem__


class JsonIntegers(_Made[tuple[int | None, ...]]):
    """Whole numbers in order, null where there is none."""

    impl = Text
    cache_ok = True

    def put(self, value: tuple[int | None, ...] | None) -> str | None:
        """Return what is stored."""
        if value is None:
            return None
        if not _WHOLE_OR_NONE.issuperset(map(type, value)):
            raise InvalidInput(f"{value!r} holds something that is not a whole number")
        return f"[{','.join(['null' if item is None else str(item) for item in value])}]"

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[tuple[int | None, ...]]:
        """Return the function that reads what is stored."""
        return _listed


class JsonTexts(_Made[tuple[str, ...]]):
    """Texts in order, readable as they were typed."""

    impl = Text
    cache_ok = True

    def put(self, value: tuple[str, ...] | None) -> str | None:
        """Return what is stored."""
        if value is None:
            return None
        try:
            return f"[{', '.join(map(encode_basestring, value))}]"
        except TypeError:
            for item in value:
                _need(item, str)
            raise

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[tuple[str, ...]]:
        """Return the function that reads what is stored."""
        return _listed


class BrakesText(_Made[tuple[AxleBrake, ...]]):
    """The brakes from the front axle to the last: ``disc/drum``."""

    impl = Text
    cache_ok = True

    def put(self, value: tuple[AxleBrake, ...] | None) -> str | None:
        """Return what is stored."""
        return None if value is None else "/".join(brake.value for brake in value)

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[tuple[AxleBrake, ...]]:
        """Return the function that reads what is stored."""
        return _BRAKES.__getitem__


class QuantitiesText(_Made[frozenset[Quantity]]):
    """Quantities by their words, sorted, one blank between them."""

    impl = Text
    cache_ok = True

    def put(self, value: frozenset[Quantity] | None) -> str | None:
        """Return what is stored."""
        return None if value is None else " ".join(sorted(item.value for item in value))

    def result_processor(self, dialect: Dialect, coltype: Any) -> Reader[frozenset[Quantity]]:
        """Return the function that reads what is stored."""
        return _QUANTITIES.__getitem__


_FLAGS = _Known(bool)
_DAYS = _Known(date.fromisoformat)
_CORNERS = _Known(parse_corner)
_BRAKES = _Known(parse_brakes)
_QUANTITIES = _Known(lambda stored: frozenset(Quantity(word) for word in stored.split()))
_scan = json.JSONDecoder().raw_decode
_WHOLE_OR_NONE = frozenset({int, type(None)})


@lru_cache(maxsize=64)
def _utc_text(value: datetime) -> str:
    """Return a moment as it is stored; the rows of one write have the same."""
    if value.tzinfo is None:
        raise InvalidInput("a time without its zone cannot be stored")
    return value.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


@lru_cache(maxsize=64)
def _corner_text(value: Corner) -> str:
    return value.code


def _moment(stored: str | None) -> datetime | None:
    try:
        return None if stored is None else datetime.fromisoformat(stored)
    except _UNREADABLE as error:
        raise _damaged(stored) from error


def _listed(stored: str | None) -> tuple[Any, ...] | None:
    if stored is None:
        return None
    try:
        values, end = _scan(stored)
        # Only what another program wrote has anything behind the list; the long way says so.
        return tuple(values if end == len(stored) else json.loads(stored))
    except _UNREADABLE as error:
        raise _damaged(stored) from error


def _need(value: object, kind: type[_T]) -> _T:
    if not isinstance(value, kind):
        raise InvalidInput(f"{value!r} is not a {kind.__name__}")
    return value
