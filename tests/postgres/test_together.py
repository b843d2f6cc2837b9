"""Several programs on one site, and a server that goes away while they write."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import psycopg
import pytest
from typer.testing import CliRunner

from brakelog.cli.main import build
from brakelog.errors import InvalidInput, StoreError
from brakelog.store.address import ServerAddress
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from brakelog.store.tables import EVIDENCE
from tests.places import Sites
from tests.postgres.cluster import Cluster, binaries
from tests.postgres.conftest import Past
from tests.unit.store_examples import a_draft, a_set, a_vehicle, a_visit

ROOT = Path(__file__).resolve().parents[2]

WRITER = """
import sys
from brakelog.store.address import parse_address
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_set, a_visit

with open_store(parse_address(sys.argv[1])) as store:
    print("ready", flush=True)
    sys.stdin.readline()
    for _ in range(15):
        with store.writing():
            before = len(store.visits_of("v1"))
            id = store.new_id()
            store.add_visit(a_visit(id, odometer_mm=before))
            store.add_reading_sets([a_set("set " + id, id)])
"""

MAKER = """
import sys
from brakelog.store.address import parse_address
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_vehicle

print("ready", flush=True)
sys.stdin.readline()
with open_store(parse_address(sys.argv[1])) as store:
    store.add_vehicle(a_vehicle(sys.argv[2]))
"""

ENDLESS = """
import sys
from brakelog.errors import StoreError
from brakelog.store.address import parse_address
from brakelog.store.opening import open_store
from tests.unit.store_examples import a_set, a_visit

with open_store(parse_address(sys.argv[1])) as store:
    try:
        while True:
            id = store.new_id()
            with store.writing():
                store.add_visit(a_visit(id))
                store.add_reading_sets([a_set("set " + id, id)])
            print(id, flush=True)
    except StoreError as error:
        print(error.exit_code, error, file=sys.stderr)
"""


def start(program: str, *words: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", program, *map(str, words)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )


def run_together(program: str, site: ServerAddress, names: list[str]) -> None:
    with ExitStack() as stack:
        started = [stack.enter_context(start(program, site, name)) for name in names]
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


def test_of_writers_at_once_nothing_is_lost_or_doubled_and_numbers_are_in_order(
    owned: ServerAddress, past: Past
) -> None:
    with open_store(owned) as store:
        store.add_vehicle(a_vehicle())

    run_together(WRITER, owned, ["one", "two", "three"])

    with open_store(owned) as store:
        visits = store.visits_of("v1")
        sets = store.reading_sets_of_vehicle("v1")
    # Each saw all that was there before: the counts are those of one queue, in order of number.
    assert sorted(visit.odometer_mm for visit in visits) == list(range(45))
    assert {one.visit_id for one in sets} == {visit.id for visit in visits}
    rows = past(owned).execute('SELECT odometer_mm FROM visits ORDER BY "row"').fetchall()
    assert [row[0] for row in rows] == list(range(45))
    assert check_store(owned).faults == ()


def test_all_programs_that_make_the_site_at_once_succeed(sites: Sites) -> None:
    site = sites.address("at_once")

    run_together(MAKER, site, ["one", "two", "three"])

    with open_store(site) as store:
        assert sorted(vehicle.tag for vehicle in store.vehicles()) == ["one", "three", "two"]


def test_a_reader_sees_one_state_while_others_write(owned: ServerAddress) -> None:
    with open_store(owned) as store, open_store(owned) as other:
        store.add_vehicle(a_vehicle())
        with store.reading():
            assert store.visits_of("v1") == []
            other.add_visit(a_visit())
            assert store.visits_of("v1") == []
            assert store.counts()["visits"] == 0
        assert len(store.visits_of("v1")) == 1


def test_a_writer_that_waits_too_long_says_so_and_can_go_on(owned: ServerAddress) -> None:
    with open_store(owned, wait_s=0.01) as store, open_store(owned) as other:
        store.add_vehicle(a_vehicle())
        with other.writing():
            with pytest.raises(StoreError, match="locked by another program") as caught:
                store.add_visit(a_visit())
            assert store.visits_of("v1") == []
        store.add_visit(a_visit())
    assert caught.value.hint == "let the other program finish, then try again"


def test_sites_do_not_wait_for_each_other(sites: Sites, owned: ServerAddress) -> None:
    elsewhere = sites.new("elsewhere")
    with open_store(owned) as store, open_store(elsewhere, wait_s=0.01) as other, store.writing():
        other.add_vehicle(a_vehicle())


def end_connections(root: psycopg.Connection[object]) -> None:
    """End every connection of the program, and wait until they are gone."""
    root.execute(
        "SELECT pg_terminate_backend(pid, 10000) FROM pg_stat_activity"
        " WHERE application_name = 'brakelog'"
    )


def test_a_connection_that_is_cut_is_said_and_nothing_is_half_there(
    owned: ServerAddress, root: psycopg.Connection[object]
) -> None:
    with open_store(owned) as store:
        store.add_vehicle(a_vehicle())

        def cut() -> None:
            with store.writing():
                store.add_visit(a_visit())
                end_connections(root)
                store.add_reading_sets([a_set()])

        with pytest.raises(StoreError, match="connection to the server was lost") as caught:
            cut()
        assert caught.value.exit_code == 7
        assert "nothing of this was written" in str(caught.value)
        # The next command of a program that stays open finds the server again.
        assert store.visits_of("v1") == []
        store.add_visit(a_visit())
    assert check_store(owned).faults == ()


def test_a_connection_that_is_cut_at_the_very_end_is_not_said_to_be_nothing(
    owned: ServerAddress, root: psycopg.Connection[object], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether the server still heard it cannot be known: the person is told to look."""
    with open_store(owned) as store:
        store.add_vehicle(a_vehicle())
        check = store._database.is_in_transaction

        def and_cut(connection: object) -> bool:
            answer = check(connection)  # type: ignore[arg-type]
            end_connections(root)
            return answer

        monkeypatch.setattr(store._database, "is_in_transaction", and_cut)
        with pytest.raises(StoreError, match="it may be on file or not") as caught:
            store.add_visit(a_visit())
        assert "look what is on file" in caught.value.hint


