"""``brakelog store check`` names what is wrong with a store."""

from __future__ import annotations

from pathlib import Path

import pytest

from brakelog.errors import StoreError
from brakelog.store.checking import check_store
from brakelog.store.opening import open_store
from tests.unit.store_examples import fill


@pytest.fixture
def filled(tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite"
    with open_store(path) as store:
        fill(store)
    return path


def test_sound_store_has_no_faults(filled: Path) -> None:
    assert check_store(filled).faults == ()


def test_settings_make_what_is_acknowledged_durable(filled: Path) -> None:
    with open_store(filled) as store:
        assert store.durability() == {"journal_mode": "truncate", "synchronous": "full"}


def test_row_that_points_nowhere_is_named(filled: Path) -> None:
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(filled)) as raw:
        raw.execute("UPDATE customers SET id = 'gone'")
        raw.commit()

    assert any("vehicle_identities" in fault for fault in check_store(filled).faults)


@pytest.mark.parametrize("share", [0.9, 0.5, 0.1])
def test_truncated_store_is_never_called_sound(filled: Path, share: float) -> None:
    content = filled.read_bytes()
    filled.write_bytes(content[: int(len(content) * share)])
    try:
        faults = check_store(filled).faults
    except StoreError:
        return

    assert faults
