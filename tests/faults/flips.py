"""One bit of a store the other way round: is it named, and does any answer change silently?"""

from __future__ import annotations

import enum
import random
import sqlite3
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.errors import StoreError
from brakelog.store.checking import check_store
from tests.faults.sample import CAR, chance, full_store, with_bit

PAGE = 4096
"""Size of a page of a store. [bytes]"""
SHOWN = (CAR, "HERON-4", "SISKIN-6", "SNIPE-9", "PLOVER-2")
"""Vehicles whose history and summary are asked for, one of them at each flip."""


class Came(enum.Enum):
    """What came of a command over a damaged store."""

    SAME = "same"
    REFUSED = "refused"
    """With 7, or with 8 or 9 where the number of the schema was hit."""
    TOLD = "told"
    """With another error: such as that there is no vehicle of that name."""
    DIFFERENT = "different"
    BROKE = "broke"
    """With a traceback."""


REFUSALS = (7, 8, 9)


@dataclass(frozen=True, slots=True)
class Flipped:
    """What came of one flip."""

    place: int
    bit: int
    is_named: bool
    came: Mapping[str, Came]
    said: Mapping[str, str]

    def __str__(self) -> str:
        page, at = divmod(self.place, PAGE)
        came = ", ".join(f"{view} {came.value}" for view, came in self.came.items())
        return f"page {page + 1} byte {at} bit {self.bit}: named {self.is_named}; {came}"


def used_places(content: bytes) -> list[int]:
    """Return the places of a file of SQLite that hold anything (its file format, section 1.6).

    What lies between the pointers and the cells of a page is free; whole pages may be.
    """
    free = _free_pages(content)
    places: list[int] = []
    for start in range(0, len(content), PAGE):
        if start // PAGE + 1 in free:
            continue
        head = start + (100 if start == 0 else 0)
        if content[head] not in (2, 5, 10, 13):
            places += range(start, start + PAGE)
            continue
        cells = int.from_bytes(content[head + 3 : head + 5], "big")
        first = int.from_bytes(content[head + 5 : head + 7], "big") or 65536
        inner = 12 if content[head] in (2, 5) else 8
        places += range(start, head + inner + 2 * cells)
        places += range(start + min(first, PAGE), start + PAGE)
    return places


def _free_pages(content: bytes) -> set[int]:
    trunk = int.from_bytes(content[32:36], "big")
    found = set()
    while trunk:
        found.add(trunk)
        at = (trunk - 1) * PAGE
        count = int.from_bytes(content[at + 4 : at + 8], "big")
        leaves = range(at + 8, at + 8 + 4 * count, 4)
        found.update(int.from_bytes(content[leaf : leaf + 4], "big") for leaf in leaves)
        trunk = int.from_bytes(content[at : at + 4], "big")
    return found


def views_for(shown: str) -> Mapping[str, tuple[str, ...]]:
    """Return the commands whose answers are compared."""
    return {
        "verdict": ("verdict", "--all", "--json"),
        "due": ("due", "--json"),
        "history": ("history", shown, "--json"),
        "summary": ("summary", shown, "--json"),
    }


class Flips:
    """A sound store with its answers, and copies of it with a bit the other way round."""

    def __init__(self, folder: Path) -> None:
        self.store = full_store(folder)
        self.content = self.store.read_bytes()
        self._copy = folder / "flipped.sqlite"
        self._sound = {
            words: self._answer(self.store, words)[1]
            for shown in SHOWN
            for words in views_for(shown).values()
        }
        # The commands have added verdicts that they issued: the flips begin where they did.
        self.store.write_bytes(self.content)

    def anywhere(self, rounds: int, seed: int = 0) -> Iterator[Flipped]:
        """Yield what comes of flips at places drawn from the whole file."""
        for number in range(rounds):
            draw = chance(seed + number, "flip")
            yield self.at(draw.randrange(len(self.content)), draw.randrange(8), number)

    def in_content(self, rounds: int, seed: int = 0) -> Iterator[Flipped]:
        """Yield what comes of flips at places that hold something, drawn from all such."""
        places = used_places(self.content)
        for number in range(rounds):
            draw = chance(seed + number, "content")
            yield self.at(draw.choice(places), draw.randrange(8), number)

    def in_structure(self, rounds: int, seed: int = 0) -> Iterator[Flipped]:
        """Yield what comes of flips in what finds rows: the heads of pages and their pointers.

        Few bytes are of that kind, so that flips anywhere hardly ever meet one.
        """
        for number in range(rounds):
            draw = chance(seed + number, "structure")
            yield self.at(self._in_head(draw), draw.randrange(8), number)

    def _in_head(self, draw: random.Random) -> int:
        start = draw.randrange(len(self.content) // PAGE) * PAGE
        head = start + (100 if start == 0 else 0)
        cells = int.from_bytes(self.content[head + 3 : head + 5], "big")
        is_tree = self.content[head] in (2, 5, 10, 13)
        return head + draw.randrange((12 + 2 * cells) if is_tree else 8)

    def at(self, place: int, bit: int, number: int = 0) -> Flipped:
        """Return what comes of one flip."""
        return self.with_content(with_bit(self.content, place, bit), place, bit, number)

    def with_content(
        self, content: bytes, place: int = 0, bit: int = 0, number: int = 0
    ) -> Flipped:
        """Return what comes of a store that is not what it was."""
        self._copy.write_bytes(content)
        is_named, came, said = False, {}, {}
        try:
            is_named = _is_named(self._copy)
        except Exception as broke:
            came["check"], said["check"] = Came.BROKE, repr(broke)
        for view, words in views_for(SHOWN[number % len(SHOWN)]).items():
            self._copy.write_bytes(content)
            self._copy.with_name(f"{self._copy.name}-journal").unlink(missing_ok=True)
            came[view], told = self._answer(self._copy, words)
            if came[view] is Came.SAME and told != self._sound[words]:
                came[view] = Came.DIFFERENT
            said[view] = told
        return Flipped(place, bit, is_named, came, said)

    def pointers_of(self, name: str) -> list[int]:
        """Return the places of the low bytes of the pointers in the first page of an index."""
        with closing(sqlite3.connect(self.store)) as raw:
            asked = "SELECT rootpage FROM sqlite_schema WHERE name = ?"
            start = (raw.execute(asked, (name,)).fetchone()[0] - 1) * PAGE
        cells = int.from_bytes(self.content[start + 3 : start + 5], "big")
        first = start + (12 if self.content[start] in (2, 5) else 8)
        return [first + 2 * cell + 1 for cell in range(cells)]

    @staticmethod
    def _answer(store: Path, words: tuple[str, ...]) -> tuple[Came, str]:
        done = CliRunner().invoke(build(words[0]), ["--store", str(store), *words])
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            return Came.BROKE, repr(done.exception)
        if done.exit_code == 0:
            return Came.SAME, done.stdout
        return (Came.REFUSED if done.exit_code in REFUSALS else Came.TOLD), done.stderr


def _is_named(store: Path) -> bool:
    try:
        return bool(check_store(store).faults)
    except StoreError:
        return True


def tally(flips: Iterator[Flipped]) -> tuple[Counter[tuple[str, str]], list[Flipped]]:
    """Return how often what came of it, and the flips that must not have been."""
    counts: Counter[tuple[str, str]] = Counter()
    bad = []
    for each in flips:
        counts["check", "named" if each.is_named else "not named"] += 1
        for view, came in each.came.items():
            counts[view, came.value] += 1
        if {Came.DIFFERENT, Came.BROKE} & set(each.came.values()):
            bad.append(each)
    return counts, bad
