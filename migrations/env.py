"""How alembic runs the migrations: on the connection it is handed, or on an address."""

import os
from pathlib import Path

from alembic import context
from sqlalchemy import Connection, NullPool, create_engine, make_url

from brakelog.store.connection import make_engine
from brakelog.store.tables import metadata

PLUGINS = ["alembic.autogenerate.*", "alembic.ext.checkconstraint_byname"]


def run_on(connection: Connection) -> None:
    context.configure(
        connection=connection,
        target_metadata=metadata,
        render_as_batch=True,
        autogenerate_plugins=PLUGINS,
    )
    with context.begin_transaction():
        context.run_migrations()


def run() -> None:
    handed = context.config.attributes.get("connection")
    if handed is not None:
        run_on(handed)
        return
    address = context.get_x_argument(as_dictionary=True).get("url")
    address = address or os.environ.get("BRAKELOG_DATABASE_URL")
    if not address:
        raise SystemExit("name a database: alembic -x url=sqlite:///scratch.sqlite ...")
    url = make_url(address)
    # SQLite's own driver would commit between the steps of a migration.
    engine = (
        make_engine(Path(url.database), foreign_keys=False)
        if url.get_backend_name() == "sqlite" and url.database
        else create_engine(url, poolclass=NullPool)
    )
    with engine.begin() as connection:
        run_on(connection)


run()
