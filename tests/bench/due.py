"""Cost of ``brakelog due`` over a whole store, against only fetching the same rows.

    python tests/bench/due.py [VEHICLES]

Twenty reading sets a vehicle, two visits, pads on record as fitted. The rows are put into the
store without the program, since entering two million sets one by one takes hours; what is measured
afterwards is the program's own way.
"""

from __future__ import annotations

import multiprocessing
import random
import re
import resource
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any, Self

from sqlalchemy import select

from brakelog.lengths import DistanceUnit, LengthUnit
from brakelog.record.corner import walking_order
from brakelog.record.fitting import FittingEvent, SizeBasis
from brakelog.record.gauge import Gauge, GaugeKind, Tips
from brakelog.record.limit import Limit, LimitKind, OutWhen, parse_figures
from brakelog.record.quantity import Position, Quantity
from brakelog.record.reading import Datum, Stage
from brakelog.record.vehicle import AxleBrake
from brakelog.rules.due import Wanted
from brakelog.store.opening import open_store
from brakelog.store.seals import form_of
from brakelog.store.store import Store
from brakelog.store.tables import (
    findings,
    fittings,
    reading_sets,
    vehicle_identities,
    vehicles,
    visit_facts,
    visits,
)
from brakelog.workshop.due import due_list
from brakelog.workshop.fleet import refresh, workers

KM = 1_000_000
AT = datetime(2026, 11, 1, tzinfo=UTC)
TODAY = date(2026, 11, 20)
SHEETS = 40
_LIMITS = (
    (LimitKind.ROTOR_NEW, "28.0", None),
    (LimitKind.ROTOR_DISCARD, "26.0", OutWhen.AT_OR_BELOW),
    (LimitKind.PAD_NEW, "11.0", None),
    (LimitKind.PAD_MINIMUM, "2.0", OutWhen.BELOW),
)


def fill(store: Store, count: int) -> None:
    """Put vehicles on file: forty models, two visits each, twelve sets and then eight."""
    with store.writing():
        for tag, quantity in (("M", Quantity.ROTOR), ("P", Quantity.PAD_INNER)):
            is_micrometer = tag == "M"
            store.add_gauge(
                Gauge(
                    id=tag,
                    tag=tag,
                    kind=GaugeKind.MICROMETER if is_micrometer else GaugeKind.DEPTH,
                    unit=LengthUnit.MM,
                    resolution_nm=1_000 if is_micrometer else 100_000,
                    resolution_text="0.001" if is_micrometer else "0.1",
                    used_for=frozenset({quantity}),
                    tips=Tips.POINTED if is_micrometer else None,
                )
            )
        for number in range(SHEETS):
            store.add_sheet(f"model {number}")
            store.add_limits(
                [
                    Limit(
                        id=store.new_id(),
                        kind=kind,
                        axle=axle,
                        sheet=f"model {number}",
                        source="page 1",
                        figures=parse_figures(figure, "", declared=LengthUnit.MM),
                        out_when=out_when,
                    )
                    for axle in (1, 2)
                    for kind, figure, out_when in _LIMITS
                ]
            )
        sheet_ids = [
            row.key
            for row in store._connection.exec_driver_sql(
                "SELECT key FROM limit_sheets ORDER BY row"
            )
        ]
    dice = random.Random(11)
    for start in range(0, count, 1_000):
        rows: dict[Any, list[dict[str, Any]]] = {}
        for number in range(start, min(start + 1_000, count)):
            for table, row in _vehicle(number, sheet_ids[number % SHEETS], dice):
                rows.setdefault(table, []).append(row)
        with store.writing():
            for table in (vehicles, vehicle_identities, visits, fittings, reading_sets):
                if table is vehicle_identities:
                    store._insert(table, rows[table])
                else:
                    form = form_of(table, store._dialect)
                    store._append(table, map(form.sealed_values, rows[table]))


