"""What can go wrong, as one small tree.

::

    BrakelogError            never raised itself
    ├─ InvalidInput     3    what was typed could not be understood or is not allowed
    ├─ NotFound         4    no such vehicle, visit, gauge, sheet, person ...
    ├─ Conflict         5    a duplicate, or a rule of the record would be broken
    ├─ RulePackError    6    a file of local rules is wrong
    └─ StoreError       7    the store cannot be opened, read or written, or is damaged
       ├─ StoreOutdated 8    the store is older than the program
       └─ StoreTooNew   9    the store is newer than the program

Each carries the sentence for people (``str``), the next thing to do (``hint``), a stable
``code`` for machines and the ``exit_code`` of the process.
"""

from __future__ import annotations

from dataclasses import dataclass


class BrakelogError(Exception):
    """Root of everything the program says in one line."""

    code = "error"
    exit_code = 1

    def __init__(self, message: str, *, hint: str = "") -> None:
        super().__init__(message)
        self.hint = hint


class InvalidInput(BrakelogError, ValueError):
    """What was typed could not be understood, or is not allowed."""

    code = "invalid-input"
    exit_code = 3


class NotFound(BrakelogError, LookupError):
    """Nothing on file goes by that name."""

    code = "not-found"
    exit_code = 4


class Conflict(BrakelogError):
    """A duplicate, or a rule of the record would be broken."""

    code = "conflict"
    exit_code = 5


class RulePackError(BrakelogError, ValueError):
    """A file of local rules is wrong."""

    code = "rule-pack"
    exit_code = 6

    def __init__(self, message: str, problems: tuple[Problem, ...] = (), *, hint: str = "") -> None:
        super().__init__(message, hint=hint)
        self.problems = problems


class StoreError(BrakelogError):
    """The store cannot be opened, read or written, or is damaged."""

    code = "store"
    exit_code = 7


class StoreOutdated(StoreError):
    """The store was written by an older program."""

    code = "store-outdated"
    exit_code = 8


class StoreTooNew(StoreError):
    """The store was written by a newer program."""

    code = "store-too-new"
    exit_code = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong with one line of a sheet or of typed input; a value, not an exception."""

    source: str
    """Where: ``"readings.csv:12"``; lines count from 1, the header included."""
    message: str
    value: str = ""

    def __str__(self) -> str:
        shown = f" ({clip(self.value)!r})" if self.value else ""
        return f"{self.source}: {self.message}{shown}"


class BadSheet(InvalidInput):
    """A sheet or a batch of lines has problems; nothing of it was written."""

    code = "bad-sheet"

    def __init__(self, message: str, problems: tuple[Problem, ...] = (), *, hint: str = "") -> None:
        super().__init__(message, hint=hint)
        self.problems = problems


def clip(text: str, width: int = 40) -> str:
    """Return the text, shortened so that it fits into a message of one line.

    >>> clip("x" * 100, 10)
    'xxxxxxx...'
    """
    return text if len(text) <= width else text[: width - 3] + "..."
