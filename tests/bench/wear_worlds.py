"""How often the bound holds, counted on part lives whose remaining distance is known.

Run by hand: ``python tests/bench/wear_worlds.py`` prints the tables of
docs/explanation/how-often-the-bound-holds.md; with ``--write`` it keeps what was counted and
writes them into the page. That takes some minutes. A smaller run counts the first shops of a
larger one.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from brakelog.wear.bulk.beliefs import beliefs_of
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.grouping import grouping_of
from brakelog.wear.bulk.learning import learn
from brakelog.wear.bulk.lives import Floats
from brakelog.wear.experience import Experience, general_experience
from brakelog.wear.experiences import Group
from brakelog.wear.history import MM_PER_1000KM
from brakelog.wear.projecting import EXTRAPOLATION, LEAST_BOUND_MM
from tests.simulation.wear_trials import TRIALS, Trial
from tests.simulation.wear_world import past, running

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "fixtures" / "simulation" / "wear-worlds.json"
PAGE = ROOT / "docs" / "explanation" / "how-often-the-bound-holds.md"
SHOPS = 100
LIVES = 400
"""Parts of each shop, for each number of visits."""
LEAST_BOUND = LEAST_BOUND_MM / MM_PER_1000KM
"""Distance below which a bound is none. [1000 km]"""


@dataclass(frozen=True, kw_only=True)
class Cell:
    """What became of the parts of one world after so many visits; counts."""

    visits: int
    lives: int
    bound_held: int
    """Really went at least as far as the bound that 9 of 10 are meant to reach."""
    interval_held: int
    """Really went a distance inside the two-sided interval for 9 of 10."""
    told: int
    """Were told a distance; the others have next to no bound."""
    told_held: int
    """Really went as far as they were told, which is never more than three times the distance
    under measurement."""
    far: int
    """Had a bound beyond that."""
    far_held: int
    """Really went as far as that bound all the same."""
    median_off: float
    """Half of the medians are off the real distance by more than this share of it. [-]"""


def believed(trial: Trial, rng: np.random.Generator) -> Experience:
    """What a shop knows: learned from parts of its own, or general experience."""
    world, group = trial.world, Group(kind=trial.kind, axle=1)
    general = general_experience(trial.kind, new_mm=world.new_mm, limit_mm=world.limit_mm)
    count = trial.learned_from
    if count:
        learned = learn(
            past(world, count, rng),
            grouping_of([group] * count),
            general_log_rate=np.full(count, general.log_rate),
            vehicles=np.arange(count),
        )
        return learned.experiences.of(group, new_mm=world.new_mm, limit_mm=world.limit_mm)
    if trial.centre is not None:
        return replace(general, log_rate=math.log(trial.centre))
    return general


def tried(trial: Trial, shops: int) -> list[Cell]:
    """Project the parts of some shops and compare with what they really had left."""
    found: dict[int, list[Floats]] = {visits: [] for visits in trial.visits}
    for shop in range(shops):
        seed = [zlib.crc32(trial.name.encode()), shop]
        experience = believed(trial, np.random.default_rng(seed))
        beliefs = beliefs_of([experience] * LIVES)
        for visits in trial.visits:
            drawn = running(trial.world, LIVES, visits, np.random.default_rng([*seed, visits]))
            said = forecast_many(drawn.lives, beliefs)
            most = EXTRAPOLATION * drawn.lives.x[-1]
            rows = drawn.left, said.d05, said.d10, said.d50, said.d95, most
            found[visits].append(np.array(rows))
    return [_cell(visits, np.hstack(each)) for visits, each in found.items()]


def _cell(visits: int, rows: Floats) -> Cell:
    left, d05, d10, d50, d95, most = rows
    above, told, far = left > 0.0, d10 >= LEAST_BOUND, d10 > most
    return Cell(
        visits=visits,
        lives=len(left),
        bound_held=int((left >= d10).sum()),
        interval_held=int(((d05 <= left) & (left <= d95)).sum()),
        told=int(told.sum()),
        told_held=int((left >= np.minimum(d10, most))[told].sum()),
        far=int(far.sum()),
        far_held=int((left >= d10)[far].sum()),
        median_off=round(float(np.median(np.abs(d50[above] / left[above] - 1.0))), 4),
    )


def counted(shops: int) -> dict[str, list[Cell]]:
    """Count every world, by its name."""
    cells = {}
    for trial in (each for trials in TRIALS.values() for each in trials):
        print(trial.name, file=sys.stderr, flush=True)
        cells[trial.name] = tried(trial, shops)
    return cells


def kept() -> dict[str, list[Cell]]:
    """Return what was kept of the large run."""
    document: dict[str, list[Any]] = json.loads(KEPT.read_text(encoding="utf-8"))
    return {name: [Cell(**each) for each in cells] for name, cells in document.items()}


def tables(cells: dict[str, list[Cell]]) -> dict[str, str]:
    """Return the table of each heading of the page."""
    return {heading: _table(trials, cells) for heading, trials in TRIALS.items()}


def _table(trials: Sequence[Trial], cells: dict[str, list[Cell]]) -> str:
    head = (
        *("world", "bound holds [%]", "as stated [%]"),
        *("interval holds [%]", "median off [%]", "no distance [%]"),
    )
    rows = [
        (
            trial.name,
            _shares(each.bound_held / each.lives for each in cells[trial.name]),
            _shares(each.told_held / each.told for each in cells[trial.name]),
            _shares(each.interval_held / each.lives for each in cells[trial.name]),
            _shares(each.median_off for each in cells[trial.name]),
            _shares(1.0 - each.told / each.lives for each in cells[trial.name]),
        )
        for trial in trials
    ]
    first, *rest = ["| " + " | ".join(row) + " |" for row in (head, *rows)]
    return "\n".join([first, "|---" * len(head) + "|", *rest])


def _shares(shares: Iterable[float]) -> str:
    return " / ".join(f"{100 * each:.0f}" for each in shares)


def with_tables(page: str, cells: dict[str, list[Cell]]) -> str:
    """Return a page with its tables put in the place of those that it has."""
    for heading, table in tables(cells).items():
        before, title, rest = page.partition(f"# {heading}\n")
        start = rest.index("\n|") + 1
        end = rest.find("\n\n", start)
        page = before + title + rest[:start] + table + (rest[end:] if end >= 0 else "\n")
    return page


def main() -> None:
    """Count, and print or write the tables."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--shops", type=int, default=SHOPS, help="shops of each world")
    reader.add_argument("--write", action="store_true", help="keep them and write the page")
    asked = reader.parse_args()
    cells = counted(asked.shops)
    if asked.write:
        document = {name: [asdict(each) for each in row] for name, row in cells.items()}
        KEPT.write_text(json.dumps(document, indent=1) + "\n", encoding="utf-8", newline="\n")
        page = with_tables(PAGE.read_text(encoding="utf-8"), cells)
        PAGE.write_text(page, encoding="utf-8", newline="\n")
    for heading, table in tables(cells).items():
        print(f"### {heading}\n\n{table}\n")


if __name__ == "__main__":
    main()