def _vehicle(
    number: int, sheet_id: str, dice: random.Random
) -> Iterator[tuple[Any, dict[str, Any]]]:
    stamp = {"site": "main", "recorded_at": AT, "recorded_by": None}
    id = f"v{number:07d}"
    yield (
        vehicles,
        {
            "id": id,
            "key": id,
            "tag": f"CAR-{number}",
            "tag_key": f"car-{number}",
            "description": "",
            "brakes": (AxleBrake.DISC, AxleBrake.DISC),
            "odometer_unit": DistanceUnit.KM,
            "sheet_id": sheet_id,
            **stamp,
        },
    )
    yield (
        vehicle_identities,
        {
            "vehicle_id": id,
            "plate": "",
            "plate_key": "",
            "vin": "",
            "vin_key": "",
            "customer_id": None,
        },
    )
    rate = 0.13 * dice.lognormvariate(0.0, 0.4)
    base = dice.randrange(20_000, 120_000)
    first_day = date(2025, 1, 10) + timedelta(days=dice.randrange(200))
    for n, driven in enumerate((0, dice.randrange(9_000, 20_000))):
        visit = f"{id}-{n}"
        day = first_day + timedelta(days=400 * n)
        yield (
            visits,
            {
                "id": visit,
                "vehicle_id": id,
                "day": day,
                "odometer_mm": (base + driven) * KM,
                "odometer_text": str(base + driven),
                "odometer_unit": DistanceUnit.KM,
                "person_id": None,
                **stamp,
            },
        )
        for corner in walking_order(2):
            left_nm = round((11.0 - rate * driven / 1_000 + dice.gauss(0, 0.05)) * 10) * 100_000
            thick_nm = 27_400_000 + dice.randrange(0, 200) * 1_000
            places: tuple[tuple[Quantity, Position, int], ...] = (
                (Quantity.PAD_INNER, Position.PAD_INNER, left_nm),
                (Quantity.PAD_OUTER, Position.PAD_OUTER, left_nm + 200_000),
            )
            if n == 0:
                for _, position, _ in places:
                    yield (
                        fittings,
                        {
                            "id": f"{visit}-{corner.code}-{position.value}-f",
                            "visit_id": visit,
                            "day": day,
                            "odometer_mm": base * KM,
                            "corner": corner,
                            "position": position,
                            "event": FittingEvent.NEW,
                            "basis": SizeBasis.MEASURED,
                            "size_nm": 11_000_000,
                            "size_typed": "11.0",
                            "from_corner": None,
                            "person_id": None,
                            "note": "",
                            **stamp,
                        },
                    )
                places = (*places, (Quantity.ROTOR, Position.ROTOR, thick_nm))
            for quantity, _, nm in places:
                is_rotor = quantity is Quantity.ROTOR
                values = tuple(nm + 1_000 * k for k in range(8 if is_rotor else 2))
                yield (
                    reading_sets,
                    {
                        "id": f"{visit}-{corner.code}-{quantity.value}",
                        "visit_id": visit,
                        "corner": corner,
                        "quantity": quantity,
                        "stage": Stage.AS_FOUND if n else Stage.AS_LEFT,
                        "values_nm": values,
                        "typed": tuple(f"{v / 1e6:.3f}" for v in values),
                        "unit": LengthUnit.MM,
                        "datum": None if is_rotor else Datum.LINING,
                        "again_nm": None,
                        "again_typed": "",
                        "gauge_id": "M" if is_rotor else "P",
                        "tips": Tips.POINTED if is_rotor else None,
                        "person_id": None,
                        "temperature_dc": None,
                        "zero_error_nm": 0,
                        "radius_nm": None,
                        "fasteners_fitted": None,
                        "fasteners_of": None,
                        "bearing_checked": None,
                        "returned_to_start": None,
                        "corrects": None,
                        "rotor_index": None,
                        "lip": None,
                        "in_groove": None,
                        **stamp,
                    },
                )


def only_fetch(store: Store) -> int:
    """Fetch the rows that the list rests on through Core, vehicle after vehicle; count them."""
    count = 0
    with store.reading():
        for table in (
            vehicles,
            vehicle_identities,
            visits,
            visit_facts,
            reading_sets,
            findings,
            fittings,
        ):
            for rows in store._connection.execute(select(table)).partitions(10_000):
                count += len(rows)
    return count


def whole_list(store: Store) -> int:
    """What ``brakelog due`` does."""
    refresh(store, lambda what, done, total: None)
    return len(due_list(store, Wanted(), TODAY).entries)


def took_s(work: Any, store: Store) -> tuple[float, int]:
    """Return how long some work took, and what came of it. [s]"""
    start = time.perf_counter()
    result = work(store)
    return time.perf_counter() - start, result


class Watched:
    """Looks how much memory the processes that work for this one have had; on Linux only.

    What the system says of children that have ended is no help: it counts this process itself as
    it was when it started them.
    """

    def __init__(self) -> None:
        self.most_mb = 0.0
        self._is_over = threading.Event()
        self._thread = threading.Thread(target=self._watch)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._is_over.set()
        self._thread.join()

    def _watch(self) -> None:
        while not self._is_over.wait(0.2):
            for child in multiprocessing.active_children():
                with suppress(OSError):
                    said = Path(f"/proc/{child.pid}/status").read_text(encoding="ascii")
                    found = re.search(r"VmHWM:\s+(\d+) kB", said)
                    self.most_mb = max(self.most_mb, int(found[1]) / 1024 if found else 0.0)


def main() -> None:
    """Print the ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3_000
    with (
        tempfile.TemporaryDirectory() as folder,
        open_store(Path(folder) / "store.sqlite") as store,
    ):
        fill(store, count)
        fetch_s, rows = min(took_s(only_fetch, store) for _ in range(3))
        with Watched() as beside:
            first_s, listed = took_s(whole_list, store)
        again_s, _ = min(took_s(whole_list, store) for _ in range(2))
    mine = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{count} vehicles, {rows} rows, {listed} listed; fetching alone {fetch_s:.1f} s")
    print(f"first list / only fetching: {first_s / fetch_s:.2f} (aim 3)")
    print(f"nothing changed / first list: {again_s / first_s:.3f} (aim 0.1)")
    print(
        f"most memory: {mine:.0f} MB, and {beside.most_mb:.0f} MB in each of {workers()} processes"
        " beside it (aim 1000 for all)"
    )


if __name__ == "__main__":
    main()
