"""Roles of a site: who may add to it, who may read it, and who may see every site.

What is evidence may be added to and read, and nothing else, so that the server refuses a change
before any trigger is asked. The roles log nobody in; people and programs are made members of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from brakelog.store.address import ServerAddress
from brakelog.store.tables import (
    DERIVED,
    EVIDENCE,
    chain_heads,
    customers,
    draft_entries,
    import_keys,
    metadata,
    people,
    row_tallies,
    vehicle_identities,
)
from brakelog.store.triggers import FORGETTABLE

EVERY_SITE = "brakelog_every_site"
"""The role that may read every site whose script has been run, and work out what is derived: a
due list of the whole chain brings each site's own up to date."""

_ADDED = ("SELECT", "INSERT")
_CHANGED = ("SELECT", "INSERT", "UPDATE")
_TAKEN_AWAY = ("SELECT", "INSERT", "UPDATE", "DELETE")

RIGHTS: Mapping[str, tuple[str, ...]] = (
    {table.name: _ADDED for table in (*EVIDENCE, import_keys)}
    | {
        name: (*_ADDED, f"UPDATE ({', '.join((*emptied, 'checksum'))})")
        for name, emptied in FORGETTABLE.items()
    }
    | {
        table.name: _CHANGED
        for table in (people, customers, vehicle_identities, chain_heads, row_tallies)
    }
    | {table.name: _TAKEN_AWAY for table in (draft_entries, *DERIVED)}
    | {"alembic_version": ("SELECT",)}
)
"""For each table, what the role that adds to a site may do with it: what the program does."""


def writer_of(address: ServerAddress) -> str:
    """Return the role that may add to a site."""
    return f"{address.schema}_writer"


def reader_of(address: ServerAddress) -> str:
    """Return the role that may read a site."""
    return f"{address.schema}_reader"


def roles_script(address: ServerAddress) -> str:
    """Return the SQL that makes the roles of a site and gives them their rights, and no others.

    It may be run again, and must be after an upgrade. Nothing is said about what is not there.
    """
    return "\n".join(_lines(address)) + "\n"


def _lines(address: ServerAddress) -> Iterator[str]:
    schema, writer, reader = address.schema, writer_of(address), reader_of(address)
    yield f"-- Roles of the site {address.site}. Run it as the owner of the schema {schema},"
    yield "-- who must be allowed to make roles; once more after every upgrade."
    yield "BEGIN;"
    for role in (writer, reader, EVERY_SITE):
        yield (
            f"DO $$ BEGIN IF NOT EXISTS (SELECT FROM pg_catalog.pg_roles WHERE rolname = '{role}')"
            f" THEN CREATE ROLE {role} NOLOGIN; END IF; END $$;"
        )
    everybody = f"PUBLIC, {writer}, {reader}, {EVERY_SITE}"
    yield f"REVOKE ALL ON SCHEMA {schema} FROM {everybody};"
    yield f"REVOKE ALL ON ALL TABLES IN SCHEMA {schema} FROM {everybody};"
    yield f"REVOKE ALL ON ALL SEQUENCES IN SCHEMA {schema} FROM {everybody};"
    yield f"GRANT USAGE ON SCHEMA {schema} TO {writer}, {reader}, {EVERY_SITE};"
    yield f"GRANT SELECT ON ALL TABLES IN SCHEMA {schema} TO {reader}, {EVERY_SITE};"
    for rights in dict.fromkeys(RIGHTS.values()):
        tables = [name for name in (*metadata.tables, "alembic_version") if RIGHTS[name] == rights]
        listed = ", ".join(f"{schema}.{name}" for name in tables)
        yield f"GRANT {', '.join(rights)} ON {listed} TO {writer};"
    derived = ", ".join(f"{schema}.{table.name}" for table in DERIVED)
    yield f"GRANT INSERT, UPDATE, DELETE ON {derived} TO {EVERY_SITE};"
    # A store that is put down whole brings its numbers along. Who may add rows may number them
    # as it is, so this gives nothing away.
    yield f"GRANT UPDATE ON ALL SEQUENCES IN SCHEMA {schema} TO {writer};"
    yield "COMMIT;"
    yield f"-- Then, for whoever works at the site: GRANT {writer} TO ada;"
    yield f"-- for whoever only looks: GRANT {reader} TO ada;"
    yield f"-- and for whoever may see every site: GRANT {EVERY_SITE} TO ada;"
