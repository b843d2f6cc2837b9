"""One bit of a store the other way round: is it named, and does any answer change silently?"""

from __future__ import annotations

import enum
import sqlite3
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.errors import StoreError
from brakelog.store.checking import check_store
from tests.faults.pages import HELD, STRUCTURE, Pages, Room
from tests.faults.sample import CAR, chance, full_store, with_bit

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
    room: Room
    tree: str
    """The table or index that it is of."""
    is_named: bool
    came: Mapping[str, Came]
    said: Mapping[str, str]

    def __str__(self) -> str:
        came = ", ".join(f"{view} {came.value}" for view, came in self.came.items())
        place = f"byte {self.place} bit {self.bit} ({self.tree}: {self.room.value})"
        return f"{place}: named {self.is_named}; {came}"


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

    def __init__(self, folder: Path, fill: Callable[[Path], Path] = full_store) -> None:
        self.store = fill(folder)
        self.content = self.store.read_bytes()
        self.pages = Pages(self.store)
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
        places = self.pages.places(HELD)
        for number in range(rounds):
            draw = chance(seed + number, "content")
            yield self.at(draw.choice(places), draw.randrange(8), number)

    def in_structure(self, rounds: int, seed: int = 0) -> Iterator[Flipped]:
        """Yield what comes of flips in what finds rows: the heads of pages and their pointers.

        Few bytes are of that kind, so that flips anywhere hardly ever meet one. Every page is as
        likely as any other, however many pointers it has.
        """
        by_page: dict[int, list[int]] = defaultdict(list)
        for place in self.pages.places(STRUCTURE):
            by_page[place // self.pages.size].append(place)
        listed = list(by_page.values())
        for number in range(rounds):
            draw = chance(seed + number, "structure")
            yield self.at(draw.choice(draw.choice(listed)), draw.randrange(8), number)

    def at(self, place: int, bit: int, number: int = 0) -> Flipped:
        """Return what comes of one flip."""
        return self.with_content(with_bit(self.content, place, bit), place, bit, number)

    def is_named_at(self, place: int, bit: int) -> bool:
        """Tell whether one flip is named; no other question is asked."""
        self._copy.write_bytes(with_bit(self.content, place, bit))
        return _is_named(self._copy)

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
            if came[view] is not Came.SAME:
                said[view] = told
        room, tree = self.pages.room[place], self.pages.tree_of(place)
        return Flipped(place, bit, room, tree, is_named, came, said)

    def pointers_of(self, name: str) -> list[int]:
        """Return the places of the low bytes of the pointers in the first page of an index."""
        with closing(sqlite3.connect(self.store)) as raw:
            asked = "SELECT rootpage FROM sqlite_schema WHERE name = ?"
            start = (raw.execute(asked, (name,)).fetchone()[0] - 1) * self.pages.size
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


def tally(flips: Iterable[Flipped]) -> tuple[Counter[tuple[str, str]], list[Flipped]]:
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
