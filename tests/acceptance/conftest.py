from __future__ import annotations

import itertools
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.acceptance.workshop import Workshop


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
        return Workshop(Path(shutil.copy(first.store, folder_of_its_own / "shop.sqlite")))

    return another


@pytest.fixture
def shop(equipped_shop: Callable[[], Workshop]) -> Workshop:
    """A shop with people and gauges."""
    return equipped_shop()
