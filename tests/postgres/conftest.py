from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from typing import Any

import psycopg
import pytest

from brakelog.store.address import ServerAddress
from brakelog.store.opening import open_store
from tests.places import Sites
from tests.postgres.cluster import OWNER, SUPERUSER, Cluster
from tests.unit.store_examples import fill

Past = Callable[..., psycopg.Connection[Any]]


@pytest.fixture(scope="session")
def sites(cluster: Cluster) -> Iterator[Sites]:
    """A database with sites, for tests that do to them what they want."""
    sites = Sites(cluster, "harmed")
    yield sites
    sites.close()


@pytest.fixture(scope="session")
def numbers() -> Iterator[int]:
    return itertools.count(1)


@pytest.fixture
def owned(sites: Sites, numbers: Iterator[int]) -> ServerAddress:
    """A new site, as its owner sees it."""
    return sites.new(f"own_{next(numbers)}")


@pytest.fixture
def filled(owned: ServerAddress) -> ServerAddress:
    """The same with a row in every table."""
    with open_store(owned) as store:
        fill(store)
    return owned


@pytest.fixture
def past(cluster: Cluster, sites: Sites) -> Iterator[Past]:
    """Gives a connection past the program that looks at one site first."""
    opened: list[psycopg.Connection[Any]] = []

    def connect(site: ServerAddress, user: str = OWNER) -> psycopg.Connection[Any]:
        connection = cluster.admin(sites.database, user)
        opened.append(connection)
        connection.execute(f"SET search_path TO {site.schema}")
        return connection

    yield connect
    for each in opened:
        each.close()


@pytest.fixture
def root(past: Past, owned: ServerAddress) -> psycopg.Connection[Any]:
    """Who may do everything on the server."""
    return past(owned, SUPERUSER)
