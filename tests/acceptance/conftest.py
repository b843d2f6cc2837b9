from __future__ import annotations

import itertools
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from brakelog.cli import customer, customer_many
from tests.acceptance.workshop import DAY, Workshop


@pytest.fixture(scope="session")
def equipped_shop(tmp_path_factory: pytest.TempPathFactory) -> Callable[[], Workshop]:
    """Gives one shop after another with the people and gauges that the worked cases take for
    granted, and nothing else on file."""
    folder = tmp_path_factory.mktemp("shops")
    first = Workshop(folder / "equipped.sqlite")
    first.has_people()
    first.has_its_usual_gauges()
    numbers = itertools.count()

    def another() -> Workshop:
        folder_of_its_own = folder / str(next(numbers))
        folder_of_its_own.mkdir()
        return first.copy(folder_of_its_own)

    return another


@pytest.fixture
def shop(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A shop with people and gauges."""
    return equipped_shop()


@pytest.fixture
def in_the_week_of_the_visit(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page says of readings that they are old; here none is, whenever the tests are run."""
    for module in (customer, customer_many):
        monkeypatch.setattr(module, "today", lambda: date.fromisoformat(DAY) + timedelta(days=5))
