"""How many healthy visits are asked about, how many slips are caught, and what a review costs.

Run by hand: ``python tests/bench/review.py [cars]``.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from brakelog.record.reading import Stage
from brakelog.review.question import Suspicion
from brakelog.review.review import review
from tests.property.review_slips import KINDS, catch
from tests.property.review_worlds import car


def healthy(cars: int) -> None:
    print("healthy cars, five visits each, as found and as left")
    for shop in ("steady", "fine", "mixed"):
        visits = disturbed = reviews = 0
        asked: Counter[str] = Counter()
        spent_s = 0.0
        for seed in range(cars):
            made = car(seed, visits=5, shop=shop)
            for number in range(len(made.visits)):
                visits += 1
                names: set[str] = set()
                for stage in Stage:
                    evidence = made.evidence(number, stage)
                    began = time.perf_counter()
                    questions = review(evidence)
                    spent_s += time.perf_counter() - began
                    reviews += 1
                    names |= {each.suspicion.name for each in questions}
                names.discard(Suspicion.LIP_NOT_JUDGED.name)
                disturbed += bool(names)
                asked.update(names)
        shown = ", ".join(f"{name} {count}" for name, count in asked.most_common())
        print(
            f"  {shop:6}  {visits} visits, asked about {100 * disturbed / visits:.2f} % ({shown})"
        )
        print(f"          {1e6 * spent_s / reviews:.0f} us a review")


def slips(tries: int) -> None:
    print("slips, by one of their suspicions / asked at all [%]")
    print(f"  {'':52} first visit   one before   three before")
    for kind in KINDS:
        cells = []
        for visits in (1, 2, 4):
            caught = catch(kind, visits=visits, tries=tries)
            if caught.tried < tries / 4:
                cells.append("     -    ")
            else:
                named, asked = (100 * each / caught.tried for each in (caught.named, caught.asked))
                cells.append(f"{named:4.0f} /{asked:4.0f}")
        print(f"  {kind.name:52} {'   '.join(cells)}")


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    healthy(count)
    slips(count // 2)
