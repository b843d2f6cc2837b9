"""Names of backups, how many of them stay, and what a restore keeps."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from brakelog.errors import InvalidInput
from brakelog.store.backup import back_up, backups_of, restore
from brakelog.store.opening import open_store

pytestmark = pytest.mark.file

NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "s.sqlite"
    open_store(path).close()
    return path


def test_backups_of_one_second_have_names_of_their_own(path: Path) -> None:
    made = [back_up(path, now=NOON).path.name for _ in range(3)]

    assert made == [
        "s.sqlite.20261120T120000Z.backup",
        "s.sqlite.20261120T120000Z-2.backup",
        "s.sqlite.20261120T120000Z-3.backup",
    ]
    assert [each.name for each in backups_of(path)] == made


def test_eleventh_backup_of_a_second_is_newer_than_the_second(path: Path) -> None:
    for _ in range(11):
        newest = back_up(path, now=NOON).path

    assert backups_of(path)[-1] == newest


def test_oldest_backups_make_room(path: Path) -> None:
    made = [back_up(path, now=NOON + timedelta(days=day), keep=2).path for day in (0, 0, 1, 2)]

    assert backups_of(path) == made[2:]


def test_other_files_of_the_folder_stay(path: Path, tmp_path: Path) -> None:
    others = [
        tmp_path / "backups" / name
        for name in ("s.sqlite", "other.sqlite.20200101T000000Z.backup", "s.sqlite.old.backup")
    ]
    others[0].parent.mkdir()
    for other in others:
        other.touch()

    back_up(path, now=NOON, keep=1)
    back_up(path, now=NOON, keep=1)

    assert all(other.exists() for other in others)


def test_at_least_one_backup_is_kept(path: Path) -> None:
    with pytest.raises(InvalidInput, match="at least one"):
        back_up(path, now=NOON, keep=0)


def test_store_that_a_restore_replaced_is_kept_each_time(path: Path) -> None:
    backup = back_up(path, now=NOON).path

    kept = [restore(path, backup, now=NOON)[1] for _ in range(2)]

    assert len(set(kept)) == 2
    assert all(each is not None and each.exists() for each in kept)


def test_backup_is_readable_by_its_owner_only(path: Path) -> None:
    if os.name != "posix":
        pytest.skip("owners and groups are those of POSIX")

    assert back_up(path, now=NOON).path.stat().st_mode & 0o777 == 0o600


def test_what_a_killed_copy_left_is_removed_a_day_later(path: Path) -> None:
    folder = path.parent / "backups"
    folder.mkdir()
    left = folder / ".s.sqlite.20261118T120000Z.backup.77.part"
    of_another = folder / ".t.sqlite.20261118T120000Z.backup.77.part"
    fresh = folder / ".s.sqlite.20261120T115900Z.backup.78.part"
    for each, day in ((left, 18), (of_another, 18), (fresh, 20)):
        each.touch()
        moment = NOON.replace(day=day).timestamp()
        os.utime(each, (moment, moment))

    back_up(path, now=NOON)

    assert [each.exists() for each in (left, of_another, fresh)] == [False, True, True]
