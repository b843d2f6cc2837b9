"""What has been imported, so that the same sheet twice adds nothing.

The rows have no seals of their own; those of each kind of sheet are tallied instead (``owners``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from brakelog.errors import Conflict
from brakelog.store.faults import translated
from brakelog.store.ledger import Ledger
from brakelog.store.seals import Form, add_totals, form_of
from brakelog.store.statements import values_in
from brakelog.store.tables import import_keys
from brakelog.store.transaction import Transactions


class Imports(Transactions):
    """The keys of imported rows."""

    def known_import_keys(self, keys: Iterable[str]) -> set[str]:
        """Return those of the keys that were imported before."""
        known: set[str] = set()
        beginning = 'SELECT "key" FROM import_keys WHERE "key"'
        with self.reading(), translated():
            for statement, values in values_in(self._connection, beginning, dict.fromkeys(keys)):
                rows = self._connection.exec_driver_sql(statement, values)
                known.update(row[0] for row in rows)
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
            if not imported:
                return
            form = form_of(import_keys, self._dialect)
            rows: list[tuple[Any, ...]] = []
            sums: list[tuple[str, str]] = []
            with translated():
                # In order, so that neighbours get into a page of the table while it is at hand.
                for key, (kind, target) in sorted(imported.items()):
                    row = {"key": key, "kind": kind, "target_id": target}
                    values, checksum = form.sealed_values(row)
                    rows.append(tuple(values))
                    sums.append((kind, checksum))
                self._write_rows(import_keys, rows)
                _tally(self._ledger, sums)


def tally_imports(ledger: Ledger, form: Form, rows: Iterable[Mapping[str, Any]]) -> None:
    """Add rows to the tallies of their kinds, in the same transaction as the rows."""
    _tally(ledger, ((row["kind"], form.checksum(row)) for row in rows))


def _tally(ledger: Ledger, sums: Iterable[tuple[str, str]]) -> None:
    tallies: dict[str, Sequence[int]] = {}
    for kind, checksum in sums:
        count, total = tallies.get(kind, (0, 0))
        tallies[kind] = (count + 1, add_totals(total, int(checksum, 16)))
    ledger.add(import_keys.name, tallies)
