"""What stands in the schema of a site, as far as the server lets this user look."""

from __future__ import annotations

import enum

from sqlalchemy import Connection

from brakelog.errors import StoreError, StoreOutdated, StoreTooNew
from brakelog.store.address import SCHEMA_PREFIX, ServerAddress
from brakelog.store.postgres_faults import ASK_THE_OWNER
from brakelog.store.postgres_triggers import SERVER_TRIGGERS
from brakelog.store.tables import SCHEMA_NUMBER, metadata

_TABLES = frozenset((*metadata.tables, "alembic_version"))


class State(enum.Enum):
    """What the schema is to this program."""

    EMPTY = "empty"
    CLOSED = "closed to this user"
    FOREIGN = "another program's"
    OLDER = "older"
    HEAD = "as wanted"
    NEWER = "newer"


def state_of(connection: Connection, address: ServerAddress, *, newest: int | None = None) -> State:
    """Return what the schema of a site is.

    Parameters
    ----------
    connection : Connection
        To the database.
    address : ServerAddress
        The site.
    newest : int, optional
        Number of the schema that is wanted, where that is not this program's.

    Raises
    ------
    StoreError
        Where the database cannot hold every text.
    """
    found = connection.exec_driver_sql(
        "SELECT current_setting('server_encoding'),"
        " has_schema_privilege(n.oid, 'USAGE'),"
        " (SELECT count(*) FROM pg_catalog.pg_class WHERE relnamespace = n.oid),"
        " (SELECT count(*) FROM pg_catalog.pg_class"
        "  WHERE relnamespace = n.oid AND relname = 'alembic_version')"
        " FROM (SELECT 1) AS one LEFT JOIN pg_catalog.pg_namespace AS n ON n.nspname = %s",
        (address.schema,),
    ).one()
    encoding, is_open, relations, versions = found
    if encoding != "UTF8":
        raise StoreError(
            f"the database is kept in {encoding}, which cannot hold every text",
            hint="make it with ENCODING 'UTF8' TEMPLATE template0",
        )
    if not relations:
        return State.EMPTY
    if not is_open:
        return State.CLOSED
    if not versions:
        return State.FOREIGN
    return _by_number(revision_of(connection), SCHEMA_NUMBER if newest is None else newest)


def revision_of(connection: Connection) -> str:
    """Return the revision that the schema says that it has; empty where it says none."""
    return str(connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() or "")


def _by_number(revision: str, newest: int) -> State:
    # Revisions are numbered one after the other; what is no number is no revision of this program.
    if not (revision.isascii() and revision.isdigit()):
        return State.FOREIGN
    number = int(revision)
    if number == newest:
        return State.HEAD
    return State.OLDER if number < newest else State.NEWER


def refuse(state: State, address: ServerAddress) -> None:
    """Do nothing where the schema is as wanted.

    Raises
    ------
    StoreError, StoreOutdated, StoreTooNew
        With what is to be done.
    """
    if state is State.EMPTY:
        raise StoreError(
            f"there is no store of the site {address.site} at {address}",
            hint="name another site with --store; one is made when something is put on file",
        )
    if state is State.CLOSED:
        raise StoreError(
            f"the user of the server may not see the site {address.site}", hint=ASK_THE_OWNER
        )
    if state is State.FOREIGN:
        raise StoreError(
            f"{address} is not a brakelog store: the schema {address.schema} belongs to another"
            " program",
            hint="name another site with --store",
        )
    if state is State.OLDER:
        raise StoreOutdated(
            f"{address} was written by an older brakelog", hint="brakelog store upgrade"
        )
    if state is State.NEWER:
        raise StoreTooNew(f"{address} was written by a newer brakelog", hint="update brakelog")


def need_whole(connection: Connection, address: ServerAddress) -> None:
    """Do nothing where every table and every trigger is there, and each trigger turned on.

    Raises
    ------
    StoreError
        With the first that is not.
    """
    missing = missing_of(connection, address)
    if missing:
        kind, name = missing[0]
        more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
        raise StoreError(
            f"the store is damaged: missing {kind} {name}{more}",
            hint="run brakelog store check; restore a backup",
        )


def missing_of(connection: Connection, address: ServerAddress) -> list[tuple[str, str]]:
    """Return kind and name of every table and trigger that is not there, or is turned off."""
    tables = connection.exec_driver_sql(
        "SELECT c.relname FROM pg_catalog.pg_class AS c"
        " JOIN pg_catalog.pg_namespace AS n ON n.oid = c.relnamespace"
        " WHERE n.nspname = %s AND c.relkind = 'r'",
        (address.schema,),
    )
    triggers = connection.exec_driver_sql(
        "SELECT t.tgname FROM pg_catalog.pg_trigger AS t"
        " JOIN pg_catalog.pg_class AS c ON c.oid = t.tgrelid"
        " JOIN pg_catalog.pg_namespace AS n ON n.oid = c.relnamespace"
        " WHERE n.nspname = %s AND NOT t.tgisinternal AND t.tgenabled IN ('O', 'A')",
        (address.schema,),
    )
    missing = [("table", name) for name in sorted(_TABLES - {row[0] for row in tables})]
    missing += [
        ("trigger", name) for name in sorted(SERVER_TRIGGERS.keys() - {row[0] for row in triggers})
    ]
    return missing


def sites_open_to(connection: Connection) -> list[str]:
    """Return the sites of the database that this user may look into, by name."""
    rows = connection.exec_driver_sql(
        "SELECT nspname FROM pg_catalog.pg_namespace"
        " WHERE starts_with(nspname, %s) AND has_schema_privilege(oid, 'USAGE') ORDER BY nspname",
        (SCHEMA_PREFIX,),
    )
    return [str(row[0]).removeprefix(SCHEMA_PREFIX) for row in rows]
