"""Run by hand: many kills and many flipped bits, and a table of what came of them.

``python tests/faults/campaign.py --rounds 1000 --flips 400``
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.flips import Came, Flips, tally
from tests.faults.kills import Kills
from tests.faults.pages import Room
from tests.faults.sample import full_store, shop_store


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Return a table as it stands in a page of the documentation."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(str(cell) for cell in line)} |" for line in lines)


def killed(rounds: int, seed: int, only: Sequence[str]) -> tuple[str, int]:
    """Return the table of kills, and how much was wrong."""
    counts: dict[str, Counter[str]] = {}
    with tempfile.TemporaryDirectory() as folder:
        kills = Kills(Path(folder))
        listed = only or kills.what
        for number in range(rounds):
            what = listed[number % len(listed)]
            came = kills.round(what, seed + number)
            mine = counts.setdefault(what, Counter())
            mine.update(
                rounds=1, killed=came.was_killed, lost=came.lost, half=came.half, wrong=came.wrong
            )
            for said in came.said:
                print(f"{what}, seed {seed + number}: {said}", flush=True)
            if sys.stderr.isatty():
                print(f"\r{number + 1} of {rounds}", end="", file=sys.stderr)
    names = ("rounds", "killed", "lost", "half", "wrong")
    whole = sum(counts.values(), Counter())
    rows = [
        [what, *(each[name] for name in names)] for what, each in [*counts.items(), ("all", whole)]
    ]
    head = ["what was killed", "rounds", "killed in time", "lost", "half", "verdicts wrong"]
    return table(head, rows), whole["lost"] + whole["half"] + whole["wrong"]


WHERE = {
    "anywhere": "anywhere in a young store",
    "content": "there, where something is held",
    "structure": "there, heads of pages and pointers",
    "shop": "anywhere in a store of years",
}
"""Where bits are flipped, by the word that is typed."""


def flipped(rounds: int, seed: int, where: Sequence[str]) -> tuple[str, int]:
    """Return the table of flipped bits, and how many changed an answer silently."""
    rows, wrong = [], 0
    with tempfile.TemporaryDirectory() as folder:
        for word in where:
            flips = _flips(Path(folder), is_young=word != "shop")
            draws = {"content": flips.in_content, "structure": flips.in_structure}
            came = list(draws.get(word, flips.anywhere)(rounds, seed))
            counts, bad = tally(came)
            wrong += len(bad)
            for each in bad:
                print(f"{WHERE[word]}: {each}", flush=True)
            held = [each for each in came if each.room is not Room.NOTHING]
            for each in held:
                if not each.is_named:
                    print(f"{WHERE[word]}, not named: {each}", flush=True)
            named = [sum(each.is_named for each in some) for some in (came, held)]
            rows.append([WHERE[word], rounds, rounds - len(held), *map(str, named)])
            rows[-1] += [
                " / ".join(str(counts[view, each.value]) for each in Came)
                for view in ("verdict", "due", "history", "summary")
            ]
            print(f"{WHERE[word]}: {counts['check', 'named']} of {rounds} named", flush=True)
    outcomes = " / ".join(each.value for each in Came)
    head = ["where", "flips", "hit nothing", "named", "of those that hit something"]
    head += [f"verdicts: {outcomes}", "due", "history", "summary"]
    return table(head, rows), wrong


@cache
def _flips(folder: Path, *, is_young: bool) -> Flips:
    place = folder / ("young" if is_young else "shop")
    place.mkdir()
    return Flips(place, full_store if is_young else shop_store)


def main() -> None:
    """Print the tables, and end with 1 where anything was lost or changed silently."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=0, help="commands to kill")
    asked.add_argument("--what", nargs="+", default=(), help="kill only these, as the table has it")
    asked.add_argument("--flips", type=int, default=0, help="bits to flip, of each kind")
    asked.add_argument("--where", nargs="+", choices=WHERE, default=list(WHERE), help="of flips")
    asked.add_argument("--seed", type=int, default=0, help="of the first round")
    given = asked.parse_args()
    wrong = 0
    print(f"seed {given.seed}")
    if given.rounds:
        said, wrong = killed(given.rounds, given.seed, given.what)
        print(f"\n{said}", flush=True)
    if given.flips:
        said, more = flipped(given.flips, given.seed, given.where)
        print(f"\n{said}", flush=True)
        wrong += more
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
