"""Lines of a text, of which none is ever held whole when it is too long."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TextIO

_CHUNK = 65_536
"""Characters dropped at a time while an over-long line is skipped."""
MOST_SKIPPED = 300_000_000
"""Characters of a line that are skipped; what goes on is no text, or has no end. Assumption."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundedLine:
    """One line, numbered from 1, with its line end; empty where it was too long."""

    number: int
    text: str
    is_too_long: bool = False


def bounded_lines(stream: TextIO, *, longest: int) -> Iterator[BoundedLine]:
    """Yield the lines of a text; one longer than the bound is skipped to its end.

    It is told of before it is skipped, so that nobody waits for the end who stops there. A line
    that does not end at all is the last one.

    >>> import io
    >>> [line.text for line in bounded_lines(io.StringIO("a\\nbbbb\\nc"), longest=3)]
    ['a\\n', '', 'c']
    """
    number = 0
    while text := stream.readline(longest + 2):
        number += 1
        if len(text.rstrip("\r\n")) <= longest:
            yield BoundedLine(number=number, text=text)
            continue
        yield BoundedLine(number=number, text="", is_too_long=True)
        left = MOST_SKIPPED
        while text and not text.endswith(("\n", "\r")):
            text = stream.readline(_CHUNK)
            left -= len(text)
            if left < 0:
                return
