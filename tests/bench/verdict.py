"""How long ``brakelog verdict`` takes as a whole process, as ratios from one run.

Run by hand: ``python tests/bench/verdict.py``. Prints the ratio to a minimal typer and SQLAlchemy
Core program that inserts and selects one row (aim: at most 1.5), and the ratio between a store of
200,000 reading sets and one of 200 (aim: at most 1.15). Both programs are installed from wheels
into one fresh environment, and their runs alternate.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
import venv
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 25
SMALL, LARGE = 200, 200_000

_MINIMAL_PROJECT = """
[build-system]
requires = ["hatchling"]
build-backend = "hatchling.build"
[project]
name = "minimal-row"
version = "1"
dependencies = ["sqlalchemy>=2.1,<2.2", "typer>=0.26,<0.29"]
[project.scripts]
minimal-row = "minimal_row:main"
"""
_MINIMAL_PROGRAM = """
import typer
from sqlalchemy import Column, Integer, MetaData, Table, Text, create_engine, insert, select

app = typer.Typer(rich_markup_mode=None, pretty_exceptions_enable=False, add_completion=False)
rows = Table("rows", MetaData(), Column("id", Integer, primary_key=True), Column("text", Text))


@app.command()
def one(path: str) -> None:
    engine = create_engine(f"sqlite:///{path}")
    with engine.begin() as connection:
        rows.create(connection, checkfirst=True)
        connection.execute(insert(rows).values(text="one"))
    with engine.connect() as connection:
        typer.echo(connection.execute(select(rows.c.text).limit(1)).scalar_one())


def main() -> None:
    app()
"""


def install(folder: Path) -> Path:
    """Build both wheels, install them, and return the folder of the programs."""
    minimal = folder / "minimal"
    minimal.mkdir()
    (minimal / "pyproject.toml").write_text(_MINIMAL_PROJECT, encoding="utf-8")
    (minimal / "minimal_row.py").write_text(_MINIMAL_PROGRAM, encoding="utf-8")
    venv.create(folder / "env", with_pip=True)
    programs = folder / "env" / ("Scripts" if sys.platform == "win32" else "bin")
    subprocess.run(
        [programs / "python", "-m", "pip", "install", "-q", str(ROOT), str(minimal)], check=True
    )
    return programs


def fill(path: Path, sets: int) -> None:
    """Make a store with so many reading sets, ten to a visit, four visits to a vehicle."""
    from brakelog.lengths import DistanceUnit, LengthUnit
    from brakelog.record.corner import walking_order
    from brakelog.record.limit import Limit, LimitKind, parse_figures
    from brakelog.record.quantity import Quantity
    from brakelog.record.reading import Datum, ReadingSet, Stage
    from brakelog.record.vehicle import Vehicle, parse_brakes
    from brakelog.record.visit import Visit
    from brakelog.store.opening import open_store

    kinds = {
        LimitKind.ROTOR_NEW: "28.0",
        LimitKind.ROTOR_DISCARD: "26.0",
        LimitKind.THICKNESS_VARIATION: "0.015",
        LimitKind.PAD_NEW: "11.0",
        LimitKind.PAD_MINIMUM: "2.0",
    }
    with open_store(path) as store, store.writing():
        store.add_sheet("Sheet")
        store.add_limits(
            [
                Limit(
                    id=store.new_id(),
                    kind=kind,
                    axle=axle,
                    sheet="Sheet",
                    source="page 1",
                    figures=parse_figures(text, "", declared=LengthUnit.MM),
                )
                for axle in (1, 2)
                for kind, text in kinds.items()
            ]
        )
        for number in range(max(sets // 40, 1)):
            vehicle = Vehicle(
                id=store.new_id(),
                tag=f"CAR-{number}",
                description="Invented 1.0",
                brakes=parse_brakes("disc/disc"),
                odometer_unit=DistanceUnit.KM,
                sheet="Sheet",
            )
            store.add_vehicle(vehicle)
            for turn in range(4):
                visit = Visit(
                    id=store.new_id(),
                    vehicle_id=vehicle.id,
                    day=date(2023, 1, 9) + timedelta(days=300 * turn),
                    odometer_mm=(20_000 + 15_000 * turn) * 1_000_000,
                    odometer_text=str(20_000 + 15_000 * turn),
                    odometer_unit=DistanceUnit.KM,
                )
                store.add_visit(visit)
                rotor = tuple(27_400_000 - 200_000 * turn + 1_000 * n for n in range(9))
                pad = (9_000_000 - 1_500_000 * turn, 8_900_000 - 1_500_000 * turn)
                rows = [
                    ReadingSet(
                        id=store.new_id(),
                        visit_id=visit.id,
                        corner=corner,
                        quantity=quantity,
                        stage=Stage.AS_FOUND,
                        values_nm=values,
                        typed=tuple(str(value / 1e6) for value in values),
                        unit=LengthUnit.MM,
                        datum=Datum.LINING if quantity.is_lining else None,
                    )
                    for corner in walking_order(2)
                    for quantity, values in (
                        (Quantity.ROTOR, rotor),
                        (Quantity.PAD_INNER, pad),
                        (Quantity.PAD_OUTER, pad),
                    )
                ]
                store.add_reading_sets(rows[:10])


def seconds(command: list[str | Path]) -> float:
    """Run a command once and return how long it took. [s]"""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def compare(one: Callable[[], float], other: Callable[[], float]) -> float:
    """Return the ratio of the medians of two things that are run in turn."""
    one(), other()
    pairs = [(one(), other()) for _ in range(ROUNDS)]
    medians = [statistics.median(column) for column in zip(*pairs, strict=True)]
    print(f"    medians {medians[0] * 1000:.0f} ms and {medians[1] * 1000:.0f} ms")
    return float(medians[0] / medians[1])


def main() -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        programs = install(folder)
        small, large = folder / "small.sqlite", folder / "large.sqlite"
        fill(small, SMALL)
        fill(large, LARGE)

        def verdict(store: Path) -> Callable[[], float]:
            return lambda: seconds([programs / "brakelog", "--store", store, "verdict", "CAR-1"])

        def minimal() -> float:
            return seconds([programs / "minimal-row", str(folder / "rows.sqlite")])

        ratio = compare(verdict(small), minimal)
        print(f"verdict / minimal program: {ratio:.2f} (aim: at most 1.5)")
        ratio = compare(verdict(large), verdict(small))
        print(f"verdict, {LARGE:,} sets / {SMALL:,} sets: {ratio:.2f} (aim: at most 1.15)")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
