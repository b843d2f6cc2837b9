"""Where the stores of the tests are kept: ``--database sqlite``, or ``postgresql``."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from tests import places
from tests.postgres.cluster import Cluster, binaries


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--database",
        choices=("sqlite", "postgresql"),
        default="sqlite",
        help="What the tests keep their stores in.",
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """What is about files is left out where there are none."""
    if config.getoption("--database") == "sqlite":
        return
    about_files = [item for item in items if item.get_closest_marker("file")]
    config.hook.pytest_deselected(items=about_files)
    items[:] = [item for item in items if item not in set(about_files)]


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """A server of the tests' own."""
    programs = binaries()
    if programs is None:
        if os.environ.get("CI") == "true":
            pytest.fail("no PostgreSQL is installed")
        pytest.skip("no PostgreSQL is installed")
    cluster = Cluster.made(programs)
    yield cluster
    cluster.remove()


@pytest.fixture(scope="session", autouse=True)
def database(request: pytest.FixtureRequest) -> Iterator[None]:
    """Keeps the stores where the command line says."""
    if request.config.getoption("--database") == "sqlite":
        yield
        return
    sites = places.Sites(request.getfixturevalue("cluster"), "shops")
    places.use(sites)
    yield
    places.use(None)
    sites.close()


@pytest.fixture(scope="module", autouse=True)
def lent_to_the_module(database: None) -> Iterator[None]:
    with places.borrowing():
        yield


@pytest.fixture(autouse=True)
def lent_to_the_test(lent_to_the_module: None) -> Iterator[None]:
    with places.borrowing():
        yield
