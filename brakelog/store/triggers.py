"""The triggers that keep evidence append-only, whichever program opens the file."""

from __future__ import annotations

from sqlalchemy import Table

from brakelog.store.tables import EVIDENCE, agreement_names, complaints, import_keys

_IDENTITY = dict.fromkeys(EVIDENCE, ("id", "row")) | {
    complaints: ("row",),
    agreement_names: ("row",),
    import_keys: ("key",),
}


FORGETTABLE = {
    complaints.name: ("text",),
    agreement_names.name: ("who", "number"),
}
"""Tables whose words of customers may be emptied, and nothing else about them changed."""


def _unless_forgotten(table: Table) -> str:
    """Return when a change is refused: where it does anything but empty what is personal."""
    emptied = FORGETTABLE.get(table.name)
    if emptied is None:
        return ""
    words = " OR ".join(f"NEW.\"{column}\" <> ''" for column in emptied)
    others = " OR ".join(
        f'NEW."{column.name}" IS NOT OLD."{column.name}"'
        for column in table.columns
        if column.name not in (*emptied, "checksum")
    )
    return f"WHEN {words} OR {others}\n"


def _triggers_of(of: Table, identity: tuple[str, ...]) -> dict[str, str]:
    """Return the statements by trigger name.

    An insert is refused where the row is there already: ``INSERT OR REPLACE`` deletes the old
    row without firing a delete trigger, unless a setting of the connection asks for it.
    """
    table = of.name
    taken = " OR ".join(
        f"EXISTS (SELECT 1 FROM {table} WHERE {column} = NEW.{column})" for column in identity
    )
    return {
        f"{table}_no_update": (
            f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table}\n{_unless_forgotten(of)}"
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
