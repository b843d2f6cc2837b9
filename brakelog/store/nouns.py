"""Nouns of the record made from rows, many at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import fields
from typing import Any, TypeVar

from brakelog.errors import StoreError, clip

_T = TypeVar("_T")


def field_names(kind: type[Any]) -> tuple[str, ...]:
    """Return the names of the fields that make a noun, in order; what it works out is none."""
    return tuple(field.name for field in fields(kind) if field.init)


def need_texts(values: Iterable[Any]) -> None:
    """Do nothing where no value is made of bytes: a damaged text may be, and is no text then.

    Raises
    ------
    StoreError
        Where one is.
    """
    for value in values:
        if type(value) is bytes:
            raise StoreError(
                f"the store is damaged: {clip(repr(value))} stands in it where a text belongs",
                hint="run brakelog store check; restore a backup",
            )


def noun_maker(kind: type[_T]) -> Callable[[Iterable[Any]], _T]:
    """Return the function that makes nouns of one kind from the values of their fields, in order.

    Parameters
    ----------
    kind : type
        A frozen dataclass with slots.

    Notes
    -----
    The values are put straight into the slots. A frozen class sets each of its fields by name, past
    its own guard against that, and so takes more than twice as long; a shop's record has millions
    of rows.
    """
    setters = tuple(getattr(kind, name).__set__ for name in field_names(kind))
    finish = getattr(kind, "__post_init__", None)

    def make(values: Iterable[Any]) -> _T:
        noun = object.__new__(kind)
        for put, value in zip(setters, values, strict=True):
            put(noun, value)
        if finish is not None:
            finish(noun)
        return noun

    return make
