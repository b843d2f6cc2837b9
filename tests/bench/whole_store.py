"""Verdicts over a whole store, against only fetching the same rows and writing them as JSON.

Run by hand: ``python tests/bench/whole_store.py [vehicles] [larger number of vehicles]``. Both
sides are measured in the same process, in processor time, alternating; prints ratios.
"""

from __future__ import annotations

import io
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from sqlalchemy import select

from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.corner import walking_order
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.limit import Limit, LimitKind, OutWhen, parse_figures
from brakelog.record.quantity import Quantity
from brakelog.record.reading import Datum, ReadingSet, Stage
from brakelog.record.vehicle import AxleBrake, Vehicle
from brakelog.record.visit import Visit
from brakelog.rules.document import verdict_document
from brakelog.store.opening import open_store
from brakelog.store.store import Store
from brakelog.store.tables import EVIDENCE
from brakelog.workshop.counter import every_verdict

VISITS = 10
KM = 1_000_000
_LIMITS = (
    (LimitKind.ROTOR_NEW, "28.0", None),
    (LimitKind.ROTOR_MACHINE_TO, "26.4", OutWhen.BELOW),
    (LimitKind.ROTOR_DISCARD, "26.0", OutWhen.AT_OR_BELOW),
    (LimitKind.THICKNESS_VARIATION, "0.015", OutWhen.ABOVE),
    (LimitKind.RUNOUT, "0.05", OutWhen.ABOVE),
    (LimitKind.PAD_NEW, "11.0", None),
    (LimitKind.PAD_MINIMUM, "2.0", OutWhen.BELOW),
)
_GAUGES = (
    ("M", GaugeKind.MICROMETER, 1_000, "0.001", Quantity.ROTOR),
    ("D", GaugeKind.DIAL, 10_000, "0.01", Quantity.RUNOUT),
    ("P", GaugeKind.DEPTH, 100_000, "0.1", Quantity.PAD_INNER),
)


def fill(store: Store, vehicles: int) -> None:
    """Put vehicles on file, each with ten visits of all four corners."""
    dice = random.Random(7)
    with store.writing():
        for tag, kind, step_nm, step, quantity in _GAUGES:
            store.add_gauge(
                Gauge(
                    id=tag,
                    tag=tag,
                    kind=kind,
                    unit=LengthUnit.MM,
                    resolution_nm=step_nm,
                    resolution_text=step,
                    used_for=frozenset({quantity}),
                    tips=Tips.POINTED if kind is GaugeKind.MICROMETER else None,
                )
            )
        store.add_sheet("sheet")
        store.add_limits(
            [
                Limit(
                    id=store.new_id(),
                    kind=kind,
                    axle=axle,
                    sheet="sheet",
                    source="page 1",
                    figures=parse_figures(figure, "", declared=LengthUnit.MM),
                    out_when=out_when,
                )
                for axle in (1, 2)
                for kind, figure, out_when in _LIMITS
            ]
        )
    for number in range(vehicles):
        with store.writing():
            _vehicle(store, number, dice)


def _vehicle(store: Store, number: int, dice: random.Random) -> None:
    vehicle_id = store.new_id()
    store.add_vehicle(
        Vehicle(
            id=vehicle_id,
            tag=f"CAR-{number}",
            description="",
            brakes=(AxleBrake.DISC, AxleBrake.DISC),
            odometer_unit=DistanceUnit.KM,
            sheet="sheet",
        )
    )
    sets: list[ReadingSet] = []
    for n in range(VISITS):
        visit_id = store.new_id()
        store.add_visit(
            Visit(
                id=visit_id,
                vehicle_id=vehicle_id,
                day=date(2021, 1, 4) + timedelta(days=150 * n),
                odometer_mm=(5_000 + 6_000 * n) * KM,
                odometer_text=str(5_000 + 6_000 * n),
                odometer_unit=DistanceUnit.KM,
                looked_over=frozenset(walking_order(2)),
            )
        )
        for corner in walking_order(2):
            rotor = [27_800 - 15 * n + dice.randint(0, 6) for _ in range(9)]
            pad = [105 - 6 * n - dice.randint(0, 2) for _ in range(4)]
            for quantity, gauge, values in (
                (Quantity.ROTOR, "M", [f"{v / 1000:.3f}" for v in rotor]),
                (Quantity.RUNOUT, "D", ["0.02"]),
                (Quantity.PAD_INNER, "P", [f"{v / 10:.1f}" for v in pad[:2]]),
                (Quantity.PAD_OUTER, "P", [f"{v / 10 + 0.2:.1f}" for v in pad[2:]]),
            ):
                is_rotor, is_runout = quantity is Quantity.ROTOR, quantity is Quantity.RUNOUT
                sets.append(
                    ReadingSet(
                        id=store.new_id(),
                        visit_id=visit_id,
                        corner=corner,
                        quantity=quantity,
                        stage=Stage.AS_FOUND,
                        values_nm=tuple(round(float(v) * 1e6) for v in values),
                        typed=tuple(values),
                        unit=LengthUnit.MM,
                        datum=Datum.LINING if quantity.is_lining else None,
                        gauge_id=gauge,
                        tips=Tips.POINTED if is_rotor else None,
                        again_nm=rotor[0] * 1000 if is_rotor else None,
                        again_typed=values[0] if is_rotor else "",
                        fasteners_fitted=5 if is_runout else None,
                        fasteners_of=5 if is_runout else None,
                        bearing_checked=True if is_runout else None,
                        returned_to_start=True if is_runout else None,
                    )
                )
    store.add_reading_sets(sets)


def only_fetch(store: Store) -> int:
    """Fetch every row through Core and write it as JSON; the least that anybody has to do."""
    out = io.StringIO()
    with store.reading():
        for table in EVIDENCE:
            for row in store._connection.execute(select(table)):
                out.write(json.dumps(row._asdict(), default=str, ensure_ascii=False))
                out.write("\n")
    return out.tell()


def judge_all(store: Store) -> int:
    """What ``brakelog verdict --all --json`` does."""
    out = io.StringIO()
    for result in every_verdict(store):
        out.write(json.dumps(verdict_document(result), ensure_ascii=False))
        out.write("\n")
    return out.tell()


def processor_s(work: Callable[[Store], int], store: Store) -> float:
    """Return the processor time of one run. [s]"""
    start = time.process_time()
    work(store)
    return time.process_time() - start


def measure(vehicles: int, folder: Path) -> tuple[float, float]:
    """Return the best of three of both sides. [s]"""
    with open_store(folder / f"{vehicles}.sqlite") as store:
        fill(store, vehicles)
        pairs = [(processor_s(only_fetch, store), processor_s(judge_all, store)) for _ in range(3)]
    return min(fetch for fetch, _ in pairs), min(judge for _, judge in pairs)


def main() -> None:
    """Print the ratio, and how the cost grows."""
    small = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    large = int(sys.argv[2]) if len(sys.argv) > 2 else 10 * small
    with tempfile.TemporaryDirectory() as folder:
        costs = {number: measure(number, Path(folder)) for number in (small, large)}
    for number, (fetch, judge) in costs.items():
        print(f"{number} vehicles of {VISITS} visits: {judge / fetch:.2f} times only fetching")
    growth = (costs[large][1] / large) / (costs[small][1] / small)
    print(f"cost of one vehicle among {large}, against one among {small}: {growth:.2f}")


if __name__ == "__main__":
    main()
