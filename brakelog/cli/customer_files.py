"""The files that go to customers: their names, and a folder of them."""

from __future__ import annotations

from pathlib import Path

from brakelog.cli.terminal import say, write_new
from brakelog.errors import Conflict, StoreError
from brakelog.record.reading import Stage
from brakelog.rules.figure import counted

MOST_TAGS = 20
"""Vehicles without a visit that are named; the rest is counted."""
_STATE = {Stage.AS_FOUND: "as-found", Stage.AS_LEFT: "after-work"}


def page_name(
    tag: str,
    day: str,
    stage: Stage,
    *,
    is_preliminary: bool = False,
    language: str = "",
    ending: str = "html",
) -> str:
    """Return a file name that every system allows, another one for every state of the work.

    A page in another language than the shop's own names it, so that none takes another's place.

    >>> page_name("../Ab 1", "2026-03-02", Stage.AS_FOUND)
    'brakes-Ab-1-2026-03-02-as-found.html'
    """
    end = ("-preliminary" if is_preliminary else "") + (f"-{language}" if language else "")
    return f"brakes-{file_words(tag)}-{day}-{_STATE[stage]}{end}.{ending}"


def note_name(tag: str, day: str, *, language: str = "") -> str:
    """Return the name of the file of a note.

    >>> note_name("TEAL-3", "2026-03-02")
    'brakes-TEAL-3-reminder-2026-03-02.txt'
    """
    end = f"-{language}" if language else ""
    return f"brakes-{file_words(tag)}-reminder-{day}{end}.txt"


def file_words(tag: str) -> str:
    """Return what can stand for a vehicle in the name of a file."""
    words = "".join(sign if sign.isascii() and sign.isalnum() else " " for sign in tag).split()
    return "-".join(words)[:60] or "vehicle"


class Folder:
    """A folder that pages are written into, one after the other.

    Raises
    ------
    StoreError
        Where it cannot be made.
    """

    def __init__(self, path: Path, what: str, *, replace: bool) -> None:
        self._path = path
        self._what = what
        self._replace = replace
        self._names: set[str] = set()
        self._written = 0
        self._there: list[Path] = []
        self._without: list[str] = []
        try:
            path.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"{path} cannot be made: {error.strerror}", hint="name another folder"
            ) from error

    def place_for(self, name: str) -> Path | None:
        """Return where a page is to be written; None where one is there that has to stay.

        No other vehicle of this run gets the same, whatever signs its tag holds.
        """
        stem, _, ending = name.rpartition(".")
        own, number = name, 1
        while own.lower() in self._names:
            number += 1
            own = f"{stem}-{number}.{ending}"
        self._names.add(own.lower())
        target = self._path / own
        if not self._replace and target.exists():
            self._there.append(target)
            return None
        return target

    def write(self, target: Path, content: str, about: str = "") -> None:
        """Write a page, and say so."""
        try:
            write_new(target, content, replace=self._replace)
        except Conflict:
            # Somebody else has written it in the meantime.
            self._there.append(target)
            return
        self._written += 1
        say(f"written to {target}{about}")

    def leave_out(self, tag: str) -> None:
        """Count a vehicle that has no visit."""
        self._without.append(tag)

    def finish(self) -> None:
        """Say what came of it.

        Raises
        ------
        Conflict
            Where pages were there already and stayed as they are.
        """
        say(f"{counted(self._written, self._what)} written")
        if self._without:
            named = ", ".join(self._without[:MOST_TAGS])
            more = len(self._without) - MOST_TAGS
            rest = f" and {more} more" if more > 0 else ""
            say(f"{counted(len(self._without), 'vehicle')} without a visit: {named}{rest}")
        if self._there:
            more = len(self._there) - 1
            others = f", and so do {more} more" if more else ""
            raise Conflict(
                f"{self._there[0]} exists{others}; left alone", hint="--replace writes over them"
            )
