"""The cells of one row by column, read one by one so that every problem is found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TypeVar

from brakelog.errors import InvalidInput, Problem
from brakelog.intake.problems import problem_from
from brakelog.intake.words import WORDS_KNOWN, has_control, parse_note

LONGEST_NAME = 64
"""Characters of a tag or name. Assumption: it has to fit on a printed page."""
_T = TypeVar("_T")


class Cells:
    """One row while it is read; collects what is wrong with it.

    Parameters
    ----------
    source : str
        Where it stands, for messages.
    texts : mapping of str to str
        The filled cells by column.
    """

    def __init__(self, source: str, texts: Mapping[str, str]) -> None:
        self.source = source
        self.problems: list[Problem] = []
        self._texts = texts
        if not "".join(texts.values()).isprintable():
            for column, text in texts.items():
                if has_control(text, breaks_allowed=True):
                    self.refuse(f"{column} holds control characters")

    def __getitem__(self, column: str) -> str:
        return self._texts.get(column, "")

    def texts_of(self, columns: tuple[str, ...]) -> tuple[str | None, ...]:
        """Return the cells of some columns as they are; None where one is empty."""
        return tuple(map(self._texts.get, columns))

    def refuse(self, message: str) -> None:
        """Note one thing that is wrong."""
        self.problems.append(Problem(source=self.source, message=message))

    def needed(self, column: str, parse: Callable[[str], _T], fallback: _T) -> _T:
        """Read a cell that must be filled; the fallback stands in where it is wrong."""
        if not self[column]:
            self.refuse(f"{column} is empty")
            return fallback
        return self.maybe(column, parse, fallback)

    def maybe(self, column: str, parse: Callable[[str], _T], otherwise: _T) -> _T:
        """Read a cell that may be empty."""
        text = self._texts.get(column)
        if not text:
            return otherwise
        try:
            return parse(text)
        except InvalidInput as error:
            self.problems.append(problem_from(error, self.source, before=f"{column}: "))
            return otherwise

    def attempt(self, action: Callable[[], _T], otherwise: _T, *, before: str = "") -> _T:
        """Return the result, or note why there is none."""
        try:
            return action()
        except InvalidInput as error:
            self.problems.append(problem_from(error, self.source, before=before))
            return otherwise

    def name(self, column: str) -> str:
        """A tag or name that must be there."""
        return self.needed(column, _parse_name, "")

    def name_if_any(self, column: str) -> str:
        """A tag or name that may be left out."""
        return self.maybe(column, _parse_name, "")

    def note(self, column: str) -> str:
        """Free text, which may be empty."""
        return self.maybe(column, parse_note, "")

    def must_be_empty(self, columns: tuple[str, ...], reason: str) -> None:
        """Refuse cells that have no meaning in this row."""
        for column in columns:
            if self[column]:
                self.refuse(f"{column} {reason}")


@lru_cache(maxsize=WORDS_KNOWN)
def _parse_name(text: str) -> str:
    if len(text) > LONGEST_NAME:
        raise InvalidInput(f"more than {LONGEST_NAME} characters", hint="shorten it")
    if "\n" in text or "\r" in text:
        raise InvalidInput("it runs over several lines", hint="keep it on one line")
    return " ".join(text.split())
