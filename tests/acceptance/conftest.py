from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.acceptance.workshop import Workshop


@pytest.fixture(scope="session")
def equipped_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with the people and the gauges that every worked case takes for granted."""
    shop = Workshop(tmp_path_factory.mktemp("equipped") / "shop.sqlite")
    shop.has_people()
    shop.has_its_usual_gauges()
    return shop.store


@pytest.fixture
def shop(equipped_store: Path, tmp_path: Path) -> Workshop:
    """A shop with people and gauges, and nothing else on file."""
    return Workshop(Path(shutil.copy(equipped_store, tmp_path / "shop.sqlite")))
