"""Learning the experience of a shop, against the projection of as many part lives.

Run by hand: ``python tests/bench/wear_learning.py [lives]``. Both sides are measured in the same
process, in processor time, alternating, the best of several rounds; prints ratios. The shop is a
chain: eight linings and rotors a vehicle, five classes, hundreds of models, five readings a part.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from brakelog.wear.bulk.backtest import back_test
from brakelog.wear.bulk.believed import believed
from brakelog.wear.bulk.forecast import forecast_many
from brakelog.wear.bulk.grouping import Grouping
from brakelog.wear.bulk.learning import learn
from brakelog.wear.bulk.lives import Counts, Floats, Lives
from brakelog.wear.crossing import Z90
from brakelog.wear.experience import WearKind
from brakelog.wear.experiences import Experiences, Group

LIVES = 1_000_000
READINGS = 5
PLACES = 8
ROUNDS = 5
AIM = 0.5
"""Largest share of a projection to D10, D50 and D90 that learning may cost."""

_PARTS = (
    *((WearKind.FRONT_LINING, 1),) * 2,
    *((WearKind.REAR_LINING, 2),) * 2,
    *((WearKind.ROTOR, 1),) * 2,
    *((WearKind.ROTOR, 2),) * 2,
)
"""The parts of a vehicle, each of a component and on an axle."""


def chain(count: int) -> tuple[Lives, Grouping, Floats, Counts]:
    """Draw the lives of a chain, with their groups, general log rates and vehicles."""
    rng = np.random.default_rng(5)
    models = max(count // 2500, 1)
    kinds = sorted(set(_PARTS), key=lambda each: (each[0].value, each[1]))
    groups = tuple(
        Group(kind=kind, axle=axle, vehicle_class=f"class {model % 5}", model=f"model {model}")
        for model in range(models)
        for kind, axle in kinds
    )
    place = np.array([kinds.index(each) for each in _PARTS])
    vehicles = np.arange(count) // PLACES
    model = rng.integers(0, models, int(vehicles.max()) + 1)[vehicles]
    codes = model * len(kinds) + place[np.arange(count) % PLACES]
    rates = np.exp(
        np.log(0.13) + rng.normal(0.0, 0.2, len(groups))[codes] + rng.normal(0.0, 0.35, count)
    )
    gaps = np.maximum(rng.normal(8.0, 3.0, (READINGS, count)), 1.0)
    worn = np.cumsum(rng.gamma(gaps / 0.94, rates * 0.94), axis=0)
    lives = Lives(
        margin_mm=np.full(count, 8.0),
        u1_mm=np.full(count, 0.15),
        visits=np.full(count, READINGS),
        x=np.cumsum(gaps, axis=0),
        visit_margin_mm=8.0 - worn + rng.normal(0.0, 0.2, worn.shape),
        visit_u1_mm=np.full(worn.shape, 0.2),
    )
    return lives, Grouping(groups=groups, codes=codes), np.full(count, np.log(8.0 / 55.0)), vehicles


def processor_s(work: Callable[[], object]) -> float:
    """Do something and return the processor time of it. [s]"""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def main() -> None:
    """Print the ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else LIVES
    lives, grouping, general, vehicles = chain(count)
    beliefs = believed(grouping, Experiences(), general)
    works: dict[str, Callable[[], object]] = {
        "projection": lambda: forecast_many(lives, beliefs, levels=(-Z90, Z90)),
        "learning": lambda: learn(lives, grouping, general_log_rate=general, vehicles=vehicles),
    }
    spent = {name: [processor_s(work) for _ in range(1)] for name, work in works.items()}
    for _ in range(ROUNDS):
        for name, work in works.items():
            spent[name].append(processor_s(work))
    best = {name: min(times) for name, times in spent.items()}
    testing = processor_s(
        lambda: back_test(lives, grouping, general_log_rate=general, vehicles=vehicles)
    )
    print(f"{count} lives of {READINGS} readings in {len(grouping.groups)} models and parts")
    print(
        f"learning costs {best['learning'] / best['projection']:.2f} of a projection to D10, D50 "
        f"and D90; aim: {AIM} at the most"
    )
    print(
        f"back-test of all readings but the first: {testing / best['projection']:.1f} projections"
    )


if __name__ == "__main__":
    main()
