"""Whether a store that has been open for a while is still of the schema that it was opened with."""

from __future__ import annotations

from sqlalchemy import Connection

from brakelog.errors import StoreOutdated, StoreTooNew
from brakelog.store.address import Address
from brakelog.store.tables import SCHEMA_HEAD


def need_same_schema(connection: Connection, address: Address) -> None:
    """Do nothing where a store is of this program's schema.

    Asked in every transaction, so that no row of two versions is ever mixed.

    Raises
    ------
    StoreTooNew, StoreOutdated
        Where another program has changed it since, or put another store in its place.
    """
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if found == SCHEMA_HEAD:
        return
    if str(found) > SCHEMA_HEAD:
        raise StoreTooNew(
            f"a newer brakelog has upgraded {address} meanwhile", hint="update brakelog"
        )
    raise StoreOutdated(
        f"{address} is that of an older brakelog now", hint="brakelog store upgrade"
    )
