"""What ``brakelog history`` of one vehicle costs in a large store, over that in a small one.

Run by hand: ``python tests/bench/history.py [vehicles] [larger number of vehicles]``. Opening the
store, gathering and printing are measured in processor time, alternating, in one process; prints
the ratio of the medians (aim: at most 1.15).
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 25
TODAY = date(2025, 3, 1)


def history_s(path: Path, tag: str) -> float:
    """Return the processor time of one history. [s]"""
    from brakelog.reports.history import history_sheet
    from brakelog.reports.plain import as_text
    from brakelog.store.opening import open_store
    from brakelog.workshop.history import history_of

    start = time.process_time()
    with open_store(path, create=False) as store:
        found = history_of(store, tag, today=TODAY)
    as_text(history_sheet(found, today=TODAY))
    return time.process_time() - start


def stores(folder: Path, sizes: tuple[int, ...]) -> dict[int, Path]:
    """Make stores with so many vehicles, each with ten visits, gauges and repeats."""
    from brakelog.store.opening import open_store
    from tests.bench.whole_store import fill

    paths = {number: folder / f"{number}.sqlite" for number in sizes}
    for number, path in paths.items():
        with open_store(path) as store:
            fill(store, number)
    return paths


def main() -> None:
    """Measure and print."""
    small = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    large = int(sys.argv[2]) if len(sys.argv) > 2 else 40 * small
    tag = f"CAR-{small // 2}"
    with tempfile.TemporaryDirectory() as folder:
        paths = stores(Path(folder), (small, large))
        for path in paths.values():
            history_s(path, tag)
        rounds = [
            {number: history_s(path, tag) for number, path in paths.items()} for _ in range(ROUNDS)
        ]
    medians = {number: statistics.median(each[number] for each in rounds) for number in paths}
    for number, median in medians.items():
        print(f"{number} vehicles of 10 visits: {median * 1000:.0f} ms")
    print(f"ratio: {medians[large] / medians[small]:.2f} (aim: at most 1.15)")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
