"""What has been imported, so that the same sheet twice adds nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy import select

from brakelog.errors import Conflict
from brakelog.store.tables import import_keys
from brakelog.store.transaction import Transactions, in_chunks


class Imports(Transactions):
    """The keys of imported rows."""

    def known_import_keys(self, keys: Iterable[str]) -> set[str]:
        """Return those of the keys that were imported before."""
        known: set[str] = set()
        with self.reading():
            for chunk in in_chunks(dict.fromkeys(keys)):
                rows = self._all(select(import_keys.c.key).where(import_keys.c.key.in_(chunk)))
                known.update(row.key for row in rows)
        return known

    def remember_imports(self, imported: Mapping[str, tuple[str, str]]) -> None:
        """Remember for each key what kind of row it became, and the row's id.

        Raises
        ------
        Conflict
            Where one was imported before; nothing is remembered then.
        """
        with self.writing():
            known = self.known_import_keys(imported)
            if known:
                raise Conflict(
                    f"{len(known)} of the rows were imported already",
                    hint="leave out what is on file",
                )
            self._insert(
                import_keys,
                [
                    {"key": key, "kind": kind, "target_id": target}
                    for key, (kind, target) in imported.items()
                ],
            )
