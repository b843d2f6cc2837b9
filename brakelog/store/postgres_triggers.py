"""The triggers that keep evidence append-only on a server, whoever is connected.

What the triggers of a file say about rows that are there already, the unique constraints say here:
a server knows no insert that replaces. Emptying a table at once fires no trigger of its rows, so
that has a trigger of its own.
"""

from __future__ import annotations

from brakelog.store.tables import metadata
from brakelog.store.triggers import FORGETTABLE, TRIGGERS

APPEND_ONLY = frozenset(
    name.removesuffix("_no_delete") for name in TRIGGERS if name.endswith("_no_delete")
)
"""Names of the tables from which nothing is ever deleted."""
REFUSAL = "append_only"
"""The function that every trigger calls."""
REFUSAL_STATEMENT = f"""\
CREATE FUNCTION {REFUSAL}() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION USING ERRCODE = 'restrict_violation',
    MESSAGE = TG_TABLE_NAME || ' is append-only: no row is ever '
      || CASE TG_OP WHEN 'UPDATE' THEN 'changed' ELSE 'deleted' END;
END
$$"""


def _triggers_of(table: str) -> dict[str, str]:
    refuse = f"EXECUTE FUNCTION {REFUSAL}()"
    return {
        f"{table}_no_update": (
            f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table}"
            f" FOR EACH ROW{_unless_forgotten(table)} {refuse}"
        ),
        f"{table}_no_delete": (
            f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} FOR EACH ROW {refuse}"
        ),
        f"{table}_no_truncate": (
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table}"
            f" FOR EACH STATEMENT {refuse}"
        ),
    }


def _unless_forgotten(table: str) -> str:
    """Return when a change is refused: where it does anything but empty what is personal."""
    emptied = FORGETTABLE.get(table)
    if emptied is None:
        return ""
    words = [f"NEW.\"{column}\" <> ''" for column in emptied]
    others = [
        f'NEW."{column.name}" IS DISTINCT FROM OLD."{column.name}"'
        for column in metadata.tables[table].columns
        if column.name not in (*emptied, "checksum")
    ]
    return f" WHEN ({' OR '.join(words + others)})"


SERVER_TRIGGERS = {
    name: statement
    for table in sorted(APPEND_ONLY)
    for name, statement in _triggers_of(table).items()
}
"""Every trigger of a site's schema: its name and the statement that makes it."""
