"""Cost of keeping a record that can be proved, against SQLite doing nothing but writing it.

    python tests/bench/record.py [READING SETS]

A million reading sets take some five gigabytes in the folder for temporary files.

Three ratios from one run: a sheet that is read, checked, chained and sealed against a bare
``executemany`` of the same rows into the same tables (and against a general tool that only copies
the sheet, where that is installed); one acknowledged reading against one bare insert, synced the
same; and ``store check`` against ``PRAGMA integrity_check``.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date, timedelta
from functools import partial
from pathlib import Path

from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.corner import parse_corner
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.quantity import Quantity
from brakelog.record.reading import ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from brakelog.workshop.importing import import_sheet

TODAY = date(2026, 11, 20)
SETS_A_VISIT, VISITS = 20, 4
SINGLES = 150
HEAD = "vehicle,date,odometer,corner,quantity,values,unit,gauge,stage\n"


def lines(vehicles: int) -> Iterator[str]:
    """Yield the rows of a sheet: each vehicle four times, twenty sets a visit."""
    dice = random.Random(5)
    for number in range(vehicles):
        for visit in range(VISITS):
            day = date(2022, 1, 3) + timedelta(days=300 * visit + number % 200)
            start = f"CAR-{number},{day},{20_000 + 9_000 * visit + number % 777}"
            pads = 9 - visit
            for corner in ("LF", "RF", "LR", "RR"):
                eight = " ".join(f"{27 + dice.random() / 5:.3f}" for _ in range(8))
                for quantity, values, gauge in (
                    ("rotor", eight, "M1"),
                    ("pad-in", f"{pads}.0 {pads}.2", "P1"),
                    ("pad-out", f"{pads}.0 {pads}.3", "P1"),
                    ("runout", f"{dice.random() / 20:.3f}", ""),
                    ("scoring", f"{dice.random() / 5:.2f}", ""),
                ):
                    yield f"{start},{corner},{quantity},{values},mm,{gauge},as-found\n"


def write_sheet(path: Path, vehicles: int) -> None:
    """Write the sheet line by line; a million rows are some hundred megabytes."""
    with path.open("w", encoding="utf-8") as sheet:
        sheet.write(HEAD)
        sheet.writelines(lines(vehicles))


def prepare(path: Path, vehicles: int) -> None:
    """Make a store with the vehicles and gauges of the sheet."""
    with open_store(path) as store, store.writing():
        for tag, kind, step, quantities in (
            ("M1", GaugeKind.MICROMETER, "0.001", {Quantity.ROTOR}),
            ("P1", GaugeKind.DEPTH, "0.1", {Quantity.PAD_INNER, Quantity.PAD_OUTER}),
        ):
            store.add_gauge(
                Gauge(
                    id=store.new_id(),
                    tag=tag,
                    kind=kind,
                    unit=LengthUnit.MM,
                    resolution_nm=round(float(step) * 1_000_000),
                    resolution_text=step,
                    used_for=frozenset(quantities),
                    tips=Tips.POINTED if kind is GaugeKind.MICROMETER else None,
                )
            )
        for number in range(vehicles):
            store.add_vehicle(
                Vehicle(
                    id=store.new_id(),
                    tag=f"CAR-{number}",
                    description="",
                    brakes=(AxleBrake.DISC, AxleBrake.DISC),
                    odometer_unit=DistanceUnit.KM,
                )
            )


def took_s(work: Callable[[], object]) -> float:
    """Return how long some work took. [s]"""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def put_on_file(path: Path, sheet: Path) -> None:
    """What ``brakelog import`` does."""
    with open_store(path) as store, sheet.open("rb") as stream:
        import_sheet(store, stream, sheet.name, today=TODAY)


def bare_copy(path: Path, empty: Path) -> float:
    """Return how long SQLite takes to write the rows of one store into another. [s]"""
    spent = 0.0
    with closing(sqlite3.connect(path)) as source, closing(bare(empty)) as target:
        target.execute("BEGIN IMMEDIATE")
        for table in ("visits", "reading_sets", "import_keys"):
            rows = source.execute(f"SELECT * FROM {table}")
            marks = ", ".join("?" * len(rows.description))
            while page := rows.fetchmany(10_000):
                statement = f"INSERT INTO {table} VALUES ({marks})"
                spent += took_s(partial(target.executemany, statement, page))
        spent += took_s(lambda: target.execute("COMMIT"))
    return spent


def bare(path: Path) -> sqlite3.Connection:
    """Return a connection with the settings that make a commit durable, and nothing else."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA journal_mode = TRUNCATE")
    return connection


