"""Cost of a chain's due list: two processes against one, the server on the same cores.

    python tests/bench/sites.py [SITES] [VEHICLES]

A server of its own is started from Debian's binaries, with as many sites, each with vehicles of two
visits and twenty reading sets. The list is worked out from nothing both times.
"""

from __future__ import annotations

import sys
import time
from datetime import date
from pathlib import Path

TODAY = date(2026, 11, 20)


def main() -> None:
    """Print the ratio."""
    from brakelog.rules.due import Wanted
    from brakelog.store.opening import open_store
    from brakelog.store.tables import DERIVED
    from brakelog.workshop.due_of_sites import due_of_sites
    from tests.bench.due import fill
    from tests.places import Sites
    from tests.postgres.cluster import WRITER, Cluster, binaries

    count = int(sys.argv[1]) if len(sys.argv) > 1 else 4
    vehicles = int(sys.argv[2]) if len(sys.argv) > 2 else 400
    programs = binaries()
    if programs is None:
        sys.exit("no PostgreSQL is installed")
    cluster = Cluster.made(programs)
    try:
        sites = Sites(cluster, "bench")
        names = [f"s{number}" for number in range(count)]
        for name in names:
            sites.new(name)
            with open_store(sites.address(name, WRITER)) as store:
                fill(store, vehicles)
        took: dict[int, float] = {}
        listed: dict[int, int] = {}
        for processes in (1, 2):
            with cluster.admin(sites.database) as root:
                for name in names:
                    for table in DERIVED:
                        root.execute(f"DELETE FROM brakelog_{name}.{table.name}")
            start = time.perf_counter()
            found = due_of_sites(
                sites.address(names[0], WRITER),
                names,
                Wanted(),
                TODAY,
                wait_s=30.0,
                processes=processes,
                told=lambda what, done, total: None,
            )
            listed[processes] = sum(len(each.due.entries) for each in found)
            took[processes] = time.perf_counter() - start
        sites.close()
    finally:
        cluster.remove()
    print(f"{count} sites of {vehicles} vehicles, {listed[1]} and {listed[2]} listed")
    print(f"one process {took[1]:.1f} s, two {took[2]:.1f} s")
    print(f"two are {took[1] / took[2]:.2f} times as fast (aim 1.5)")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))
    main()
