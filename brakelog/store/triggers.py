"""The triggers that keep evidence append-only, whichever program opens the file."""

from __future__ import annotations

from brakelog.store.tables import EVIDENCE, agreement_names, complaints, import_keys

_IDENTITY = {table.name: ("id", "row") for table in EVIDENCE} | {
    complaints.name: ("row",),
    agreement_names.name: ("row",),
    import_keys.name: ("key",),
}


def _triggers_of(table: str, identity: tuple[str, ...]) -> dict[str, str]:
    """Return the statements by trigger name.

    An insert is refused where the row is there already: ``INSERT OR REPLACE`` deletes the old
    row without firing a delete trigger, unless a setting of the connection asks for it.
    """
    taken = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} WHERE {column} = NEW.{column})" for column in identity
    )
    return {
        f"{table}_no_update": (
            f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table}\n"
            f"BEGIN\n  SELECT RAISE(ABORT, '{table} is append-only: no row is ever changed');\nEND"
        ),
        f"{table}_no_delete": (
            f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table}\n"
            f"BEGIN\n  SELECT RAISE(ABORT, '{table} is append-only: no row is ever deleted');\nEND"
        ),
        f"{table}_no_overwrite": (
            f"CREATE TRIGGER {table}_no_overwrite BEFORE INSERT ON {table}\n"
            f"WHEN {taken}\n"
            f"BEGIN\n  SELECT RAISE(ABORT, '{table} is append-only: that row is there already');"
            "\nEND"
        ),
    }


TRIGGERS = {
    name: statement
    for table, identity in _IDENTITY.items()
    for name, statement in _triggers_of(table, identity).items()
}
"""Every trigger of the schema: its name and the statement that makes it."""
