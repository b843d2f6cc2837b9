"""What the targets share: bytes taken apart, and what no accepted text may hold."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass

from brakelog.errors import BadSheet, BrakelogError, RulePackError

MOST_SAID = 600
"""Characters of one message. What was typed is cut in it, so that a message stays short."""
_NEVER_KEPT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")


def split(data: bytes) -> tuple[int, bytes]:
    """Return the first byte, which chooses among ways in, and the rest."""
    return (data[0], data[1:]) if data else (0, b"")


def as_text(data: bytes) -> str:
    """Return the bytes as the program gets them from a terminal: no byte is lost."""
    return data.decode("utf-8", errors="surrogateescape")


def is_said_shortly(error: BrakelogError) -> None:
    """Check that a refusal is a sentence, and not what was typed once more."""
    assert str(error)
    assert len(str(error)) < MOST_SAID, str(error)[:200]
    assert len(error.hint) < MOST_SAID, error.hint[:200]
    if isinstance(error, (BadSheet, RulePackError)):
        assert len(error.problems) <= 1_000
        assert all(len(str(each)) < MOST_SAID for each in error.problems)


def texts_in(value: object) -> Iterator[str]:
    """Yield every text within a value of the program."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from texts_in(each)
    elif isinstance(value, (tuple, list, frozenset)):
        for each in value:
            yield from texts_in(each)
    elif is_dataclass(value) and not isinstance(value, type):
        for each in fields(value):
            if each.name != "source":
                yield from texts_in(getattr(value, each.name))


def is_clean(value: object) -> None:
    """Check that nothing that was accepted could steer a terminal or cannot be stored."""
    for text in texts_in(value):
        assert _NEVER_KEPT.search(text) is None, repr(text)
