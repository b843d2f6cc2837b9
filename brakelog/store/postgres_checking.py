"""Looking at every row of a site, and at what the server promises, when somebody asks for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sqlalchemy import Connection

from brakelog.store.address import ServerAddress
from brakelog.store.auditing import ChainEnd, audit
from brakelog.store.checking import MOST_FAULTS, StoreHealth
from brakelog.store.connection import WAIT_S
from brakelog.store.database import database_of
from brakelog.store.postgres_opening import look_into
from brakelog.store.postgres_state import State, missing_of, refuse, revision_of, state_of
from brakelog.store.tables import metadata


def check_site(address: ServerAddress, *, wait_s: float = WAIT_S) -> StoreHealth:
    """Read every row of a site and follow every reference; nothing is changed.

    Raises
    ------
    StoreError
        Where there is no such site, or the server does not let this user look.
    """
    with look_into(address, wait_s=wait_s) as connection:
        state = state_of(connection, address)
        if state not in (State.HEAD, State.OLDER, State.NEWER):
            refuse(state, address)
        version = connection.exec_driver_sql("SELECT current_setting('server_version')").scalar()
        settings = database_of(connection).durability(connection)
        faults = [f"missing {kind} {name}" for kind, name in missing_of(connection, address)]
        faults += broken_promises(settings)
        is_known = state is State.HEAD
        rows = 0
        chains: tuple[ChainEnd, ...] = ()
        if is_known and not faults:
            faults += [*_orphans(connection), *_unordered(connection, address)]
            found = audit(connection)
            rows, chains = found.rows, found.chains
            faults += found.faults
        return StoreHealth(
            engine=f"PostgreSQL {version}",
            settings=settings,
            schema=int(revision_of(connection)),
            is_known=is_known,
            rows=rows,
            chains=chains,
            faults=tuple(faults),
        )


def broken_promises(settings: Mapping[str, str]) -> Iterator[str]:
    """Name what the server does not do for the safety of what was acknowledged."""
    for name in ("fsync", "full_page_writes"):
        if settings.get(name) == "off":
            yield f"the server runs with {name} off: a power cut may cost what was acknowledged"
    if settings.get("synchronous_commit") == "off":
        yield "synchronous_commit is off: a crash of the server may cost what was acknowledged"


def _orphans(connection: Connection) -> Iterator[str]:
    for name, table in metadata.tables.items():
        key = "row" if "row" in table.c else next(iter(table.primary_key.columns)).name
        for foreign in sorted(table.foreign_keys, key=lambda each: each.parent.name):
            mine, other = foreign.parent.name, foreign.column
            rows = connection.exec_driver_sql(
                f'SELECT "{key}" FROM {name} AS mine WHERE "{mine}" IS NOT NULL AND NOT EXISTS'
                f' (SELECT 1 FROM {other.table.name} AS other WHERE other."{other.name}"'
                f' = mine."{mine}") LIMIT {MOST_FAULTS}'
            )
            for (row,) in rows:
                yield f"{name}, row {row}: points at a row of {other.table.name} that is not there"


def _unordered(connection: Connection, address: ServerAddress) -> Iterator[str]:
    """Name the texts that the server would put in another order than the program expects."""
    rows = connection.exec_driver_sql(
        "SELECT c.relname, a.attname FROM pg_catalog.pg_attribute AS a"
        " JOIN pg_catalog.pg_class AS c ON c.oid = a.attrelid AND c.relkind = 'r'"
        " JOIN pg_catalog.pg_namespace AS n ON n.oid = c.relnamespace"
        " JOIN pg_catalog.pg_type AS t ON t.oid = a.atttypid AND t.typname = 'text'"
        " JOIN pg_catalog.pg_collation AS o ON o.oid = a.attcollation"
        " WHERE n.nspname = %s AND a.attnum > 0 AND o.collname <> 'C'"
        f" ORDER BY 1, 2 LIMIT {MOST_FAULTS}",
        (address.schema,),
    )
    for table, column in rows:
        yield f"{table}.{column} is ordered by a language: ids may not be found"
