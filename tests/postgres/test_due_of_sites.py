"""A chain's due list: every site's own, by whoever may see all of them."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator

import pytest
from typer.testing import CliRunner, Result

from brakelog.cli.main import build
from brakelog.store.address import ServerAddress
from brakelog.store.opening import open_store
from brakelog.store.postgres_roles import EVERY_SITE
from tests.bench.due import fill
from tests.docs.published_schemas import fault_of
from tests.places import Sites
from tests.postgres.cluster import OWNER, WRITER, Cluster

DAY = ("--on", "2026-11-20")
VEHICLES = {"east": 3, "west": 5}


def runs(address: ServerAddress, *words: str) -> Result:
    result = CliRunner().invoke(build(), ["--store", str(address), *words])
    assert "Traceback" not in result.output
    return result


@pytest.fixture(scope="module")
def chain(cluster: Cluster) -> Iterator[Sites]:
    sites = Sites(cluster, "chain")
    with cluster.admin(sites.database, OWNER) as owner:
        for name, count in VEHICLES.items():
            sites.new(name)
            with open_store(sites.address(name, WRITER)) as store:
                fill(store, count)
        owner.execute("CREATE ROLE head LOGIN")
        owner.execute(f"GRANT {EVERY_SITE} TO head")
    yield sites
    sites.close()


def test_the_lists_of_a_chain_are_those_of_its_sites(chain: Sites) -> None:
    whole = runs(chain.address("east", "head"), "due", "--every-site", *DAY, "--json")
    documents = [json.loads(line) for line in whole.output.splitlines()]

    assert [fault for each in documents if (fault := fault_of(each))] == []
    assert documents == [
        json.loads(runs(chain.address(name, WRITER), "due", *DAY, "--json").output) | {"site": name}
        for name in VEHICLES
    ]
    assert [len(each["vehicles"]) for each in documents] == [3, 5]


def test_one_process_lists_what_two_do(chain: Sites) -> None:
    one, two = (
        runs(chain.address("west", "head"), "due", "--every-site", *DAY, "--processes", number)
        for number in ("1", "2")
    )

    assert one.output == two.output
    assert "Site east" in one.output
    assert one.output.count("It is no verdict") == 1


def test_every_row_of_the_sheet_says_which_site(chain: Sites) -> None:
    sheet = runs(chain.address("west", "head"), "due", "--every-site", *DAY, "--csv").output

    rows = list(csv.DictReader(io.StringIO(sheet)))
    assert [row["site"] for row in rows] == ["east"] * 3 + ["west"] * 5


def test_a_site_that_cannot_be_read_is_named_and_not_left_out(
    chain: Sites, cluster: Cluster
) -> None:
    with cluster.admin(chain.database) as root:
        root.execute("UPDATE brakelog_west.alembic_version SET version_num = '0001'")
        try:
            found = runs(chain.address("east", "head"), "due", "--every-site", *DAY)
        finally:
            root.execute(
                "UPDATE brakelog_west.alembic_version SET version_num = "
                "(SELECT version_num FROM brakelog_east.alembic_version)"
            )

    assert found.exit_code == 8
    assert "west" in found.output


def test_a_site_that_one_may_not_look_into_is_not_listed(chain: Sites) -> None:
    found = runs(chain.address("east", WRITER), "due", "--every-site", *DAY, "--json")

    assert {json.loads(line)["site"] for line in found.output.splitlines()} <= set(VEHICLES)