def test_a_transaction_that_met_an_error_is_never_taken_for_kept(owned: ServerAddress) -> None:
    """The server answers the commit of a broken transaction with a roll-back and no error."""
    with open_store(owned) as store:
        store.add_vehicle(a_vehicle())

        def ignores_an_error() -> None:
            with store.writing():
                store.add_visit(a_visit())
                with pytest.raises(Exception, match="nowhere"):
                    store._connection.exec_driver_sql("SELECT * FROM nowhere")

        with pytest.raises(StoreError):
            ignores_an_error()
        assert store.visits_of("v1") == []


def test_text_that_no_database_can_hold_is_refused_before_it_gets_there(
    owned: ServerAddress, tmp_path: Path
) -> None:
    for address in (owned, tmp_path / "s.sqlite"):
        with open_store(address) as store:
            store.add_vehicle(a_vehicle())
            store.add_visit(a_visit())
            for attempt in (
                lambda: store.add_complaint("a", "pulls\0left"),
                lambda: store.put_draft_entry("a", a_draft(typed="27\0")),
                lambda: store.vehicle("v\0"),
            ):
                with pytest.raises(InvalidInput, match="the text holds a NUL"):
                    attempt()
        result = CliRunner().invoke(
            build(), ["--store", str(address), "vehicle", "change", "v1", "--description", "a\0b"]
        )
        assert result.exit_code == 3
        assert len(result.stderr.splitlines()) == 2


@pytest.fixture
def mortal() -> Iterator[Cluster]:
    """A server of its own, which may be killed."""
    programs = binaries()
    if programs is None:
        if os.environ.get("CI") == "true":
            pytest.fail("no PostgreSQL is installed")
        pytest.skip("no PostgreSQL is installed")
    cluster = Cluster.made(programs)
    yield cluster
    cluster.remove()


def test_what_was_acknowledged_is_there_after_the_server_was_killed(mortal: Cluster) -> None:
    sites = Sites(mortal, "shop")
    site = sites.address("main")
    with open_store(site) as store:
        store.add_vehicle(a_vehicle())
    sites.close()
    acknowledged: list[str] = []
    with ExitStack() as stack:
        writers = [stack.enter_context(start(ENDLESS, site)) for _ in range(2)]
        for writer in writers:
            assert writer.stdout is not None
            acknowledged += [writer.stdout.readline().strip() for _ in range(10)]
        mortal.kill()
        ends = [writer.communicate() for writer in writers]
    for said, complained in ends:
        acknowledged += said.split()
        assert complained.startswith("7 the connection to the server was lost")
        assert len(complained.splitlines()) == 1

    mortal.start()

    with open_store(site) as store:
        kept = {visit.id for visit in store.visits_of("v1")}
        sets = {one.visit_id for one in store.reading_sets_of_vehicle("v1")}
        store.add_vehicle(a_vehicle("after the storm"))
        assert store.counts().keys() == {table.name for table in EVIDENCE}
    assert "" not in acknowledged
    assert len(acknowledged) >= 20
    assert set(acknowledged) <= kept
    assert kept == sets
    assert check_store(site).faults == ()