def singles(path: Path) -> tuple[float, float]:
    """Return the medians of one reading through the store and of one bare insert. [s]"""
    plain = path.with_name("single-bare.sqlite")
    shutil.copy(path, plain)
    ours: list[float] = []
    theirs: list[float] = []
    with open_store(path) as store, closing(bare(plain)) as target:
        visit_id = str(target.execute("SELECT id FROM visits").fetchone()[0])
        row = target.execute("SELECT * FROM reading_sets LIMIT 1").fetchone()
        statement = f"INSERT INTO reading_sets VALUES ({', '.join('?' * len(row))})"
        for number in range(SINGLES):
            one = ReadingSet(
                id=store.new_id(),
                visit_id=visit_id,
                corner=parse_corner("LF"),
                quantity=Quantity.ROTOR,
                stage=Stage.AS_FOUND,
                values_nm=(27_000_000 + 1_000 * number,) * 8,
                typed=(f"{27 + number / 1_000:.3f}",) * 8,
                unit=LengthUnit.MM,
            )
            ours.append(took_s(partial(store.add_reading_sets, [one])))
            bare_row = (None, one.id, *row[2:])

            def write(bare_row: tuple[object, ...] = bare_row) -> None:
                target.execute("BEGIN IMMEDIATE")
                target.execute(statement, bare_row)
                target.execute("COMMIT")

            theirs.append(took_s(write))
    return statistics.median(ours), statistics.median(theirs)


def general_tool(sheet: Path, folder: Path) -> float | None:
    """Return how long a tool takes that copies the sheet into a table as it is. [s]"""
    tool = Path(sys.executable).with_name("sqlite-utils")
    if not tool.exists():
        return None
    words = [str(tool), "insert", str(folder / "plain.sqlite"), "readings", str(sheet), "--csv"]
    return took_s(lambda: subprocess.run(words, check=True, capture_output=True))


def imported(sheet: Path, path: Path) -> tuple[float, float]:
    """Return what an import takes as a process of its own: its time, and its memory at the most.

    Returns
    -------
    tuple of float and float
        Without starting the process [s]; all of it and of what reads the sheet for it [MB].
    """
    code = (
        "import resource, sys, time; from pathlib import Path;"
        "from tests.bench.record import put_on_file, took_s;"
        "spent = took_s(lambda: put_on_file(Path(sys.argv[1]), Path(sys.argv[2])));"
        "each = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN);"
        "print(spent, sum(resource.getrusage(who).ru_maxrss for who in each) / 1024)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(path), str(sheet)],
        check=True,
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
    )
    spent, most = run.stdout.split()
    return float(spent), float(most)


def main() -> None:
    """Print the ratios, each as soon as it is known."""
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 40_000
    vehicles = max(1, wanted // (SETS_A_VISIT * VISITS))
    count = vehicles * SETS_A_VISIT * VISITS
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sheet, tenth = folder / "sheet.csv", folder / "tenth.csv"
        write_sheet(sheet, vehicles)
        write_sheet(tenth, max(1, vehicles // 10))
        store, empty, small = (
            folder / "ours.sqlite",
            folder / "bare.sqlite",
            folder / "small.sqlite",
        )
        for path in (store, empty, small):
            prepare(path, vehicles)
        ours, most = imported(sheet, store)
        theirs = bare_copy(store, empty)
        print(f"{count} reading sets imported in {ours:.1f} s: {count / ours:.0f} a second")
        print(f"rows a second / bare executemany: {theirs / ours:.2f} (at least 0.15, aim 0.25)")
        plain = general_tool(sheet, folder)
        if plain is not None:
            print(f"rows a second / a tool that only copies: {plain / ours:.2f} (aim 1)")
        _, less = imported(tenth, small)
        print(f"most memory: {less:.0f} MB for a tenth, {most:.0f} MB for all of it")
        one, bare_one = singles(store)
        print(f"one acknowledged reading / one bare insert: {one / bare_one:.2f} (at most 2)")
        checked = took_s(lambda: check_store(store))
        with closing(sqlite3.connect(store)) as raw:
            whole = took_s(lambda: raw.execute("PRAGMA integrity_check").fetchall())
        print(f"store check / integrity_check: {checked / whole:.2f} (at most 5)")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))
    main()
