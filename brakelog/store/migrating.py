"""Run the migrations: from zero for a new file, from the next one for an older file."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from brakelog.errors import StoreError
from brakelog.store.connection import WAIT_S, make_engine
from brakelog.store.copying import new_copy
from brakelog.store.faults import translated
from brakelog.store.statements_made import tally_statements

_PACKAGE = Path(__file__).resolve().parent.parent


def migrations_dir() -> Path:
    """Return the folder of the migrations: inside the wheel, or beside the package.

    Raises
    ------
    StoreError
        Where the program is not wholly installed.
    """
    for candidate in (_PACKAGE / "_migrations", _PACKAGE.parent / "migrations"):
        if (candidate / "env.py").is_file():
            return candidate
    raise StoreError("the migrations are missing", hint="install brakelog again")


def migrate(
    path: Path, wanted: Callable[[Connection], bool], *, wait_s: float = WAIT_S, back_up: bool
) -> Path | None:
    """Bring the file to the newest revision in one transaction.

    Parameters
    ----------
    path : Path
        The file, which is there already, maybe empty.
    wanted : callable
        Asked once the file is locked, since another program may have done it by then.
    wait_s : float
        How long to wait for a lock. [s]
    back_up : bool
        Whether the file is copied beside itself first.

    Returns
    -------
    Path or None
        The copy, where one was made.

    Raises
    ------
    StoreError
        Where it cannot be done; the file is then as it was.
    """
    engine = make_engine(path, wait_s=wait_s, foreign_keys=False)
    try:
        with translated(), engine.begin() as connection:
            if not wanted(connection):
                return None
            copy = _copy_beside(path, _revision(connection)) if back_up else None
            run_migrations(connection)
            if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                raise StoreError(
                    "the new schema would leave rows that point at nothing",
                    hint="the store is as it was; run brakelog store check",
                )
            return copy
    finally:
        engine.dispose()


def config_for(connection: Connection) -> Any:
    """Return alembic's configuration for an open connection."""
    from alembic.config import Config

    # alembic says things on standard output; the program says what there is to say.
    config = Config(stdout=io.StringIO())
    config.set_main_option("script_location", str(migrations_dir()).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def run_migrations(connection: Connection) -> None:
    """Run what is missing up to the newest revision, in the transaction that is open.

    Raises
    ------
    StoreError
        Where the store has a revision that this program does not know.
    """
    from alembic import command
    from alembic.util.exc import CommandError

    try:
        command.upgrade(config_for(connection), "head")
    except CommandError as error:
        raise StoreError(f"the store cannot be upgraded: {error}") from error
    if connection.dialect.name == "sqlite":
        tally_statements(connection)


def _revision(connection: Connection) -> str:
    found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").first()
    return str(found[0]) if found else "none"


def _copy_beside(path: Path, revision: str) -> Path:
    """Return a checked, durable copy of the file under a name that was free."""
    number = 1
    while True:
        ending = f"{revision}.bak" if number == 1 else f"{revision}.{number}.bak"
        target = path.with_name(f"{path.name}.{ending}")
        try:
            new_copy(path, target)
        except FileExistsError:
            number += 1
            continue
        return target
