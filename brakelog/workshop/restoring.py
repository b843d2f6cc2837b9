"""A store that goes back to a backup, and the note of it on its record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from brakelog.errors import NotFound, StoreOutdated
from brakelog.store.backup import restore
from brakelog.store.opening import open_store
from brakelog.store.tables import SCHEMA_NUMBER


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What going back came to."""

    kept: Path | None
    """What was there before; None where nothing was."""
    is_older: bool
    """Whether an older program wrote the backup, so that nothing can be noted in it yet."""


def restore_store(
    path: Path, source: Path, why: str = "", *, by: str | None = None, now: datetime
) -> Restored:
    """Put a backup in the place of a store, and note in it who did that and why.

    Raises
    ------
    NotFound
        Where the backup knows nobody by those initials; nothing is changed then.
    StoreError
        Where the backup is not sound, or something cannot be written: the store is then what it
        was.
    StoreTooNew
        Where a newer program wrote the backup.
    """
    person_id = None if by is None else _person_in(source, by)
    health, kept = restore(path, source, now=now)
    is_older = health.schema < SCHEMA_NUMBER
    if not is_older:
        done = f"from a backup of {health.rows} rows"
        with open_store(path, create=False) as store, store.writing(by=person_id):
            store.note_event("restored", "", f"{done}: {why.strip()}" if why.strip() else done)
    return Restored(kept=kept, is_older=is_older)


def _person_in(source: Path, by: str) -> str | None:
    """Return the id of a person in a backup; None where an older program wrote it."""
    try:
        with open_store(source, create=False) as store, store.reading():
            return store.person(by).id
    except StoreOutdated:
        return None
    except NotFound as error:
        raise NotFound(
            f"{error} in {source}", hint="nothing was changed; leave --by out, and say it in --why"
        ) from error
