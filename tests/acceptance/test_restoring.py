"""Going back to a backup: what is noted of it, and what is refused before anything changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.acceptance.workshop import Workshop

pytestmark = pytest.mark.file
NOT_FOUND = 4


@pytest.fixture
def backup(shop: Workshop, tmp_path: Path) -> Path:
    shop.does("vehicle", "add", "TEAL-3")
    shop.does("store", "backup", "--to", str(tmp_path / "b"))
    shop.does("vehicle", "add", "TEAL-4")
    return next((tmp_path / "b").iterdir())


def test_restore_is_on_record_with_who_and_why(shop: Workshop, backup: Path) -> None:
    shop.does("store", "restore", str(backup), "--by", "AM", "--why", "wrong sheet imported")

    note = shop.reads("store", "journal")["changes"][-1]
    assert note["about"] == ["restored"]
    assert note["who"] == "AM"
    assert "wrong sheet imported" in note["why"]
    assert "TEAL-4" not in shop.does("vehicle", "list")


def test_restore_by_somebody_whom_the_backup_does_not_know_changes_nothing(
    shop: Workshop, backup: Path
) -> None:
    refused = shop.tries("store", "restore", str(backup), "--by", "ZZ")

    assert refused.exit_code == NOT_FOUND
    assert "nothing was changed" in refused.output
    assert "TEAL-4" in shop.does("vehicle", "list")


def test_restore_without_a_name_is_on_record_too(shop: Workshop, backup: Path) -> None:
    shop.does("store", "restore", str(backup))

    assert "restored" in shop.does("store", "journal")
