"""Several programs on one store."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path

from brakelog.store.opening import open_store
from tests.unit.store_examples import a_vehicle

ROOT = Path(__file__).resolve().parents[2]

MAKER = """
import sys
from pathlib import Path
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_vehicle

sys.stdout.write("ready\\n")
sys.stdout.flush()
sys.stdin.readline()
with open_store(Path(sys.argv[1])) as store:
    store.add_vehicle(a_vehicle(sys.argv[2]))
"""

WRITER = """
import sys
from pathlib import Path
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_set, a_visit

with open_store(Path(sys.argv[1])) as store:
    sys.stdout.write("ready\\n")
    sys.stdout.flush()
    sys.stdin.readline()
    for _ in range(20):
        with store.writing():
            before = len(store.visits_of("v1"))
            id = store.new_id()
            store.add_visit(a_visit(id, odometer_mm=before))
            store.add_reading_sets([a_set("set " + id, id)])
"""


def run_together(program: str, path: Path, names: Sequence[str]) -> None:
    with ExitStack() as stack:
        started = [
            stack.enter_context(
                subprocess.Popen(
                    [sys.executable, "-c", program, str(path), name],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=subprocess.PIPE,
                    text=True,
                    cwd=ROOT,
                )
            )
            for name in names
        ]
        for one in started:
            assert one.stdout is not None
            assert one.stdout.readline() == "ready\n"
        for one in started:
            assert one.stdin is not None
            one.stdin.write("go\n")
            one.stdin.flush()
        said = [one.communicate()[1] for one in started]

    assert said == [""] * len(names)
    assert [one.returncode for one in started] == [0] * len(names)


def test_all_programs_that_make_the_store_at_once_succeed(tmp_path: Path) -> None:
    path = tmp_path / "new" / "store.sqlite"
    names = ["one", "two", "three"]

    run_together(MAKER, path, names)

    with open_store(path) as store:
        assert sorted(vehicle.tag for vehicle in store.vehicles()) == sorted(names)


def test_no_visit_of_eight_writers_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with open_store(path) as store:
        store.add_vehicle(a_vehicle())

    run_together(WRITER, path, [str(n) for n in range(8)])

    with open_store(path) as store:
        visits = store.visits_of("v1")
        sets = store.reading_sets_of_vehicle("v1")
    # Each saw all that was there before: the counts are those of one queue.
    assert sorted(visit.odometer_mm for visit in visits) == list(range(160))
    assert {one.visit_id for one in sets} == {visit.id for visit in visits}
