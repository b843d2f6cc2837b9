"""Open a site on a server, make it where it may be made, and bring it up to date."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from brakelog.errors import StoreError
from brakelog.store.address import ServerAddress
from brakelog.store.faults import is_of_a_server, translate, translated
from brakelog.store.migrating import run_migrations
from brakelog.store.postgres_faults import of_connecting
from brakelog.store.postgres_state import State, need_whole, refuse, sites_open_to, state_of
from brakelog.store.store import Store

if TYPE_CHECKING:
    from sqlalchemy import Engine

SCHEMA_COMMENT = "A site of brakelog. Nothing in it is changed by hand."
_MAKING = State.EMPTY
_UPGRADING = State.OLDER


def open_server(
    address: ServerAddress,
    *,
    wait_s: float,
    create: bool,
    clock: Callable[[], datetime],
    new_id: Callable[[], str],
) -> Store:
    """Open a site; see ``open_store``."""
    connection = _connect(address, wait_s)
    try:
        with translated():
            state = _look(connection, address)
            if state is State.EMPTY and create:
                _migrate(connection, address, from_state=_MAKING)
                state = _look(connection, address)
        refuse(state, address)
    except BaseException:
        connection.close()
        raise
    return Store(address, connection, clock=clock, new_id=new_id)


def upgrade_server(address: ServerAddress, *, wait_s: float) -> bool:
    """Bring an older site to the newest schema, in one transaction; return whether it was older.

    Raises
    ------
    StoreError
        Where it cannot be done; the site is then as it was.
    """
    with _connection(address, wait_s) as connection, translated():
        state = _look(connection, address, whole=False)
        if state is not State.OLDER:
            refuse(state, address)
            return False
        _migrate(connection, address, from_state=_UPGRADING)
        return True


def server_has(address: ServerAddress, *, wait_s: float) -> bool:
    """Tell whether there is a store of that site."""
    with _connection(address, wait_s) as connection, translated():
        return _look(connection, address, whole=False) is not State.EMPTY


def open_sites(address: ServerAddress, *, wait_s: float) -> list[str]:
    """Return the sites of the database that the user of an address may look into."""
    with look_into(address, wait_s=wait_s) as connection:
        return sites_open_to(connection)


@contextmanager
def look_into(address: ServerAddress, *, wait_s: float) -> Iterator[Connection]:
    """Open a reading transaction on the database of a site, whatever stands in it."""
    with _connection(address, wait_s) as connection, translated(), _reading(connection):
        yield connection


@contextmanager
def _connection(address: ServerAddress, wait_s: float) -> Iterator[Connection]:
    connection = _connect(address, wait_s)
    try:
        yield connection
    finally:
        connection.close()


def _connect(address: ServerAddress, wait_s: float) -> Connection:
    try:
        connection = _engine(address, wait_s).connect()
    except DBAPIError as error:
        raise of_connecting(error.orig or error) from error
    except Exception as error:
        if is_of_a_server(error):
            raise translate(error) from error
        raise
    return connection


def _engine(address: ServerAddress, wait_s: float) -> Engine:
    try:
        import psycopg
    except ImportError as error:
        raise StoreError(
            "the driver for stores on a server is not installed",
            hint="pip install 'brakelog[postgres]'",
        ) from error
    del psycopg
    from brakelog.store.postgres import make_engine

    return make_engine(address, wait_s=wait_s)


def _look(connection: Connection, address: ServerAddress, *, whole: bool = True) -> State:
    with _reading(connection):
        state = state_of(connection, address)
        if whole and state is State.HEAD:
            need_whole(connection, address)
        return state


@contextmanager
def _reading(connection: Connection) -> Iterator[None]:
    connection.execution_options(readonly=True)
    with connection.begin():
        yield


def _migrate(connection: Connection, address: ServerAddress, *, from_state: State) -> None:
    """Run the migrations, unless another program has done it meanwhile."""
    connection.execution_options(readonly=False)
    with connection.begin():
        # The lock of the writers is held from here on.
        if state_of(connection, address) is not from_state:
            return
        if from_state is _MAKING:
            _make_schema(connection, address)
        run_migrations(connection)


def _make_schema(connection: Connection, address: ServerAddress) -> None:
    user, may_make, may_fill = connection.exec_driver_sql(
        "SELECT current_user, has_database_privilege(current_database(), 'CREATE'),"
        " (SELECT has_schema_privilege(oid, 'CREATE') FROM pg_catalog.pg_namespace"
        "  WHERE nspname = %s)",
        (address.schema,),
    ).one()
    if not (may_make if may_fill is None else may_fill):
        quoted = '"' + str(user).replace('"', '""') + '"'
        raise StoreError(
            f"the user {user} may not make a store of the site {address.site} at {address}",
            hint="the owner of the database makes it, or says"
            f" CREATE SCHEMA {address.schema} AUTHORIZATION {quoted}",
        )
    if may_fill is None:
        connection.exec_driver_sql(f"CREATE SCHEMA {address.schema}")
        connection.exec_driver_sql(f"COMMENT ON SCHEMA {address.schema} IS '{SCHEMA_COMMENT}'")
