"""What has been imported, so that the same sheet twice adds nothing.

The rows have no seals of their own; those of each kind of sheet are tallied instead (``owners``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import select

from brakelog.errors import Conflict
from brakelog.store.faults import translated
from brakelog.store.ledger import Ledger
from brakelog.store.seals import Form, Pattern, form_of
from brakelog.store.statements import values_in
from brakelog.store.tables import import_keys
from brakelog.store.transaction import Transactions


class Imports(Transactions):
    """The keys of imported rows."""

    def has_imports(self) -> bool:
        """Tell whether any row was ever imported."""
        return self._first(select(import_keys.c.key).limit(1)) is not None

    def known_import_keys(self, keys: Iterable[str]) -> set[str]:
        """Return those of the keys that were imported before."""
        known: set[str] = set()
        beginning = 'SELECT "key" FROM import_keys WHERE "key"'
        with self.reading(), translated():
            for statement, values in values_in(self._connection, beginning, dict.fromkeys(keys)):
                rows = self._connection.exec_driver_sql(statement, values)
                known.update(row[0] for row in rows)
        return known

    def remember_imports(
        self, imported: Mapping[str, tuple[str, str]], *, are_new: bool = False
    ) -> None:
        """Remember for each key what kind of row it became, and the row's id.

        Parameters
        ----------
        imported : mapping
            Kind and id by key.
        are_new : bool
            Whether the caller has looked in the same transaction that none was imported before;
            the database still takes none twice.

        Raises
        ------
        Conflict
            Where one was imported before; nothing is remembered then.
        """
        with self.writing():
            known = frozenset() if are_new else self.known_import_keys(imported)
            if known:
                raise Conflict(
                    f"{len(known)} of the rows were imported already",
                    hint="leave out what is on file",
                )
            if not imported:
                return
            form = form_of(import_keys, self._dialect)
            patterns = {
                kind: Pattern(form, {"kind": kind}, ("key", "target_id"))
                for kind in {kind for kind, _ in imported.values()}
            }
            rows: list[tuple[Any, ...]] = []
            with translated():
                # In order, so that neighbours get into a page of the table while it is at hand.
                for key, (kind, target) in sorted(imported.items()):
                    values, checksum = patterns[kind].sealed_values((key, target))
                    rows.append(tuple(values))
                    self._ledger.tally(import_keys.name, kind, checksum)
            self._write_rows(import_keys, rows)


def tally_imports(ledger: Ledger, form: Form, rows: Iterable[Mapping[str, Any]]) -> None:
    """Add rows to the tallies of their kinds, in the same transaction as the rows."""
    for row in rows:
        ledger.tally(import_keys.name, row["kind"], form.checksum(row))
